"""Plan a run: from furnace, load, gas and target to a checked sequence with its figures.

What is asked stands here. `derive` works the figures out, `checks` judges them, `steps` writes the sequence,
`code` makes the code of the plan. A plan with a check outside its limits, or with one on which nothing can
be said, is a draft. Nothing in the program turns that round.
"""

from datetime import timedelta

from calcs import air, furnace, gases, wording
from calcs.core import Answer, Caution, Column, Figures, Range, Refused, Shown, worst
from calcs.data import table
from calcs.form import REFERENCES, Field, Form, Problem, Problems
from calcs.heat import segments
from calcs.run import checks, code, derive, pictures, steps

PAGE = "RUN-01"

BRIGHT, TINT, OXIDE, ANY_FINISH = "bright", "light tint allowed", "oxide allowed", "not critical"
FINISHES = (BRIGHT, TINT, OXIDE, ANY_FINISH)
VESSELS = ("fibre-lined box", "ceramic muffle", "tube", "metal retort", "bell")
ELEMENTS = ("FeCrAl", "NiCr", "SiC", "MoSi2", "molybdenum", "tungsten", "graphite")
WALLS = (
    "304 steel", "310 steel", "601 alloy", "alumina", "alumina fibre", "alumina-silica fibre", "fused quartz",
    "mullite", "rubber seal",
)  # fmt: skip
SENSORS = ("type K", "type N", "type S", "type R", "type B", "type C")
SHAPES = ("strip", "plate", "bar", "wire", "tube", "powder", "green part", "assembly", "other")
MIXTURE = "mixture"
SUM_TOLERANCE = 0.005  # a mixture adds up to 100 % within half a per cent; ours
LEAST_ABOVE_ROOM = 5.0  # K between room and opening temperature, or cooling never ends; ours
LONGEST_SOAK_S = 200 * 3600.0

SENSE = "Write abs or gauge behind it."
NOT_PUMPED = "Leave it empty if the chamber is not pumped."


def _known(name: str, label: str, kind: str, **other) -> Field:
    """A field that the furnace record fills; its example is the example furnace's."""
    return Field(name, label, kind, furnace.EXAMPLE[name], **other)


WISH = (
    Field("run_name", "Run name", "text", "Copper strip 14", hint="So that you find it again."),
    Field("run_date", "Day of the run", "date", "2031-03-04"),
    Field("planned_by", "Planned by", "text", "A. Example"),
    Field("finish", "Finish wanted", "choice", TINT, choices=FINISHES, hint="How the surface will be judged."),
)

