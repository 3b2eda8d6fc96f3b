"""What fills the marks of a page: form and worked example, tables, sources, lists, registers, the review box."""

import csv
import os
import subprocess
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import groupby
from pathlib import Path

import calcs
from calcs import data, published
from calcs.core import ReadOff
from calcs.page import blank_card, border, card, furnace_tables, job_line, process_drawing, run_example
from calcs.page.addresses import Links
from calcs.page.form import form_html, heading
from calcs.page.markup import table, tag, text
from calcs.run import files
from scripts import approvals, cautions, pack, registers, revisions

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
ROOM_TITLES = {"vacuum": "Vacuum", "atmosphere": "Atmosphere", "heat": "Heat", "materials": "Materials", "safety": "Safety",
               "run": "The whole run"}  # fmt: skip
STANDING_WORDS = {"common practice": "common practice, no source"}

pages: dict = {}  # filled by the hooks before the first page
approved: dict = {}  # page id to the approvals of the lab, filled likewise
edition = None


@dataclass(frozen=True)
class Edition:
    """Which copy of the site this is."""

    served: bool

    @property
    def built(self) -> str:
        moment = os.environ.get("SOURCE_DATE_EPOCH")
        return (datetime.fromtimestamp(int(moment), UTC).date() if moment else date.today()).isoformat()

    @property
    def revision(self) -> str:
        """Version of the package and the commit it was built from, where there is one."""
        try:
            done = subprocess.run(
                ["git", "rev-parse", "--short=8", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=True
            )
            return f"{calcs.__version__}+{done.stdout.strip()}"
        except (OSError, subprocess.CalledProcessError):
            return calcs.__version__

    @property
    def footer(self) -> str:
        kind = "served edition" if self.served else "edition from disk"
        return f"Site revision {self.revision}, built {self.built}, {kind}. Text: CC BY 4.0. Code: MIT."


def links_from(url: str) -> Links:
    """Return how other pages are reached from a page's own address."""
    if edition.served:
        return Links("../" * url.strip("/").count("/") + ("../" if url.strip("/") else ""), "/")
    return Links("../" * url.count("/"), ".html")


# ---------------------------------------------------------------- the marks


def fill(mark: str, page, links: Links) -> str:
    """Return what stands at a mark.

    Raises:
        LookupError: there is no such mark, or no such calculator.
    """
    name, _, rest = mark.partition(" ")
    if name not in MARKS:
        raise LookupError(f"there is no mark [[{mark}]]; there are {', '.join(MARKS)}")
    return MARKS[name](page, links, rest) if rest else MARKS[name](page, links)


def calculator_html(page, links: Links) -> str:
    """Return form and worked example, as the browser would give them for the example values."""
    name = page.calculator
    module = calcs.calculator(name)
    if module.PAGE != page.id:
        raise LookupError(f"the calculator {name} belongs to {module.PAGE}, not to {page.id}")
    if page.status == "withdrawn":
        return tag("p", text("This page is withdrawn: its calculator is not offered any more."))
    form = form_html(name, links).replace(
        "<form ", f'<form data-revision="{page.revision}" data-site="site revision {edition.revision}" ', 1
    )
    return "".join((
        tag("p", text("The calculator needs JavaScript, which is switched off. Table, formula and worked case below hold without it."),
            class_="without-script"),
        form,
        "<!--result-->",
        result_html(name, example_reply(name, links)["html"]),
    ))  # fmt: skip


def example_reply(name: str, links: Links) -> dict:
    """Return the reply to the example of a calculator, exactly as a page would get it."""
    request = {"do": "work_out", "calculator": name, "inputs": calcs.example(name), "touched": [], "site": f"site revision {edition.revision}",
               "root": links.root, "ending": links.ending}  # fmt: skip
    reply = border.respond(request)
    if reply["state"] == "problems":
        raise LookupError(f"the example of {name} has problems: {reply['problems']}")
    return reply


def result_html(name: str, html: str) -> str:
    """Return the block that holds a result, with the line that says when it is out of date."""
    takes = (("Copy link", "link"), ("Copy text", "text"), ("CSV", "csv"), ("Print", "print"))
    if name == "plan":
        takes = (("Print the card", "card"), ("Save the plan", "save"), *takes)
    if name == "record":  # too much for an address: no link
        takes = (("Print the record", "card"), ("Save the record", "save"), *takes[1:3])
    if name == "furnace":  # its values travel as files, with their history, and not as links
        takes = (("Save the furnace file", "save-furnace"), ("Use on this device", "keep-furnace"), *takes[1:])
    buttons = [tag("button", text(label), type="button", data_take=take) for label, take in takes]
    return tag(
        "section",
        tag("h3", text("Result"), class_="result-heading"),
        tag("p", text("Out of date: inputs have changed."), class_="old-note", id=f"{name}-old", hidden=True),
        tag("div", html, class_="result-body"),
        tag("p", *buttons, class_="take-away", hidden=True),
        class_="result", id=f"{name}-result", aria_label="Result",
    )  # fmt: skip


def read_off_html(page, links: Links) -> str:
    """Return the static tables of a calculator, computed now."""
    module = calcs.calculator(page.calculator)
    return "".join(read_off_table(page.calculator, spec) for spec in module.READ_OFF)


def read_off_table(name: str, spec: ReadOff) -> str:
    form, figures = calcs.calculator(name).FORM, {s.name: s for s in calcs.calculator(name).FIGURES}
    down_name, down = spec.down
    heads = [text(heading(form.by_name[down_name]))]
    if spec.across:
        heads += [text(f"{heading(form.by_name[spec.across[0]])} {value}") for value in spec.across[1]]
    else:
        heads += [text(figures[f].label) for f in spec.figures]
    rows = []
    for value in down:
        cells = [spec.across[1], spec.figures] if spec.across else [(None,), spec.figures]
        rows.append(
            [
                text(value),
                *(text(_cell(name, spec, value, across, figure)) for across in cells[0] for figure in cells[1]),
            ]
        )
    return table(spec.caption, heads, rows, "read-off")


def _cell(name: str, spec: ReadOff, down, across, figure) -> str:
    given = calcs.example(name, spec.given.get("mode", "")) | spec.given | {spec.down[0]: down}
    if across is not None:
        given[spec.across[0]] = across
    answer = calcs.work_out(name, {n: v for n, v in given.items() if v != ""})
    if answer.refusal:
        return "no answer"
    found = answer.figures.get(figure)
    return found.text if found else "not reached"


def checked_html(page, links: Links) -> str:
    """Return the outside values of a calculator and what it gave, worked out now; sources as notes below."""
    name, rows, notes = page.calculator, [], []
    for number, check in enumerate(published.checks_of(name), 1):
        note = _source_note(check, links)
        if note not in notes:
            notes.append(note)
        given = "; ".join(f"{n.replace('_', ' ')} {_said(v)}" for n, v in check["given"].items())
        for result in published.run_check(name, number, check):
            word = "agrees" if result.passed else "differs"
            label = _figure_label(name, result.figure)
            rows.append([str(number), text(given), text(label), text(result.expected), text(result.got),
                         text(check.get("within", "equal")), text(word), str(notes.index(note) + 1)])  # fmt: skip
            given = "as above"
    heads = ["Case", "Given", "Figure", "Published", "Got here", "Within", "Verdict", "Note"]
    caption = "Outside values and what this calculator gives for them"
    return table(caption, heads, rows, "checked") + tag("ol", *(tag("li", note) for note in notes), class_="sources")


LONGEST_GIVEN = 90  # letters of one input in the table; the whole stands in the file of outside values


def _said(value) -> str:
    words = (
        " · ".join(" ".join(str(v) for v in row.values()) for row in value) if isinstance(value, list) else str(value)
    )
    return words if len(words) <= LONGEST_GIVEN else f"{words[:LONGEST_GIVEN].rsplit(' ', 1)[0]} …"


def _figure_label(name: str, path: str) -> str:
    if path in ("verdict", "refusal"):
        return path
    label = next((s.label for s in calcs.calculator(name).FIGURES if s.name == path.split(".")[0]), path)
    end = path.partition(".")[2]
    return f"{label} ({end})" if end else label


def _source_note(check, links: Links) -> str:
    """Return where an outside value is from, how independent it is, and how far it was looked at."""
    key, sources = check["source"], data.all_sources()
    if key in STANDING_WORDS:
        named = text(STANDING_WORDS[key])
    elif key not in sources:
        raise LookupError(f"an outside value names a source that is not in the register: {key}")
    elif "review/sources.md" in pages:
        named = tag("a", text(sources[key]["title"]), href=links.source(key))
    else:
        named = text(sources[key]["title"])
    place = text(f", {check['place']}") if check.get("place") else ""
    return f"{named}{place}. {text(check['independence'].capitalize())}; {text(check['standing'])}."


def citation(number: int, key: str) -> str:
    """Return the mark of a citation in the text."""
    return f'<sup class="cite"><a href="#source-{key}" aria-label="Source {number}">[{number}]</a></sup>'


def check_sources(page, cited) -> None:
    known = data.all_sources()
    if missing := [key for key in cited if key not in known]:
        from mkdocs.exceptions import PluginError

        raise PluginError(f"{page.path}: no such source: {', '.join(missing)}")


def sources_html(page, links: Links) -> str:
    """Return the numbered list of the sources that the page cites."""
    known = data.all_sources()
    rows = [tag("li", text(reference(known[key])), id=f"source-{key}") for key in page.cited]
    return tag("ol", *rows, class_="sources") if rows else tag("p", text("This page cites no source."))


def reference(row: dict) -> str:
    """Return one source in words, with how far it was looked at."""
    parts = [
        row.get("authors", ""),
        row["title"],
        row.get("edition", ""),
        row.get("publisher", ""),
        str(row.get("year", "")),
    ]
    return ". ".join(p for p in parts if p) + f". [{row['kind']}; {row['standing']}]"


def questions_html(page, links: Links) -> str:
    """Return the question of every calculator, grouped by room, each leading to its form."""
    found = []
    entries = [(room, name) for name, room in calcs.CALCULATORS.items()]
    for room, group in groupby(entries, key=lambda e: e[0]):
        items = [tag("li", tag("a", text(calcs.calculator(n).FORM.question), href=links.calculator(n) ), text(f" ({calcs.calculator(n).PAGE})"))
                 for _, n in group]  # fmt: skip
        found.append(tag("h3", text(ROOM_TITLES[room])) + tag("ul", *items, class_="questions"))
    return "".join(found)


def edition_html(page, links: Links) -> str:
    return tag("p", text(edition.footer)) + tag("p", class_="offline-copy")


def trends_html(page, links: Links) -> str:
    """Return the tool that reads several records; what it says comes from the reader's own browser."""
    return tag(
        "div",
        tag("p", text("The tool needs JavaScript, which is switched off. What each direction means stands below."),
            class_="without-script"),
        tag("p", tag("label", text("Record files, three or more of one furnace"), for_="trends-files"), " ",
            tag("input", type="file", id="trends-files", accept=".json,application/json", multiple=True)),
        tag("p", tag("button", text("CSV"), type="button", data_trends="csv", hidden=True), " ",
            tag("button", text("Print"), type="button", data_trends="print", hidden=True), class_="trends-buttons"),
        tag("p", role="status", class_="status"),
        tag("div", class_="trends-result"),
        class_="trends-tool",
    )  # fmt: skip


def register_html(page, links: Links) -> str:
    """Return the review register: every page, the withdrawn last, the overdue first."""
    heads = ["Page", "Title", "Kind", "Revision", "Status", "Owner", "Reviewed", "Review due", "Highest signal word",
             "Local approval", "Check code"]  # fmt: skip
    rows = [[tag("a", text(p.id), href=links.to(p.address) if p.address else links.root or "./"), *map(text, row[1:])]
            for p, row in register_rows()]  # fmt: skip
    look_up = tag(
        "form",
        tag("label", text("Id and revision of a printed sheet"), for_="look-up"), " ",
        tag("input", type="text", id="look-up", autocomplete="off", spellcheck="false"), " ",
        tag("button", text("Look it up"), type="submit"),
        tag("p", role="status"),
        class_="look-up",
    )  # fmt: skip
    return look_up + with_file(table("Every page of this site", heads, rows, "register"), "pages.csv", links)


def register_rows() -> list[tuple]:
    today = date.fromisoformat(edition.built)

    def order(p):
        return (p.status == "withdrawn", -max(0, (today - p.review_due).days), p.id)

    found = []
    for p in sorted(pages.values(), key=order):
        late = (today - p.review_due).days
        due = p.review_due.isoformat() + (f", overdue by {late} days" if late > 0 else "")
        found.append((p, [p.id, p.title, p.kind, str(p.revision), p.status, p.owner, p.reviewed, due, p.highest_signal_word,
                          approval_place(p), code_place(p)]))  # fmt: skip
    return found


def code_place(page) -> str:
    """Stands for a page's check code until every page is written; `fill_codes` puts the codes in."""
    return f"(check code of {page.id})"


def approval_place(page) -> str:
    """Stands for a page's approval, which hangs on its check code."""
    return f"(approval of {page.id})"


def approval(page) -> str:
    """Return what the lab says of a page whose check code is known."""
    return approvals.said(page, approved.get(page.id, []), date.fromisoformat(edition.built))


def fill_codes(file: Path) -> None:
    """Put the check codes and approvals of all pages into the HTML of a register."""
    html = file.read_text(encoding="utf-8")
    for page in pages.values():
        html = html.replace(code_place(page), page.check_code).replace(approval_place(page), text(approval(page)))
    file.write_text(html, encoding="utf-8")


def write_registers(folder: Path) -> None:
    """Write the registers as CSV beside the pages."""
    folder.mkdir(parents=True, exist_ok=True)
    heads = [
        "id",
        "title",
        "kind",
        "revision",
        "status",
        "owner",
        "reviewed",
        "review due",
        "highest signal word",
        "local approval",
    ]
    with (folder / "pages.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow([*heads, "check code"])
        writer.writerows([*row[:-2], approval(p), p.check_code] for p, row in register_rows())
    registers.write(folder, pages)
    cautions.write(folder, DOCS, pages)


def fill_sources(file: Path) -> None:
    """Put the register of sources into its page, now that every page has said what it cites."""
    html = file.read_text(encoding="utf-8")
    filled = with_file(
        registers.sources_html(pages), "sources.csv", Links("../" if file.name != "index.html" else "../../")
    )
    file.write_text(html.replace(ALL_SOURCES, filled), encoding="utf-8")


def fill_changes(file: Path) -> None:
    """Put what changed between site revisions into its page, now that every check code is known."""
    now = revisions.snapshot_of(pages, DOCS, edition.built)
    html = file.read_text(encoding="utf-8")
    file.write_text(html.replace(ALL_CHANGES, revisions.html_of(revisions.read(), now)), encoding="utf-8")


def fill_pack(file: Path) -> None:
    """Put the choice of pages into the review pack, now that every page has its check code and its sources."""
    up = Links("../", ".html") if file.name != "index.html" else Links("../../")
    said, today = {p.id: approval(p) for p in pages.values()}, date.fromisoformat(edition.built)
    whole = pack.html_of(pages, said, up, f"site revision {edition.revision}", today)
    html = file.read_text(encoding="utf-8")
    file.write_text(html.replace(ALL_PACK, whole), encoding="utf-8")


# ---------------------------------------------------------------- around the content


def dressed(content: str, page, links: Links) -> str:
    """Return the content with the line of identity under its title and the review box at its end."""
    head = identity(page) + withdrawn_bar(page)
    at = content.find("</h1>")
    if at < 0:
        raise LookupError(f"{page.path}: has no title")
    at += len("</h1>")
    whole = content[:at] + head + content[at:] + review_box(page, links)
    return tag("div", whole, class_="kind-bench-sheet") if page.kind == "bench sheet" else whole


def identity(page) -> str:
    words = f"{page.id} · revision {page.revision} · {page.status} · {page.reviewed}"
    also = f" · also called: {', '.join(page.also_called)}" if page.also_called else ""
    return tag("p", text(words + also), class_="page-id", data_id=page.id, data_revision=page.revision)


def withdrawn_bar(page) -> str:
    """Return the bar across the top of a page that is no longer to be used."""
    if page.status != "withdrawn":
        return ""
    return tag("p", text(f"Withdrawn: do not use this page. {page.change_note} It stays here so that a printed sheet can be "
                         "recognised."), class_="withdrawn-bar")  # fmt: skip


def review_box(page, links: Links) -> str:
    rows = [
        ("Page and revision", f"{page.id}, revision {page.revision}, {page.status}"),
        ("Owner", page.owner),
        ("Reviewed", page.reviewed),
        ("Check again by", page.review_due.isoformat()),
        ("What changed last", f"{page.change_note} ({page.effect})"),
        ("Content check code", page.check_code),
        ("Approval", approval(page)),
        ("Found an error?", f"Tell the owner, quoting {page.id} revision {page.revision}."),
    ]
    cells = "".join(tag("tr", tag("th", text(k), scope="row"), tag("td", text(v))) for k, v in rows)
    printed = tag("p", text("Printed "), tag("span", class_="printed-on"),
                  text(f" from site revision {edition.revision}: {page.id} {page.title}, revision {page.revision}, {page.status}. "
                       "Uncontrolled copy: check REV-01 before use."), class_="print-note")  # fmt: skip
    return (
        tag(
            "section",
            tag("h2", text("Review"), id="review-box"),
            tag("table", tag("tbody", cells)),
            class_="review-box",
        )
        + printed
    )


def with_file(html: str, name: str, links: Links) -> str:
    """Return a register with the link to the same as a file."""
    file = tag("a", text(name), href=f"{links.root}assets/registers/{name}")
    return html + tag("p", text("The same table as a file: "), file)


def picture_html(page, links: Links, name: str) -> str:
    return PICTURES[name]()


def run_example_html(page, links: Links, which: str) -> str:
    """Return a stage of a worked example: "copper-washers wish"."""
    run, _, stage = which.partition(" ")
    revisions = {p.calculator: p.revision for p in pages.values() if p.calculator}
    return run_example.html(run, stage, links, revisions)


def blank_card_html(page, links: Links) -> str:
    """Return the run card without a plan; alone on paper when the page is printed."""
    return tag("div", blank_card.html(f"Site revision {edition.revision}"), class_="blank-place")


def example_card_html(page, links: Links) -> str:
    """Return the card of the example plan, a draft as on the plan's own page: nobody has typed its values."""
    answer = calcs.work_out("plan", calcs.example("plan"))
    left, plan_code = len(answer.inputs.texts), answer.figures["plan_code"].value
    name = files.file_name(files.PLAN, str(answer.inputs["run_date"]), plan_code)
    made = card.card_html(answer, left, f"site revision {edition.revision}", "", name)
    return tag("div", made, class_="card-shown")


ALL_SOURCES = "<!--all-sources-->"
ALL_CHANGES = "<!--all-changes-->"
ALL_PACK = "<!--pack-->"
PICTURES = {"job-line": job_line.html} | process_drawing.PICTURES
MARKS = {
    "picture": picture_html,
    "all-cautions": lambda page, links: with_file(cautions.cautions_html(DOCS, pages), "cautions.csv", links),
    "all-refusals": lambda page, links: with_file(cautions.refusals_html(), "refusals.csv", links),
    "all-ranges": lambda page, links: with_file(cautions.ranges_html(), "ranges.csv", links),
    "all-plan-checks": lambda page, links: cautions.plan_checks_html(),
    "all-limits": lambda page, links: with_file(cautions.limits_html(DOCS, pages, links), "limits.csv", links),
    "run-example": run_example_html,
    "second-furnace": lambda page, links: run_example.furnace_html("HS-2"),
    "calculator": calculator_html,
    "read-it-off": read_off_html,
    "checked-against": checked_html,
    "furnace-values": lambda page, links: furnace_tables.values_html(links),
    "sources": sources_html,
    "questions": questions_html,
    "edition": edition_html,
    "blank-card": blank_card_html,
    "example-card": example_card_html,
    "register": register_html,
    "trends": trends_html,
    "constants": lambda page, links: with_file(registers.constants_html(links), "constants.csv", links),
    "checks": lambda page, links: with_file(registers.checks_html(links), "checks.csv", links),
    "all-changes": lambda page, links: ALL_CHANGES,  # likewise, once every page has its check code
    "pack": lambda page, links: ALL_PACK,
    "all-sources": lambda page, links: ALL_SOURCES,  # filled last: a page's citations are known once it is written
}
