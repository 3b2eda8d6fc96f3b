"""Plan a run: from furnace, load, gas and target to a checked sequence with its figures.

What is asked stands here. `derive` works the figures out, `checks` judges them, `steps` writes the sequence,
`code` makes the code of the plan. A plan with a check outside its limits, or with one on which nothing can
be said, is a draft. Nothing in the program turns that round.
"""

from math import isfinite

from calcs import air, furnace, gases, units, wording
from calcs.core import Answer, Caution, Column, Estimate, Figures, Range, Refused, Shown, worst
from calcs.data import constant, table
from calcs.form import REFERENCES, Field, Form, Problem, Problems
from calcs.heat import segments
from calcs.run import (
    bands,
    calibrated,
    checks,
    code,
    derive,
    furnace_heat,
    gas_checks,
    heat_through,
    load_checks,
    pictures,
    said,
    slips,
    steps,
    unchecked,
    working,
)

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
LONGEST_S = 10_000 * 3600.0  # a run of more than a year is a slip of a unit; ours
YEARS = (1950, 2999)  # a day outside them is a slip of typing; ours
LEAST_RESERVE = 2e5  # Pa above the room: a cylinder that is emptied further takes in air; common practice, no source
HOT_SURFACE_K = 333.15  # a chamber that was hotter than 60 °C burns; ISO 13732-1, known, source not looked up

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
    Field("furnace_id", "Furnace record", "text", "HS-1", optional=True,
          hint="Name of the record that was opened or typed."),
    Field("record_revision", "Revision of the record", "number", "3", menu=("1",), accepted=Range("1")),
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
    *furnace_heat.LINING_FIELDS,
    *calibrated.FIELDS,
    _known("sensor", "Temperature sensor", "choice", choices=SENSORS),
    _known("limiter_tested", "Independent limiter last tested", "date", optional=True,
           hint="Leave it empty if there is none or nobody knows."),
    _known("maximum_pressure", "Highest pressure that the chamber is rated for", "pressure with sense", optional=True,
           hint=SENSE),
    _known("relief_pressure", "Relief opens at", "pressure with sense", optional=True, hint=SENSE),
    _known("relief_capacity", "Flow that relief and vent pass", "standard flow", optional=True,
           accepted=Range("0 L/min", above=True)),
    _known("supply_failure_flow", "Flow if the supply fails open", "standard flow", optional=True,
           accepted=Range("0 L/min", above=True), hint="At the highest cylinder pressure, cold (SAF-02)."),
    _known("supply_pressure", "Supply pressure behind valve or controller", "pressure with sense", optional=True,
           accepted=Range("0 Pa", above=True), hint=SENSE),
    _known("restriction_bore", "Smallest bore between cylinder and chamber", "length", optional=True,
           accepted=Range("0.05 mm", "20 mm", because="Smaller blocks, larger is no restriction."),
           hint="The orifice fitted for this purpose."),
    _known("bypass_bore", "Bypass bore", "length", optional=True,
           accepted=Range("0.1 mm", "20 mm", because="No bypass of this kind has another."),
           hint="Leave it empty if there is none."),
    _known("vent_bore", "Vent line bore", "length", optional=True,
           accepted=Range("1 mm", "100 mm", because="The friction of tubes was compared there.")),
    _known("vent_length", "Vent line length", "length", optional=True,
           accepted=Range("0 m", "20 m", because="Longer lines need a piping engineer.")),
    _known("door_width", "Door opening width", "length", optional=True, accepted=Range("10 mm", "2 m")),
    _known("door_height", "Door opening height", "length", optional=True, accepted=Range("10 mm", "2 m")),
    _known("effective_speed", "Pumping speed at the chamber", "conductance", optional=True,
           accepted=Range("0 L/s", above=True), find="line", hint=NOT_PUMPED),
    _known("leak_rate", "Air leak rate, inward", "throughput", optional=True,
           accepted=Range("0 mbar L/s", "1 mbar L/s", above=True,
                          because="No chamber is without a leak, and one with more is not closed: type the smallest "
                                  "rise that your gauge shows, or leave it empty."),
           hint="From the last rise test of the empty furnace."),
    _known("leak_tested", "Last accepted rise test", "date", optional=True),
    _known("resolution", "Smallest step of the pressure gauge", "pressure difference", optional=True,
           accepted=Range("0 Pa", above=True)),
    _known("controller_range", "Full scale of the flow controller", "standard flow",
           accepted=Range("0 L/min", above=True)),
    _known("calibration_gas", "Gas it is calibrated for", "choice", choices=gases.NAMES, spoken=gases.FORMULAS),
    _known("flow_reference", "Reference condition of the flow", "choice", choices=REFERENCES,
           hint="The controller's document names it."),
    _known("built_for_flammable_gas", "Furnace recorded as built for flammable gas", "yes/no"),
    _known("built_for_toxic_gas", "Furnace recorded as built for toxic gas", "yes/no"),
    _known("opening_temperature", "Opening temperature of the furnace", "temperature",
           accepted=Range("20 °C", "300 °C")),
    _known("unattended_allowed", "Hot running unattended allowed", "yes/no"),
    Field("last_content", "What was in the furnace last", "text", "steel, clean"),
)  # fmt: skip