FURNACE = (
    Field("furnace_id", "Furnace record", "text", "HS-1", optional=True, hint="Name of the record that was opened or typed."),
    Field("record_revision", "Revision of the record", "number", "3", accepted=Range("1")),
    Field("record_review_due", "Record to be reviewed by", "date", "2031-09-01"),
    _known("vessel_kind", "Kind of chamber", "choice", choices=VESSELS),
    _known("free_volume", "Chamber volume, open space", "volume",
           accepted=Range("0.1 L", "1000 L", because="Larger and smaller chambers behave in another way.")),
    _known("gas_volume", "All gas in the chamber, pores included", "volume", accepted=Range("0.1 L", "3000 L"),
           hint="Open space and pores of the insulation; several times the open space in a fibre-lined box."),
    _known("insulation_material", "Insulation", "choice", choices=WALLS),
    _known("insulation_mass", "Insulation mass", "mass", accepted=Range("0 kg", "1000 kg")),
    _known("element_material", "Element", "choice", choices=ELEMENTS),
    _known("element_difference", "Element hotter than the chamber by", "temperature difference",
           accepted=Range("0 K", "300 K")),
    _known("elements_pre_oxidised", "Elements pre-oxidised", "yes/no", optional=True),
    _known("maximum_temperature", "Highest chamber temperature in this gas", "temperature", optional=True,
           accepted=Range("0 °C", "3500 °C", above=True), hint="From the manual, for the gas of this run."),
    _known("maximum_vacuum_temperature", "Highest temperature while pumped", "temperature", optional=True,
           accepted=Range("0 °C", "3500 °C", above=True), hint="From the manual."),
    _known("furnace_ramp_limit", "Ramp that heaters and ceramic allow", "ramp rate", optional=True,
           accepted=Range("0 K/min", above=True)),
    _known("heater_power", "Heater power, highest", "power", accepted=Range("0 W", above=True)),
    _known("holding_powers", "Holding power (rows: temperature, power)", "table", rows_allowed=(2, 20),
           row=r"(?P<temperature>[^:]{1,30}?(?:°C|°F|K|C|F))[ :,]+(?P<power>.{1,30})",
           hint="Power that holds a temperature, as read in a long soak: 300 °C 0.4 kW · 600 °C 0.9 kW.",
           columns=(Field("temperature", "Temperature", "temperature", "300 °C", accepted=Range("0 °C", "3500 °C")),
                    Field("power", "Power", "power", "0.4 kW", accepted=Range("0 W", above=True)))),
    _known("chamber_heat_capacity", "Heat capacity of elements, hot face, furniture", "heat capacity",
           accepted=Range("0.01 kJ/K", "10000 kJ/K"), hint="The effective one: holding power over cooling rate."),
    _known("sensor", "Temperature sensor", "choice", choices=SENSORS),
    _known("limiter_tested", "Independent limiter last tested", "date", optional=True,
           hint="Leave it empty if there is none or nobody knows."),
    _known("maximum_pressure", "Highest pressure that the chamber is rated for", "pressure with sense", optional=True, hint=SENSE),
    _known("relief_pressure", "Relief opens at", "pressure with sense", optional=True, hint=SENSE),
    _known("relief_capacity", "Flow that relief and vent pass", "standard flow", optional=True,
           accepted=Range("0 L/min", above=True)),
    _known("supply_failure_flow", "Flow if the supply fails open", "standard flow", optional=True,
           accepted=Range("0 L/min", above=True), hint="At the highest cylinder pressure, cold (SAF-02)."),
    _known("effective_speed", "Pumping speed at the chamber", "conductance", optional=True,
           accepted=Range("0 L/s", above=True), find="line", hint=NOT_PUMPED),
    _known("leak_rate", "Air leak rate, inward", "throughput", optional=True,
           accepted=Range("0 mbar L/s", "1 mbar L/s", above=True,
                          because="No chamber is without a leak: type the smallest rise that your gauge shows, or leave it empty."),
           hint="From the last rise test of the empty furnace."),
    _known("leak_tested", "Last accepted rise test", "date", optional=True),
    _known("resolution", "Smallest step of the pressure gauge", "pressure difference", optional=True,
           accepted=Range("0 Pa", above=True)),
    _known("controller_range", "Full scale of the flow controller", "standard flow", accepted=Range("0 L/min", above=True)),
    _known("calibration_gas", "Gas it is calibrated for", "choice", choices=gases.NAMES, spoken=gases.FORMULAS),
    _known("flow_reference", "Reference condition of the flow", "choice", choices=REFERENCES,
           hint="The controller's document names it."),
    _known("built_for_flammable_gas", "Furnace recorded as built for flammable gas", "yes/no"),
    _known("built_for_toxic_gas", "Furnace recorded as built for toxic gas", "yes/no"),
    _known("opening_temperature", "Opening temperature of the furnace", "temperature", accepted=Range("20 °C", "300 °C")),
    _known("unattended_allowed", "Hot running unattended allowed", "yes/no"),
    Field("last_content", "What was in the furnace last", "text", "steel, clean"),
)  # fmt: skip

