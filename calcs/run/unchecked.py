"""What a plan did not check: made from the checks that were made and from the catalogue, never written as a list.

Four kinds of point: a check that could say or compare nothing, what a check leaves out, a calculator that no check
of this plan asked, and the few matters that no calculator covers. The words stand in data/run/unchecked.toml.
"""

from calcs import index
from calcs.data import table

NO_CHECK = "no check"


def points(found) -> list[dict]:
    """Return what a plan did not check, as rows of the figure `not_checked`.

    Args:
        found: results of the checks that were made; other checks count as not there.
    """
    return [*_undecided(found), *_left_out(found), *_not_asked(found), *table("run/unchecked.toml")[NO_CHECK]]


def asked(names) -> set[str]:
    """Return the calculators that own the physics of some checks.

    Args:
        names: ids of checks.
    """
    return {calculator for name in names for calculator in _row(name).get("asks", ())}


def _row(name: str) -> dict:
    return table("run/unchecked.toml").get(name, {})


def _undecided(found):
    """The checks that could not say anything, or had nothing to compare."""
    for result in found:
        if result.verdict == "cannot_say" or not result.judged:
            words = f"{result.check.title}: {result.message}"
            yield _point(result.check.id, words, result.check.page, result.remedy or result.check.remedy)


def _left_out(found):
    for result in found:
        if words := _row(result.check.id).get("leaves_out"):
            yield _point(result.check.id, words, result.check.page, _row(result.check.id)["ask"])


def _not_asked(found):
    """Every calculator of the catalogue that no check asked; those of the run itself are about this plan."""
    busy = asked(result.check.id for result in found)
    for name, entry in index.index().items():
        if name not in busy and entry["room"] != "run":
            yield _point(entry["page"], entry["question"], entry["page"], "that page")


def _point(name: str, words: str, page: str, ask: str) -> dict:
    return {"id": name, "check": words, "page": page, "ask": ask}
