"""How numbers become text: significant figures, rounding towards caution, powers of ten, times."""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from math import floor, isfinite, log10

NO_BREAK = "\u00a0"  # between a number and its unit
THIN = "\u202f"  # between groups of three digits: narrow, no break
ROUNDING = {"up": ROUND_CEILING, "down": ROUND_FLOOR, "near": ROUND_HALF_EVEN}
SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def number(value: float, digits: int = 3, towards: str = "near") -> str:
    """Return `value` as text with `digits` significant figures, rounded up, down or near.

    Raises:
        ValueError: the value is not finite; no page may ever show one.
    """
    if not isfinite(value):
        raise ValueError(f"{value} cannot be shown")
    if value == 0:
        return "0"
    rounded = rounded_to(value, digits, towards)
    if rounded == 0:
        return "0"
    exponent = rounded.adjusted()
    if -3 <= exponent < 6:
        return grouped(plain(rounded, digits - 1 - exponent))
    mantissa = plain(rounded.scaleb(-exponent), digits - 1)
    return f"{mantissa} × 10{str(exponent).translate(SUPERSCRIPT)}"


def plain_number(value: float) -> str:
    """Return a number that somebody typed, with no digits added: 20, 0.1, 1 × 10⁻³."""
    text = f"{value:.6g}"
    if "e" in text:
        mantissa, exponent = text.split("e")
        return f"{mantissa} × 10{str(int(exponent)).translate(SUPERSCRIPT)}".replace("-", "−")
    return grouped(text.replace("-", "−"))


def rounded_to(value: float, digits: int, towards: str) -> Decimal:
    """Return the decimal with that many significant figures.

    Binary dust must not push a figure one step on: 0.1 + 0.2 rounded up is 0.3. So twelve digits
    are taken first.
    """
    exact = Decimal(f"{value:.11e}")
    step = Decimal(1).scaleb(floor(log10(abs(value))) - digits + 1)
    return exact.quantize(step, ROUNDING[towards])


def plain(value: Decimal, decimals: int) -> str:
    """Return the decimal without an exponent, with no more decimals than it was rounded to."""
    text = f"{value:.{max(decimals, 0)}f}"
    return text.replace("-", "−")


def grouped(text: str) -> str:
    """Put a thin space between groups of three, from five digits on."""
    whole, mark, part = text.partition(".")
    sign, whole = ("−", whole[1:]) if whole.startswith("−") else ("", whole)
    if len(whole) >= 5:
        head = len(whole) % 3
        parts = ([whole[:head]] if head else []) + [whole[i : i + 3] for i in range(head, len(whole), 3)]
        whole = THIN.join(parts)
    return f"{sign}{whole}{mark}{part}"


def with_unit(text: str, unit: str) -> str:
    """Join a number and its unit with a space that does not break."""
    return f"{text}{NO_BREAK}{unit}" if unit else text


def duration(seconds: float, towards: str = "near") -> str:
    """Return a time the way people say it: 45 s, 12 min, 3 h 56 min, 4 d 2 h."""
    step = 1 if seconds < 100 else 60 if seconds < 48 * 3600 else 3600
    whole = int(Decimal(f"{seconds / step:.9e}").to_integral_value(ROUNDING[towards])) * step
    days, rest = divmod(whole, 86400)
    hours, rest = divmod(rest, 3600)
    minutes, rest = divmod(rest, 60)
    if whole >= 48 * 3600:
        parts = [(days, "d"), (hours, "h")]
    else:
        parts = [(days * 24 + hours, "h"), (minutes, "min"), (rest, "s")]
    said = [f"{n}{NO_BREAK}{unit}" for n, unit in parts if n]
    return " ".join(said) or f"0{NO_BREAK}s"


def listed(words, last: str = "and") -> str:
    """Return "a, b and c"."""
    words = list(words)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}" if words else ""


def count(n: int, one: str, many: str = "") -> str:
    """Return "1 cycle" or "3 cycles"."""
    return f"{n}{NO_BREAK}{one if n == 1 else many or one + 's'}"
