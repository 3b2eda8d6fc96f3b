"""The content check code of a page: eight characters that change when anything changes that a reviewer has read.

It is made from what the page says and what it works out, not from how that looks: the same in both editions of the site,
on any day, for any commit. Of a register only its own words count; the rows are made from other pages, which have codes.
"""

import hashlib
import html
import json
import re

from calcs import data
from scripts import registers, said_by_code

DIGITS = 8
FORM = re.compile(r"<form .*?</form>", re.DOTALL)  # its fields are in the code of the calculator
TAG = re.compile(r"<[^>]*>")


def of(page, markdown: str, content: str, passing: tuple[str, ...] = ()) -> str:
    """Return the code of a page.

    Args:
        page: its front matter.
        markdown: its own text.
        content: the HTML made from it.
        passing: texts that belong to the copy of the site and not to the page, such as the site revision.
    """
    parts = [page.id, page.title, _tidy(markdown)]
    if page.kind != "register":
        for words in passing:
            content = content.replace(html.escape(words, quote=False), "")
        # Without any white space: a word that becomes a link to its meaning is still the same word.
        parts.append("".join(html.unescape(TAG.sub(" ", FORM.sub(" ", content))).split()))
    if page.calculator:
        parts += _calculator(page.calculator)
    return hashlib.sha256(json.dumps(parts, ensure_ascii=False).encode()).hexdigest()[:DIGITS]


def _tidy(text: str) -> str:
    return " ".join(text.split())


def _calculator(name: str) -> list:
    """Return what decides the answers of a calculator: its code and that of what it uses, and their constants."""
    modules = sorted(said_by_code.reached(said_by_code.module_of(name)))
    code = {module: _without_remarks(registers.code_text()[module]) for module in modules}
    rows = data.all_constants()
    constants = {key: [rows[key]["value"], rows[key].get("unit", "")] for key in said_by_code.constants_of(name)}
    return [code, constants]


def _without_remarks(code: str) -> str:
    lines = (line.rstrip() for line in code.splitlines())
    return "\n".join(line for line in lines if line.strip() and not line.lstrip().startswith("#"))
