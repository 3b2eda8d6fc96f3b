"""Measure build, download, start, answers and memory: `python3 scripts/bench.py [--rounds 5] [--write]`.

Times differ from machine to machine; the ratios say more. The floor is the interpreter as its makers ship it,
started on an empty page and asked nothing: no page of ours could be quicker without changing the interpreter.
All arms are measured in one run and in turn, so that a busy minute falls on all of them.

`--write` puts the tables into docs/review/measured.md; otherwise they are only printed.
"""

import argparse
import gzip
import math
import os
import platform
import shutil
import statistics
import sys
import tempfile
import time
from datetime import date
from functools import cache, partial
from pathlib import Path
from urllib.parse import unquote, urlsplit

ROOT = Path(__file__).resolve().parents[1]
sys.path[0] = str(ROOT)
from scripts import environment

PAGE = ROOT / "docs/review/measured.md"
FIRST_PAGE, FIRST_CALCULATOR = "run/plan/", "plan"
SHOWN = {"page readable": "readable", "calculator ready": "ready", "first answer": "answered"}
# Runs in each page before its own scripts: notes when the form is ready, and each freeze of 50 ms or more.
WATCH = """
self.freezes = [];
new PerformanceObserver((list) => freezes.push(...list.getEntries().map((freeze) => freeze.duration)))
  .observe({ type: "longtask", buffered: true });
new MutationObserver(() => {
  if (!self.readyAt && document.querySelector("form[data-state=ready]")) self.readyAt = performance.now();
}).observe(document, { subtree: true, childList: true, attributes: true, attributeFilter: ["data-state"] });
"""
# Asks as a reader would who presses the button at once: the answer waits for the interpreter.
ASK_AT_ONCE = """async (request) => {
  const reply = await calculatorAsk(request);
  const answered = performance.now();
  while (!self.readyAt && performance.now() < 60_000) await new Promise((wake) => setTimeout(wake, 20));
  const seen = performance.getEntriesByName("first-contentful-paint")[0];
  return { readable: seen?.startTime ?? null, ready: self.readyAt ?? null, answered, freezes, reply };
}"""
ASK = "(request) => calculatorAsk(request)"
ASK_OFTEN = """async ([request, times]) => {
  const took = [];
  for (let n = 0; n <= times; n += 1) {
    const began = performance.now();
    await calculatorAsk(request);
    took.push(performance.now() - began);
  }
  return took;
}"""
FLOOR = {
    "index.html": """<!doctype html><title>Floor</title><script type="module">
const worker = new Worker("floor.mjs", { type: "module" });
worker.onmessage = ({ data }) => { document.title = data === 2 ? String(performance.now()) : "failed"; };
</script>""",
    "floor.mjs": """import { loadPyodide } from "./pyodide.mjs";
postMessage((await loadPyodide()).runPython("1 + 1"));""",
}


def request(name):
    """Return what the page of a calculator asks when its example is worked out."""
    import calcs

    return {"do": "work_out", "calculator": name, "inputs": calcs.example(name)}


def main():
    parser = argparse.ArgumentParser(description="Measure the site.")
    parser.add_argument("--rounds", type=int, default=5, help="launches of each arm (%(default)s)")
    parser.add_argument("--calls", type=int, default=30, help="answers of each calculator (%(default)s)")
    parser.add_argument("--write", action="store_true", help="put the tables into docs/review/measured.md")
    choices = parser.parse_args()
    environment.enter("tests")
    from playwright.sync_api import sync_playwright

    from scripts import build, chromium, serve

    chromium.ensure()
    with tempfile.TemporaryDirectory() as folder:
        floor = serve.in_background(serve.open_server(floor_site(Path(folder) / "floor")))
        site = serve.in_background(serve.open_server(ROOT / "site", handler=counting(serve.Handler)))
        built = build.build(address=serve.address(site))
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(**chromium.options())
            version = browser.version
            new_profile = partial(profile, playwright, folder)
            addresses = serve.address(site), serve.address(floor)
            starts = measure_starts(browser, new_profile, addresses, choices.rounds)
            bytes_sent = measure_bytes(new_profile, serve.address(site))
            in_browser = measure_answers(browser, serve.address(site), choices.calls)
            memory = measure_memory(browser, serve.address(site))
            browser.close()
    parts = [
        machine(version, choices),
        start_table(starts),
        byte_table(bytes_sent),
        answer_table(in_browser, measure_cpython(choices.calls)),
        other_table(built, memory),
    ]
    text = "\n\n".join(parts)
    print("\n" + text)
    if choices.write:
        write(text)


# Start


