"""Box, tube or retort: gas volume, insulation, wall loss and purge gas from the sizes; which kind suits a task."""

from dataclasses import dataclass
from functools import cache
from math import log, pi, sqrt

from calcs import gases, wording
from calcs.atmosphere.purge import changes_needed
from calcs.core import VERDICTS, Answer, Caution, Column, Estimate, Figures, Range, ReadOff, Shown, Work, worst
from calcs.data import constant, number_or_none, rows
from calcs.form import Field, Form, Problems
from calcs.heat.lining import fibre_conductivity
from calcs.heat_in_gas import VACUUM
from calcs.picture import Drawing, Line, Rect, Table, Text
from calcs.solids import ROOM_K

PAGE = "MAT-03"

BOX, TUBE, WHICH = "box", "tube", "which kind"
BY_SIZE = (BOX, TUBE)
FUELS = ("hydrogen", "methane", "carbon monoxide")
# Gases whose conductivity is not in the table, and the one that is taken instead: the same or more.
STAND_IN = {
    "oxygen": "air", "carbon monoxide": "air", "neon": "helium", "krypton": "argon", "xenon": "argon",
    "methane": "hydrogen", "water vapour": "helium",
}  # fmt: skip
WATER_HATERS = (  # loads that water from wet fibre spoils; common practice, no source
    "titanium",
    "titanium alloy",
    "zirconium",
    "niobium",
    "tantalum",
    "vanadium",
    "chromium",
    "stainless",
)
PPM = 1e-6
NOT_LOADS = {
    *gases.NAMES,
    "forming gas",
    "moist gas",
    "vacuum",
    "water",
    "any",
    "air",
    "ar",
    "n2",
    "h2",
    "fg",
    "vac",
    "co",
    "co2",
    "moist",
    "he",
    "",
}  # words of the same table that name gases

LONG = Range("50 mm", "2 m", because="Chambers of this kind are no smaller and no larger.")


def _loads() -> tuple[str, ...]:
    """Materials that the table of `fit` knows as loads, in order."""
    kinds = ("contact", "solid-gas", "load-volatile")
    found = {row[side] for row in rows("materials/fit.csv") if row["kind"] in kinds for side in ("a", "b")}
    found |= {row["name"] for row in rows("materials/fit_families.csv")}
    return tuple(sorted(found - NOT_LOADS, key=str.casefold))


LOADS = _loads()
OTHER_WORDS = {row["said"]: row["name"] for row in rows("materials/fit_names.csv") if row["name"] in LOADS}

