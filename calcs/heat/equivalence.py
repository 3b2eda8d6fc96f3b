"""Trading time against temperature: what a programme is worth at one temperature, and two old parameters."""

from math import exp, inf, log, log10, sqrt

from calcs import readings, wording
from calcs.core import (
    Answer,
    Caution,
    Estimate,
    Figures,
    Range,
    ReadOff,
    Refused,
    Shown,
    Work,
)
from calcs.data import constant
from calcs.form import Field, Form, Problem, Problems
from calcs.heat.segments import SOAK, Leg, legs, segments_field
from calcs.picture import Axis, Curve, Mark, Plot, Table

PAGE = "HT-09"

EQUIVALENT, TEMPERING, CREEP, DIFFUSION = "equivalent time", "tempering parameter", "creep parameter", "diffusion"
TIME, PARAMETERS = (EQUIVALENT,), (TEMPERING, CREEP)
ONE_STATE = (TEMPERING, CREEP, DIFFUSION)

FARTHEST_K = 300.0  # from the peak; farther off no single activation energy holds; ours
LONGEST_S, SHORTEST_S = 1e6 * 3600.0, 1e-3  # outside these a time has no meaning for a furnace; ours
GAP_S = 600.0  # a longer pause in a log is said; common practice, no source
LESS_K = 20.0  # how much colder the sentence looks, K
MOST_ROWS = 2000  # rows of a log that are added up; a longer one is thinned evenly
FLAT_K = 0.01  # two rows nearer than that are one temperature

HOT = Range("0 °C", "3500 °C", because="No furnace of this kind goes there.")
TIMES = Range("0 s", "1000000 h", because="A longer time has no meaning for a furnace.")

FORM = Form(
    question="Can a longer, cooler soak do?",
    modes=(EQUIVALENT, TEMPERING, CREEP, DIFFUSION),
    ask=("segments", "log", "activation_energy", "reference_temperature", "start_temperature", "load_temperature",
         "duration", "second_temperature", "prefactor"),
    one_of=(("segments", "log"),),
    fields=(
        Field("activation_energy", "Activation energy", "molar energy", "150 kJ/mol", modes=(EQUIVALENT, DIFFUSION),
              optional=True, accepted=Range("20 kJ/mol", "900 kJ/mol", because="No process in a furnace lies outside."),
              hint="Of the slowest step that you want, from tests."),
        Field("reference_temperature", "Temperature to compare at", "temperature", "600 °C", modes=TIME, optional=True,
              accepted=HOT, hint="Empty means the peak."),
        Field("start_temperature", "Temperature at the start", "temperature", "20 °C", modes=TIME, optional=True,
              accepted=HOT, hint="Where the programme begins."),
        segments_field(
            ({"kind": "ramp", "to": "580 °C", "rate": "5 K/min"}, {"kind": "soak", "time": "45 min"},
             {"kind": "cool", "to": "60 °C", "rate": "2 K/min"}),
            modes=TIME, hint="Or a log below; clear the rows that you do not use.",
        ),
        Field("log", "Log (table, or the text of a log file)", "log", "0 min 20 °C · 60 min 318 °C", modes=TIME,
              in_example=False, hint="Instead of a programme: 60 min 318 °C, or a file."),
        Field("load_temperature", "Load temperature", "temperature", "600 °C", modes=ONE_STATE, accepted=HOT,
              hint="Of the load, not of the chamber."),
        Field("duration", "Duration", "time", "30 min", modes=ONE_STATE, accepted=TIMES),
        Field("parameter_constant", "Constant C, time in hours", "number", "20", modes=PARAMETERS, default="20",
              accepted=Range("10", "25", because="No alloy was fitted by less or more."),
              hint="20 for many steels; from the alloy's data."),
        Field("second_temperature", "Other temperature", "temperature", "580 °C", modes=PARAMETERS, optional=True,
              accepted=HOT, hint="To see how long that one takes."),
        Field("prefactor", "Pre-exponential of the diffusivity", "diffusivity", "2.5e-5 m2/s", modes=(DIFFUSION,),
              accepted=Range("0 m2/s", "1 m2/s", above=True, because="No solid has more."),
              hint="From the same table as the activation energy."),
    ),
)  # fmt: skip

