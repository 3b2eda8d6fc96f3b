"""All that a page may ask of the interpreter: one function, text in, text out."""

import json
import sys

if "/app" not in sys.path:
    sys.path.insert(0, "/app")

from calcs import page  # at the start and not at the first question: "ready" then means ready


def respond(text):
    # A nan would arrive as text that no browser reads; it is a fault, and it must show as one.
    return json.dumps(page.respond(json.loads(text)), allow_nan=False)


__export__ = ["respond"]
