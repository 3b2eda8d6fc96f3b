"""Every caution, refusal and known limit of the site in one list, taken from the pages and from the code that says them.

Nothing is written twice: pages give their cautions and their "When this is wrong", modules their `Caution(…)`,
`Refused(…)` and accepted ranges, the plan its checks. Words that depend on the inputs stand as ‹name›.
"""

import ast
import csv
import html
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import calcs
from calcs.data import table as data_table
from calcs.page.markup import table, tag, text
from calcs.run import checks
from scripts import front_matter
from scripts.said_by_code import calls

ROOT = Path(__file__).resolve().parents[1]
WORDS = tuple(reversed(front_matter.SIGNAL_WORDS[1:]))  # the gravest first
BOX = re.compile(r'^(?P<edge> *)!!! (?P<word>danger|warning|caution|notice) "(?P<title>[^"]*)"$')
WRONG = "When this is wrong"
PLAIN_MARKS = ((r"\[@[^\]]*\]", ""), (r"!?\[([^\]]*)\]\([^)]*\)", r"\1"), (r"(\*\*|`)", ""), (r"(?<!\w)\*([^*]+)\*(?!\w)", r"\1"),
               (r"\s+([.,;:])", r"\1"), (r"\s+", " "))  # fmt: skip


@dataclass(frozen=True)
class Said:
    """One caution: its signal word, the page, where on it, the hazard, what happens and what to do."""

    word: str
    page: str
    place: str
    hazard: str
    rest: str


@dataclass(frozen=True)
class No:
    """One refusal: the pages that can give it, its reason, its words, what leads to it, and where it stands."""

    pages: str
    reason: str
    heading: str
    why: str
    condition: str
    code: str


def plain(markdown: str) -> str:
    """Return a text without its Markdown marks; formulas keep their dollar signs."""
    for pattern, new in PLAIN_MARKS:
        markdown = re.sub(pattern, new, markdown)
    return markdown.strip()


def words_html(words: str) -> str:
    """Return plain text as HTML, its formulas marked for whoever turns them into MathML."""
    parts = re.split(r"(?<!\\)\$([^$]+)\$", words)
    formula = '<span class="arithmatex">\\({}\\)</span>'
    return "".join(formula.format(html.escape(p)) if n % 2 else text(p) for n, p in enumerate(parts))


# ---------------------------------------------------------------- cautions


def of_page(page_id: str, markdown: str) -> list[Said]:
    """Return the cautions that the text of a page holds, in its order, each with the heading above it."""
    found, heading, lines = [], "top of the page", markdown.splitlines()
    for number, line in enumerate(lines):
        if head := re.match(r"#{1,4} (.+)", line):
            heading = plain(head[1])
        if box := BOX.match(line):
            body = _indented(lines[number + 1 :], len(box["edge"]) + 4)
            found.append(Said(box["word"].upper(), page_id, heading, plain(box["title"]), plain(" ".join(body))))
    return found


def _indented(lines: list[str], deep: int) -> list[str]:
    body = []
    for line in lines:
        if line.strip() and not line.startswith(" " * deep):
            break
        body.append(line.strip())
    return body


@cache
def of_calculators() -> tuple[Said, ...]:
    """Return the cautions that calculators give with a result, in the order of the calculators."""
    found = []
    for call in calls("Caution"):
        if any(isinstance(argument, ast.Subscript) for argument in call.node.args):
            continue  # made from a row of the plan's own table, which is read below
        word, hazard, harm, action, *step = (*(call.words(argument) for argument in call.node.args), "")
        place = f"with a result{f', step {step[0]}' if step[0] else ''}"
        found.append(Said(word, call.pages, place, hazard, f"{harm} {action}"))
    for row in data_table("run/cautions.toml")["caution"]:
        place = f"run card, step {row['step']}" if row.get("step") else "run card"
        found.append(Said(row["word"], "RUN-01", place, row["hazard"], f"{row['harm']} {row['action']}"))
    return tuple(found)


def cautions(docs: Path, pages: dict) -> list[Said]:
    """Return every caution, the gravest first, within a word those of pages before those of results."""
    found = []
    for page in pages.values():
        found += of_page(page.id, body(docs / page.path))
    found += of_calculators()
    return sorted(found, key=lambda said: WORDS.index(said.word))


def body(path: Path) -> str:
    """Return the text of a page without its front matter."""
    return path.read_text(encoding="utf-8").split("---\n", 2)[2]


# ---------------------------------------------------------------- refusals, ranges, checks of the plan


@cache
def refusals() -> tuple[No, ...]:
    """Return every refusal that the code can give, with its words and what leads to it."""
    found = []
    for call in calls("Refused"):
        named = {keyword.arg: keyword.value for keyword in call.node.keywords}
        given = dict(zip(("reason", "heading", "why", "remedy", "ask", "field"), call.node.args, strict=False)) | named
        reason, heading = call.words(given["reason"]), call.words(given["heading"])
        why = " ".join(call.words(given[part]) for part in ("why", "remedy", "ask") if part in given)
        found.append(No(call.pages, reason, heading, " ".join(why.split()), call.condition, call.place))
    return tuple(found)