FIGURES = Figures(
    Shown("equivalent_time", "Equivalent time at the reference temperature", "time", "min, h", "near, range", 3, TIME),
    Shown("ramp_share", "Share of it from the ramps", "number", "%", "near", 2, TIME),
    Shown("dose_per_10_k", "Factor for 10 K more", "number", "1", "up", 3, TIME),
    Shown("parameter", "Parameter (K, time in h)", "number", "1", "near", 5, PARAMETERS),
    Shown(
        "equivalent_temperature", "Temperature that does the same in 1 h", "temperature", "°C", "near", 4, (TEMPERING,)
    ),
    Shown(
        "equivalent_duration", "Time that does the same at the other temperature", "time", "h, min", "up", 3, PARAMETERS
    ),
    Shown("solid_diffusivity", "Diffusivity", "diffusivity", "m2/s", "near, range", 3, (DIFFUSION,)),
    Shown(
        "diffusion_length", "Length, root of diffusivity times time", "length", "µm, mm", "near, range", 3, (DIFFUSION,)
    ),
)

READ_OFF = (
    ReadOff(
        caption="Soak of 60 min at another temperature, as time at 600 °C, ramps of 5 K/min left in",
        down=("segments", tuple(
            f"ramp to {to} °C at 5 K/min · soak 60 min · cool to 60 °C at 5 K/min" for to in (560, 580, 600, 620, 640)
        )),
        across=("activation_energy", ("100 kJ/mol", "200 kJ/mol", "300 kJ/mol", "500 kJ/mol")),
        figures=("equivalent_time",),
    ),
    ReadOff(
        caption="Tempering parameter, and the temperature that does the same in 1 h, C = 20, for 600 °C",
        down=("duration", ("10 min", "30 min", "1 h", "2 h", "5 h", "10 h")),
        figures=("parameter", "equivalent_temperature"),
        given={"mode": TEMPERING, "second_temperature": ""},
    ),
)  # fmt: skip


# ---------------------------------------------------------------- physics: the dose


def scaled_exponential_integral(x: float) -> float:
    """Return exp(x) E1(x), which neither overflows nor vanishes.

    Args:
        x: above 0.

    Source:
        power series below 1, continued fraction by Lentz's method above; textbook methods, checked against scipy.
    """
    if x < 1:
        term, total, k = 1.0, 0.0, 0
        while k < 40:
            k += 1
            term *= -x / k
            total -= term / k
        return (total - constant("equivalence.euler") - log(x)) * exp(x)
    tiny = 1e-300
    b = x + 1
    c, d = 1 / tiny, 1 / b
    h = d
    for n in range(1, 200):
        a = -n * n
        b += 2
        d = 1 / (a * d + b)
        c = b + a / c
        h *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return h


def stretch_dose(start_k: float, end_k: float, duration_s: float, theta_k: float, reference_k: float) -> float:
    """Return what a straight stretch of a programme is worth as time at the reference temperature, s.

    The integral of exp(-theta (1/T - 1/T_ref)) over the stretch, exact: theta = Q/R, and with
    F(T) = T exp(-theta/T) - theta E1(theta/T) it is exp(theta/T_ref) (F(T2) - F(T1)) / slope.

    Args:
        start_k: temperature where it begins, K, above 0.
        end_k: temperature where it ends, K, above 0.
        duration_s: its time, s.
        theta_k: activation energy over the gas constant, K.
        reference_k: reference temperature, K.

    Source:
        Arrhenius; integral in closed form, derived for this project; checked against scipy.
    """
    if duration_s <= 0:
        return 0.0
    if abs(end_k - start_k) < FLAT_K:
        middle = (start_k + end_k) / 2
        return duration_s * exp(theta_k / reference_k - theta_k / middle)

    def integral(t):
        x = theta_k / t
        return exp(theta_k / reference_k - x) * (t - theta_k * scaled_exponential_integral(x))

    return (integral(end_k) - integral(start_k)) / (end_k - start_k) * duration_s