FORM = Form(
    question="Box, tube or retort?",
    modes=(BOX, TUBE, WHICH),
    ask=("inner_width", "inner_height", "inner_depth", "tube_bore", "tube_length", "heated_length", "insulation_thickness",
         "chamber_temperature", "target_oxygen", "load_material", "residual_limit", "load_volume", "hot_vacuum"),
    fields=(
        Field("inner_width", "Useful width", "length", "300 mm", accepted=LONG, modes=(BOX,)),
        Field("inner_height", "Useful height", "length", "250 mm", accepted=LONG, modes=(BOX,)),
        Field("inner_depth", "Useful depth", "length", "320 mm", accepted=LONG, modes=(BOX,)),
        Field("tube_bore", "Tube bore", "length", "80 mm", modes=(TUBE,),
              accepted=Range("10 mm", "500 mm", because="Tubes of this kind are no narrower and no wider.")),
        Field("tube_length", "Tube length, all", "length", "900 mm", modes=(TUBE,),
              accepted=Range("100 mm", "5 m", because="Tubes of this kind are no shorter and no longer."),
              hint="Between the end seals."),
        Field("heated_length", "Heated length", "length", "400 mm", modes=(TUBE,), optional=True,
              accepted=Range("10 mm", "5 m", because="Heaters of this kind are no shorter and no longer."),
              hint="Length of the heater."),
        Field("insulation_thickness", "Insulation thickness", "length", "100 mm", modes=BY_SIZE,
              accepted=Range("10 mm", "500 mm", because="The sums hold for linings of this kind.")),
        Field("insulation_porosity", "Porosity of the insulation", "number", "0.90", default="0.90", modes=(BOX,),
              accepted=Range("0", "0.98", because="No insulation is emptier."), hint="Fibre 0.90, brick 0.6 to 0.8."),
        Field("insulation_density", "Insulation density", "density", "190 kg/m3", default="190 kg/m3", modes=(BOX,),
              accepted=Range("0 kg/m3", "5000 kg/m3", above=True, because="No insulation is heavier.")),
        Field("mean_conductivity", "Insulation conductivity at its mean temperature", "thermal conductivity",
              "0.12 W/m/K", optional=True, modes=BY_SIZE,
              accepted=Range("0 W/m/K", "50 W/m/K", above=True, because="Nothing else insulates."),
              hint="Empty: fibre in this gas, worked out."),
        Field("chamber_temperature", "Chamber temperature", "temperature", "600 °C",
              accepted=Range("0 °C", "2000 °C", because="No chamber of this kind is hotter."), hint="The hottest of the run."),
        Field("shell_temperature", "Shell temperature", "temperature", "45 °C", default="60 °C", modes=BY_SIZE,
              accepted=Range("0 °C", "400 °C", because="Hotter shells burn.")),
        Field("gas", "Gas", "choice", "argon", choices=(*gases.NAMES, VACUUM), spoken=gases.FORMULAS, default="argon"),
        Field("target_oxygen", "Oxygen limit", "mole fraction", "20 ppm", optional=True,
              accepted=Range("0 ppm", "20.9 %", above=True, because="Air has 20.95 %."), hint="What the load bears."),
        Field("load_material", "What the load is", "choice", "copper", choices=LOADS, spoken=OTHER_WORDS, optional=True,
              modes=(WHICH,)),
        Field("residual_limit", "Oxygen and moisture allowed together", "mole fraction", "60 ppm", optional=True,
              modes=(WHICH,), accepted=Range("0 ppm", "100 %", above=True, because="It is a share.")),
        Field("load_volume", "Load volume", "volume", "3 L", optional=True, modes=(WHICH,),
              accepted=Range("0 L", "10000 L", above=True, because="No load of this kind is larger."),
              hint="Fixtures and gaps included."),
        Field("hot_vacuum", "Vacuum while hot", "yes/no", "no", default="no", modes=(WHICH,)),
        Field("binder", "Binder or fume", "yes/no", "no", default="no", modes=(WHICH,), hint="Anything that smokes or smells."),
        Field("hydrogen", "Hydrogen wanted", "yes/no", "no", default="no", modes=(WHICH,)),
    ),
)  # fmt: skip

KIND_COLUMNS = (Column("kind", "Kind"), Column("verdict", "Verdict"), Column("reason", "Why"))
FIGURES = Figures(
    Shown("gas_volume", "All gas in the chamber, pores included", "volume", "L", "up", 3, BY_SIZE),
    Shown("free_volume", "Useful volume, open to the gas", "volume", "L", "down", 3, BY_SIZE),
    Shown("load_volume", "Room for the load where it is even", "volume", "L", "down, range", 3, (TUBE,)),
    Shown("insulation_mass", "Insulation mass", "mass", "kg", "up", 3, (BOX,)),
    Shown("wall_loss", "Loss through the wall", "power", "W", "up, range", 3, BY_SIZE),
    Shown("volume_changes", "Volume changes for the oxygen limit, mixed", "number", "1", "up", 3, BY_SIZE),
    Shown("purge_gas", "Gas for it, at 0 °C, 101.325 kPa", "volume", "L", "up", 3, BY_SIZE),
    Shown("recommended", "Kinds that suit", "table", modes=(WHICH,), columns=KIND_COLUMNS),
    Shown("not_recommended", "Kinds that do not", "table", modes=(WHICH,), columns=KIND_COLUMNS),
    Shown("comparison", "Every kind", "table", modes=(WHICH,), columns=KIND_COLUMNS),
)