LOAD_ROW = (
    r"(?P<material>[^;]{1,60}?)(?:, grade (?P<grade>[^,]{1,40}))?, (?P<form>strip|plate|bar|wire|tube|powder|green part|assembly|other)"
    r", (?P<mass>[^,]{1,20})(?:, count (?P<count>[0-9]{1,6}))?(?:, area (?P<area>[^,]{1,20}))?"
    r"(?:, thickness (?P<thickness>[^,]{1,20}))?(?:, touches (?P<touches>.{1,60}))?"
)
LOAD = (
    Field("load", "Load (rows: material, grade, form, mass, count, area, thickness, touches)", "table",
          ({"material": "copper", "grade": "oxygen-free", "form": "strip", "mass": "2.0 kg", "count": "1", "area": "0.45 m2",
            "thickness": "1 mm", "touches": "alumina"},),
          rows_allowed=(1, 20), row=LOAD_ROW,
          hint="Everything that goes in, fixtures and setters too: copper, strip, 2.0 kg, count 1, area 0.45 m2, thickness 1 mm, "
          "touches alumina.",
          columns=(
              Field("material", "Material", "text", "copper"),
              Field("grade", "Grade", "text", "oxygen-free", optional=True),
              Field("form", "Form", "choice", "strip", choices=SHAPES),
              Field("mass", "Mass, each", "mass", "2.0 kg", accepted=Range("0 kg", "5000 kg", above=True)),
              Field("count", "Count", "number", "1", default="1", accepted=Range("1", "100000")),
              Field("area", "Surface, each", "area", "0.45 m2", optional=True, accepted=Range("0 m2", above=True)),
              Field("thickness", "Thickest section", "length", "1 mm", optional=True, accepted=Range("0.01 mm", "1 m")),
              Field("touches", "Touches", "text", "alumina", optional=True),
          )),
    Field("binder_share", "Binder or organics, share of the mass", "number", "0 %", accepted=Range("0 %", "40 %"),
          menu=("%", "1"), hint="Oil, glue, ink, wax and solvent count."),
    Field("water_estimate", "Water in the load", "mass", "0 g", accepted=Range("0 g")),
    Field("closed_void", "Closed void, sealed tube or capped crucible", "yes/no", "no"),
    Field("volatile", "Volatile or toxic constituent", "yes/no", "no",
          hint="Zinc (brass), cadmium plating, lead, magnesium, mercury, beryllium, sulphur, salts."),
    Field("load_ramp_limit", "Ramp that the load survives", "ramp rate", "10 K/min", optional=True,
          accepted=Range("0.05 K/min", "50 K/min")),
)  # fmt: skip

