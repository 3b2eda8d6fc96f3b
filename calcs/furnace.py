"""The furnace record: what one furnace is, typed once and used by every form.

A record is a dict of input name to text, the way a reader types it, under the names that the
calculators use. Its text passes through the same reader as everything typed.
"""

from calcs.data import table

EXAMPLE = table("example_furnace.toml")["furnace"]  # the invented workshop's furnace HS-1
CALIBRATED = ("hot_capacity", "insulation_capacity", "inner_conductance", "outer_conductance", "radiative_area")
KNOWN = frozenset(EXAMPLE) - {"furnace_id", "record_revision", "record_review_due"} | set(CALIBRATED)