READ_OFF = (
    ReadOff(
        caption="A box of 300 × 250 × 320 mm useful space: what the lining adds",
        down=("insulation_thickness", ("50 mm", "75 mm", "100 mm", "125 mm", "150 mm")),
        figures=("free_volume", "gas_volume", "insulation_mass", "purge_gas"),
        given={"mode": BOX},
    ),
    ReadOff(
        caption="A tube 900 mm long, heated over 400 mm: what its bore gives",
        down=("tube_bore", ("40 mm", "60 mm", "80 mm", "100 mm", "150 mm")),
        figures=("load_volume", "gas_volume", "purge_gas"),
        given={"mode": TUBE},
    ),
)


# ---------------------------------------------------------------- from the sizes


def box_volumes(width_m: float, height_m: float, depth_m: float, thickness_m: float, porosity: float) -> tuple:
    """Return (useful volume, insulation volume, gas volume) of a lined box, m³: V_g = V_u + porosity (V_outer - V_u).

    Args:
        width_m: useful width, m.
        height_m: useful height, m.
        depth_m: useful depth, m.
        thickness_m: thickness of the lining on all six sides, m.
        porosity: share of the lining that is gas, 0 to 0.98.

    Source:
        geometry.
    """
    useful = width_m * height_m * depth_m
    outer = (width_m + 2 * thickness_m) * (height_m + 2 * thickness_m) * (depth_m + 2 * thickness_m)
    return useful, outer - useful, useful + porosity * (outer - useful)


def box_shape(width_m: float, height_m: float, depth_m: float, thickness_m: float) -> float:
    """Return area over thickness that counts for steady heat through a lined box, m: sqrt(A_in A_out)/t.

    Args:
        width_m: useful width, m.
        height_m: useful height, m.
        depth_m: useful depth, m.
        thickness_m: thickness of the lining, m.

    Source:
        geometric mean of inner and outer area: incropera, and every textbook of heat conduction.
    """
    t = 2 * thickness_m
    inner = _faces(width_m, height_m, depth_m)
    outer = _faces(width_m + t, height_m + t, depth_m + t)
    return sqrt(inner * outer) / thickness_m


def _faces(a: float, b: float, c: float) -> float:
    return 2 * (a * b + a * c + b * c)


def tube_shape(bore_m: float, heated_m: float, thickness_m: float) -> float:
    """Return area over thickness that counts for steady heat through a lining round a tube, m: 2 pi L/ln(r2/r1).

    Args:
        bore_m: bore of the tube, m; its wall is taken as part of the lining.
        heated_m: heated length, m.
        thickness_m: thickness of the lining, m.

    Source:
        conduction through a cylinder: incropera, and every textbook of heat conduction.
    """
    inner = bore_m / 2
    return 2 * pi * heated_m / log((inner + thickness_m) / inner)


def mean_fibre_conductivity(gas: str, hot_k: float, cold_k: float, density: float) -> float:
    """Return the mean conductivity of alumina-silica fibre between two temperatures, W/(m K).

    Args:
        gas: a gas of data/heat_in_gas.csv, or vacuum.
        hot_k: hot face, K, up to lining.fibre_end.
        cold_k: cold face, K, below the hot one.
        density: of the fibre, kg/m³.

    Source:
        calcs.heat.lining.fibre_conductivity, mean over the temperatures by Simpson's rule.
    """
    pressure = constant("vessel.rough_vacuum") if gas == VACUUM else constant("general.standard_atmosphere")
    hot, middle, cold = (fibre_conductivity(gas, t, pressure, density) for t in (hot_k, (hot_k + cold_k) / 2, cold_k))
    return (hot + 4 * middle + cold) / 6


def purge_litres(gas_volume_m3: float, changes: float) -> float:
    """Return the gas for so many volume changes of a chamber at 20 °C and 101.325 kPa, m³ at 0 °C and 101.325 kPa.

    Args:
        gas_volume_m3: all gas of the chamber, m³.
        changes: volume changes.

    Source:
        ideal gas law.
    """
    return gas_volume_m3 * changes * constant("general.zero_celsius") / ROOM_K


