"""Forms and answers as HTML: the same code writes the page at build and the reply in the browser.

`respond` is the whole border between page and Python: plain data in, plain data out.
"""

from calcs.page.border import respond

__all__ = ["respond"]