GAS = (
    Field("gas", "Gas", "choice", "argon", choices=(*gases.NAMES, MIXTURE), spoken=gases.FORMULAS,
          hint="What the cylinder label says."),
    Field("mixture", "Mixture (rows: gas, share)", "table",
          ({"gas": "argon", "share": "98 %"}, {"gas": "hydrogen", "share": "2 %"}), optional=True, in_example=False,
          rows_allowed=(2, 5), row=r"(?P<gas>[A-Za-z0-9 ]{1,30}?) +(?P<share>[0-9.,]+ *(?:%|ppm))",
          hint="Only for a mixture: argon 98 % · hydrogen 2 %.",
          columns=(Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS),
                   Field("share", "Share", "mole fraction", "98 %", accepted=Range("0 %", "100 %", above=True)))),
    Field("premixed", "Certified as a pre-mix", "yes/no", "yes", optional=True, in_example=False,
          hint="Only for a mixture with hydrogen."),
    Field("gas_oxygen", "Oxygen in the supplied gas", "mole fraction", "2 ppm", optional=True,
          accepted=Range("0 ppm", "1000 ppm", because="Dirtier gas protects nothing."), hint="From the certificate of the grade."),
    Field("gas_water", "Moisture in the supplied gas", "mole fraction", "3 ppm", optional=True,
          accepted=Range("0 ppm", "1000 ppm"), hint="From the certificate of the grade."),
    Field("target_oxygen", "Oxygen limit", "mole fraction", "20 ppm", optional=True, accepted=Range("0 ppm", "25 %", above=True),
          hint="What the load tolerates while hot."),
    Field("target_water", "Moisture limit", "mole fraction", "50 ppm", optional=True, accepted=Range("0 ppm", "25 %", above=True)),
    Field("flow", "Gas flow", "standard flow", "2 L/min", optional=True, accepted=Range("0 L/min", above=True),
          hint="Leave it empty and the plan works it out."),
    Field("set_point", "Hold above the room", "pressure with sense", "10 mbar gauge", hint=SENSE, find="hold"),
    Field("pumped_pressure", "Pressure after pumping (low end of a cycle)", "pressure with sense", "0.1 mbar abs", optional=True,
          accepted=Range("0 Pa", above=True, because="A real pump leaves 0.01 to 0.1 mbar abs."),
          hint=f"{SENSE} {NOT_PUMPED}", find="pumpdown"),
    Field("pumped_temperature", "Highest temperature while pumped", "temperature", "20 °C", optional=True,
          accepted=Range("0 °C", "3500 °C"), hint="Empty means cold."),
    Field("cycles", "Pump-and-fill cycles", "number", "2", optional=True, accepted=Range("0", "5"),
          hint="Leave it empty and the plan works it out.", find="purge"),
    Field("cylinder_volume", "Cylinder water volume", "volume", "50 L", accepted=Range("1 L", "1000 L")),
    Field("cylinder_pressure", "Cylinder pressure now", "pressure with sense", "120 bar gauge", hint=SENSE,
          accepted=Range("0 bar", "302 bar", because="No cylinder of the trade holds more.")),
    Field("cylinder_temperature", "Cylinder temperature", "temperature", "20 °C", accepted=Range("-15 °C", "50 °C")),
    Field("reserve_pressure", "Pressure to leave in the cylinder", "pressure with sense", "5 bar gauge", hint=SENSE),
    Field("exhaust", "Where the exhaust goes", "choice", "outdoors", choices=("outdoors", "extraction", "room")),
    Field("analyser", "Oxygen analyser at the outlet", "yes/no", "yes"),
)  # fmt: skip

ROOM = (
    Field("ambient_pressure", "Ambient pressure (barometer in the room)", "pressure with sense", "995 mbar abs", optional=True,
          accepted=Range("540 mbar", "1085 mbar", because="The air of no workshop lies outside this."),
          hint="Read in the room, not from a weather report. Write abs behind it."),
    Field("altitude", "Altitude", "length", "150 m", optional=True, menu=("m", "ft"), accepted=Range("-400 m", "5000 m"),
          hint="Enough where there is no barometer."),
    Field("room_temperature", "Room temperature", "temperature", "20 °C", accepted=Range("5 °C", "45 °C")),
    Field("room_volume", "Room volume, less its contents", "volume", "60 m3", optional=True, menu=("m3", "ft3", "L"),
          accepted=Range("5 m3", "100000 m3", above=True)),
    Field("air_changes", "Fresh-air changes per hour", "number", "2", optional=True, accepted=Range("0", "100"),
          hint="Air from outdoors. 0 is an answer; empty is not."),
    Field("oxygen_monitor", "Oxygen alarm in the room", "yes/no", "yes"),
    Field("attended", "Somebody there while hot", "yes/no", "yes"),
    Field("start_time", "Start", "text", "08:00", hint="Hours:minutes."),
)  # fmt: skip

PROGRAMME = (
    Field("soak_temperature", "Soak temperature", "temperature", "600 °C", optional=True, accepted=Range("0 °C", "3500 °C")),
    Field("soak_time", "Soak time, load at temperature", "time", "30 min", optional=True, accepted=Range("0 s", "200 h")),
    Field("ramp", "Heating ramp", "ramp rate", "5 K/min", optional=True,
          accepted=Range("0.05 K/min", "50 K/min", because="Slower is a soak; faster than any chamber of this kind. K/h for K/min?")),
    segments.segments_field(
        ({"kind": "ramp", "to": "600 °C", "rate": "5 K/min"}, {"kind": "soak", "time": "30 min"}, {"kind": "cool", "to": "60 °C"}),
        hint="Instead of the three above: ramp to 600 °C at 5 K/min · soak 30 min · cool to 60 °C.",
        optional=True, in_example=False,
    ),
)  # fmt: skip