# ---------------------------------------------------------------- which kind


@dataclass(frozen=True)
class Kind:
    """A kind of chamber of one common size; see data/materials/vessel_kinds.csv."""

    name: str
    row: dict

    def number(self, column: str) -> float | None:
        return number_or_none(self.row[column])

    def kelvin(self, column: str) -> float:
        return self.number(column) + constant("general.zero_celsius")


@cache
def kinds() -> tuple[Kind, ...]:
    """Return the five kinds of chamber."""
    return tuple(Kind(row["kind"], row) for row in rows("materials/vessel_kinds.csv"))


def judged(kind: Kind, task: dict) -> list[tuple[str, str]]:
    """Return (verdict, reason) for everything in a task that a kind of chamber does not bear without a word.

    Args:
        kind: one of kinds().
        task: values of FORM in mode "which kind", SI: chamber_temperature, load_material, residual_limit,
            target_oxygen, load_volume, hot_vacuum, binder, hydrogen; None where not known.

    Source:
        data/materials/vessel_kinds.csv, common practice without a source.
    """
    found = [_heat(kind, task), _vacuum(kind, task), *_cleanness(kind, task), _size(kind, task)]
    for name in ("binder", "hydrogen"):
        if task[name]:
            found.append((kind.row[name], kind.row[f"{name}_reason"]))
    return [(verdict, reason) for verdict, reason in found if verdict != "within"]


def _heat(kind, task) -> tuple[str, str]:
    hot = task["chamber_temperature"]
    if hot > kind.kelvin("top_most"):
        return "outside", f"too hot: it ends at {kind.row['top_most']} °C at the latest"
    return ("close", kind.row["top_reason"]) if hot > kind.kelvin("top_sure") else ("within", "")


def _vacuum(kind, task) -> tuple[str, str]:
    if not task["hot_vacuum"]:
        return "within", ""
    if kind.number("vacuum_most") is None:
        return "cannot_say", kind.row["vacuum_reason"]
    hot = task["chamber_temperature"]
    if hot > kind.kelvin("vacuum_most"):
        most = kind.number("vacuum_most")
        ends = f"no hot vacuum above {kind.row['vacuum_most']} °C" if most else "no hot vacuum"
        return "outside", f"{ends}: {kind.row['vacuum_reason']}"
    return ("close", kind.row["vacuum_reason"]) if hot > kind.kelvin("vacuum_sure") else ("within", "")


def _cleanness(kind, task) -> list[tuple[str, str]]:
    found = []
    limit, low, high = task["residual_limit"], kind.number("residual_low"), kind.number("residual_high")
    asked = limit if limit is not None else task["target_oxygen"]
    if low is None and asked is not None:
        found.append(("cannot_say", kind.row["residual_reason"]))
    elif limit is not None and limit < low * PPM:
        found.append(("outside", f"{kind.row['residual_reason']}: {low:g} ppm to {high:g} ppm remain"))
    elif limit is not None and limit < high * PPM:
        found.append(("close", f"{kind.row['residual_reason']}: {low:g} ppm to {high:g} ppm remain"))
    elif limit is None and asked is not None and asked < PPM:
        found.append(("close", "below 1 ppm of oxygen only with a purifier and a tight vessel"))
    if kind.row["fibre_in_gas"] == "yes" and task["load_material"] in WATER_HATERS:
        found.append(("close", f"wet fibre in the gas: {task['load_material']} hates water, so bake it out hot before"))
    return found


def _size(kind, task) -> tuple[str, str]:
    if task["load_volume"] is None:
        return "within", ""
    common = kind.number("load") * 1e-3
    if task["load_volume"] <= common:
        return "within", ""
    said = f"the common size takes {kind.row['load']} L"
    if task["load_volume"] > common * constant("vessel.load_many"):
        return "outside", f"load too large: {said}"
    return "close", f"{said}: a larger one is needed"


