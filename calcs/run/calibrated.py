"""The two-node furnace that a log gave (HT-02, from a log), as fields of the furnace record and of the plan.

All five are optional, and belong together: a furnace that nobody has logged has none. The example furnace
has none either, so that no invented figure stands where a measured one belongs.
"""

from calcs.core import Range
from calcs.form import Field

WHERE = "From HT-02, from a log. All five or none."

FIELDS = (
    Field("hot_capacity", "Heat capacity of the hot node", "heat capacity", "3.6 kJ/K", optional=True, in_example=False,
          accepted=Range("0.01 kJ/K", "10000 kJ/K"), hint=WHERE, find="follow"),
    Field("insulation_capacity", "Heat capacity of the insulation node", "heat capacity", "14 kJ/K", optional=True,
          in_example=False, accepted=Range("0.01 kJ/K", "10000 kJ/K"), hint=WHERE, find="follow"),
    Field("inner_conductance", "Conductance between the nodes", "thermal conductance", "3.5 W/K", optional=True,
          in_example=False, accepted=Range("0 W/K", "1000 W/K", above=True), hint=WHERE, find="follow"),
    Field("outer_conductance", "Conductance to the room", "thermal conductance", "1.2 W/K", optional=True,
          in_example=False, accepted=Range("0 W/K", "1000 W/K", above=True), hint=WHERE, find="follow"),
    Field("radiative_area", "Radiating area to the room", "area", "0.003 m2", optional=True, in_example=False,
          accepted=Range("0 m2", "10 m2"), hint=WHERE, find="follow"),
)  # fmt: skip

NAMES = tuple(f.name for f in FIELDS)
