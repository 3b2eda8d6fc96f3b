"""Looks at HTML the way a browser does, but complains where a browser would mend."""

from html.parser import HTMLParser

VOID = {"input", "br", "hr", "img", "link", "meta"}


class Checked(HTMLParser):
    """Elements of some HTML as (tag, attributes); a tag that does not close raises ValueError."""

    def __init__(self, html: str):
        super().__init__()
        self.elements, self._open = [], []
        self.feed(html)
        self.close()
        if self._open:
            raise ValueError(f"not closed: {self._open}")

    def handle_starttag(self, tag, attributes):
        names = [name for name, _ in attributes]
        if len(names) != len(set(names)):
            raise ValueError(f"<{tag}> has an attribute twice: {names}")
        self.elements.append((tag, dict(attributes)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))

    def handle_endtag(self, tag):
        if not self._open or self._open.pop() != tag:
            raise ValueError(f"</{tag}> closes nothing")

    def of(self, *tags) -> list[dict]:
        """Return the attributes of the elements with these tags."""
        return [attributes for tag, attributes in self.elements if tag in tags]