# ---------------------------------------------------------------- the answer


def answer(inputs) -> Answer:
    """Return gas volume, insulation, loss and purge gas of a box or a tube, or the kinds that suit a task.

    Args:
        inputs: the values of FORM.

    Source:
        geometry and heat conduction; data/materials/vessel_kinds.csv.
    """
    return {BOX: _box, TUBE: _tube, WHICH: _which}[inputs.mode](inputs)


def _box(inputs) -> Answer:
    sizes = tuple(inputs[name] for name in ("inner_width", "inner_height", "inner_depth"))
    thickness = inputs["insulation_thickness"]
    useful, insulation, gas = box_volumes(*sizes, thickness, inputs["insulation_porosity"])
    loss, conductivity = _loss(inputs, box_shape(*sizes, thickness), inputs["gas"], inputs["insulation_density"])
    mass = insulation * inputs["insulation_density"]
    figures = FIGURES.fill(
        gas_volume=gas, free_volume=useful, insulation_mass=mass, wall_loss=loss, **_purge(inputs, gas)
    )
    times = wording.number(gas / useful, 2)
    return Answer(
        sentence=f"The box holds {figures['gas_volume'].text} of gas, {times} times its useful "
        f"{figures['free_volume'].text}, since the lining is full of gas" + _tail(inputs, figures),
        figures=figures,
        leaves_out=_leaves_out("the shelf of brick or the elements in the useful space"),
        cautions=_gas_caution(inputs),
        pictures=_drawing(),
        working=(
            Work("All gas in the chamber", "V_g = V_u + ε (V_outer − V_u)",
                 f"V_u = {useful * 1e3:.4g} L, V_outer = {(useful + insulation) * 1e3:.4g} L, "
                 f"ε = {inputs['insulation_porosity']:g}", figures["gas_volume"].text),
            Work("Insulation mass", "m = ρ (V_outer − V_u)", f"ρ = {inputs['insulation_density']:g} kg/m³",
                 figures["insulation_mass"].text),
            *_loss_work(inputs, "Q = k √(A_in A_out) (T − T_shell)/t", conductivity, figures),
            *_purge_work(inputs, gas, figures),
        ),
        notes=_notes(inputs, loss, conductivity),
    )  # fmt: skip


def _tube(inputs) -> Answer:
    bore, length, heated = inputs["tube_bore"], inputs["tube_length"], inputs["heated_length"]
    if heated is not None and heated > length:
        raise Problems({"heated_length": "Heated length: it cannot be longer than the whole tube."})
    section = pi * bore**2 / 4
    gas, room = section * length, None
    if heated is not None:
        least, most = (section * heated * constant("vessel.bore_used") * constant(f"vessel.uniform_{end}")
                       for end in ("low", "high"))  # fmt: skip
        room = Estimate(least, least, most, cause="one heated zone or three; half of the section is filled")
    # The lining of a tube stands outside in air, whatever flows inside.
    shape = tube_shape(bore, length if heated is None else heated, inputs["insulation_thickness"])
    density = float(FORM.by_name["insulation_density"].default.split()[0])
    loss, conductivity = _loss(inputs, shape, "air", density)
    figures = FIGURES.fill(gas_volume=gas, free_volume=gas, load_volume=room, wall_loss=loss, **_purge(inputs, gas))
    held = f", of which a load can fill {figures['load_volume'].span} where it is evenly hot" if room else ""
    return Answer(
        sentence=f"The tube holds {figures['gas_volume'].text} of gas{held}" + _tail(inputs, figures),
        figures=figures,
        leaves_out=_leaves_out("end seals, cooling of the ends and the wall of the tube"),
        cautions=_gas_caution(inputs),
        pictures=_drawing(),
        working=(
            Work("All gas in the tube", "V_g = π d² L/4", f"d = {bore * 1e3:g} mm, L = {length * 1e3:g} mm",
                 figures["gas_volume"].text),
            *((Work("Room for the load", "V_load = f (π d²/4) L_h / 2", f"L_h = {heated * 1e3:g} mm, f = 0.3 to 0.6",
                    figures["load_volume"].span, ("vessel.uniform_low", "vessel.uniform_high", "vessel.bore_used"),
                    "vessel-common-practice"),) if room else ()),
            *_loss_work(inputs, "Q = 2π k L_h (T − T_shell)/ln(r₂/r₁)", conductivity, figures),
            *_purge_work(inputs, gas, figures),
        ),
        notes=_notes(inputs, loss, conductivity),
    )  # fmt: skip


