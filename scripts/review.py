"""Keep the ledger of revisions.

    python3 scripts/review.py record        # record what is issued, and the state of this site revision

It builds the pages, adds every issued revision that the ledger does not have, and stores what a reviewer compares:
pages, constants, cautions, expected values. A page whose content changed at an issued revision stops it.
"""

import argparse
import csv
import os
import sys
from datetime import date
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[0] = str(ROOT)
from scripts import environment

CODES = ROOT / "site-disk/assets/registers/pages.csv"


def record():
    """Build the pages and bring the ledger up to date; return one sentence on what was recorded.

    Raises:
        SystemExit: the site could not be built, or an issued page changed without a new revision.
    """
    from mkdocs.exceptions import PluginError

    from scripts import build, front_matter, revisions

    os.environ[revisions.RECORDING] = "yes"  # the build is to tell the codes, not to judge them
    build.build(("disk",))
    pages = front_matter.read_all(ROOT / "docs")
    with CODES.open(encoding="utf-8", newline="") as file:
        codes = {row["id"]: row["check code"] for row in csv.DictReader(file)}
    for page in pages.values():
        page.check_code = codes[page.id]
    before = revisions.read()
    try:
        snapshot = revisions.snapshot_of(pages, ROOT / "docs", date.today().isoformat())
        after = revisions.recorded(pages, before, snapshot)
    except PluginError as trouble:
        raise SystemExit(f"Nothing is recorded:\n{trouble}") from trouble
    revisions.write(after)
    count = sum(map(len, after["issued"].values())) - sum(map(len, before["issued"].values()))
    return f"Site revision {snapshot['site_revision']} is recorded; {count} newly issued revisions of pages."


def main():
    parser = argparse.ArgumentParser(description="Keep the ledger of revisions.")
    parser.add_argument("what", choices=["record"], help="record what is issued, and the state of this site revision")
    parser.parse_args()
    environment.enter("site")
    print(record())


if __name__ == "__main__":
    main()
