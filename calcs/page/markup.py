"""Small pieces of HTML. Everything that goes between tags is escaped here and nowhere else."""

from html import escape


def tag(name: str, /, *children: str, **attributes) -> str:
    """Return an element. Children are HTML already; attribute values are text and are escaped.

    An underscore stands for a hyphen (aria_label), a trailing one is dropped (class_, for_). True gives a bare
    attribute; None and False leave it out.
    """
    parts = [name]
    for key, value in attributes.items():
        key = key.rstrip("_").replace("_", "-")
        if value is True:
            parts.append(key)
        elif value is not None and value is not False:
            parts.append(f'{key}="{escape(str(value))}"')
    opening = f"<{' '.join(parts)}>"
    return opening if name in ("input", "br", "hr") else f"{opening}{''.join(children)}</{name}>"


def text(words: object) -> str:
    """Return text escaped for HTML."""
    return escape(str(words), quote=False)


def table(caption: str, head: list[str], rows: list[list[str]], class_: str = "") -> str:
    """Return a table in its own scrolling box; cells are HTML already, the first of a row is its header."""
    head_html = tag("tr", *(tag("th", cell, scope="col") for cell in head))
    body = [tag("tr", tag("th", row[0], scope="row"), *(tag("td", cell) for cell in row[1:])) for row in rows]
    inner = tag(
        "table", tag("caption", text(caption)), tag("thead", head_html), tag("tbody", *body), class_=class_ or None
    )
    return tag("div", inner, class_="wide", tabindex="0", role="region", aria_label=caption)


def items(words) -> str:
    """Return a list of texts."""
    return tag("ul", *(tag("li", text(word)) for word in words))