def dose(corners: list[tuple[float, float]], activation_j_per_mol: float, reference_k: float) -> float:
    """Return what a curve is worth as time at one temperature, s.

    Args:
        corners: (time s, temperature K), straight between them.
        activation_j_per_mol: activation energy, J/mol.
        reference_k: reference temperature, K.

    Source:
        see stretch_dose; gas constant general.gas_constant.
    """
    theta = activation_j_per_mol / constant("general.gas_constant")
    return sum(
        stretch_dose(y0, y1, t1 - t0, theta, reference_k)
        for (t0, y0), (t1, y1) in zip(corners, corners[1:], strict=False)
    )


def rate_ratio(activation_j_per_mol: float, from_k: float, to_k: float) -> float:
    """Return how many times faster a process runs at one temperature than at another.

    Args:
        activation_j_per_mol: activation energy, J/mol.
        from_k: the temperature compared with, K.
        to_k: the temperature asked about, K.

    Source:
        Arrhenius: exp(-Q/R (1/T2 - 1/T1)).
    """
    return exp(activation_j_per_mol / constant("general.gas_constant") * (1 / from_k - 1 / to_k))


# ---------------------------------------------------------------- physics: parameters and diffusion


def time_parameter(temperature_k: float, duration_s: float, c: float) -> float:
    """Return T (C + log10 t), K with the time in hours: the tempering parameter, or that of creep.

    Args:
        temperature_k: temperature, K.
        duration_s: time, s, above 0.
        c: the constant, 10 to 25.

    Source:
        Hollomon and Jaffe 1945 (tempering); Larson and Miller 1952 (creep), the same form.
    """
    return temperature_k * (c + log10(duration_s / 3600))


def duration_for(parameter: float, temperature_k: float, c: float) -> float:
    """Return the time, s, that gives a parameter at another temperature; inf where it has no size.

    Args:
        parameter: T (C + log10 t), K with hours.
        temperature_k: the other temperature, K.
        c: the constant.

    Source:
        see time_parameter, turned round.
    """
    exponent = parameter / temperature_k - c
    return 3600 * 10**exponent if exponent < 200 else inf