LOAD_ROW = (
    r"(?P<material>[^;]{1,60}?)(?:, grade (?P<grade>[^,]{1,40}))?, (?P<form>strip|plate|bar|wire|tube|powder|green "
    r"part|assembly|other)"
    r", (?P<mass>[^,]{1,20})(?:, count (?P<count>[0-9]{1,6}))?(?:, area (?P<area>[^,]{1,20}))?"
    r"(?:, thickness (?P<thickness>[^,]{1,20}))?(?:, touches (?P<touches>.{1,60}))?"
)
LOAD = (
    Field("load", "Load (rows: material, grade, form, mass, count, area, thickness, touches)", "table",
          ({"material": "copper", "grade": "oxygen-free", "form": "strip", "mass": "2.0 kg", "count": "1",
            "area": "0.45 m2",
            "thickness": "1 mm", "touches": "alumina"},),
          rows_allowed=(1, 20), row=LOAD_ROW,
          hint="Everything that goes in, fixtures and setters too: copper, strip, 2.0 kg, count 1, area 0.45 m2, "
               "thickness 1 mm, "
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
          accepted=Range("0 ppm", "1000 ppm", because="Dirtier gas protects nothing."),
          hint="From the certificate of the grade."),
    Field("gas_water", "Moisture in the supplied gas", "mole fraction", "3 ppm", optional=True,
          accepted=Range("0 ppm", "1000 ppm"), hint="From the certificate of the grade."),
    Field("target_oxygen", "Oxygen limit", "mole fraction", "20 ppm", optional=True,
          accepted=Range("0 ppm", "25 %", above=True),
          hint="What the load tolerates while hot."),
    Field("target_water", "Moisture limit", "mole fraction", "50 ppm", optional=True,
          accepted=Range("0 ppm", "25 %", above=True)),
    Field("flow", "Gas flow", "standard flow", "2 L/min", optional=True, accepted=Range("0 L/min", above=True),
          hint="Leave it empty and the plan works it out."),
    Field("set_point", "Hold above the room", "pressure with sense", "10 mbar gauge", hint=SENSE, find="hold"),
    Field("pumped_pressure", "Pressure after pumping (low end of a cycle)", "pressure with sense", "0.1 mbar abs",
          optional=True,
          accepted=Range("0 Pa", above=True, because="A real pump leaves 0.01 to 0.1 mbar abs."),
          hint=f"{SENSE} {NOT_PUMPED}", find="pumpdown"),
    Field("pumped_temperature", "Highest temperature while pumped", "temperature", "20 °C", optional=True,
          accepted=Range("0 °C", "3500 °C"), hint="Empty means cold."),
    Field("cycles", "Pump-and-fill cycles", "number", "2", menu=("1",), optional=True, accepted=Range("0", "5"),
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
    Field("ambient_pressure", "Ambient pressure (barometer in the room)", "pressure with sense", "995 mbar abs",
          optional=True,
          accepted=Range("540 mbar", "1085 mbar", because="The air of no workshop lies outside this."),
          hint="Read in the room, not from a weather report. Write abs behind it."),
    Field("altitude", "Altitude", "length", "150 m", optional=True, menu=("m", "ft"),
          accepted=Range("-400 m", "5000 m"),
          hint="Enough where there is no barometer."),
    Field("room_temperature", "Room temperature", "temperature", "20 °C", accepted=Range("5 °C", "45 °C")),
    Field("room_volume", "Room volume, less its contents", "volume", "60 m3", optional=True, menu=("m3", "ft3", "L"),
          accepted=Range("5 m3", "100000 m3", above=True)),
    Field("air_changes", "Fresh-air changes per hour", "number", "2", menu=("1",), optional=True, accepted=Range("0", "100"),
          hint="Air from outdoors. 0 is an answer; empty is not."),
    Field("oxygen_monitor", "Oxygen alarm in the room", "yes/no", "yes"),
    Field("attended", "Somebody there while hot", "yes/no", "yes"),
    Field("start_time", "Start", "text", "08:00", hint="Hours:minutes."),
)  # fmt: skip

PROGRAMME = (
    Field("soak_temperature", "Soak temperature", "temperature", "600 °C", optional=True,
          accepted=Range("0 °C", "3500 °C")),
    Field("soak_time", "Soak time, load at temperature", "time", "30 min", optional=True,
          accepted=Range("0 s", "200 h")),
    Field("ramp", "Heating ramp", "ramp rate", "5 K/min", optional=True,
          accepted=Range("0.05 K/min", "50 K/min",
                         because="No chamber of this kind is faster; the direction comes from the temperatures.")),
    segments.segments_field(
        ({"kind": "ramp", "to": "600 °C", "rate": "5 K/min"}, {"kind": "soak", "time": "30 min"},
         {"kind": "cool", "to": "60 °C"}),
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
    button="Check the plan",
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
        Column(name, name.capitalize()) for name in ("step", "do", "valves", "set", "expect", "accept", "otherwise",
                                                     "time")
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
    inputs.doubts |= slips.early(inputs, job)
    early = checks.run_early(inputs, job)
    if any(found.verdict == "outside" for found in early):
        return _stopped(inputs, early, plan_code)
    run = derive.run(inputs, job)
    if run.unreached:
        return _stopped(inputs, [*early, checks.run_one("RMP-2", inputs, run)], plan_code)
    _check_length(run)
    inputs.doubts |= slips.late(inputs, run)
    found = checks.worst_first([*early, *checks.run_late(inputs, run, early)])
    return _whole(inputs, run, found, plan_code)


# ---------------------------------------------------------------- what stops before anything is worked out


def _refuse(inputs) -> None:
    """Refuse a plan without a furnace record or a pressure of the room, and gas that this site does not plan."""
    if not inputs["furnace_id"]:
        raise Refused(
            "no_furnace_record", "no furnace record",
            "A plan belongs to one furnace, and its limits come from that furnace's record.",
            "Open a record, or type its name and values.", "Ask whoever keeps the record.", field="furnace_id",
        )  # fmt: skip
    if inputs.ambient_pa is None:
        raise Refused(
            "no_ambient", "the pressure of the room is missing",
            "Neither a barometer value nor an altitude is given, and the chamber is held at a pressure above the room.",
            "Type what a barometer in the room shows, or the altitude.", field="ambient_pressure",
        )  # fmt: skip
    if inputs["ambient_pressure"] is not None and inputs["altitude"] is not None:
        air.check_station(inputs["ambient_pressure"], inputs["altitude"])
    for name in _gases_of(inputs):
        if gases.gas(name).kind == "flammable" and (inputs["built_for_flammable_gas"] or _below_limit(inputs)):
            continue
        if name == "hydrogen" and inputs["gas"] == MIXTURE:
            _refuse_mixture(inputs)
        gases.refuse_for_chamber(name)


def _refuse_mixture(inputs) -> None:
    """Refuse a mixture with too much hydrogen, and say how much too much."""
    shares = derive.gas_shares(inputs)
    index = checks.fuel_index(shares)
    if not isfinite(index):
        return  # what is known of hydrogen alone says it
    rest = wording.listed(sorted(shares.keys() - {"hydrogen"}))
    raise Refused(
        "flammable_gas", "this mixture burns in air",
        f"{said.percent(shares['hydrogen'])} hydrogen in {rest} is {wording.number(index, 2, 'up')} times the share at "
        "which such a mixture burns in air at room temperature.",
        "Choose an inert gas, or less hydrogen. SAF-03 says what must be in place first.",
        "Your safety officer decides.", field="mixture",
    )  # fmt: skip


def _gases_of(inputs) -> list[str]:
    if inputs["gas"] != MIXTURE:
        return [inputs["gas"]]
    return [row["gas"] for row in inputs["mixture"] or ()]


def _below_limit(inputs) -> bool:
    """Whether the fuel is hydrogen, in inert gas, below the share at which the mixture burns in air."""
    shares = derive.gas_shares(inputs)
    kinds = {name: gases.gas(name).kind for name in shares}
    only = all(kind == "inert" or name == "hydrogen" for name, kind in kinds.items())
    return only and checks.fuel_index(shares) <= 1


def _check_typed(inputs) -> None:
    """Raise Problems for inputs that cannot hold together: slips of typing, not limits of the furnace."""
    found = {}
    ambient = inputs.ambient_pa
    if (
        inputs["ambient_pressure"] is not None
        and abs(inputs["ambient_pressure"] - inputs.reads["ambient_pressure"].si) > 1
    ):
        found["ambient_pressure"] = Problem(
            "Ambient pressure: a barometer value is absolute. Write abs behind it.",
            slips.other_sense(inputs.reads["ambient_pressure"]),
        )
    if inputs["gas_volume"] < inputs["free_volume"] * (1 - 1e-9):
        found["gas_volume"] = "All gas in the chamber: it cannot be less than the open space."
    found |= _typed_pressures(inputs, ambient) | _typed_programme(inputs) | _typed_gas(inputs)
    if _needs_answer(inputs):
        found["elements_pre_oxidised"] = "Elements pre-oxidised: choose yes or no for elements of this kind."
    found |= _typed_days(inputs) | _typed_furnace(inputs)
    if found:
        raise Problems(found)


def _typed_furnace(inputs) -> dict:
    """The sizes of the lining, and the five values of a log, of which some without the others mean nothing."""
    found, inner, outer = {}, inputs["inner_area"], inputs["outer_area"]
    if None not in (inner, outer) and outer <= inner:
        found["outer_area"] = f"Shell area: it must be larger than the hot face, {inputs.said('inner_area')}."
    lacking = [name for name in calibrated.NAMES if inputs[name] is None]
    if 0 < len(lacking) < len(calibrated.NAMES):
        found |= {
            name: f"{FORM.by_name[name].label} is empty. Type all five values of the log (HT-02), or none of them."
            for name in lacking
        }
    return found


def _typed_days(inputs) -> dict:
    found = {
        name: f"{FORM.by_name[name].label}: {inputs[name].year} cannot be meant. Write year-month-day."
        for name in ("run_date", "record_review_due", "limiter_tested", "leak_tested")
        if inputs[name] is not None and not YEARS[0] <= inputs[name].year <= YEARS[1]
    }
    try:
        seconds = units.read("time", inputs["start_time"]).si
    except units.Unreadable:
        seconds = -1.0
    if not 0 <= seconds < 24 * 3600:
        found["start_time"] = "Start: write hours:minutes of the day, such as 08:00."
    return found


def _check_length(run) -> None:
    """Raise Problems where a run takes longer than anybody runs a furnace: some unit slipped."""
    if run.total_s <= LONGEST_S:
        return
    longest = max(run.events, key=lambda event: event.duration_s)
    cools = longest.key == "segment" and run.stretches[longest.number].leg.duration_s is None
    field = {"pump": "effective_speed", "fill": "controller_range", "wash": "controller_range"}.get(longest.key)
    field = field or (run.furnace.decided_by if cools else "segments" if run.inputs["segments"] else "soak_time")
    raise Problems({
        field: f"{FORM.by_name[field].label}: with this value the run takes more than 10 000 hours. Check its unit."
    })  # fmt: skip


def _needs_answer(inputs) -> bool:
    return inputs["element_material"] in ("FeCrAl", "MoSi2") and inputs["elements_pre_oxidised"] is None


def _typed_pressures(inputs, ambient: float) -> dict:
    found = {}
    shown = inputs.said("ambient_pressure") if inputs["ambient_pressure"] is not None else "from the altitude"
    for name in ("maximum_pressure", "relief_pressure"):
        if inputs[name] is not None and inputs[name] <= ambient:
            found[name] = slips.not_above_the_room(inputs, FORM.by_name[name], shown)
    if inputs["set_point"] < ambient - 1:
        found["set_point"] = slips.below_the_room(inputs, FORM.by_name["set_point"], shown)
    if inputs["pumped_pressure"] is not None and inputs["pumped_pressure"] >= ambient * 0.99:
        found["pumped_pressure"] = slips.pumped(inputs, FORM.by_name["pumped_pressure"])
    if inputs["cylinder_pressure"] < ambient:
        found["cylinder_pressure"] = "Cylinder pressure now: that is below the room."
    if inputs["reserve_pressure"] < ambient + LEAST_RESERVE:
        found["reserve_pressure"] = (
            "Pressure to leave in the cylinder: must be 2 bar gauge or more, or air gets into the cylinder."
        )
    return found


def _typed_programme(inputs) -> dict:
    found = {}
    room, opened = inputs["room_temperature"], inputs["planned_opening_temperature"]
    if opened < room + LEAST_ABOVE_ROOM:
        found["planned_opening_temperature"] = "Open at: must be 5 K or more above the room, or cooling never ends."
    if inputs["segments"] is None:
        for name, label in (("soak_time", "Soak time"), ("ramp", "Heating ramp")):
            if inputs[name] is None:
                found[name] = f"{label} is empty. Type it, or give the programme as a table instead."
        if inputs["soak_temperature"] is not None and inputs["soak_temperature"] < opened:
            found["soak_temperature"] = slips.soak_too_cold(inputs, FORM.by_name["soak_temperature"])
    else:
        both = [name for name in ("soak_time", "ramp") if inputs[name] is not None]
        found |= {
            name: f"{FORM.by_name[name].label}: the programme says it already. Leave one of them empty."
            for name in both
        }
        ends = [row["to"] for row in inputs["segments"] if row["to"] is not None]
        if any(leg.is_step or (leg.rate_k_per_s or 0) > segments.STEEPEST for leg in derive.programme(inputs)):
            found["segments"] = "Programme: no chamber changes faster than 60 K/min. Check the time of the ramp."
        elif any(to < room + LEAST_ABOVE_ROOM for to in ends):
            found["segments"] = (
                "Programme: a chamber does not cool to the room's temperature by itself. End 5 K or more above it."
            )
    powers = [(row["temperature"], row["power"]) for row in inputs["holding_powers"]]
    if (
        sorted(powers) != powers
        or len({t for t, _ in powers}) < len(powers)
        or any(b <= a for (_, a), (_, b) in zip(powers, powers[1:], strict=False))
    ):
        found["holding_powers"] = "Holding power: temperatures and powers must both rise from row to row."
    elif powers[0][0] <= room:
        found["holding_powers"] = "Holding power: the first temperature must be above the room's."
    return found


def _typed_gas(inputs) -> dict:
    found = {}
    if inputs["gas"] == "water vapour":
        found["gas"] = "Gas: steam condenses in a cold chamber. Choose the gas that flows in."
    if inputs["gas"] == MIXTURE and not inputs["mixture"]:
        found["mixture"] = "Mixture is empty. Type its gases and shares: argon 98 % · hydrogen 2 %."
    if inputs["gas"] != MIXTURE and inputs["mixture"]:
        found["mixture"] = f"Mixture: the gas chosen is {inputs['gas']}. Choose mixture, or leave this empty."
    if inputs["mixture"] and abs(sum(row["share"] for row in inputs["mixture"]) - 1) > SUM_TOLERANCE:
        found["mixture"] = "Mixture: the shares must add up to 100 %."
    if inputs["pumped_pressure"] is not None and inputs["effective_speed"] is None:
        found["effective_speed"] = (
            "Pumping speed at the chamber is empty. Type it, or leave the pumped pressure empty too."
        )
    if inputs["pumped_pressure"] is None and inputs["cycles"]:
        found["cycles"] = "Pump-and-fill cycles: no pressure after pumping is given. Type it, or leave this empty."
    if inputs["cycles"] is not None and inputs["cycles"] != int(inputs["cycles"]):
        found["cycles"] = "Pump-and-fill cycles: a whole number."
    return found


# ---------------------------------------------------------------- the answer


def _stopped(inputs, early, plan_code) -> Answer:
    """The answer where a check of load, gas, temperature, vacuum or record stops: no number of a run."""
    found = checks.worst_first(early)
    stops = [result for result in found if result.verdict == "outside"]
    said_ = " ".join(f"{result.check.id}: {result.message}" for result in stops)
    return Answer(
        sentence=f"Draft: {wording.count(len(stops), 'stop')}, and no figures of a run before they are cleared. "
                 f"{said_}",
        verdict="outside",
        judged=True,
        figures=FIGURES.fill(
            status=DRAFT, plan_code=plan_code, checks=[r.row for r in found], not_checked=unchecked.points(found),
        ),
        leaves_out=("every check that comes after the first ones: clear the stops and plan again",),
        notes=slips.notes(inputs),
        checks={result.check.id: result.plain for result in found},
        extra={"stopped_early": True, "counts": _counts(found)},
    )  # fmt: skip


def _whole(inputs, run, found, plan_code) -> Answer:
    verdict = worst(result.verdict for result in found)
    status = DRAFT if verdict in ("outside", "cannot_say") else FOR_RELEASE
    figures = _figures(run, found, plan_code, status)
    return Answer(
        sentence=_sentence(run, found, figures, status),
        verdict=verdict,
        judged=True,
        figures=figures,
        leaves_out=(
            "the quality of the result: this plan can pass a run that ruins the part",
            "how alloys oxidise and evaporate: each element counts as pure, or not at all",
            "the heat that the load takes up, gas used while the outlet is watched, and what lining and walls give off",
        ),
        cautions=_cautions(inputs, run),
        pictures=(pictures.programme(run),),
        working=working.of(run),
        notes=(*_notes(run), *slips.notes(inputs)),
        checks={result.check.id: result.plain for result in found},
        extra=_extra(inputs, run, found),
    )


def _figures(run, found, plan_code, status) -> dict:
    volume = derive.norm_volume()
    oxygen = None
    if run.floor is not None:
        oxygen = Estimate(
            run.floor,
            run.inputs["gas_oxygen"],
            run.floor,
            cause="how much of the leak is air; lining and walls not reckoned with",
        )
    left = run.cylinder_left_pa - run.ambient_pa if run.cylinder_left_pa is not None else None
    return FIGURES.fill(
        status=status, plan_code=plan_code, total_time=derive.total_range(run), hot_time=run.hot_s,
        energy=Estimate(run.energy_j, *run.furnace.energy_range(run.energy_j), cause=run.furnace.energy_cause),
        gas_used=run.gas_mol * volume, cycles=float(run.cycles), flow=run.flow * volume, oxygen=oxygen,
        water=gas_checks.water_left(run.inputs, run),
        soak_needed=heat_through.soak_needed(run.inputs, run), element_temperature=run.element_k, make_up_peak=run.make_up_peak * volume, cylinder_left=left,
        room_oxygen=run.room_worst, opening_time=steps.opening(run) if run.cooling else None,
        checks=[result.row for result in found], steps=steps.rows(run), not_checked=unchecked.points(found),
    )  # fmt: skip


def _counts(found) -> dict:
    return {word: sum(result.severity == word for result in found) for word in ("stop", "hold", "caution", "note")}


def _sentence(run, found, figures, status) -> str:
    counts = _counts(found)
    head = (
        f"{'Draft' if status == DRAFT else 'For release'}: {wording.count(counts['stop'], 'stop')}, "
        f"{counts['hold']} on which nothing can be "
        f"said, {wording.count(counts['caution'], 'caution')}; checked {len(found)} rules, did not check "
        f"{len(figures['not_checked'].rows)} points."
    )
    gas = "" if run.job.is_air else f", uses {figures['gas_used'].text} of {run.job.gas}"
    body = (
        f" The run takes {figures['total_time'].span}{gas}, and is cold enough to open at about "
        f"{steps.clock(run, run.events[-1].start_s)}."
    )
    stops = [result for result in found if result.verdict in ("outside", "cannot_say")]
    tail = " " + " ".join(f"{result.check.id}: {result.message}" for result in stops[:3]) if stops else ""
    return head + body + tail


def _cautions(inputs, run) -> tuple[Caution, ...]:
    """The cautions of the card: those that this run calls for, the gravest first."""
    found = [row for row in table("run/cautions.toml")["caution"] if _calls_for(row["when"], inputs, run)]
    return tuple(Caution(row["word"], row["hazard"], row["harm"], row["action"], row.get("step", "")) for row in found)


def _calls_for(when: str, inputs, run) -> bool:
    return {
        "inert": not run.job.is_air,
        "always": True,
        "hot": run.job.peak_k > HOT_SURFACE_K,
        "pumped": run.job.pumped,
        "fuel": "hydrogen" in run.job.shares,
        "binder": inputs["binder_share"] > 0,
        "fume": load_checks.gives_toxic_fume(inputs, run.job),
        "room": inputs["exhaust"] == "room" and not run.job.is_air,
        "fibre": "fibre" in inputs["insulation_material"],
        "meter": inputs["calibration_gas"] != run.job.gas,
    }[when]


def _notes(run):
    cycles, flow = run.derived_cycles, run.derived_flow
    if run.job.pumped:
        limit = run.inputs["target_oxygen"]
        part = f", a third of the limit is {said.ppm(limit / constant('run.cycle_part'))}" if limit else ""
        yield (
            f"Cycles: {wording.count(int(cycles.value), 'cycle')}, ruled by {cycles.ruled_by}; one leaves "
            f"{said.ppm(run.one_cycle_leaves, 'up')}{part}."
            + (f" You chose {run.cycles}." if run.cycles != int(cycles.value) else "")
        )
    yield (
        f"Flow: at least {said.flow(flow.value, 'up')}, ruled by {flow.ruled_by}"
        + (
            f"; {said.flow(run.flow)} is used."
            if run.inputs["flow"] is not None
            else f"; rounded up to {said.flow(run.flow)}."
        )
    )
    yield from _heat_notes(run)
    if not run.job.is_air and run.job.peak_k > run.job.room_k + 100:
        yield (
            f"Shut off at {said.celsius(run.job.peak_k)} and tight, the chamber would sink to "
            f"{said.mbar(run.lowest_if_shut)} abs while it cools."
        )
    if run.job.soak_s == 0 and run.inputs["soak_time"] is None:
        yield "The soak is 0 min: the load does not reach the temperature of the chamber."


def _heat_notes(run):
    """Which source ruled power, energy and cooling, what kept a better one out, and whether the furnace is late."""
    ruled = f"Power, energy and cooling come from {run.furnace.ruled_by}"
    if run.furnace.why:
        ruled += f"; the lining is not reckoned with: {run.furnace.why}"
    yield f"{ruled}."
    if (soak := heat_through.programmed(run)) is not None:
        wanted = said.time(soak.wanted_s)
        yield (
            f"Soak: {wanted} wanted at the load; the middle of {soak.what} arrives {said.time(soak.lag_s, 'up')} after "
            f"the chamber: programme {said.time(soak.needed_s, 'up')}. Times, gas and energy count the {wanted} typed."
        )
    if run.late_s:
        yield (
            f"The heater falls behind: all times, gas and energy count {said.time(run.late_s, 'up')} more than "
            f"the programme (RMP-2)."
        )


def _extra(inputs, run, found) -> dict:
    """What only the card shows: hold points, emergency block, valve states, counts, the plan in one line each."""
    return {
        "counts": _counts(found),
        "hold_points": steps.hold_points(run),
        "emergency": steps.emergency(run),
        "states": steps.states(run),
        "written": bands.written(run),
        "target": _target_line(inputs, run),
        "load": [_load_line(row) for row in inputs["load"]],
        "furnace": f"{inputs['furnace_id']}, revision {int(inputs['record_revision'])}",
        "pressure": said.both(run.hold_pa, run.ambient_pa),
        "programme_time": run.programme_s,
        "pump_ideal": run.pump_s,
        "pump_planned": run.pump_planned_s,
        "if_shut": run.lowest_if_shut,
        "opens_at": steps.clock(run, run.events[-1].start_s),
        "ruled_by": {"cycles": run.derived_cycles.ruled_by, "flow": run.derived_flow.ruled_by},
        "heat_from": run.furnace.ruled_by,
        "late": run.late_s,
        "soak_to_programme": _soak_line(run),
    }


def _soak_line(run) -> dict | None:
    """The soak as typed beside the one to programme, s, where they differ."""
    found = heat_through.programmed(run)
    return found and {"wanted": found.wanted_s, "lag": found.lag_s, "programme": found.needed_s, "part": found.what}


def _target_line(inputs, run) -> str:
    limit = f", at most {inputs.said('target_oxygen')} oxygen" if inputs["target_oxygen"] is not None else ""
    return (
        f"{said.celsius(run.job.peak_k)} for {said.time(run.job.soak_s)} in {steps.gas_name(run.job)}{limit}; "
        f"finish: {inputs['finish']}"
    )


def _load_line(row) -> str:
    count = int(row["count"])
    grade = f", {row['grade']}" if row["grade"] else ""
    touches = f", touches {row['touches']}" if row["touches"] else ""
    return (
        f"{f'{count} × ' if count > 1 else ''}{row['material']}{grade}, {row['form']}, "
        f"{said.mass(row['mass'])}{touches}"
    )
