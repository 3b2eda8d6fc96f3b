"""The code on the card that a telephone reads, under three conditions; otherwise a line that says which file to open.

The site stands at an address that a telephone can reach, the link is short enough to be read from paper, and the
caption says in words what the code is, with the code of the plan beneath: a sheet without a telephone loses nothing.
"""

from ipaddress import ip_address
from urllib.parse import urlsplit

from calcs.run import link

MODULE = 0.5  # mm
QUIET = 4  # modules of white on each side; ISO/IEC 18004, known through secondary documentation
LEVEL = "m"  # about 15 % of a code may be lost to a stain
LONGEST_ADDRESS = 300
CAPTION = "A telephone opens this very plan with it. Without one, plan code: "
SAID = "The code on the card contains the plan: who photographs it can read it."


def reachable(address: str) -> bool:
    """Whether a telephone in the same network could open an address: not a file, not this computer itself."""
    if len(address) > LONGEST_ADDRESS or not address.isascii():
        return False
    try:
        parts = urlsplit(address)
        host = parts.hostname or ""
    except ValueError:
        return False
    if parts.scheme not in ("http", "https") or not host or host.rstrip(".").split(".")[-1] == "localhost":
        return False
    try:
        number = ip_address(host)
    except ValueError:
        return True  # a name
    return not (number.is_loopback or number.is_unspecified)


def link_of(address: str, inputs: dict, plan_code: str) -> str:
    """Return the link that reopens a plan, or "" where the conditions for a code are not met.

    Args:
        address: of the plan's page, as the browser has it; a part after "#" is left out.
        inputs: as typed.
        plan_code: the code of the plan.
    """
    address = address.partition("#")[0]
    if not reachable(address):
        return ""
    try:
        whole = f"{address}#{link.compact(inputs, plan_code)}"
    except ValueError:
        return ""
    return whole if len(whole) <= link.LONGEST else ""


def size(modules: int) -> float:
    """Return the side of a code with its white margin, mm."""
    return (modules + 2 * QUIET) * MODULE


def matrix(words: str) -> list[list[bool]]:
    """Return the modules of a code, True for dark, without the white margin."""
    import segno  # only a card with a code needs it

    made = segno.make(words, error=LEVEL, micro=False, boost_error=False)
    return [[bool(module) for module in row] for row in made.matrix]


def picture(words: str) -> tuple[str, float]:
    """Return the code of some text as SVG at its printed size, and that size in mm."""
    rows = matrix(words)
    side = len(rows) + 2 * QUIET
    runs = "".join(
        f"M{left + QUIET} {top + QUIET}h{length}v1h-{length}z"
        for top, row in enumerate(rows)
        for left, length in _runs(row)
    )
    millimetres = size(len(rows))
    drawing = (
        f'<svg class="card-qr" viewBox="0 0 {side} {side}" width="{millimetres}mm" height="{millimetres}mm" role="img" '
        f'aria-label="Code that opens this plan" shape-rendering="crispEdges"><path fill="#fff" d="M0 0h{side}v{side}h-{side}z"/>'
        f'<path fill="#000" d="{runs}"/></svg>'
    )
    return drawing, millimetres


def _runs(row: list[bool]):
    """Yield (first, length) of each run of dark modules."""
    first = None
    for at, dark in enumerate([*row, False]):
        if dark and first is None:
            first = at
        elif not dark and first is not None:
            yield first, at - first
            first = None


def file_line(file_name: str, plan_code: str) -> str:
    """Return the line that stands on a card without a code for telephones."""
    return f"To see this plan again: Open file {file_name} on page RUN-01; plan code {plan_code}."