def _loss(inputs, shape: float, gas: str, density: float) -> tuple[Estimate | None, float | None]:
    """Loss through the wall with its ends, and the conductivity used; None where the chamber is not hotter."""
    hot, cold = inputs["chamber_temperature"], inputs["shell_temperature"]
    if hot <= cold:
        return None, None
    conductivity, spread = inputs["mean_conductivity"], constant("lining.spread_typed")
    if conductivity is None:
        if hot > constant("lining.fibre_end"):
            raise Problems({
                "mean_conductivity": "Insulation conductivity: fibre ends at 1600 °C, so type that of your insulation."
            })  # fmt: skip
        conductivity = mean_fibre_conductivity(STAND_IN.get(gas, gas), hot, cold, density)
        spread = constant("lining.spread_model")
    loss = conductivity * shape * (hot - cold)
    most = loss * constant("vessel.beside_wall")
    return Estimate(
        loss,
        loss * (1 - spread),
        most,
        cause="the conductivity; door, element ends and tubes may double the plain walls",
    ), conductivity


def _purge(inputs, gas_volume: float) -> dict:
    if inputs["target_oxygen"] is None:
        return {}
    changes = changes_needed(constant("general.oxygen_in_air"), inputs["target_oxygen"], 0.0)
    return {"volume_changes": changes, "purge_gas": purge_litres(gas_volume, changes)}


def _tail(inputs, figures) -> str:
    said = ""
    if "purge_gas" in figures:
        said += (
            f"; purging by flow to {inputs.said('target_oxygen')} of oxygen takes at least {figures['purge_gas'].text} "
            "(0 °C, 101.325 kPa)"
        )
    if "wall_loss" in figures:
        said += f", and holding {inputs.said('chamber_temperature')} about {figures['wall_loss'].span}"
    return said + "."


def _leaves_out(own: str) -> tuple[str, ...]:
    return (
        own,
        "pores that give their gas up slowly, leaks, and the oxygen of the gas itself: a purge takes more (ATM-02)",
        "heat stored in the lining, which decides how fast it heats and cools (HT-02, HT-05)",
    )


def _notes(inputs, loss, conductivity) -> tuple[str, ...]:
    found = []
    if loss is None:
        found.append("No loss is worked out, since the chamber is not hotter than the shell.")
    elif inputs["mean_conductivity"] is None:
        gas = STAND_IN.get(inputs["gas"], inputs["gas"]) if inputs.mode == BOX else "air"
        found.append(
            f"The conductivity is that of alumina-silica fibre in {gas}, {wording.number(conductivity, 2, 'up')} W/m/K on "
            "the mean; a maker's curve overrules it."
        )
    if inputs.mode == TUBE and inputs["heated_length"] is None:
        found.append("Without a heated length the whole tube counts as heated, and nothing is said of the even zone.")
    return tuple(found)


def _loss_work(inputs, equation, conductivity, figures) -> tuple[Work, ...]:
    if "wall_loss" not in figures:
        return ()
    used = (
        () if inputs["mean_conductivity"] is not None else ("lining.solid", "lining.radiation", "vessel.rough_vacuum")
    )
    spread = "lining.spread_typed" if inputs["mean_conductivity"] is not None else "lining.spread_model"
    return (
        Work("Loss through the wall", equation,
             f"k = {conductivity:.3g} W/m/K, T − T_shell = "
             f"{inputs['chamber_temperature'] - inputs['shell_temperature']:.5g} K, "
             f"t = {inputs['insulation_thickness'] * 1e3:g} mm", figures["wall_loss"].text,
             (*used, spread, "vessel.beside_wall"), "incropera"),
    )  # fmt: skip