def floor_site(folder):
    """Fill `folder` with a page that starts the interpreter as shipped, and return it."""
    from scripts import runtime_files

    runtime_files.fetch()
    folder.mkdir()
    for name in (*runtime_files.PYODIDE, "python_stdlib.zip", "pyodide-lock.json"):
        shutil.copy(runtime_files.MODULES / "pyodide" / name, folder)
    for name, text in FLOOR.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def measure_starts(browser, new_profile, addresses, rounds):
    """Return for each arm what every round measured, in ms from the start of navigation."""
    # Compiled scripts are kept in a profile on the disk only, so a second visit needs one.
    site, floor = addresses
    again, kept, floor_again = (new_profile(workers) for workers in ("block", "allow", "block"))
    once(again, start_site, site)
    once(floor_again, start_floor, floor)
    keep_copy(kept, site)
    found = {}
    for number in range(rounds):
        print(f"Start, round {number + 1} of {rounds} …", flush=True)
        for arm, start, address, context in (
            ("first visit", start_site, site, None),
            ("floor, first visit", start_floor, floor, None),
            ("second visit", start_site, site, again),
            ("floor, second visit", start_floor, floor, floor_again),
            ("from the kept copy", start_site, site, kept),
        ):
            fresh = context or browser.new_context(service_workers="block")
            found.setdefault(arm, []).append(once(fresh, start, address))
            if not context:
                fresh.close()
    for context in (again, kept, floor_again):
        context.close()
    return found


def profile(playwright, folder, service_workers):
    """Return a browser that keeps its store in `folder`; `service_workers` is "allow" or "block"."""
    from scripts import chromium

    store = tempfile.mkdtemp(dir=folder)
    launch = playwright.chromium.launch_persistent_context
    return launch(store, service_workers=service_workers, **chromium.options())


def once(context, start, address):
    page = context.new_page()
    times = start(page, address)
    page.close()
    return times


def keep_copy(context, site):
    """Visit the site until its copy for use without a network is complete."""
    page = context.new_page()
    page.goto(site + FIRST_PAGE)
    check(page.evaluate(ASK, request(FIRST_CALCULATOR)))
    page.locator("form[data-calculator] [type=submit]").first.click()  # the first answer shown starts the keeping
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    page.close()


def start_site(page, address):
    page.add_init_script(WATCH)
    page.goto(address + FIRST_PAGE, wait_until="domcontentloaded")
    times = page.evaluate(ASK_AT_ONCE, request(FIRST_CALCULATOR))
    check(times.pop("reply"))
    return times


def start_floor(page, address):
    page.goto(address)
    while page.title() == "Floor":
        page.wait_for_timeout(20)
    return {"answered": float(page.title())}


def check(reply):
    """Stop if a reply holds no answer: the time of a fault is not worth writing down."""
    if reply.get("state") != "answered":
        raise SystemExit(f"The page did not answer its own example: {str(reply)[:500]}")


def start_table(found):
    rows = []
    for arm in ("first visit", "second visit", "from the kept copy"):
        floor_arm = "floor, first visit" if arm == "first visit" else "floor, second visit"
        floor = middle(one["answered"] for one in found[floor_arm])
        for label, key in SHOWN.items():
            seen = [one[key] for one in found[arm] if one[key] is not None]
            shown = (f"{middle(seen):.0f} ms", f"{middle(seen) / floor:.2f}") if seen else ("not seen", "")
            rows.append((f"{arm}: {label}", *shown))
        freezes = [freeze for one in found[arm] for freeze in one["freezes"]]
        often, longest = len(freezes) / len(found[arm]), max(freezes, default=0)
        rows.append((f"{arm}: page frozen for 50 ms or more", f"{often:.1f} times, longest {longest:.0f} ms", ""))
        if arm != "from the kept copy":
            rows.append((floor_arm, f"{floor:.0f} ms", "1"))
    note = (
        "Median of the rounds, from the start of navigation.\n"
        "The server is on the same computer, so there is no download time in it.\n"
        "The question is asked as soon as the page can be read.\n"
        "The floor is the bare interpreter as its makers ship it, on an empty page."
    )
    return table("## Start", note, ("what", "measured", "ratio to the floor"), rows)


# Bytes


def counting(base):
    """Return a handler like `base` that notes each file that it sends."""

    class Counting(base):
        sent = []

        def send_response(self, code, message=None):
            self.sent.append((code, unquote(urlsplit(self.path).path)))
            super().send_response(code, message)

    counting.sent = Counting.sent
    return Counting


def measure_bytes(new_profile, site):
    """Return number and bytes of files sent in a first and a second visit, without and with a kept copy."""
    sent = counting.sent
    sent.clear()
    context = new_profile("block")
    once(context, start_site, site)
    found = {"first visit, up to the first answer": compressed(sent)}
    sent.clear()
    once(context, start_site, site)
    found["second visit, before a copy is kept"] = compressed(sent)
    context.close()
    sent.clear()
    context = new_profile("allow")
    keep_copy(context, site)
    found["first visit, with the copy kept for use without a network"] = compressed(sent)
    sent.clear()
    once(context, start_site, site)
    found["second visit, from the kept copy"] = compressed(sent)
    context.close()
    return found


def compressed(sent):
    """Return number and bytes of files sent, as a host sends them that compresses with gzip."""
    files = [gzip_size(path) for code, path in sent if code == 200]
    return len(files), sum(files)


@cache
def gzip_size(path):
    file = ROOT / "site" / path.lstrip("/")
    data = (file / "index.html" if file.is_dir() else file).read_bytes()
    return min(len(data), len(gzip.compress(data, 9)))


