"""What each page says about itself, checked: identity, revision, status, owner, review, highest signal word."""

import re
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import yaml
from mkdocs.exceptions import PluginError

KINDS = ("explanation", "calculator", "bench sheet", "register")
STATUSES = ("draft", "for review", "issued", "withdrawn")
EFFECTS = ("wording", "clarity", "number", "caution", "new")
SIGNAL_WORDS = ("none", "NOTICE", "CAUTION", "WARNING", "DANGER")  # worst last
NEEDED = ("id", "title", "also_called", "kind", "revision", "status", "owner", "reviewed_on", "reviewed_by", "review_due",
          "highest_signal_word", "change_note", "effect")  # fmt: skip
ID = re.compile(r"HOME|(RUN|ST|VAC|ATM|HT|MAT|SAF|BEN|REV)-\d\d")
ADMONITION = re.compile(r'class="admonition (danger|warning|caution|notice)"')


@dataclass
class Page:
    """One page: where it is, and its front matter."""

    path: str  # "vacuum/pressure.md"
    meta: dict
    cited: list = field(default_factory=list)
    check_code: str = ""

    def __getattr__(self, name):
        try:
            return self.__dict__["meta"][name]
        except KeyError:
            raise AttributeError(name) from None

    @property
    def address(self) -> str:
        """The path as links know it: "vacuum/pressure", "" for home."""
        return self.path.removesuffix(".md").removesuffix("index").rstrip("/")

    @property
    def calculator(self) -> str:
        return self.meta.get("calculator", "")

    @property
    def reviewed(self) -> str:
        return (
            f"reviewed on {self.meta['reviewed_on']} by {self.meta['reviewed_by']}"
            if self.meta["reviewed_on"]
            else "not yet reviewed"
        )


def read_all(docs: Path) -> dict[str, Page]:
    """Return every page of the folder by its path.

    Raises:
        PluginError: a field is missing, unknown or malformed, or an id stands twice.
    """
    pages, ids = {}, {}
    for file in sorted(docs.rglob("*.md")):
        path = file.relative_to(docs).as_posix()
        page = Page(path, read_one(path, file.read_text(encoding="utf-8")))
        if other := ids.get(page.id):
            raise PluginError(f"{path}: the id {page.id} belongs to {other} already")
        ids[page.id] = path
        pages[path] = page
    return pages


def read_one(path: str, text: str) -> dict:
    """Return the front matter of one page, checked."""
    match = re.match(r"---\n(.*?)\n---\n", text, re.DOTALL)
    try:
        meta = yaml.safe_load(match[1]) if match else None
    except yaml.YAMLError as trouble:
        raise PluginError(f"{path}: the front matter cannot be read: {trouble}") from trouble
    if not isinstance(meta, dict):
        raise PluginError(f"{path}: has no front matter")
    missing = [name for name in NEEDED if name not in meta]
    unknown = [name for name in meta if name not in (*NEEDED, "calculator", "question", "hide", "search")]
    if missing or unknown:
        raise PluginError(f"{path}: front matter lacks {missing or 'nothing'}, has unknown {unknown or 'nothing'}")
    for name, allowed in (
        ("kind", KINDS),
        ("status", STATUSES),
        ("effect", EFFECTS),
        ("highest_signal_word", SIGNAL_WORDS),
    ):
        if meta[name] not in allowed:
            raise PluginError(f"{path}: {name} is {meta[name]!r}; it must be one of {', '.join(allowed)}")
    if not ID.fullmatch(str(meta["id"])):
        raise PluginError(f"{path}: {meta['id']!r} is no page id")
    if not isinstance(meta["revision"], int) or meta["revision"] < 1:
        raise PluginError(f"{path}: revision must be a whole number from 1")
    for name in ("review_due", "reviewed_on"):
        if meta[name] and not isinstance(meta[name], date):
            raise PluginError(f"{path}: {name} is not a date")
    if bool(meta["reviewed_on"]) != bool(meta["reviewed_by"]):
        raise PluginError(f"{path}: a review has a date and a reviewer, or neither")
    if (meta["kind"] == "calculator") != bool(meta.get("calculator")):
        raise PluginError(f"{path}: a calculator page names its calculator, and no other page does")
    return meta


def check_signal_word(page: Page, content: str) -> None:
    """The highest signal word of the front matter must be the highest on the page."""
    found = {word.upper() for word in ADMONITION.findall(content)}
    highest = max(found, key=SIGNAL_WORDS.index, default="none")
    if highest != page.highest_signal_word:
        raise PluginError(f"{page.path}: highest_signal_word says {page.highest_signal_word}, the page has {highest}")
