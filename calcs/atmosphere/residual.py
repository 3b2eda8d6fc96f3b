"""Oxygen and moisture that remain in a chamber with gas flowing: a budget of gas, leak, walls and vent line."""

from dataclasses import dataclass
from functools import cached_property
from math import exp, log, pi, sqrt

from calcs import gases, water, wording
from calcs.atmosphere.purge import leak_flow
from calcs.core import Answer, Caution, Column, Estimate, Figures, Range, ReadOff, Refused, Shown, Work, judge, worst
from calcs.data import constant
from calcs.form import REFERENCES, Field, Form, Problems
from calcs.picture import Bar, Bars, Limit, Table

PAGE = "ATM-05"

CHAMBER, VENT = "chamber", "vent line only"
ALL_OF_IT, VENT_ONLY = (CHAMBER,), (VENT,)
OXYGEN, WATER = "oxygen", "water vapour"
NOTHING = 1e-9  # mole fraction below which no analyser of the trade sees anything; ours
SMALLEST = 1e-300  # what stands for less than a float can hold

LIMIT = Range(
    "0.01 ppm",
    "10000 ppm",
    because="Below it no analyser of the trade confirms the answer; above it is hardly a limit.",
)
GAS_SHARE = Range("0 ppm", "1000 ppm", because="Dirtier gas is no protective gas.")

