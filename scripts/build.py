"""Build both editions: `site/` for a server, `site-disk/` to open with a double click.

    python3 scripts/build.py                     # both
    python3 scripts/build.py --only disk
    python3 scripts/build.py --address https://furnace.example/notes/

Any warning of the build stops it: a dead link, a wrong name of a calculator, a page without its front matter.
"""

import argparse
import os
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[0] = str(ROOT)
from scripts import environment

EDITIONS = {"served": ("mkdocs.yml", "site"), "disk": ("scripts/disk.yml", "site-disk")}
ADDRESS = "http://127.0.0.1:8000/"


def build(editions=tuple(EDITIONS), address=ADDRESS):
    """Build the editions; `address` is where the served one will stand. Return the seconds that each took.

    Moving between pages without loading them anew works only where `address` is the one in the browser.

    Raises:
        SystemExit: an edition could not be built; what was wrong has been printed.
    """
    from scripts import runtime_files

    runtime_files.compiled()  # once, before the editions, which are built at the same time
    with ThreadPoolExecutor() as pool:
        seconds = dict(zip(editions, pool.map(lambda name: build_one(name, address), editions), strict=True))
    if None in seconds.values():
        raise SystemExit("The site is not built; the lines above say why.")
    return seconds


def build_one(edition, address):
    """Build one edition in a process of its own; return its seconds, or None if it failed."""
    settings, folder = EDITIONS[edition]
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--config-file", settings]
    # The theme announces its successor in each build; ours is pinned, so there is nothing to do about it.
    variables = os.environ | {"SITE_URL": address, "NO_MKDOCS_2_WARNING": "1", "PYTHONUTF8": "1"}
    began = time.perf_counter()
    done = subprocess.run(
        command,
        cwd=ROOT,
        env=variables,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
    )
    seconds = time.perf_counter() - began
    outcome = "failed" if done.returncode else f"built in {seconds:.1f} s"
    # Not --quiet above: it would silence the warnings that --strict counts. So what was printed is shown on failure only.
    print(f"{folder}/ ({edition} edition) {outcome}\n{done.stdout if done.returncode else ''}".rstrip(), flush=True)
    return None if done.returncode else seconds


def main():
    parser = argparse.ArgumentParser(description="Build the site.")
    parser.add_argument("--only", choices=EDITIONS, help="build one edition")
    parser.add_argument("--address", default=ADDRESS, help="where the served edition will stand (%(default)s)")
    choices = parser.parse_args()
    environment.enter("site")
    build((choices.only,) if choices.only else tuple(EDITIONS), choices.address)
    if choices.only != "served":
        print("To read without a server, open " + (ROOT / "site-disk/index.html").as_uri())


if __name__ == "__main__":
    main()