def _purge_work(inputs, gas, figures) -> tuple[Work, ...]:
    if "purge_gas" not in figures:
        return ()
    return (
        Work("Volume changes, mixed", "N = ln(0.2095/x)", f"x = {inputs['target_oxygen']:.3g}",
             figures["volume_changes"].text, ("general.oxygen_in_air",), "crowl-louvar"),
        Work("Gas for it", "V = N V_g 273.15/293.15", f"V_g = {gas * 1e3:.4g} L", figures["purge_gas"].text,
             ("general.zero_celsius",)),
    )  # fmt: skip


# ---- which kind


def _which(inputs) -> Answer:
    task = dict(inputs)
    for name in ("load_material", "residual_limit", "target_oxygen", "load_volume"):
        task.setdefault(name, None)
    task["hydrogen"] = task["hydrogen"] or inputs["gas"] == "hydrogen"
    task["hot_vacuum"] = task["hot_vacuum"] or inputs["gas"] == VACUUM
    table = [_row(kind, task) for kind in kinds()]
    suit = [row for row in table if row["verdict"] in ("Within limits", "Close to a limit")]
    verdicts = [row["word"] for row in table]
    best = next(word for word in ("within", "close", "cannot_say", "outside") if word in verdicts)
    plain = [{key: row[key] for key in ("kind", "verdict", "reason")} for row in table]
    return Answer(
        sentence=_which_sentence(inputs, table, best),
        verdict=best,
        judged=True,
        figures=FIGURES.fill(
            recommended=[row for row in plain if row["kind"] in {r["kind"] for r in suit}] or None,
            not_recommended=[row for row in plain if row["kind"] not in {r["kind"] for r in suit}] or None,
            comparison=plain,
        ),
        leaves_out=(
            "cost, delivery, and who may run it",
            "what elements, walls and load do to each other in this gas: MAT-02 decides on that",
            "builds of another size or make: the maker's manual overrules every row",
        ),
        cautions=_task_cautions(task),
        pictures=_drawing(),
        working=(
            Work("Every kind against the task", "the worst of heat, hot vacuum, cleanness, size, binder, hydrogen",
                 f"T = {inputs['chamber_temperature']:.2f} K", f"{len(suit)} of {len(table)} kinds left",
                 ("vessel.load_many",), "vessel-common-practice"),
        ),
        notes=("Every limit here is common practice without a source.",),
    )  # fmt: skip


def _row(kind: Kind, task: dict) -> dict:
    found = judged(kind, task)
    word = worst([verdict for verdict, _ in found])
    said = [reason for verdict, reason in found if verdict == word]
    return {
        "kind": kind.name,
        "word": word,
        "verdict": VERDICTS[word],
        "reason": "; ".join(said) or "nothing speaks against it",
    }


def _which_sentence(inputs, table, best) -> str:
    hot = inputs.said("chamber_temperature")
    named = {word: [f"{row['kind']}" for row in table if row["word"] == word] for word in ("within", "close")}
    if best == "within":
        said = f"For this task at {hot} nothing speaks against: {wording.listed(named['within'])}"
        return said + (f"; only with a condition: {wording.listed(named['close'])}." if named["close"] else ".")
    if best == "close":
        return f"For this task at {hot} each kind has its condition: {wording.listed(named['close'])} are left."
    if best == "cannot_say":
        return f"For this task at {hot} no kind can be named without the maker's word."
    return f"No kind of chamber here bears this task at {hot}: change the task, or ask a maker."


# ---------------------------------------------------------------- cautions and picture


def _gas_caution(inputs) -> tuple[Caution, ...]:
    return _fuel() if inputs["gas"] in FUELS else ()


def _fuel() -> tuple[Caution, ...]:
    return (
        Caution("WARNING", "Fuel in the furnace", "Gas that burns needs a chamber built for it, with burn-off and "
                "interlocks; without them it explodes when air comes in hot.",
                "Ask SAF-03 and the maker first; nothing here permits it."),
    )  # fmt: skip