def diffusivity(prefactor_m2_per_s: float, activation_j_per_mol: float, temperature_k: float) -> float:
    """Return D = D0 exp(-Q/RT), m²/s.

    Args:
        prefactor_m2_per_s: D0, m²/s.
        activation_j_per_mol: Q, J/mol.
        temperature_k: temperature, K.

    Source:
        Arrhenius; Callister and Rethwisch, equation for the temperature dependence of diffusion.
    """
    return prefactor_m2_per_s * exp(-activation_j_per_mol / (constant("general.gas_constant") * temperature_k))


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return what a programme is worth at one temperature, a parameter, or a diffusion length.

    Args:
        inputs: the values of FORM.

    Source:
        the functions above.
    """
    if inputs.mode == EQUIVALENT:
        return _equivalent(inputs)
    if inputs["duration"] <= 0:
        raise Refused(
            "zero_time", "a time of zero has no logarithm",
            "Both parameters and every diffusion length need a time above zero.",
            "Type how long the load is at temperature.", field="duration",
        )  # fmt: skip
    return _diffusion(inputs) if inputs.mode == DIFFUSION else _parameter(inputs)


def _celsius(kelvin: float) -> str:
    return wording.with_unit(wording.plain_number(round(kelvin - constant("general.zero_celsius"), 1)), "°C")


def _activation(inputs) -> float:
    if inputs["activation_energy"] is None:
        raise Refused(
            "no_activation_energy", "no activation energy is given",
            "Without one nobody can trade time against temperature; no value holds for every process, so none is "
            "assumed.",
            "Run the process at two temperatures and compare, or take it from a publication on your material.",
            "Ask whoever developed the process.", field="activation_energy",
        )  # fmt: skip
    return inputs["activation_energy"]


# ---- equivalent time


def _equivalent(inputs) -> Answer:
    energy = _activation(inputs)
    corners, soaks = _curve(inputs)
    peak = max(y for _, y in corners)
    reference = inputs["reference_temperature"] if inputs["reference_temperature"] is not None else peak
    _refuse_far(abs(reference - peak), "reference_temperature", f"The peak is {_celsius(peak)}")
    total = dose(corners, energy, reference)
    if not SHORTEST_S <= total <= LONGEST_S:
        raise _outside(
            f"At {_celsius(reference)} this would be {_time_size(total)}: too far from what was run.",
            "reference_temperature",
        )
    off, share = constant("equivalence.temperature_error"), constant("equivalence.energy_error")
    ends = [
        dose([(t, max(y + dt, 1.0)) for t, y in corners], energy * factor, reference)
        for dt in (-off, off) for factor in (1 - share, 1, 1 + share)
    ]  # fmt: skip
    time = Estimate(total, min(ends), max(ends), cause="5 K of load temperature and a tenth of the activation energy")
    soaked = None if soaks is None else dose_of_soaks(soaks, energy, reference)
    ten, less = rate_ratio(energy, reference, reference + 10), rate_ratio(energy, reference - LESS_K, reference)
    figures = FIGURES.fill(
        equivalent_time=time, ramp_share=None if soaked is None else max(0.0, 1 - soaked / total), dose_per_10_k=ten
    )
    said = f"{inputs.said('activation_energy')}"
    return Answer(
        sentence=f"The programme does what {wording.duration(total)} at {_celsius(reference)} would do, at {said}; "
        f"{wording.with_unit(wording.plain_number(LESS_K), 'K')} less needs {wording.number(less, 2)} times the time.",
        figures=figures,
        leaves_out=_LEAVES_OUT,
        cautions=(_NOT_THE_SAME,),
        pictures=(_contour(total, reference, energy),),
        working=_dose_working(corners, energy, reference, total, soaked),
        notes=_dose_notes(inputs, corners, reference, peak, figures),
    )


_LEAVES_OUT = (
    "every other process that goes on at the same time, with its own activation energy: grain growth, evaporation, "
    "oxidation",
    "the lag of the load behind what was typed: a dose belongs to the load",
    "a change of mechanism; farther than 100 K from the known recipe it only shows the direction",
)

_NOT_THE_SAME = Caution(
    "NOTICE", "Equal dose is not equal in everything",
    "Pressure, vapour, contact with the setter and what furnace and load bear hang on the temperature itself, not on "
    "the dose.",
    "Check the new temperature and time as a new run.",
)  # fmt: skip


def _curve(inputs) -> tuple[list[tuple[float, float]], list[Leg] | None]:
    """Return the corners (s, K) of programme or log, and the soaks of a programme.

    Raises:
        Problems: no start, no length, or a stretch that cools by nature.
    """
    if inputs["log"]:
        found = readings.read("log", FORM.by_name["log"].label, inputs["log"])
        if len(found) < 2:
            raise Problems({"log": "Log: one row has no length. Two or more are needed."})
        if not all(y in HOT for y in found.temperature_k):
            raise Problems({"log": "Log: its temperatures must be 0 °C to 3500 °C. Check the unit."})
        thin = readings.thinned(found, MOST_ROWS)
        return list(zip(thin.time_s, thin.temperature_k, strict=True)), None
    if inputs["start_temperature"] is None:
        raise Problems(
            {"start_temperature": "Temperature at the start is empty. A programme needs it. Example: 20 °C."}
        )
    path = legs(inputs["segments"], inputs["start_temperature"])
    if leg := next((leg for leg in path if leg.duration_s is None), None):
        raise Problems({"segments": Problem(
            f"Programme, row {leg.row + 1}: how long it cools by nature is not known here. Type a rate, a time, or a "
            "log.",
            cell=(leg.row, "rate"),
        )})  # fmt: skip
    corners = [(0.0, path[0].start_k)]
    for leg in path:
        corners.append((corners[-1][0] + leg.duration_s, leg.end_k))
    if corners[-1][0] <= 0:
        raise Problems({"segments": "Programme: it has no length at all. Type a ramp or a soak with a time."})
    return corners, [leg for leg in path if leg.kind == SOAK]


def dose_of_soaks(soaks: list[Leg], activation_j_per_mol: float, reference_k: float) -> float:
    """Return what the soaks alone are worth as time at one temperature, s.

    Args:
        soaks: legs of one temperature each.
        activation_j_per_mol: activation energy, J/mol.
        reference_k: reference temperature, K.

    Source:
        see rate_ratio.
    """
    return sum(leg.duration_s * rate_ratio(activation_j_per_mol, reference_k, leg.start_k) for leg in soaks)


def _refuse_far(distance_k: float, field: str, what: str) -> None:
    if distance_k > FARTHEST_K * (1 + 1e-9):
        raise _outside(
            f"{what}, {wording.with_unit(wording.number(distance_k, 3), 'K')} away: no single figure holds so far.",
            field,
        )


def _outside(why: str, field: str) -> Refused:
    return Refused(
        "outside_range", "too far from what was run", why, "Compare at a temperature within 300 K.", field=field
    )


def _time_size(seconds: float) -> str:
    return "longer than a million hours" if seconds > LONGEST_S else "shorter than a millisecond"


def _contour(total: float, reference: float, energy: float) -> Plot:
    """Return the line of equal effect about the reference, and two points on it."""
    zero, theta = constant("general.zero_celsius"), energy / constant("general.gas_constant")
    width = min(100.0, 0.25 * reference, 6.0 * reference**2 / theta)  # within a factor of about 400
    steps = [reference + width * (i / 20 - 1) for i in range(41)]
    line = [(t - zero, total / rate_ratio(energy, reference, t) / 60) for t in steps]
    colder = reference - min(LESS_K, width)
    ratio = rate_ratio(energy, colder, reference)
    other = (colder - zero, total * ratio / 60)
    rows = [(wording.number(t, 4), wording.number(minutes, 3)) for t, minutes in line[::4]]
    kelvin = wording.with_unit(wording.number(reference - colder, 2), "K")
    return Plot(
        sentence=f"{kelvin} colder takes {wording.number(ratio, 2)} times the time for the same effect",
        description=f"Time in min on a log scale against temperature: every point of the line does the same as "
        f"{wording.duration(total)} at {_celsius(reference)}.",
        x=Axis("Temperature", "°C"),
        y=Axis("Time", "min", log=True),
        curves=(Curve("equal effect", line),),
        marks=(Mark("yours", reference - zero, total / 60), Mark(f"{kelvin} colder", *other, shape="ring")),
        table=Table("Equal effect", ("Temperature, °C", "Time, min"), rows),
    )


def _dose_working(corners, energy, reference, total, soaked) -> tuple[Work, ...]:
    theta = energy / constant("general.gas_constant")
    parts = [
        stretch_dose(y0, y1, t1 - t0, theta, reference) / 60
        for (t0, y0), (t1, y1) in zip(corners, corners[1:], strict=False)
    ]
    shown = " + ".join(f"{part:.4g}" for part in parts[:8]) + (" + …" if len(parts) > 8 else "")
    return (
        Work("Equivalent time of a straight stretch from T₁ to T₂ at the slope b",
             "e^(θ/T_ref) (F(T₂) − F(T₁)) / b,  F(T) = T e^(−θ/T) − θ E₁(θ/T),  θ = Q/R",
             f"Q = {energy / 1000:.5g} kJ/mol, θ = {theta:.6g} K, T_ref = {reference:.2f} K",
             f"stretches in min: {shown}; sum {total / 60:.6g} min",
             ("general.gas_constant", "equivalence.euler"), "arrhenius"),
        *(() if soaked is None else (
            Work("Of it from the soaks", "Σ t exp(−θ (1/T − 1/T_ref))", "", f"{soaked / 60:.5g} min"),
        )),
        Work("Range", "load temperature and activation energy varied together",
             f"± {constant('equivalence.temperature_error'):g} K, ± {constant('equivalence.energy_error') * 100:g} %",
             "the least and the most of six combinations",
             ("equivalence.temperature_error", "equivalence.energy_error"), "heat-common-practice"),
    )  # fmt: skip


def _dose_notes(inputs, corners, reference, peak, figures) -> tuple[str, ...]:
    notes = []
    if inputs["reference_temperature"] is None:
        notes.append(f"Compared at the peak, {_celsius(peak)}, since no temperature was typed.")
    if abs(reference - peak) > 100:
        notes.append(
            "The temperature compared at is more than 100 K from the peak: take the figure as a direction only."
        )
    gaps = sum(b[0] - a[0] > GAP_S for a, b in zip(corners, corners[1:], strict=False)) if inputs["log"] else 0
    if gaps:
        notes.append(
            f"The log pauses for more than 10 min {wording.count(gaps, 'time')}; a straight line is drawn across, as "
            "if it had been so."
        )
    factor = figures["dose_per_10_k"].text
    notes.append(f"10 K more gives {factor} times the effect; the tolerance of a thermocouple is a good part of 10 K.")
    return tuple(notes)


# ---- parameters


def _parameter(inputs) -> Answer:
    temperature, duration, c = inputs["load_temperature"], inputs["duration"], inputs["parameter_constant"]
    second = inputs["second_temperature"]
    parameter = time_parameter(temperature, duration, c)
    tempering = inputs.mode == TEMPERING
    if parameter <= 0:
        raise _outside("The time is so short that the parameter has no meaning.", "duration")
    other = None
    if second is not None:
        _refuse_far(abs(second - temperature), "second_temperature", f"From {_celsius(temperature)}")
        other = duration_for(parameter, second, c)
        if not SHORTEST_S <= other <= LONGEST_S:
            raise _outside(f"At {_celsius(second)} it would take {_time_size(other)}.", "second_temperature")
    in_one_hour = parameter / c
    figures = FIGURES.fill(
        parameter=parameter, equivalent_temperature=in_one_hour if tempering else None, equivalent_duration=other
    )
    name = "tempering parameter" if tempering else "creep parameter"
    said = (
        f"{inputs.said('duration')} at {inputs.said('load_temperature')} has the {name} {figures['parameter'].text} "
        f"(C = {inputs.said('parameter_constant')})"
    )
    if tempering:
        said += f"; one hour at {figures['equivalent_temperature'].text} does the same"
    if other is not None:
        said += f"; at {inputs.said('second_temperature')} it takes {wording.duration(other, 'up')}"
    return Answer(
        sentence=f"{said}.",
        figures=figures,
        leaves_out=(
            "the time on the ramps, which counts too"
            if tempering
            else "the load and its changes: the parameter belongs to one stress",
            "that the constant C differs from alloy to alloy: the farther the other temperature, the more it matters",
            "what else the other temperature changes: grain, surface, distortion",
        ),
        cautions=(_NOT_THE_SAME,) if tempering else (_CREEP_SCATTERS,),
        pictures=(_parameter_picture(parameter, temperature, c, duration, second, other),),
        working=_parameter_working(parameter, temperature, c, duration, tempering, second, other),
    )


def _parameter_working(parameter, temperature, c, duration, tempering, second, other) -> tuple[Work, ...]:
    steps = [
        Work("Parameter", "P = T (C + log₁₀ t), T in K, t in h",
             f"T = {temperature:.2f} K, t = {duration / 3600:.6g} h, C = {c:g}", f"P = {parameter:.6g}",
             source="hollomon-jaffe" if tempering else "larson-miller"),
    ]  # fmt: skip
    if tempering:
        steps.append(Work("Temperature for one hour", "T = P/C, since log₁₀ 1 = 0", "", f"T = {parameter / c:.2f} K"))
    if other is not None:
        steps.append(
            Work(
                "Time at the other temperature", "t = 10^(P/T − C)", f"T = {second:.2f} K", f"t = {other / 3600:.6g} h"
            )
        )
    return tuple(steps)


_CREEP_SCATTERS = Caution(
    "WARNING", "Rupture times scatter",
    "Of equal pieces under equal load one breaks after a fifth of the time of another, and a retort or shelf falls on "
    "hot work.",
    "Never run a part to a computed life. Take a share of it that the designer or the local code names, and inspect.",
)  # fmt: skip


def _parameter_picture(parameter, temperature, c, duration, second, other) -> Plot:
    zero = constant("general.zero_celsius")
    low, high = max(temperature - 100, 0.6 * temperature), temperature + 100
    if second is not None:
        low, high = min(low, second), max(high, second)
    line = []
    for i in range(41):
        t = low + (high - low) * i / 40
        seconds = duration_for(parameter, t, c)
        if 1e-6 < seconds < 1e12:
            line.append((t - zero, seconds / 3600))
    marks = [Mark("yours", temperature - zero, duration / 3600)]
    sentence = "Every point of this line has the same parameter"
    if other is not None:
        marks.append(Mark("the other", second - zero, other / 3600, shape="ring"))
        sentence = (
            f"{_celsius(second)} for {wording.duration(other, 'up')} has the same parameter as {_celsius(temperature)} "
            f"for {wording.duration(duration)}"
        )
    table_rows = line[::4] or [(temperature - zero, duration / 3600)]
    return Plot(
        sentence=sentence,
        description="Time in h on a log scale against temperature, along which the parameter stays the same.",
        x=Axis("Temperature", "°C"),
        y=Axis("Time", "h", log=True),
        curves=(Curve("equal parameter", line),) if len(line) > 1 else (),
        marks=tuple(marks),
        table=Table("Equal parameter", ("Temperature, °C", "Time, h"),
                    [(wording.number(t, 4), wording.number(h, 3)) for t, h in table_rows]),
    )  # fmt: skip


# ---- diffusion


def _diffusion(inputs) -> Answer:
    energy = _activation(inputs)
    temperature, duration = inputs["load_temperature"], inputs["duration"]
    d = diffusivity(inputs["prefactor"], energy, temperature)
    if d < 1e-40:
        raise _outside("At this temperature next to nothing moves: the diffusivity has no meaning.", "load_temperature")
    factor = constant("equivalence.diffusivity_factor")
    length = sqrt(d * duration)
    cause = "editions of one table differ by that much"
    figures = FIGURES.fill(
        solid_diffusivity=Estimate(d, d / factor, d * factor, cause=cause),
        diffusion_length=Estimate(length, length / sqrt(factor), length * sqrt(factor), cause=cause),
    )
    return Answer(
        sentence=f"In {inputs.said('duration')} at {inputs.said('load_temperature')} the diffusion length √(D t) is "
        "about "
        f"{figures['diffusion_length'].text} ({figures['diffusion_length'].span}); four times the time doubles it.",
        figures=figures,
        leaves_out=(
            "grain boundaries and surfaces, along which it goes faster, at low temperature by powers of ten",
            "how the concentration changes the diffusivity",
            "the ramps",
        ),
        cautions=(_NOT_THE_SAME,),
        pictures=(_length_picture(inputs, energy, temperature, duration),),
        working=(
            Work("Diffusivity", "D = D₀ exp(−Q/(R T))",
                 f"D₀ = {inputs['prefactor']:.4g} m²/s, Q = {energy / 1000:.5g} kJ/mol, T = {temperature:.2f} K",
                 f"D = {d:.4g} m²/s", ("general.gas_constant",), "callister"),
            Work("Length", "x = √(D t)", f"t = {duration:.6g} s",
                 f"x = {length * 1e6:.4g} µm; root-mean-square way √(2 D t) = {sqrt(2) * length * 1e6:.4g} µm; half of "
                 "a "
                 f"constant surface concentration at {constant('equivalence.half_depth') * length * 1e6:.4g} µm",
                 ("equivalence.half_depth",), "callister"),
            Work("Range", "D / f to D × f", f"f = {factor:g}", "", ("equivalence.diffusivity_factor",), "callister"),
        ),
    )  # fmt: skip


def _length_picture(inputs, energy, temperature, duration) -> Plot:
    zero = constant("general.zero_celsius")
    low, high = max(temperature - 150, 0.75 * temperature), temperature + 150
    line = []
    for i in range(41):
        t = low + (high - low) * i / 40
        micrometres = sqrt(diffusivity(inputs["prefactor"], energy, t) * duration) * 1e6
        if micrometres > 1e-20:
            line.append((t - zero, micrometres))
    here = sqrt(diffusivity(inputs["prefactor"], energy, temperature) * duration) * 1e6
    micrometres = wording.with_unit(wording.number(here, 2), "µm")
    table_rows = [(wording.number(t, 4), wording.number(x, 3)) for t, x in line[::4]]
    return Plot(
        sentence=f"In {wording.duration(duration)} it goes {wording.with_unit(wording.number(here, 2), 'µm')} at "
        f"{_celsius(temperature)}",
        description="Diffusion length in µm on a log scale against temperature, for the time given.",
        x=Axis("Temperature", "°C"),
        y=Axis("Diffusion length", "µm", log=True),
        curves=(Curve("√(D t)", line),) if len(line) > 1 else (),
        marks=(Mark("yours", temperature - zero, here),),
        table=Table("Diffusion length", ("Temperature, °C", "Length, µm"), table_rows or [("–", "–")]),
    )  # fmt: skip
