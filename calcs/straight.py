"""Values between points: straight lines, and the end values beyond the ends."""

from bisect import bisect_right
from collections.abc import Sequence


def at(places: Sequence[float], values: Sequence[float], place: float) -> float:
    """Return the value at a place by straight lines between points; beyond the ends the end value.

    Args:
        places: rising, at least one; any unit.
        values: as many.
        place: in the unit of the places.

    Source:
        definition.
    """
    i = bisect_right(places, place)
    if i in (0, len(places)):
        return values[min(i, len(places) - 1)]
    share = (place - places[i - 1]) / (places[i] - places[i - 1])
    return values[i - 1] + share * (values[i] - values[i - 1])