def _task_cautions(task) -> tuple[Caution, ...]:
    found = []
    if task["hydrogen"] or task["gas"] in FUELS:
        found += _fuel()
    if task["hot_vacuum"]:
        found.append(
            Caution("WARNING", "Collapsing vessel", "A hot metal retort or a ceramic muffle under vacuum creeps or cracks "
                    "and collapses.", "Pump hot only what the maker rates for it, at that temperature.")
        )  # fmt: skip
    if task["binder"]:
        found.append(
            Caution("WARNING", "Fume from binder", "Binder and oil give toxic fume that burns, and tar that blocks the "
                    "outlet.", "Burn them off in air with extraction first; SAF-04 is about fume.")
        )  # fmt: skip
    return tuple(found)


# Three sections and their legend; places in a drawing of 440 by 216.
SHEET = (0, 0, 440, 216)
BOX_SECTION = (
    Rect(8, 34, 120, 28, "hatched"), Rect(8, 116, 120, 28, "hatched"),
    Rect(8, 62, 28, 54, "hatched"), Rect(100, 62, 28, 54, "hatched"),
    Rect(36, 62, 64, 54, "shaded"), Rect(8, 34, 120, 110, "thick"),
    Text(68, 20, "fibre-lined box", "middle"), Text(68, 93, "load", "middle", "small"),
)  # fmt: skip
TUBE_SECTION = (
    Rect(172, 50, 96, 26, "hatched"), Rect(172, 102, 96, 26, "hatched"),
    Rect(150, 76, 140, 26, "shaded"), Rect(150, 76, 140, 26, "thick"),
    Text(220, 20, "tube", "middle"), Text(220, 93, "load", "middle", "small"),
)  # fmt: skip
RETORT_SECTION = (
    Rect(312, 62, 22, 82, "hatched"), Rect(410, 62, 22, 82, "hatched"), Rect(334, 122, 76, 22, "hatched"),
    Rect(340, 44, 64, 74, "shaded"), Rect(340, 44, 64, 74, "thick"), Line(332, 44, 412, 44, "thick"),
    Text(372, 20, "metal retort", "middle"), Text(372, 93, "load", "middle", "small"),
)  # fmt: skip
LEGEND = (
    Rect(8, 164, 18, 12, "shaded"), Text(32, 175, "open gas", style="small"),
    Rect(120, 164, 18, 12, "hatched"), Text(144, 175, "insulation", style="small"),
    Line(244, 170, 264, 170, "thick"), Text(270, 175, "holds the gas", style="small"),
    Text(8, 204, "The box's gas-tight wall is cold; in tube and retort it is hot.", style="small"),
)  # fmt: skip


def _drawing() -> tuple:
    """Three sections side by side: where the gas reaches, and where the insulation stands."""
    return (
        Drawing(
            sentence="In a box the gas fills the insulation too; in tube and retort the insulation stays out of it",
            description="Sections through a fibre-lined box, a tube and a metal retort. Shaded is open gas, hatched is "
            "insulation; the thick line is the wall that holds the gas.",
            view_box=SHEET,
            shapes=(*BOX_SECTION, *TUBE_SECTION, *RETORT_SECTION, *LEGEND),
            table=_kind_table(),
        ),
    )


def _kind_table() -> Table:
    criteria = (
        ("Load of the common size, L", "load"), ("Gas in it, L", "gas"), ("Top temperature, sure, °C", "top_sure"),
        ("Top temperature, hottest builds, °C", "top_most"), ("Ramp that it survives, K/min", "ramp"),
        ("Cooling from 1000 °C, h", "cooling"), ("Fails by", "fails_by"),
    )  # fmt: skip
    body = tuple((said, *(kind.row[column] for kind in kinds())) for said, column in criteria)
    return Table("What differs, for one common size", ("Criterion", *(kind.name for kind in kinds())), body)