def byte_table(found):
    rows = [(label, str(count), f"{size / 1e6:.2f} MB") for label, (count, size) in found.items()]
    return table("## Download", f"Bodies of the files sent for {FIRST_PAGE}, compressed with gzip.",
                 ("what", "files", "size"), rows)  # fmt: skip


# Answers


def measure_answers(browser, site, calls):
    """Return for each calculator the ms of each answer through the page's worker, after a first one."""
    import calcs

    context = browser.new_context(service_workers="block")
    page = context.new_page()
    page.goto(site + FIRST_PAGE)
    found = {}
    for name in calcs.CALCULATORS:
        check(page.evaluate(ASK, request(name)))
        found[name] = page.evaluate(ASK_OFTEN, [request(name), calls])[1:]
    context.close()
    return found


def measure_cpython(calls):
    """Return the same in this Python, through the same function and the same text."""
    import json

    import calcs
    from calcs.page import respond

    found = {}
    for name in calcs.CALCULATORS:
        asked, took = json.dumps(request(name)), []
        for _ in range(calls + 1):
            began = time.perf_counter()
            json.dumps(respond(json.loads(asked)))
            took.append(1000 * (time.perf_counter() - began))
        found[name] = took[1:]  # without the first, which imports
    return found


def answer_table(browser, cpython):
    rows = []
    for name, times in browser.items():
        ours, here = middle(times), middle(cpython[name])
        rows.append((name, f"{ours:.1f} ms", f"{high(times):.1f} ms", f"{here:.1f} ms", f"{ours / here:.1f}"))
    note = (
        "The example of each calculator, worked out again and again:\n"
        "in the browser from the page to its worker and back, and in ordinary Python without a browser."
    )
    head = ("calculator", "browser, median", "browser, 95th percentile", "Python, median", "ratio")
    return table("## Answers", note, head, rows)


# The rest


def measure_memory(browser, site):
    """Return bytes of a tab before and after the interpreter's start, or None where they cannot be told."""
    if sys.platform != "linux":
        return None
    context = browser.new_context(service_workers="block", java_script_enabled=False)
    page = context.new_page()
    page.goto(site + FIRST_PAGE)
    before = tab_bytes(browser)
    context.close()
    context = browser.new_context(service_workers="block")
    page = context.new_page()
    page.goto(site + FIRST_PAGE)
    check(page.evaluate(ASK, request(FIRST_CALCULATOR)))
    after = tab_bytes(browser)
    context.close()
    return before, after


def tab_bytes(browser):
    """Return the bytes of the largest page process: shared parts are counted by share."""
    session = browser.new_browser_cdp_session()
    processes = session.send("SystemInfo.getProcessInfo")["processInfo"]
    sizes = []
    for process in processes:
        if process["type"] == "renderer":
            lines = Path(f"/proc/{process['id']}/smaps_rollup").read_text().splitlines()
            sizes.append(next(1024 * int(line.split()[1]) for line in lines if line.startswith("Pss:")))
    return max(sizes)


def other_table(built, memory):
    rows = [(f"build of the {name} edition, both at the same time", f"{seconds:.1f} s")
            for name, seconds in built.items()]  # fmt: skip
    if memory:
        rows += [("memory of a tab, page alone", f"{memory[0] / 1e6:.0f} MB"),
                 ("memory of a tab, calculator ready", f"{memory[1] / 1e6:.0f} MB")]  # fmt: skip
    else:
        rows.append(("memory of a tab", "not measured: told on Linux only"))
    return table("## Build and memory", "", ("what", "measured"), rows)


def middle(values):
    return statistics.median(values)


def high(values):
    """Return the 95th percentile."""
    return sorted(values)[math.ceil(0.95 * len(values)) - 1]


def table(heading, sentence, head, rows):
    lines = ["| " + " | ".join(row) + " |" for row in (head, ["---"] * len(head), *rows)]
    return "\n\n".join(part for part in (heading, sentence, "\n".join(lines)) if part)


def machine(browser_version, choices):
    return (
        f"Measured on {date.today().isoformat()} by `scripts/bench.py` on {platform.system()}, "
        f"{os.cpu_count()} processor cores, Python {platform.python_version()}, Chromium {browser_version}: "
        f"{choices.rounds} rounds, {choices.calls} answers of each calculator.\n"
        "Times differ from machine to machine; the ratios say more."
    )


FRONT = """---
id: REV-09
title: What was measured
also_called: [speed, size, benchmark]
kind: register
revision: 1
status: for review
owner: Process engineer
reviewed_on: ""
reviewed_by: ""
review_due: 2028-11-25
highest_signal_word: none
change_note: First version.
effect: new
---
"""


def write(text):
    """Write the page; what its front matter says about revision and review is kept."""
    front = FRONT
    if PAGE.exists():
        front = "---\n" + PAGE.read_text(encoding="utf-8").split("---\n", 2)[1] + "---\n"
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(f"{front}\n# How large and how quick is this site?\n\n{text}\n", encoding="utf-8")
    print(f"\nWritten: {PAGE.relative_to(ROOT).as_posix()}")


if __name__ == "__main__":
    main()