def ranges() -> list[list[str]]:
    """Return every input that is answered only within a range: page, input, range, why it ends there."""
    found = []
    for name in calcs.CALCULATORS:
        module = calcs.calculator(name)
        for field in module.FORM.fields:
            if field.accepted:
                found.append([module.PAGE, field.label, field.accepted.said, field.accepted.because])
            for column in field.columns:
                if column.accepted:
                    label = f"{field.label.split(' (rows')[0]}: {column.label}"
                    found.append([module.PAGE, label, column.accepted.said, column.accepted.because])
    return found


def plan_checks() -> list[list[str]]:
    """Return every check of the plan: id, what is compared, what it says when it is not within, what to do, page."""
    rows = {row.id: row for row in (*checks.rows(checks.EARLY), *checks.rows(checks.LATE), *checks.rows(checks.LAST))}
    return [[row.id, row.title, row.message or row.missing, row.remedy, row.page] for row in rows.values()]


# ---------------------------------------------------------------- when this is wrong


def wrong_of(markdown: str) -> list[str]:
    """Return what a page says under "When this is wrong", one text for each point; sentences after the list too."""
    found: list[str] = []
    inside, fresh = False, True
    for line in markdown.splitlines():
        if line.startswith("## "):
            inside, fresh = plain(line[3:]) == WRONG, True
        elif inside and not line.strip():
            fresh = True
        elif inside:
            point = re.match(r" *(?:[-*]|\d+\.) +(.*)", line)
            if point or fresh:
                found.append(point[1] if point else line)
            else:
                found[-1] += f" {line.strip()}"
            fresh = False
    return [plain(words) for words in found]


# ---------------------------------------------------------------- the page


def cautions_html(docs: Path, pages: dict) -> str:
    """Return every caution as a table, the gravest first, with their counts."""
    rows = cautions(docs, pages)
    counts = "; ".join(f"{word} {sum(r.word == word for r in rows)}" for word in WORDS)
    own = sum(len(of_page(p.id, body(docs / p.path))) for p in pages.values())
    said = f"{len(rows)} cautions: {counts}. {own} stand on pages, {len(rows) - own} come with a result or on the card."
    heads = ["Signal word", "Page", "Where", "Hazard", "What happens, what to do"]
    cells = [[text(r.word), text(r.page), text(r.place), text(r.hazard), words_html(r.rest)] for r in rows]
    return tag("p", text(said)) + table("Every caution, the gravest first", heads, cells, "register")


def refusals_html() -> str:
    """Return every refusal as a table, with what leads to it."""
    said = f"{len(refusals())} places in the code refuse to answer. What depends on the inputs stands in ‹ ›."
    heads = ["Reason", "Page", "Heading", "Words", "Condition in the code", "Place"]
    cells = [[text(r.reason), text(r.pages), text(r.heading), text(r.why), tag("code", text(r.condition)), text(r.code)]
             for r in refusals()]  # fmt: skip
    return tag("p", text(said)) + table("Every refusal, with what leads to it", heads, cells, "register")


def ranges_html() -> str:
    """Return every accepted range as a table."""
    cells = [[text(label), text(page), text(said), text(because)] for page, label, said, because in ranges()]
    return table("Every accepted range", ["Input", "Page", "Accepted", "Why it ends there"], cells, "register")


def plan_checks_html() -> str:
    """Return every check of the plan as a table."""
    heads = ["Check", "What is compared", "What it says", "What to do", "Page"]
    return table("Every check of the plan", heads, [[*map(text, row)] for row in plan_checks()], "register")


def limits_html(docs: Path, pages: dict, links) -> str:
    """Return what every page says under "When this is wrong"."""
    return "".join(_limits(page, wrong_of(body(docs / page.path)), links) for page in pages.values())


def _limits(page, points: list[str], links) -> str:
    if not points:
        return ""
    link = tag("a", text(page.id), href=links.to(page.address) if page.address else links.root or "./")
    points_html = "".join(tag("li", words_html(point)) for point in points)
    return tag("h3", link, text(f" {page.title}")) + tag("ul", points_html)


# ---------------------------------------------------------------- files


def write(folder: Path, docs: Path, pages: dict) -> None:
    """Write cautions, refusals, ranges and known limits as CSV."""
    _write(folder / "cautions.csv", ["signal word", "page", "where", "hazard", "what happens, what to do"],
           [[r.word, r.page, r.place, r.hazard, r.rest] for r in cautions(docs, pages)])  # fmt: skip
    _write(folder / "refusals.csv", ["page", "reason", "heading", "words", "condition", "place"],
           [[r.pages, r.reason, r.heading, r.why, r.condition, r.code] for r in refusals()])  # fmt: skip
    _write(folder / "ranges.csv", ["page", "input", "accepted", "why it ends there"], ranges())
    limits = [[page.id, point] for page in pages.values() for point in wrong_of(body(docs / page.path))]
    _write(folder / "limits.csv", ["page", "when it is wrong"], limits)


def _write(path: Path, heads: list[str], rows) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(heads)
        writer.writerows(rows)
