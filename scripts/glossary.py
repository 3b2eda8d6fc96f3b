"""Links the first use of each word of the glossary to its entry, and each page named by its id to that page."""

import re
from html.parser import HTMLParser
from pathlib import Path

WORDS = Path(__file__).resolve().parents[1] / "docs/start/words.md"
# Where no link belongs: other links, headings, code, formulas, forms, results, tables, pictures, titles of cautions.
CLOSED = {
    "a",
    "h1",
    "h2",
    "h3",
    "h4",
    "code",
    "pre",
    "math",
    "form",
    "section",
    "table",
    "svg",
    "figure",
    "button",
    "summary",
    "sup",
}
OPEN = {"p", "li"}
# Everyday words that have an entry for their special meaning: linked by hand where that meaning is at stake.
BY_HAND = {"chamber", "class", "controller", "deviation", "element", "fixture", "hold", "isolate", "lag", "load", "part", "permit",
           "pest", "programme", "record", "residual", "revision", "sag", "seal", "shell", "vent"}  # fmt: skip


def terms(slugify) -> dict[str, str]:
    """Return the words of the glossary with the anchors of their entries, long ones first."""
    heads = re.findall(r"^### (.+)$", WORDS.read_text(encoding="utf-8"), re.MULTILINE)
    found = {}
    for head in heads:
        bare = re.sub(r"\s*\(.*?\)", "", head).strip()
        if bare.casefold() not in BY_HAND:
            found[bare] = slugify(head)
    return dict(sorted(found.items(), key=lambda item: -len(item[0])))


class _Linker(HTMLParser):
    """Copies HTML as it is and passes the text that stands in some elements, and not in others, to a function."""

    def __init__(self, change, within: set, never: set):
        super().__init__(convert_charrefs=False)
        self.change, self.within, self.never = change, within, never
        self.out, self.stack, self.in_title = [], [], False
        self.paper = 0  # depth at which a run card begins: what goes on paper has no links

    def handle_starttag(self, tag, attributes):
        self.out.append(self.get_starttag_text())
        self.in_title = self.in_title or "admonition-title" in (dict(attributes).get("class") or "")
        if tag not in ("br", "hr", "img", "input", "link", "meta"):
            self.stack.append(tag)
            if "run-card" in (dict(attributes).get("class") or "").split():
                self.paper = len(self.stack)

    def handle_startendtag(self, tag, attributes):
        self.out.append(self.get_starttag_text())

    def handle_endtag(self, tag):
        self.out.append(f"</{tag}>")
        self.in_title = self.in_title and tag != "p"
        while self.stack and self.stack.pop() != tag:
            pass
        self.paper = self.paper if len(self.stack) >= self.paper else 0

    def handle_data(self, data):
        here = set(self.stack)
        closed = self.paper or self.in_title or self.never & here or not self.within & here
        self.out.append(data if closed else self.change(data))

    def handle_entityref(self, name):
        self.out.append(f"&{name};")

    def handle_charref(self, name):
        self.out.append(f"&#{name};")

    def handle_comment(self, data):
        self.out.append(f"<!--{data}-->")

    def copy(self, content: str) -> str:
        self.feed(content)
        self.close()
        return "".join(self.out)


def linked(content: str, words: dict[str, str], address: str) -> str:
    """Return the content with the first use of each word linked; words linked by hand already count as used."""
    used = set(re.findall(r'href="[^"]*start/words[^"#]*#([^"]+)"', content))
    open_words = {word: anchor for word, anchor in words.items() if anchor not in used}
    by_fold = {word.casefold(): word for word in open_words}
    pattern = re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, open_words))})(?:e?s)?(?![\w-])", re.IGNORECASE)

    def link(match):
        anchor = open_words.pop(by_fold[match[1].casefold()], None)
        return f'<a class="term" href="{address}#{anchor}">{match[0]}</a>' if anchor else match[0]

    return _Linker(lambda text: pattern.sub(link, text), OPEN, CLOSED).copy(content) if open_words else content


def ids_linked(content: str, addresses: dict[str, str], own: str) -> str:
    """Return the content with every page that is named by its id linked, where that page is on the site."""

    def link(match):
        address = addresses.get(match[0])
        return f'<a href="{address}">{match[0]}</a>' if address and match[0] != own else match[0]

    pattern = re.compile(r"(?<![\w-])[A-Z]{2,4}-\d\d(?![\w-])")
    return _Linker(lambda text: pattern.sub(link, text), OPEN | {"td"}, CLOSED - {"table"}).copy(content)
