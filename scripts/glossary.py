"""Links the first use of each word of the glossary on a page to its entry, in running text only."""

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
    """Copies HTML as it is and puts links into the text of paragraphs and list items."""

    def __init__(self, words: dict[str, str], address: str):
        super().__init__(convert_charrefs=False)
        self.words, self.address = dict(words), address
        self.out, self.stack, self.last = [], [], 0
        pattern = "|".join(re.escape(word) for word in words)
        self.pattern = re.compile(rf"(?<![\w-])({pattern})(?:e?s)?(?![\w-])", re.IGNORECASE)
        self.by_fold = {word.casefold(): word for word in words}

    def handle_starttag(self, tag, attributes):
        self.out.append(self.get_starttag_text())
        if tag not in ("br", "hr", "img", "input", "link", "meta"):
            self.stack.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.out.append(self.get_starttag_text())

    def handle_endtag(self, tag):
        self.out.append(f"</{tag}>")
        while self.stack and self.stack.pop() != tag:
            pass

    def handle_data(self, data):
        if not OPEN & set(self.stack) or CLOSED & set(self.stack):
            self.out.append(data)
            return
        self.out.append(self.pattern.sub(self._link, data))

    def _link(self, match):
        word = self.by_fold[match[1].casefold()]
        anchor = self.words.pop(word, None)
        return f'<a class="term" href="{self.address}#{anchor}">{match[0]}</a>' if anchor else match[0]

    def handle_entityref(self, name):
        self.out.append(f"&{name};")

    def handle_charref(self, name):
        self.out.append(f"&#{name};")

    def handle_comment(self, data):
        self.out.append(f"<!--{data}-->")


def linked(content: str, words: dict[str, str], address: str) -> str:
    """Return the content with the first use of each word linked; words linked by hand already count as used."""
    used = set(re.findall(r'href="[^"]*start/words[^"#]*#([^"]+)"', content))
    linker = _Linker({word: anchor for word, anchor in words.items() if anchor not in used}, address)
    linker.feed(content)
    linker.close()
    return "".join(linker.out)