FORM = Form(
    question="What oxygen and moisture remain while it is hot?",
    modes=(CHAMBER, VENT),
    ask=("flow", "vent_velocity", "gas", "gas_oxygen", "gas_water", "water_release_rate", "target_oxygen"),
    one_of=(("flow", "vent_velocity"),),
    any_of=(("leak_rate", "ambient_pressure"),),  # an empty leak reaches `answer`, which then gives a lower bound only
    fields=(
        Field("flow", "Gas flow", "standard flow", "2 L/min",
              accepted=Range("0 L/min", "100 L/min", because="This is for a running flow, not for a flush."),
              hint="The true flow, see ATM-01."),
        Field("vent_velocity", "Mean velocity in the vent line", "velocity", "0.18 m/s", modes=VENT_ONLY,
              in_example=False,
              accepted=Range("0 m/s", "100 m/s", above=True, because="Faster gas is no longer laminar."),
              hint="Only instead of the gas flow."),
        Field("gas", "Gas", "choice", "argon", choices=gases.NAMES, spoken=gases.FORMULAS,
              hint="What the cylinder label says."),
        Field("gas_oxygen", "Oxygen in the supplied gas", "mole fraction", "2 ppm", modes=ALL_OF_IT, accepted=GAS_SHARE,
              hint="From the certificate of the gas grade."),
        Field("gas_water", "Moisture in the supplied gas", "mole fraction", "3 ppm", modes=ALL_OF_IT,
              accepted=GAS_SHARE,
              hint="From the certificate of the gas grade."),
        Field("water_release_rate", "Water given off by walls and load", "throughput", "7e-4 mbar L/s", modes=ALL_OF_IT,
              accepted=Range("0 mbar L/s", "10 mbar L/s",
                             because="A chamber that gives off more is wet: dry it first."),
              hint="Measured, or from drying; 0 leaves it out.", find="dry-out"),
        Field("target_oxygen", "Oxygen limit", "mole fraction", "20 ppm", modes=ALL_OF_IT, optional=True,
              accepted=LIMIT,
              hint="What the load tolerates."),
        Field("target_water", "Moisture limit", "mole fraction", "50 ppm", modes=ALL_OF_IT, optional=True,
              accepted=LIMIT,
              hint="What the load tolerates."),
        Field("leak_rate", "Air leak rate, inward", "throughput", "1e-3 mbar L/s", modes=ALL_OF_IT,
              accepted=Range("0 mbar L/s", "1 mbar L/s", because="A larger leak is a hole: find it first."),
              hint="From a rise test; empty where it is not known.", find="rise-test"),
        Field("leak_temperature", "Temperature at which the leak was measured", "temperature", "20 °C", modes=ALL_OF_IT,
              default="20 °C",
              accepted=Range("0 °C", "50 °C", because="A rise test is made cold.")),
        Field("release_temperature", "Temperature at which the release was measured", "temperature", "20 °C",
              modes=ALL_OF_IT, default="20 °C",
              accepted=Range("0 °C", "1600 °C", because="No chamber of this kind runs outside it."),
              hint="Of the gas that was measured."),
        Field("gas_volume", "All gas in the chamber, pores included", "volume", "108 L", modes=ALL_OF_IT, optional=True,
              accepted=Range("0.1 L", "1000 L", because="Larger and smaller chambers mix in another way."),
              hint="For the time to settle."),
        Field("room_humidity", "Relative humidity of the room", "number", "50 %", modes=ALL_OF_IT, default="50 %",
              accepted=Range("0 %", "100 %")),
        Field("room_temperature", "Room temperature", "temperature", "20 °C", modes=ALL_OF_IT, default="23 °C",
              accepted=Range("5 °C", "45 °C", because="Nobody works in a room outside it.")),
        Field("vent_bore", "Vent line bore", "length", "16 mm",
              accepted=Range("1 mm", "100 mm", because="Vents of this class have no other bores.")),
        Field("vent_length", "Vent line length", "length", "1 m",
              accepted=Range("0.01 m", "20 m", because="A shorter vent is a hole in the wall, a longer one a stack."),
              hint="From chamber to open air."),
        Field("vent_temperature", "Gas temperature in the vent line", "temperature", "20 °C", default="20 °C",
              accepted=Range("0 °C", "300 °C", because="The diffusivity was compared with tables up to there."),
              hint="The coldest part counts."),
        Field("diffusivity", "Diffusivity", "diffusivity", "1.9e-5 m2/s", optional=True, in_example=False,
              accepted=Range("1e-7 m2/s", "1e-2 m2/s", because="No gas pair of the table lies outside it."),
              hint="Of oxygen in the gas; empty takes the calculated one."),
        Field("chamber_pressure", "Chamber pressure", "absolute pressure", "1005 mbar", default="101.325 kPa",
              accepted=Range("1 kPa", "2 bar", because="This furnace class is not built for more.")),
        Field("flow_reference", "Reference condition of the flow", "choice", REFERENCES[0], choices=REFERENCES,
              default=REFERENCES[0], hint="The flow meter's document names it."),
        Field("ambient_pressure", "Ambient pressure (barometer in the room)", "absolute pressure", "995 mbar",
              default="101.325 kPa", accepted=Range("45 kPa", "110 kPa",
                                                    because="The air of no workshop lies outside this.")),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("oxygen", "Oxygen that remains, at most", "mole fraction", "ppm, %", "up, range", 3, ALL_OF_IT),
    Shown("water", "Moisture that remains, at most", "mole fraction", "ppm, %", "up, range", 3, ALL_OF_IT),
    Shown("flow_for_target", "Flow that meets the limits, at 0 °C, 101.325 kPa", "standard flow", "L/min, mL/min", "up",
          3, ALL_OF_IT),
    Shown("leak_flow", "The leak as a flow of air, at 0 °C, 101.325 kPa", "standard flow", "mL/min", "up", 4,
          ALL_OF_IT),
    Shown("back_diffusion", "Oxygen that diffuses up the vent", "mole fraction", "ppm, %", "up, range", 2),
    Shown("back_diffusion_log10", "The same, decimal logarithm of the fraction", "number", "1", "up", 4),
    Shown("diffusivity", "Diffusivity of oxygen in the gas", "diffusivity", "m2/s", "near", 3),
    Shown("settling_time", "Time to settle", "time", "min, h", "up", 2, ALL_OF_IT),
    Shown("shares", "Where it comes from", "table", modes=ALL_OF_IT, columns=(
        Column("source", "Source"),
        Column("oxygen", "Oxygen", "mole fraction", "ppm", 3, "up"),
        Column("water", "Moisture", "mole fraction", "ppm", 3, "up"),
        Column("share_of_limit", "Largest share of a limit", "number", "%", 2, "up"),
    )),
)  # fmt: skip

READ_OFF = (
    ReadOff(
        caption="Oxygen that remains, at most: argon with 2 ppm oxygen, leak measured at 20 °C, vent of 16 mm and 1 m, "
        "flow at 0 °C "
        "and 101.325 kPa",
        down=("leak_rate", ("0 mbar L/s", "1e-4 mbar L/s", "1e-3 mbar L/s", "1e-2 mbar L/s")),
        across=("flow", ("0.5 L/min", "1 L/min", "2 L/min", "5 L/min", "10 L/min")),
        figures=("oxygen",),
        given={"target_oxygen": "", "target_water": "", "water_release_rate": "0 mbar L/s"},
    ),
    ReadOff(
        caption="Oxygen that diffuses up an open vent of 0.1 m against argon at 20 °C, flow at 0 °C and 101.325 kPa",
        down=("vent_bore", ("6 mm", "10 mm", "16 mm", "25 mm")),
        across=("flow", ("10 mL/min", "20 mL/min", "50 mL/min", "100 mL/min")),
        figures=("back_diffusion",),
        given={"mode": VENT, "vent_length": "0.1 m"},
    ),
)


# ---------------------------------------------------------------- physics of the vent line


def binary_diffusivity(one: str, other: str, temperature_k: float, pressure_pa: float) -> float:
    """Return the diffusivity of two gases in each other, m²/s.

    D = 1.43e-7 T^1.75 / (p sqrt(M) (v1^(1/3) + v2^(1/3))²), M = 2/(1/M1 + 1/M2) in g/mol, p in bar.

    Args:
        one: a gas of the table.
        other: another gas of the table.
        temperature_k: 270 K to 700 K.
        pressure_pa: absolute pressure, Pa.

    Source:
        Fuller and others, in Poling, Prausnitz and O'Connell, equation 11-4.4; against the table of the CRC Handbook
        within 6 % for oxygen in the gases of the table, water vapour in air within 10 %. Taken as 15 %.
    """
    a, b = gases.gas(one), gases.gas(other)
    mass = 2 / (1 / a.molar_mass + 1 / b.molar_mass) * 1e3
    size = a.diffusion_volume ** (1 / 3) + b.diffusion_volume ** (1 / 3)
    top = constant("residual.diffusion_factor") * temperature_k ** constant("residual.diffusion_power")
    return top / (pressure_pa / 1e5 * sqrt(mass) * size**2)


def upstream_decay(peclet: float) -> float:
    """Return mu: gas that diffuses against laminar flow in a tube of radius r fades as exp(-mu x / r).

    The slowest mode of phi'' + phi'/s + (mu² - 2 Pe (1 - s²) mu) phi = 0 with phi'(1) = 0, the layer at the wall being
    slowest. Small flow: mu = Pe, as in plug flow; large flow: 2.028 sqrt(Pe) - 0.67.

    Args:
        peclet: Pe = mean velocity times radius over diffusivity, above 0.

    Source:
        derived for this project; series in s², compared with integration by scipy.
    """
    large = constant("residual.mode_slope") * sqrt(peclet)
    if peclet > constant("residual.series_end"):
        return large - constant("residual.mode_offset")
    # Between these ends lies the first root and no other.
    low, high = 0.4 * min(peclet, large), min(peclet, large) + 0.3 * min(1.0, peclet)
    for _ in range(50):
        middle = (low + high) / 2
        if _slope_at_wall(middle, peclet) > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _slope_at_wall(mu: float, peclet: float) -> float:
    """phi'(1) by the series phi = sum c_k s^(2k)."""
    a, b = mu * mu - 2 * peclet * mu, 2 * peclet * mu
    before, term = 1.0, -a / 4
    total = 2 * term
    for k in range(1, 150):
        before, term = term, -(a * term + b * before) / (2 * k + 2) ** 2
        total += 2 * (k + 1) * term
        if k > 6 and (abs(term) + abs(before)) * k < 1e-14 * abs(total):
            break
    return total


@dataclass(frozen=True)
class VentLine:
    """An open vent line with gas flowing out of it. SI units."""

    bore_m: float
    length_m: float
    temperature_k: float
    pressure_pa: float

    @cached_property
    def area_m2(self) -> float:
        """Cross-section."""
        return pi * self.bore_m**2 / 4

    def velocity(self, flow_mol_per_s: float) -> float:
        """Return the mean velocity of an amount flow, m/s: v = n R T / (p A).

        Args:
            flow_mol_per_s: amount flow out of the vent.

        Source:
            ideal gas; constant general.gas_constant.
        """
        return (
            flow_mol_per_s * constant("general.gas_constant") * self.temperature_k / (self.pressure_pa * self.area_m2)
        )

    def fading(self, velocity_m_per_s: float, diffusivity_m2_per_s: float) -> float:
        """Return the natural logarithm of what the line lets through from its outlet: -mu L / r, at most 0.

        Args:
            velocity_m_per_s: mean velocity outward, above 0.
            diffusivity_m2_per_s: of the gas that comes in, above 0.

        Source:
            see upstream_decay; good to a factor of about 2 of the fraction.
        """
        radius = self.bore_m / 2
        return -upstream_decay(velocity_m_per_s * radius / diffusivity_m2_per_s) * self.length_m / radius


# ---------------------------------------------------------------- the budget


def mixed(parts: list[tuple[float, float]]) -> list[float]:
    """Return what each stream brings to their mixture, as mole fractions: x_i n_i / sum of n.

    Args:
        parts: (flow in mol/s, mole fraction in it) of each stream; the flows add up to more than 0.

    Source:
        balance of amounts at steady state.
    """
    total = sum(flow for flow, _ in parts)
    return [flow * share / total for flow, share in parts]


def water_floor(flow_mol_per_s: float, gas_water: float, leak_mol_per_s: float, room_water: float) -> float:
    """Return the moisture that gas and leak leave in a chamber, as a mole fraction; walls, load and vent not in it.

    Args:
        flow_mol_per_s: gas flow, above 0.
        gas_water: mole fraction of water in the gas.
        leak_mol_per_s: air that leaks in.
        room_water: mole fraction of water in the air of the room.

    Source:
        see mixed.
    """
    return sum(mixed([(flow_mol_per_s, gas_water), (leak_mol_per_s, room_water)]))


def _faded(logarithm: float) -> float:
    """The exponential; what a float cannot hold is kept above 0, so that it reads as very little and not as nothing."""
    return max(exp(logarithm), SMALLEST)


@dataclass(frozen=True)
class Budget:
    """What comes in beside the gas. SI units; None for a leak that is not known."""

    gas_oxygen: float
    gas_water: float
    leak_mol_per_s: float | None
    walls_mol_per_s: float
    room_water: float
    vent: VentLine
    oxygen_diffusivity: float
    water_diffusivity: float

    def shares(self, flow_mol_per_s: float) -> list[tuple[str, float, float]]:
        """Return (source, oxygen, water) as mole fractions, for a gas flow; their sums are what remains.

        x = (n x_gas + n_leak x_air + n_walls) / (n + n_leak + n_walls), and what diffuses up the vent on top.

        Args:
            flow_mol_per_s: gas flow, above 0.

        Source:
            balance of amounts at steady state; air from general.oxygen_in_air.
        """
        leak, air = self.leak_mol_per_s or 0.0, constant("general.oxygen_in_air")
        flows = flow_mol_per_s, leak, self.walls_mol_per_s
        oxygen = mixed(list(zip(flows, (self.gas_oxygen, air, 0.0), strict=True)))
        moisture = mixed(list(zip(flows, (self.gas_water, self.room_water, 1.0), strict=True)))
        velocity = self.vent.velocity(sum(flows))
        return [
            *zip(("gas", "leak", "walls and load"), oxygen, moisture, strict=True),
            ("up the vent", air * _faded(self.vent.fading(velocity, self.oxygen_diffusivity)),
             self.room_water * _faded(self.vent.fading(velocity, self.water_diffusivity))),
        ]  # fmt: skip

    def sums(self, flow_mol_per_s: float) -> tuple[float, float]:
        """Return (oxygen, water) that remain, as mole fractions.

        Args:
            flow_mol_per_s: gas flow, above 0.

        Source:
            see shares.
        """
        rows = self.shares(flow_mol_per_s)
        return sum(row[1] for row in rows), sum(row[2] for row in rows)

    def flow_for(self, oxygen_limit: float | None, water_limit: float | None) -> float:
        """Return the least gas flow that keeps both limits, mol/s.

        The mixing part in closed form; where the vent adds to it, by halving.

        Args:
            oxygen_limit: mole fraction above that of the gas, or None.
            water_limit: mole fraction above that of the gas, or None.

        Source:
            see shares.
        """
        leak, air, walls = self.leak_mol_per_s or 0.0, constant("general.oxygen_in_air"), self.walls_mol_per_s
        wanted = [
            (leak * air - limit * (leak + walls)) / (limit - own)
            for limit, own in ((oxygen_limit, self.gas_oxygen),) if limit is not None
        ] + [
            (leak * self.room_water + walls - limit * (leak + walls)) / (limit - own)
            for limit, own in ((water_limit, self.gas_water),) if limit is not None
        ]  # fmt: skip
        limits = [limit or 1.0 for limit in (oxygen_limit, water_limit)]

        def kept(flow):
            return all(x <= limit * (1 + 1e-9) for x, limit in zip(self.sums(flow), limits, strict=True))

        low = max([1e-12, *wanted])
        if kept(low):
            return low
        high = 2 * low
        while not kept(high) and high < 1e6:
            low, high = high, 2 * high
        for _ in range(20):
            middle = sqrt(low * high)
            low, high = (low, middle) if kept(middle) else (middle, high)
        return high


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return the oxygen and moisture that remain, by source, or what comes up a vent line.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    _refuse(inputs)
    vent = VentLine(inputs["vent_bore"], inputs["vent_length"], inputs["vent_temperature"], inputs["chamber_pressure"])
    calculated = binary_diffusivity(OXYGEN, inputs["gas"], vent.temperature_k, vent.pressure_pa)
    diffusivity = inputs["diffusivity"] or calculated
    return (
        _chamber(inputs, vent, diffusivity, calculated)
        if inputs.mode == CHAMBER
        else _vent_only(inputs, vent, diffusivity)
    )


def _refuse(inputs) -> None:
    gases.refuse_for_chamber(inputs["gas"])
    if inputs["gas"] == "water vapour":
        raise Problems({"gas": "Gas: steam is moisture itself. Choose the gas that flows in."})
    if inputs["gas"] == "air":
        raise Refused(
            "target_below_gas", "air is no protective gas",
            "Air holds 20.9 % oxygen, so the chamber settles at that.", "Choose the gas that flows in.", field="gas",
        )  # fmt: skip
    if inputs["flow"] is not None and inputs["flow"] <= 0:
        raise Refused(
            "no_flow", "no gas flows through an open vent",
            "Without flow air diffuses in through the vent until the chamber holds air.",
            "Start the flow, or shut the vent and see ATM-04 for the pressure.", field="flow",
        )  # fmt: skip
    if inputs["chamber_pressure"] < inputs.ambient_pa * (1 - 1e-9):
        raise Refused(
            "below_ambient", "air flows in through the vent",
            f"The chamber stands at {inputs['chamber_pressure'] / 100:.5g} mbar, the room at "
            f"{inputs.ambient_pa / 100:.5g} mbar.",
            "Keep the vent shut until the chamber is above the room (ATM-03), or check both pressures.",
            field="chamber_pressure",
        )  # fmt: skip


def _chamber(inputs, vent, diffusivity, calculated) -> Answer:
    flow = inputs["flow"]
    leak = None if inputs["leak_rate"] is None else leak_flow(inputs["leak_rate"], inputs["leak_temperature"])
    _refuse_budget(inputs, flow, leak)
    walls = leak_flow(inputs["water_release_rate"], inputs["release_temperature"])
    room_water = water.share_in_air(inputs["room_humidity"], inputs["room_temperature"], inputs.ambient_pa)
    wet = binary_diffusivity(WATER, inputs["gas"], vent.temperature_k, vent.pressure_pa) * diffusivity / calculated
    budget = Budget(inputs["gas_oxygen"], inputs["gas_water"], leak, walls, room_water, vent, diffusivity, wet)
    rows = budget.shares(flow)
    sums = sum(row[1] for row in rows), sum(row[2] for row in rows)
    outward = (
        Budget(**(budget.__dict__ | {"leak_mol_per_s": 0.0})).sums(flow) if leak else sums
    )  # a leak that blows outward only
    limits = inputs["target_oxygen"], inputs["target_water"]
    figures = FIGURES.fill(
        oxygen=_remaining(sums[0], outward[0], rows[3][1], leak),
        water=_remaining(sums[1], outward[1], rows[3][2], leak),
        flow_for_target=_flow_for(budget, limits),
        leak_flow=None if leak is None else leak * _norm_volume(),
        diffusivity=diffusivity, settling_time=_settling(inputs, flow),
        shares=[{"source": name, "oxygen": _cell(o), "water": _cell(w), "share_of_limit": _share(o, w, limits)}
                for name, o, w in rows],
        **_back(vent, vent.velocity(flow + (leak or 0.0) + walls), diffusivity),
    )  # fmt: skip
    return Answer(
        sentence=_sentence(inputs, figures, rows, leak),
        verdict=_verdict(sums, limits, leak),
        judged=True,
        figures=figures,
        leaves_out=(
            "water and gas that hot walls and load give off beyond the rate typed; it rises with every 100 K",
            "air through hoses: rubber and plastics let in tens to hundreds of ppm of water and oxygen",
            "streams of light or hot gas in a wide upright vent, and gusts at its outlet",
        ),
        cautions=_cautions(inputs, sums, limits, rows),
        pictures=_pictures(inputs, rows, limits),
        working=_working(inputs, budget, flow, rows, sums),
        notes=_notes(inputs, rows, sums, limits, leak, vent),
    )


def _refuse_budget(inputs, flow, leak) -> None:
    if leak is not None and leak > constant("residual.hole_share") * flow:
        raise Refused(
            "hole_not_leak", "that is a hole, not a leak",
            f"The leak lets in {wording.number(leak / flow * 100, 2)} % as much air as gas flows in.",
            "Find and close it first (VAC-07), or check the unit of the leak rate.", field="leak_rate",
        )  # fmt: skip
    for name, own, what in (("target_oxygen", "gas_oxygen", "oxygen"), ("target_water", "gas_water", "water")):
        if inputs[name] is not None and inputs[name] <= inputs[own]:
            raise Refused(
                "target_below_gas", "the limit is below the gas itself",
                f"You asked for {inputs.said(name)} {what}; the gas holds {inputs.said(own)} before it reaches the "
                f"chamber.",
                "Use cleaner gas or a purifier (ATM-06), or raise the limit if the load allows.", field=name,
            )  # fmt: skip


def _norm_volume() -> float:
    """m³ of one mole at 0 °C and 101.325 kPa."""
    return constant("general.gas_constant") * constant("general.zero_celsius") / constant("general.standard_atmosphere")


def _remaining(value, outward, back, leak) -> Estimate:
    """The sum with its range; without a leak figure it is a lower bound only."""
    if not leak:
        return Estimate(value, value, None, "no leak is reckoned with")
    extra = back * (constant("residual.back_spread") - 1)
    return Estimate(
        value, min(outward, value), value + extra, "which way the leak blows while the chamber stands above the room"
    )


def _back(vent, velocity, diffusivity) -> dict:
    """The figures of back-diffusion: the fraction, which may be too small for a float, and its logarithm."""
    logarithm = log(constant("general.oxygen_in_air")) + vent.fading(velocity, diffusivity)
    value, spread = max(exp(logarithm), SMALLEST), constant("residual.back_spread")
    if value < NOTHING:
        said = Estimate(value, None, NOTHING, "so little that no analyser sees it")
    else:
        said = Estimate(value, value / spread, value * spread, "what happens at the open end")
    return {"back_diffusion": said, "back_diffusion_log10": logarithm / log(10)}


def _flow_for(budget, limits) -> float | None:
    return None if limits == (None, None) else budget.flow_for(*limits) * _norm_volume()


def _settling(inputs, flow) -> float | None:
    """Time until the start is forgotten, s, reckoned with cold gas; a hot chamber is quicker."""
    if inputs["gas_volume"] is None:
        return None
    actual = flow * constant("general.gas_constant") * inputs["room_temperature"] / inputs["chamber_pressure"]
    return constant("residual.settle_changes") * inputs["gas_volume"] / (constant("residual.mixing") * actual)


def _cell(share: float) -> float | str:
    """A cell of the table of sources: what no analyser sees is said in words, since a 0 would be too much."""
    return share if share >= NOTHING or share == 0 else "less than 0.001"


def _share(oxygen, water_share, limits) -> float | None:
    found = [part / limit for part, limit in zip((oxygen, water_share), limits, strict=True) if limit is not None]
    return max(found, default=None)


def _verdict(sums, limits, leak) -> str:
    found = ["within"]
    for value, limit in zip(sums, limits, strict=True):
        if limit is not None:
            found.append(judge(value, limit, margin=1 - constant("residual.margin")))
    if sums[0] > constant("residual.not_purged"):
        found.append("outside")
    if leak == 0:
        found.append("close")  # a lower bound never counts as within
    if leak is None:
        found.append("cannot_say")
    return worst(found)


def _largest(rows, place) -> str:
    name = max(rows, key=lambda row: row[place])[0]
    return {
        "gas": "from the gas itself",
        "leak": "from the leak",
        "walls and load": "from walls and load",
        "up the vent": "up the vent line",
    }[name]


def _sentence(inputs, figures, rows, leak) -> str:
    oxygen, moisture = figures["oxygen"], figures["water"]
    if not leak:
        known = "without a figure for the leak" if leak is None else "with no leak reckoned with"
        return (
            f"With {inputs.said('flow')} of {inputs['gas']} {oxygen.span} oxygen and {moisture.span} moisture remain, "
            f"{known}: a lower "
            "bound, no more."
        )
    text = (
        f"At most about {oxygen.text} oxygen{_against(inputs, 'target_oxygen')} and {moisture.text} moisture"
        f"{_against(inputs, 'target_water')} remain with {inputs.said('flow')} of {inputs['gas']}; the oxygen mostly "
        f"{_largest(rows, 1)}, the moisture mostly {_largest(rows, 2)}"
    )
    if oxygen.low_value < 0.8 * oxygen.value:
        text += f"; if the leak blows outward, about {_ppm(oxygen.low_value)} oxygen"
    return f"{text}."


def _ppm(share: float) -> str:
    return wording.with_unit(wording.number(share * 1e6, 2, "up"), "ppm")


def _against(inputs, name) -> str:
    return f" (limit {inputs.said(name)})" if inputs[name] is not None else ""


def _notes(inputs, rows, sums, limits, leak, vent) -> tuple[str, ...]:
    notes = []
    if leak is None:
        notes.append(
            "No leak rate is given, so the air that comes in is unknown: do a rise test (VAC-04) before you trust this."
        )
    elif leak == 0:
        notes.append("A leak of 0 was typed. No chamber has none; the figures are lower bounds.")
    else:
        notes.append(
            "The leak was measured against vacuum, with the whole pressure of the room behind it. Above the room a "
            "pinhole blows "
            "outward, while seals and pores still let air diffuse in: the truth lies between the two ends of the range."
        )
    if not inputs["water_release_rate"]:
        notes.append(
            "No water from walls and load is reckoned with; in a fibre-lined chamber it is often the largest part."
        )
    if rows[3][1] < NOTHING and inputs["flow"]:
        notes.append("Nothing measurable diffuses up this vent at this flow.")
    if inputs["vent_bore"] > constant("residual.wide_vent"):
        notes.append(
            "In an upright vent this wide, gas of another density than air streams past itself and carries air in "
            "faster than "
            "diffusion: a check valve, a bubbler or a vent that points down stops it."
        )
    if sums[0] > constant("residual.not_purged"):
        notes.append("More than 1 % oxygen: the chamber is not purged, do not heat.")
    return tuple(notes)


def _cautions(inputs, sums, limits, rows) -> tuple[Caution, ...]:
    found = []
    if sums[0] > constant("residual.not_purged"):
        found.append(Caution(
            "WARNING", "Air over a hot load",
            "With more than 1 % oxygen hot powder, carbon, oil or metal can burn in the chamber.",
            "Do not heat. Find what lets the air in, and purge first (ATM-02)."))  # fmt: skip
    elif any(limit is not None and x > limit for x, limit in zip(sums, limits, strict=True)):
        found.append(Caution(
            "NOTICE", "More than the load tolerates", "Load and elements oxidise from the moment they are hot.",
            f"Deal with the largest part first: {_advice(rows, sums, limits)}."))  # fmt: skip
    if rows[3][1] > NOTHING and rows[3][1] > 0.1 * sums[0]:
        found.append(Caution(
            "NOTICE", "Flow too small for this vent",
            "Air creeps up the vent against the gas and reaches graphite, molybdenum or tungsten hot.",
            "Raise the flow, or fit a narrower or longer vent, a check valve or a bubbler."))  # fmt: skip
    return tuple(found)


def _advice(rows, sums, limits) -> str:
    """What to do about the largest part of whatever exceeds its limit most."""
    excess = [x / limit if limit else 0.0 for x, limit in zip(sums, limits, strict=True)]
    place = 1 + excess.index(max(excess))
    return {
        "gas": "cleaner gas or a purifier", "leak": "find the leak", "walls and load": "dry chamber and load (VAC-06)",
        "up the vent": "more flow or a narrower, longer vent",
    }[max(rows, key=lambda row: row[place])[0]]  # fmt: skip


def _pictures(inputs, rows, limits) -> tuple[Bars, ...]:
    found = []
    for place, what, limit in ((1, "oxygen", limits[0]), (2, "moisture", limits[1])):
        if any(row[place] > 0 for row in rows):
            found.append(_bars(rows, place, what, limit))
    return tuple(found)


def _bars(rows, place, what, limit) -> Bars:
    parts = sorted(
        ((name, row_value * 1e6) for name, row_value in ((row[0], row[place]) for row in rows)), key=lambda p: -p[1]
    )
    total = sum(value for _, value in parts)
    shown = [(name, value) for name, value in parts if value > total * 1e-4]
    (first, most), *others = shown
    subject = {"gas": "The gas itself brings", "leak": "The leak brings", "walls and load": "Walls and load give",
               "up the vent": "Air creeping up the vent brings"}[first]  # fmt: skip
    sentence = f"{subject} more {what} than {'all the rest together' if most > total / 2 else 'any other source'}"
    if not others:
        sentence = f"{subject} all the {what}"
    listed = ", ".join(f"{name} {wording.number(ppm)}" for name, ppm in shown)
    against = f", limit {wording.number(limit * 1e6)} ppm" if limit else ""
    return Bars(
        sentence=sentence,
        description=f"{what.capitalize()} in ppm by source, at most: {listed}; together {wording.number(total)} ppm"
        f"{against}.",
        unit="ppm",
        bars=tuple(Bar(name, value) for name, value in shown),
        limit=Limit("your limit", limit * 1e6) if limit else None,
        stacked=True,
        table=Table(f"{what.capitalize()} by source", ("Source", f"{what.capitalize()}, ppm"),
                    [[n, _small(v)] for n, v in parts] + [["together", wording.number(total, 3, "up")]]),
    )  # fmt: skip


def _small(ppm: float) -> str:
    return wording.number(ppm, 3, "up") if ppm >= NOTHING * 1e6 else "0" if ppm == 0 else "less than 0.001"


def _working(inputs, budget, flow, rows, sums) -> tuple[Work, ...]:
    leak = budget.leak_mol_per_s or 0.0
    return (
        Work("Leak and release as amounts", "n = q / (R T)",
             f"q = {inputs['leak_rate'] or 0:.4g} and {inputs['water_release_rate']:.4g} Pa·m³/s",
             f"leak {leak:.4g} mol/s of air, walls {budget.walls_mol_per_s:.4g} mol/s of water",
             ("general.gas_constant",)),
        Work("Water in the air of the room", "x = φ e_w(T) / p",
             f"φ = {inputs['room_humidity']:.3g}, T = {inputs['room_temperature']:.5g} K, p = {inputs.ambient_pa:.6g} "
             f"Pa",
             f"x = {budget.room_water * 100:.3g} %", source="murphy-koop-2005"),
        Work("Budget of oxygen", "x = (n x_gas + n_leak x_air) / (n + n_leak + n_walls) + x_vent",
             f"n = {flow:.5g} mol/s, x_gas = {budget.gas_oxygen:.3g}", f"x = {sums[0] * 1e6:.4g} ppm",
             ("general.oxygen_in_air",)),
        Work("Budget of moisture", "x = (n x_gas + n_leak x_room + n_walls) / (n + n_leak + n_walls) + x_vent",
             f"x_gas = {budget.gas_water:.3g}", f"x = {sums[1] * 1e6:.4g} ppm"),
        _vent_work(budget.vent, budget.vent.velocity(flow + leak + budget.walls_mol_per_s), budget.oxygen_diffusivity),
    )  # fmt: skip


def _vent_work(vent, velocity, diffusivity) -> Work:
    peclet = velocity * vent.bore_m / 2 / diffusivity
    return Work(
        "Up the vent", "x = x_air exp(−μ L/r), Pe = v r / D",
        f"v = {velocity:.4g} m/s, r = {vent.bore_m * 500:.4g} mm, L = {vent.length_m:.4g} m, D = {diffusivity:.4g} "
        f"m²/s, Pe = {peclet:.4g}, "
        f"μ = {upstream_decay(peclet):.4g}",
        f"μ L/r = {-vent.fading(velocity, diffusivity):.4g}", ("general.oxygen_in_air", "residual.mode_slope"),
        "residual-eigenvalue",
    )  # fmt: skip


# ---- vent line only


def _vent_only(inputs, vent, diffusivity) -> Answer:
    velocity = inputs["vent_velocity"] if inputs["vent_velocity"] is not None else vent.velocity(inputs["flow"])
    figures = FIGURES.fill(diffusivity=diffusivity, **_back(vent, velocity, diffusivity))
    back = figures["back_diffusion"]
    against = inputs.said("flow") if inputs["flow"] is not None else inputs.said("vent_velocity")
    if back.value < NOTHING:
        found = "nothing measurable diffuses in"
    else:
        found = f"about {back.text} oxygen diffuses in ({back.span})"
    peclet = velocity * vent.bore_m / 2 / diffusivity
    return Answer(
        sentence=f"Up a vent of {inputs.said('vent_bore')} bore and {inputs.said('vent_length')} length, against "
        f"{against} of "
        f"{inputs['gas']}, {found}.",
        figures=figures,
        leaves_out=(
            "streams of light or hot gas in a wide upright vent, and gusts at its outlet",
            "leaks, the gas itself, and what walls and load give off",
        ),
        cautions=_vent_cautions(back.value),
        pictures=_vent_picture(inputs, vent, diffusivity, velocity),
        working=(_vent_work(vent, velocity, diffusivity),),
        notes=_vent_notes(inputs, peclet),
    )


def _vent_notes(inputs, peclet) -> tuple[str, ...]:
    notes = []
    if inputs["vent_bore"] > constant("residual.wide_vent"):
        notes.append(
            "In an upright vent this wide, gas of another density than air streams past itself and carries air in "
            "faster than "
            "diffusion: a check valve, a bubbler or a vent that points down stops it."
        )
    if peclet > 1:
        notes.append(
            "The usual formula with the mean velocity is hopeful here: the gas at the wall of the tube is slower, and "
            "air creeps in along it."
        )
    return tuple(notes)


def _vent_cautions(back) -> tuple[Caution, ...]:
    if back < 1e-6:  # one ppm: where it begins to matter beside a clean gas; ours
        return ()
    return (
        Caution("NOTICE", "Flow too small for this vent",
                "Air creeps up the vent against the gas and reaches graphite, molybdenum or tungsten hot.",
                "Raise the flow, or fit a narrower or longer vent, a check valve or a bubbler."),
    )  # fmt: skip


def _vent_picture(inputs, vent, diffusivity, velocity) -> tuple[Bars, ...]:
    """What comes in at half, at the flow asked about, and at twice it, as powers of ten."""
    rows = []
    for label, times in (("half the flow", 0.5), ("this flow", 1.0), ("twice the flow", 2.0)):
        logarithm = (log(constant("general.oxygen_in_air")) + vent.fading(velocity * times, diffusivity)) / log(10) + 6
        rows.append((label, logarithm))
    shown = [(label, power) for label, power in rows if power > -90]
    if not shown:
        return ()
    return (
        Bars(
            sentence="Twice the flow lets far less air up the vent",
            description="Oxygen in ppm on a logarithmic scale at half the flow, this flow and twice the flow.",
            unit="ppm",
            bars=tuple(Bar(label, 10.0**power) for label, power in shown),
            log=True,
            table=Table("Oxygen that diffuses up the vent", ("Flow", "Oxygen, ppm"),
                        [[label, _small(10.0 ** max(power, -300))] for label, power in rows]),
        ),
    )  # fmt: skip
