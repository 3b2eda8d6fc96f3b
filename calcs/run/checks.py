"""The checks of a plan: each one a row with its id, its words, and the function that judges it.

The words stand in data/run/checks.toml. A function takes what the planner worked out, asks the calculator
that owns the physics, and returns what it found; nothing is decided twice. No check can be switched off.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import cache

from calcs import air, gases, wording
from calcs.atmosphere import hold
from calcs.data import constant, table
from calcs.heat import programme, stress
from calcs.run import derive, fit_checks, gas_checks, heat_checks, load_checks, pressure_checks, said, unchecked
from calcs.run.found import Found
from calcs.safety import flammable, room_oxygen

SEVERITY = {"within": "note", "close": "caution", "cannot_say": "hold", "outside": "stop"}
WORDS = (
    "run/checks.toml",
    "run/fit_checks.toml",
    "run/gas_checks.toml",
    "run/heat_checks.toml",
    "run/load_checks.toml",
    "run/pressure_checks.toml",
)  # where the words of the checks stand
PAGES_SHOWN = 6  # pages named in TRUST-1; the list itself names all; ours
NIGHT = (22, 6)  # hours between which a hold point is named as one of the night; ours
OLD_RESIDUE = ("zinc", "brass", "cadmium", "lead", "magnesium", "manganese", "mercury", "binder", "oil", "flux",
               "solder",
               "wax", "polymer", "salt", "sulphur", "plating")  # fmt: skip
TAKE_UP = ("titanium", "zirconium", "niobium", "tantalum", "vanadium", "hafnium")
INERT = ("argon", "helium", "neon", "krypton", "xenon", "nitrogen", "carbon dioxide")


@dataclass(frozen=True)
class Check:
    """One row: id, title, the function that judges, and the words for each outcome."""

    id: str
    title: str
    judge: Callable
    fine: str
    message: str
    missing: str
    remedy: str
    page: str
    source: str


@dataclass(frozen=True)
class Result:
    """One check, judged."""

    check: Check
    verdict: str
    figure: str
    limit: str
    message: str
    remedy: str
    judged: bool = True  # False where an input that nobody must type is missing and nothing was compared

    @property
    def severity(self) -> str:
        """The word of the plan for it: note, caution, hold or stop."""
        return SEVERITY[self.verdict]

    @property
    def row(self) -> dict:
        """The row of the figure `checks`."""
        return {
            "id": self.check.id, "check": self.check.title, "figure": self.figure, "limit": self.limit,
            "verdict": self.verdict, "message": self.message, "page": self.check.page,
        }  # fmt: skip

    @property
    def plain(self) -> dict:
        """What `Answer.checks` holds under the id."""
        return {
            "verdict": self.verdict, "severity": self.severity, "message": self.message, "figure": self.figure,
            "limit": self.limit, "remedy": self.remedy, "title": self.check.title,
            "page": self.check.page, "source": self.check.source,
        }  # fmt: skip


def _say(check: Check, found: Found) -> Result:
    values = found.values or {}
    words = {"within": check.fine, "cannot_say": check.missing}.get(found.verdict, check.message)
    message = words.format(**values)
    if found.verdict != "within" and not message:
        raise ValueError(f"{check.id} has no words for {found.verdict}")
    remedy = "" if found.verdict == "within" else check.remedy.format(**values)
    return Result(check, found.verdict, found.figure, found.limit, _capital(message), remedy, found.judged)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def run_early(inputs, job) -> list[Result]:
    """Return the checks that come before any number of a run: load, gas, temperature, vacuum, record."""
    return [_say(check, check.judge(inputs, job)) for check in rows(EARLY)]


def run_late(inputs, run, early: list[Result]) -> list[Result]:
    """Return all other checks, judged on the whole run; the last one counts what all of them leave unchecked."""
    found = [_say(check, check.judge(inputs, run)) for check in rows(LATE)]
    return [*found, *(_say(check, check.judge([*early, *found])) for check in rows(LAST))]


def run_one(name: str, inputs, run) -> Result:
    """Return one of the checks of a run by its id."""
    return next(_say(check, check.judge(inputs, run)) for check in rows(LATE) if check.id == name)


def worst_first(found: list[Result]) -> list[Result]:
    """Return the results with outside and cannot say first."""
    order = ["outside", "cannot_say", "close", "within"]
    return sorted(found, key=lambda result: order.index(result.verdict))


@cache
def rows(functions: tuple) -> tuple[Check, ...]:
    """Return the rows of some checks, joined with their words."""
    words = {name: row for file in WORDS for name, row in table(file).items()}
    return tuple(
        Check(
            name, t["title"], judge, t["fine"], t["message"], t.get("missing", ""), t["remedy"], t["page"], t["source"]
        )
        for name, judge in functions
        for t in (words[name],)
    )


# ---------------------------------------------------------------- may load, gas and furnace meet at all


def load_1(inputs, job) -> Found:
    most = constant("run.heaviest_density") * inputs["free_volume"]
    values = {"mass": said.mass(job.load_kg), "volume": said.volume(inputs["free_volume"])}
    return Found(
        "outside" if job.load_kg > most else "within", values["mass"], f"below {said.mass(round(most))}", values
    )


def load_2(inputs, job) -> Found:
    ratio = hold.closed_pressure(1.0, [hold.Zone(1.0, job.room_k, job.peak_k)])
    values = {"ratio": wording.number(ratio, 2, "up"), "temperature": said.celsius(job.peak_k)}
    return Found("outside" if inputs["closed_void"] else "within", _yes(inputs["closed_void"]), "no", values)


def load_3(inputs, job) -> Found:
    share = inputs["binder_share"]
    where = "air without extraction" if job.is_air else "a sealed chamber with " + " and ".join(job.shares)
    where += ", and under the pump" if job.pumped else ""
    bad = share > 0 and (not job.is_air or job.pumped or inputs["exhaust"] == "room")
    values = {"mass": said.mass(share * job.load_kg), "where": where}
    words = Found("within", said.percent(share), "0 %", values)
    return Found("outside", said.percent(share), "0 %", values) if bad else words


def fuel_index(shares: dict[str, float]) -> float:
    """Return the index of a gas with hydrogen: above 1 the mixture burns in air at room temperature.

    Args:
        shares: gas to mole fraction; hydrogen is the only fuel.

    Source:
        flammable.index, which is ISO 10156; a gas without a coefficient there counts as burning.
    """
    inert = {name: share for name, share in shares.items() if name != "hydrogen"}
    if "hydrogen" not in shares:
        return 0.0
    if not inert.keys() <= flammable.coefficients().keys():
        return float("inf")
    return flammable.index({"hydrogen": shares["hydrogen"]}, inert)


def atm_1(inputs, job) -> Found:
    """A plan with a toxic gas is refused before any check (toxic_gas); the row says that it was looked at."""
    toxic = [name for name in job.shares if gases.gas(name).kind == "toxic"]
    return Found("outside" if toxic else "within", values={"what": wording.listed(toxic)})


def atm_2(inputs, job) -> Found:
    fuels = [name for name in job.shares if gases.gas(name).kind == "flammable"]
    if not fuels:
        return Found(values={"said": "Nothing in the gas burns."})
    if inputs["built_for_flammable_gas"] and (fuels != ["hydrogen"] or fuel_index(job.shares) > 1):
        return Found("cannot_say", values={"said": "The gas burns in air."})
    index = fuel_index(job.shares)
    share = said.percent(job.shares["hydrogen"])
    words = (
        f"{share} hydrogen: {wording.number(index, 2, 'up')} of the share at which it burns in air at room temperature."
    )
    if 1 >= index > constant("flammable.close_index"):
        words += " Cylinders are filled to within 5 to 10 % of their share, so this one could burn."
    return Found("close", share, "", {"said": words + " Hot gas may burn at the outlet."})


def atm_3(inputs, job) -> Found:
    if "hydrogen" not in job.shares or len(job.shares) == 1:
        return Found(values={"said": "Nothing is mixed on site."})
    if inputs["premixed"] is None:
        return Found("cannot_say", values={"said": "Whether the gas is a certified pre-mix is not said."})
    bad = not inputs["premixed"] and not inputs["built_for_flammable_gas"]
    words = (
        "Certified as a pre-mix."
        if inputs["premixed"]
        else "Only a certified pre-mix counts as non-flammable; this gas is mixed on site."
    )
    return Found("outside" if bad else "within", values={"said": words})


def atm_4(inputs, job) -> Found:
    found = (["carbon in the load"] if job.carbon else []) + (
        ["graphite elements"] if inputs["element_material"] == "graphite" else []
    )
    bad = job.is_air and bool(found)
    return Found("outside" if bad else "within", values={"what": wording.listed(found) or "nothing"})


def tmp_1(inputs, job) -> Found:
    limit = inputs["maximum_temperature"]
    if limit is None:
        return Found(
            values={"temperature": said.celsius(job.peak_k), "limit": "limit (not in the record)", "gas": job.gas}
        )
    values = {"temperature": said.celsius(job.peak_k), "limit": said.celsius(limit), "gas": _gas_name(job)}
    return Found("outside" if job.peak_k > limit + 1e-6 else "within", values["temperature"], values["limit"], values)


def vac_1(inputs, job) -> Found:
    limit = inputs["maximum_vacuum_temperature"]
    if not job.pumped:
        return Found(values={"said": "The chamber is not pumped."})
    if limit is None:
        return Found(values={"said": "The limit is not in the record: see DOC-1."})
    values = {
        "said": f"Pumped at {said.celsius(job.pumped_k)} at most; the limit is {said.celsius(limit)}.",
        "vessel": inputs["vessel_kind"], "limit": said.celsius(limit), "temperature": said.celsius(job.pumped_k),
    }  # fmt: skip
    return Found("outside" if job.pumped_k > limit + 1e-6 else "within", values["temperature"], values["limit"], values)


NEEDED = (  # field of the record, what it is called, the checks that need it, and whether only a pumped chamber does
    ("maximum_temperature", "highest temperature in {gas}", "TMP-1", False),
    ("maximum_vacuum_temperature", "highest temperature while pumped", "VAC-1", True),
    ("furnace_ramp_limit", "ramp that heaters and ceramic allow", "RMP-3", False),
    ("maximum_pressure", "highest pressure that the chamber is rated for", "PRS-1", False),
    ("relief_pressure", "where the relief opens", "PRS-1", False),
    ("effective_speed", "pumping speed at the chamber", "the pump-down", True),
)


def doc_1(inputs, job) -> Found:
    lacking = [
        (label.format(gas=_gas_name(job)), rule)
        for name, label, rule, pumped in NEEDED
        if inputs[name] is None and (job.pumped or not pumped)
    ]
    end = max(row["temperature"] for row in inputs["holding_powers"])
    highest = inputs["maximum_temperature"]
    if end + constant("run.extrapolate") < job.peak_k and (highest is None or job.peak_k <= highest):
        lacking.append((f"holding power above {said.celsius(end)}", "RMP-2 and the cooling"))
    values = {
        "fields": wording.listed(label for label, _ in lacking),
        "rules": wording.listed(dict.fromkeys(rule for _, rule in lacking)),
    }
    return Found("outside" if lacking else "within", values=values)


# ---------------------------------------------------------------- record, temperature, load


def doc_2(inputs, run) -> Found:
    due = inputs["record_review_due"]
    return Found("close" if due < inputs["run_date"] else "within", str(inputs["run_date"]), str(due), {"date": due})


def tmp_4(inputs, run) -> Found:
    gap, margin = inputs["maximum_temperature"] - run.job.peak_k, constant("run.near_maximum")
    values = {"gap": said.kelvins(gap), "margin": said.kelvins(margin)}
    return Found(
        "close" if gap < margin else "within",
        said.celsius(run.job.peak_k),
        said.celsius(inputs["maximum_temperature"]),
        values,
    )


def lim_1(inputs, run) -> Found:
    tested, alone = inputs["limiter_tested"], not inputs["attended"] and run.job.peak_k > constant("run.unattended_hot")
    if tested is None:
        return Found("cannot_say")
    if _age(inputs, tested) <= constant("run.limiter_age"):
        return Found("within", str(tested), "12 months", {"date": tested})
    return Found("outside" if alone else "close", str(tested), "12 months", {"date": tested})


def _age(inputs, day) -> float:
    """Return how old a day is at the run, s; a day after the run counts as no test at all."""
    age = (inputs["run_date"] - day) / timedelta(seconds=1)
    return age if age >= 0 else float("inf")


def oxi_3(inputs, run) -> Found:
    metals = [name for name in TAKE_UP if run.job.holds(name)]
    taken = [name for name in ("nitrogen", "hydrogen") if name in run.job.shares]
    if not metals:
        return Found(values={"said": "No such metal is named in the load."})
    values = {
        "metal": _capital(wording.listed(metals)),
        "gas": wording.listed(taken),
        "said": f"{_capital(wording.listed(metals))} in {run.job.gas}.",
    }
    return Found("outside" if taken else "within", values=values)


def load_5(inputs, run) -> Found:
    water = inputs["water_estimate"]
    wet = water > 0 and run.job.pumped
    values = {
        "mass": said.mass(water), "vapour": said.litres(water / gases.gas("water vapour").molar_mass, "up"),
        "said": "The chamber is not pumped." if water else "No water is reckoned with.",
    }  # fmt: skip
    return Found("close" if wet else "within", values["mass"], "", values)


def vac_2(inputs, run) -> Found:
    powder = run.job.pumped and any(row["form"] == "powder" for row in inputs["load"])
    return Found("close" if powder else "within")


def vac_3(inputs, run) -> Found:
    if not run.job.pumped:
        return Found(values={"said": "The chamber is not pumped."})
    if "hydrogen" in run.job.shares:
        burns = fuel_index(run.job.shares) > 1
        words = "The pump draws gas that burns in air." if burns else "The pump draws gas with hydrogen in it."
        return Found("outside" if burns else "close", values={"said": words})
    return Found(values={"said": "Air and inert gas suit an oil-sealed pump."})


# ---------------------------------------------------------------- pressure


def prs_1(inputs, run) -> Found:
    above = run.hold_pa - run.ambient_pa
    relief, rated = inputs["relief_pressure"] - run.ambient_pa, inputs["maximum_pressure"] - run.ambient_pa
    values = {
        "hold": said.both(run.hold_pa, run.ambient_pa), "relief": said.mbar(relief), "rated": said.mbar(rated),
        "ambient": said.mbar(run.ambient_pa, 4),
    }  # fmt: skip
    limit = min(relief / 2, rated)
    bad = above > limit * (1 + 1e-9) + 1e-6 or relief > rated
    return Found("outside" if bad else "within", f"{said.mbar(above)} gauge", f"{said.mbar(limit)} gauge", values)


def prs_3(inputs, run) -> Found:
    return Found()


def prs_4(inputs, run) -> Found:
    values = {"ambient": said.mbar(run.ambient_pa, 4), "said": inputs.ambient_said}
    return Found("within", values["ambient"], "", values)


def prs_5(inputs, run) -> Found:
    if inputs["ambient_pressure"] is None or inputs["altitude"] is None:
        return Found(values={"said": "One of the two is given."})
    note = air.check_station(inputs["ambient_pressure"], inputs["altitude"])
    return Found("close" if note else "within", values={"said": note or "They agree within 2 %."})


# ---------------------------------------------------------------- oxygen and leak


def res_2(inputs, run) -> Found:
    return Found("within" if inputs["analyser"] or run.job.is_air else "close", _yes(inputs["analyser"]), "yes")


def leak_3(inputs, run) -> Found:
    tested = inputs["leak_tested"]
    if tested is None:
        return Found("cannot_say", values={"said": "No accepted rise test of the empty furnace is recorded."})
    if _age(inputs, tested) > constant("run.leak_age"):
        return Found(
            "cannot_say",
            str(tested),
            "90 days",
            {"said": f"The last accepted rise test is of {tested}, not within 90 days before the run."},
        )
    return Found("within", str(tested), "90 days", {"date": tested})


# ---------------------------------------------------------------- gas


def gas_1(inputs, run) -> Found:
    if run.job.is_air:
        return Found(values={"need": said.litres(run.gas_mol, "up"), "usable": "as much as the air supply gives"})
    if run.cylinder_mol is None:
        return Found("cannot_say")
    need = constant("run.gas_margin") * run.gas_mol + run.cooling_gas
    usable = run.cylinder_mol - run.reserve_mol
    values = {"need": said.litres(need, "up"), "usable": said.litres(usable, "down")}
    verdict = "outside" if need > usable else "within"
    return Found(verdict, values["need"], values["usable"], values)


def gas_2(inputs, run) -> Found:
    gauge, least = inputs["cylinder_pressure"] - run.ambient_pa, constant("run.lowest_cylinder")
    values = {"pressure": said.bars(gauge)}
    return Found(
        "outside" if gauge < least and not run.job.is_air else "within", values["pressure"], said.bars(least), values
    )


def gas_4(inputs, run) -> Found:
    scale, low = inputs["controller_range"], constant("run.controller_low") * inputs["controller_range"]
    flows = [s.flow for s in run.stretches]
    odd = next((f for f in flows if not low * (1 - 1e-9) <= f <= scale * (1 + 1e-9)), None)
    shown = odd if odd is not None else max(flows)
    values = {"flow": said.flow(shown), "scale": said.flow(scale), "low": said.flow(low)}
    return Found(
        "close" if odd is not None else "within", values["flow"], f"{values['low']} to {values['scale']}", values
    )


def gas_6(inputs, run) -> Found:
    carbon = run.job.carbon or inputs["element_material"] == "graphite"
    values = {"temperature": said.celsius(run.job.peak_k), "said": "No hot carbon meets a gas that attacks it."}
    if carbon and "carbon dioxide" in run.job.shares and run.job.peak_k > constant("run.carbon_dioxide_limit"):
        return Found(
            "outside",
            values=values | {"gas": "Carbon dioxide", "product": "carbon monoxide, which poisons without smell"},
        )
    if carbon and "nitrogen" in run.job.shares and run.job.peak_k > constant("run.nitrogen_carbon_limit"):
        return Found("outside", values=values | {"gas": "Nitrogen", "product": "poisonous cyanogen compounds"})
    return Found(values=values)


# ---------------------------------------------------------------- room


def room_1(inputs, run) -> Found:
    if run.job.is_air:
        return Found(values={"said": "Air is the gas."})
    if (lacking := _room_lacks(inputs, run)) is not None:
        return Found("cannot_say", values={"said": lacking})
    values, low = _release(run), constant("safety.oxygen_minimum")
    if carbon_dioxide := _carbon_dioxide(inputs, run):
        return carbon_dioxide
    if run.room_worst >= low:
        return Found(
            "within",
            values["oxygen"],
            said.percent(low),
            values | {"said": f"{values['oxygen']} oxygen would be left."},
        )
    if inputs["oxygen_monitor"]:
        return Found("within", values["oxygen"], said.percent(low), values | {"said": "There is an alarm: see ROOM-2."})
    return Found("outside", values["oxygen"], said.percent(low), values)


def room_2(inputs, run) -> Found:
    if run.job.is_air or not inputs["oxygen_monitor"]:
        return Found(values={"said": "Air is the gas." if run.job.is_air else "There is no alarm: see ROOM-1."})
    if (lacking := _room_lacks(inputs, run)) is not None:
        return Found("cannot_say", values={"said": lacking})
    values, low, least = _release(run), constant("safety.oxygen_minimum"), constant("run.alarm_lowest")
    if run.room_worst >= low:
        return Found(
            "within",
            values["oxygen"],
            said.percent(low),
            values | {"said": f"{values['oxygen']} oxygen would be left."},
        )
    if run.room_worst >= least:
        return Found("close", values["oxygen"], said.percent(low), values | {"said": "The alarm is what warns."})
    return Found(
        "outside",
        values["oxygen"],
        said.percent(least),
        values | {"said": f"Below {said.percent(least)} an alarm comes too late."},
    )


def _room_lacks(inputs, run) -> str | None:
    lacking = [
        label
        for name, label in (("room_volume", "the room's volume"), ("air_changes", "its fresh air"))
        if inputs[name] is None
    ]
    if lacking:
        return f"Without {wording.listed(lacking)} nobody can say what a leak or a release does to this room."
    if run.released_m3 is None:
        return "What the cylinder holds is not known, so neither is what it would do to this room."
    return None


def _release(run) -> dict:
    return {"released": said.volume(run.released_m3), "oxygen": said.percent(run.room_worst, "down")}


def _carbon_dioxide(inputs, run) -> Found | None:
    """Carbon dioxide harms long before it takes the oxygen away."""
    if run.job.shares.get("carbon dioxide", 0.0) == 0:
        return None
    values = _release(run)
    return Found(
        "outside", values["oxygen"], "", values | {"oxygen": "far too much carbon dioxide beside " + values["oxygen"]}
    )


def room_3(inputs, run) -> Found:
    if inputs["exhaust"] != "room":
        return Found(
            values={
                "said": f"The exhaust goes to {'the outdoors' if inputs['exhaust'] == 'outdoors' else 'extraction'}."
            }
        )
    dirty = [name for name in run.job.shares if name not in INERT and name != "air"]
    dirty += ["binder fume"] if inputs["binder_share"] else []
    dirty += ["fume of a volatile constituent"] if inputs["volatile"] else []
    dirty += ["carbon dioxide"] if "carbon dioxide" in run.job.shares else []
    return Found(
        "outside" if dirty else "within", values={"said": "Clean inert gas only.", "what": wording.listed(dirty)}
    )


def room_4(inputs, run) -> Found:
    if inputs["air_changes"] is None:
        return Found(
            "cannot_say",
            values={"said": "Without the fresh air of the room its oxygen in normal running cannot be said."},
        )
    if inputs["exhaust"] != "room" or run.job.is_air:
        return Found(values={"said": "No inert gas is let into the room."})
    if inputs["room_volume"] is None:
        return Found(
            "cannot_say", values={"said": "Without the room's volume its oxygen in normal running cannot be said."}
        )
    fresh = inputs["air_changes"] * inputs["room_volume"] / 3600
    gas = max(s.flow + max(s.gas_change, 0.0) * (s.leg.change_k > 0) for s in run.stretches)
    oxygen = derive.room_oxygen_running(gas, run)
    caution = constant("safety.oxygen_comfort")
    verdict = room_oxygen.judge_oxygen(oxygen)
    values = {"oxygen": said.percent(oxygen, "down"), "air": f"{wording.number(fresh * 3600, 3)} m³/h"}
    return Found(
        verdict,
        values["oxygen"],
        said.percent(caution),
        values | {"said": f"{values['oxygen']} at the end of the run."},
    )


# ---------------------------------------------------------------- programme


def rmp_2(inputs, run) -> Found:
    full, share, by = inputs["heater_power"], constant("run.power_share"), run.furnace.short
    heating = [s for s in run.stretches if s.leg.change_k > 0]
    if not heating:
        words = f"Nothing is heated; holding takes {said.power(run.power_peak, 'up')} of {said.power(full)}."
        return Found("within", said.power(run.power_peak), said.power(full), {"said": words})
    worst_one = max(heating, key=lambda s: s.power_w)
    asked, given = said.power(worst_one.power_w, "up"), said.power(full, "down")
    words, remedy = f"At most {asked} of {given}, {by}.", "Use a slower ramp above that temperature"
    verdict = "outside" if worst_one.power_w > full else "close" if worst_one.power_w > share * full else "within"
    if run.unreached:
        end = said.celsius(run.unreached.leg.end_k)
        words, remedy = f"{given} never reach {end}, {by}.", "Lower the temperature, or use a furnace with more power"
    elif verdict == "outside":
        behind = said.whole_celsius(worst_one.went.behind_k or worst_one.leg.end_k)
        late = said.time(run.late_s, "up")
        words = f"The ramp asks for {asked} of {given}: it cannot follow above {behind}; {late} late, {by}."
    elif verdict == "close":
        words = f"The ramp asks for {asked} of {given} at its end, {by}: old elements or low mains fall behind."
    return Found(verdict, asked, given, {"said": words, "remedy": remedy})


def rmp_3(inputs, run) -> Found:
    limit = inputs["furnace_ramp_limit"]
    asked = [s.leg for s in run.stretches if s.leg.duration_s is not None]
    verdict = programme.check_ramps(asked, limit, "furnace", programme.CLOSE_TO_FURNACE).verdict
    values = {"ramp": _steepest(asked), "limit": said.ramp(limit, "down")}
    return Found(verdict if verdict != "close" else "within", values["ramp"], values["limit"], values)


def _steepest(path) -> str:
    return said.ramp(max(leg.rate_k_per_s or 0.0 for leg in path), "up")


def rmp_4(inputs, run) -> Found:
    if inputs["element_material"] != "MoSi2" or not run.job.is_air:
        return Found(values={"said": "No such elements in air."})
    low, high, rate = constant("run.pest_low"), constant("run.pest_high"), constant("run.pest_rate") * (1 - 1e-9)
    time = sum(derive.slow_between(stretch.curve, low, high, rate) for stretch in run.stretches)
    return Found(
        "close" if time > 0 else "within",
        values={"time": said.time(time, "up"), "said": "The band is crossed at 1 K/min or faster."},
    )


def col_1(inputs, run) -> Found:
    found = heat_checks.load_limit(inputs, stress.COOLING)
    cooling = [s for s in run.stretches if s.leg.change_k < 0]
    if found is None or not cooling:
        return Found(values={"said": "No limit is given."})
    limit, what, _ = found
    rate = max(s.went.steepest for s in cooling)
    values = {
        "rate": said.ramp(rate, "up"),
        "limit": said.ramp(limit, "down"),
        "said": f"At most {said.ramp(rate, 'up')}; {what} survives {said.ramp(limit, 'down')}.",
    }
    return Found("close" if rate > limit * (1 + 1e-9) else "within", values["rate"], values["limit"], values)


def opn_1(inputs, run) -> Found:
    planned, limit = inputs["planned_opening_temperature"], inputs["opening_temperature"]
    values = {"planned": said.celsius(planned), "limit": said.celsius(limit)}
    return Found("outside" if planned > limit + 1e-6 else "within", values["planned"], values["limit"], values)


# ---------------------------------------------------------------- people and what went before


def att_1(inputs, run) -> Found:
    alone = not inputs["attended"]
    bad = alone and not inputs["unattended_allowed"]
    words = "Somebody is there." if not alone else "The record allows hot running with nobody there."
    return Found(
        "outside" if bad else "within",
        "nobody" if alone else "somebody",
        "",
        {"time": said.time(run.hot_s, "up"), "said": words},
    )


def att_2(inputs, run) -> Found:
    nightly = [
        f"{point} at {run.clock(event.start_s):%H:%M}"
        for point, event in hold_events(run)
        if _is_night(run.clock(event.start_s))
    ]
    return Found(values={"said": f"At night: {wording.listed(nightly)}." if nightly else "None falls into the night."})


def hold_events(run) -> list[tuple[str, object]]:
    """Return the hold points with the event at whose start each is signed."""
    soak = next((i for i, s in enumerate(run.stretches) if s.leg.change_k == 0), None)
    found = [("H1", run.events[0]), ("H2", run.events[1]), ("H3", run.event("segment", 0))]
    found += [("H4", run.event("segment", soak))] if soak is not None else []
    return [*found, ("H5", run.event("equalise"))]


def _is_night(moment) -> bool:
    return moment.hour >= NIGHT[0] or moment.hour < NIGHT[1]


def clean_1(inputs, run) -> Found:
    words = re.findall(r"[a-z]+", inputs["last_content"].casefold().replace("lead-free", ""))
    found = [word for word in OLD_RESIDUE if word in words]
    return Found(
        "close" if found else "within",
        values={"what": wording.listed(found), "said": f"Last: {inputs['last_content']}."},
    )


def trust_1(found: list[Result]) -> Found:
    points = unchecked.points(found)
    pages = dict.fromkeys(row["page"] for row in points if row["page"])
    named = [*list(pages)[:PAGES_SHOWN], *(["others"] if len(pages) > PAGES_SHOWN else [])]
    words = f"{wording.count(len(points), 'point')}, those of {wording.listed(named)}; nor the quality of the result"
    return Found(values={"said": words})


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _gas_name(job) -> str:
    return job.gas if len(job.shares) == 1 else "the mixture"


EARLY = (
    ("LOAD-1", load_1), ("LOAD-2", load_2), ("LOAD-3", load_3), ("LOAD-3b", load_checks.load_3b),
    ("LOAD-4", load_checks.load_4), ("ATM-1", atm_1), ("ATM-2", atm_2), ("ATM-3", atm_3), ("ATM-4", atm_4), ("TMP-1", tmp_1), ("VAC-1", vac_1), ("DOC-1", doc_1),
)  # fmt: skip
LATE = (
    ("DOC-2", doc_2), ("TMP-4", tmp_4), ("LIM-1", lim_1), ("OXI-3", oxi_3), ("LOAD-5", load_5), ("VAC-2", vac_2),
    ("VAC-3", vac_3), ("PRS-1", prs_1), ("PRS-3", prs_3), ("PRS-4", prs_4), ("PRS-5", prs_5),
    ("RES-2", res_2), ("LEAK-3", leak_3), ("GAS-1", gas_1), ("GAS-2", gas_2),
    ("GAS-4", gas_4), ("GAS-6", gas_6), ("ROOM-1", room_1), ("ROOM-2", room_2),
    ("ROOM-3", room_3), ("ROOM-4", room_4), ("RMP-1", heat_checks.rmp_1), ("RMP-2", rmp_2), ("RMP-3", rmp_3), ("RMP-4", rmp_4),
    ("COL-1", col_1), ("OPN-1", opn_1), ("ATT-1", att_1), ("ATT-2", att_2), ("CLEAN-1", clean_1),
    *fit_checks.LATE, *gas_checks.LATE, *heat_checks.LATE, *pressure_checks.LATE,
)  # fmt: skip
LAST = (("TRUST-1", trust_1),)  # judged on what the others found
ALL = EARLY + LATE + LAST
