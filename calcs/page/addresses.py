"""Where pages are: the one place that knows how a page id or a calculator becomes a link."""

from dataclasses import dataclass
from functools import cache

import calcs
from calcs.index import index


@dataclass(frozen=True)
class Links:
    """How to reach other pages from one page: the way up to the root, and the ending of an address.

    A served site ends addresses with "/", a copy opened from the disk with ".html".
    """

    root: str = ""
    ending: str = "/"

    def to(self, path: str, anchor: str = "") -> str:
        """Return the address of a page such as "vacuum/line"."""
        return f"{self.root}{path}{self.ending}{'#' + anchor if anchor else ''}"

    def calculator(self, name: str) -> str:
        """Return the address of a calculator's page."""
        return self.to(f"{calcs.room(name)}/{name}")

    def constant(self, key: str) -> str:
        """Return the address of a constant's row in the register."""
        return self.to("review/constants", key.replace(".", "-"))

    def source(self, key: str) -> str:
        """Return the address of a source's row in the register."""
        return self.to("review/sources", key)


@cache
def calculators_by_page() -> dict[str, str]:
    """Return the calculator of each page id that has one."""
    return {entry["page"]: name for name, entry in index().items()}


def title(name: str) -> str:
    """Return how a calculator is named in a link: its page id and its question."""
    entry = index()[name]
    return f"{entry['page']} {entry['question']}"