ENDING = (
    Field("planned_opening_temperature", "Open at", "temperature", "60 °C", accepted=Range("20 °C", "300 °C"),
          hint="By two sensors, not by the clock."),
)  # fmt: skip

PARTS = (
    ("The wish", WISH), ("The furnace", FURNACE), ("The load", LOAD), ("The gas", GAS), ("The room", ROOM),
    ("The programme", PROGRAMME), ("Ending", ENDING),
)  # fmt: skip

FORM = Form(
    question="Can this run go ahead, and how?",
    fields=tuple(f for _, fields in PARTS for f in fields),
    ask=tuple(f.name for _, fields in PARTS for f in fields if f.name not in furnace.KNOWN),
    one_of=(("soak_temperature", "segments"),),
    parts=tuple((heading, tuple(f.name for f in fields)) for heading, fields in PARTS),
)

FIGURES = Figures(
    Shown("status", "Card", "choice"),
    Shown("plan_code", "Plan code", "text"),
    Shown("total_time", "Whole time", "time", "h", "up, range"),
    Shown("hot_time", "Time above 200 °C", "time", "h", "up"),
    Shown("energy", "Energy", "energy", "kWh", "up, range"),
    Shown("gas_used", "Gas used, at 0 °C, 101.325 kPa", "volume", "L", "up", 4),
    Shown("cycles", "Pump-and-fill cycles", "number", "1", "up"),
    Shown("flow", "Flow", "standard flow", "L/min", "up"),
    Shown("oxygen", "Oxygen that remains", "mole fraction", "ppm", "up, range", 2),
    Shown("water", "Moisture that remains", "mole fraction", "ppm", "up, range", 2),
    Shown("element_temperature", "Element temperature", "temperature", "°C", "up"),
    Shown("soak_needed", "Soak to programme", "time", "min", "up, range"),
    Shown("make_up_peak", "Largest make-up flow", "standard flow", "L/min", "up", 2),
    Shown("cylinder_left", "Cylinder pressure afterwards", "gauge pressure", "bar", "down", 2),
    Shown("room_oxygen", "Oxygen in the room, worst release", "mole fraction", "%", "down"),
    Shown("opening_time", "Time to opening", "time", "h", "up, range"),
    Shown("checks", "Checks", "table", columns=tuple(
        Column(name, name.capitalize()) for name in ("id", "check", "figure", "limit", "verdict", "message", "page")
    )),
    Shown("steps", "Steps", "table", columns=tuple(
        Column(name, name.capitalize()) for name in ("step", "do", "valves", "set", "expect", "accept", "otherwise", "time")
    )),
    Shown("not_checked", "What was not checked", "table", columns=tuple(
        Column(name, name.capitalize()) for name in ("id", "check", "page", "ask")
    )),
)  # fmt: skip

READ_OFF = ()

DRAFT, FOR_RELEASE = "draft", "for release"


def answer(inputs) -> Answer:
    """Return the checked plan: figures, every check, the sequence, and whether the card is a draft.

    Args:
        inputs: the values of FORM.

    Raises:
        Problems: inputs that contradict one another.
        Refused: no_furnace_record, no_ambient, ambient_not_station, oxygen_rich, toxic_gas, flammable_gas.

    Source:
        derive, checks and steps; each check names the calculator that owns its physics.
    """
    _refuse(inputs)
    _check_typed(inputs)
    plan_code = code.plan_code(inputs, FORM)
    job = derive.job(inputs)
    early = checks.run_early(inputs, job)
    if any(found.verdict == "outside" for found in early):
        return _stopped(inputs, early, plan_code)
    run = derive.run(inputs, job)
    found = checks.worst_first([*early, *checks.run_late(inputs, run)])
    return _whole(inputs, run, found, plan_code)
