"""Does a mixture burn: the index, the limits, dilution and purging, and above all what is refused."""

import pytest

import calcs
from calcs.safety import flammable

BUILT = {"built_for_flammable_gas": "yes", "gas_monitor": "yes"}


def rows(text):
    """Rows of a mixture written as "argon 98 %, hydrogen 2 %"."""
    parts = [part.rsplit(" ", 2) for part in text.split(", ")]
    return [{"gas": gas, "share": f"{share} {unit}"} for gas, share, unit in parts]


def work(mode="mixture", mixture=None, **changed):
    typed = calcs.example("flammable", mode) | changed
    if mixture:
        typed["mixture"] = rows(mixture)
    return calcs.work_out("flammable", typed)


# ---------------------------------------------------------------- mixture


def test_two_per_cent_of_hydrogen_in_argon_does_not_burn():
    answer = work()

    assert answer.verdict == "within" and answer.figures["non_flammable"].value == "yes"
    assert answer.figures["index"].value == pytest.approx(2 / (2 + 0.55 * 98) / 0.055)
    assert {"It burns where it is hot", "Air without oxygen"} <= {c.hazard for c in answer.cautions}


def test_five_per_cent_is_non_flammable_in_nitrogen_and_burns_in_argon():
    assert work(mixture="nitrogen 95 %, hydrogen 5 %").verdict == "close"
    assert work(mixture="argon 95 %, hydrogen 5 %").refusal.reason == "flammable_gas"


@pytest.mark.parametrize("gas", flammable.INERTS)
def test_the_index_is_one_at_the_largest_share(gas):
    share = flammable.largest_share(0.055, flammable.coefficients()[gas])

    assert flammable.index({"hydrogen": share}, {gas: 1 - share}) == pytest.approx(1)
    assert flammable.index({"hydrogen": share * 1.001}, {gas: 1 - share * 1.001}) > 1


def test_a_cylinder_that_could_burn_within_its_tolerance_is_named():
    answer = work(mixture="argon 97.1 %, hydrogen 2.9 %")

    assert answer.verdict == "close" and any("certified maximum" in note for note in answer.notes)
    assert not any("certified maximum" in note for note in work().notes)


def test_a_mixture_that_burns_is_outside_even_where_the_furnace_is_built_for_it():
    answer = work(mixture="argon 90 %, hydrogen 10 %", **BUILT)

    assert answer.verdict == "outside" and answer.figures["non_flammable"].value == "no"
    assert any("interlock" in note for note in answer.notes)
    assert [c.word for c in answer.cautions].count("DANGER") == 1


def test_two_supplies_are_judged_as_fuel_alone():
    answer = work(premixed="no", **BUILT)

    assert answer.verdict == "outside"
    assert answer.figures["index"].value == pytest.approx(1 / 0.055)


def test_what_is_not_said_is_not_taken_as_good():
    assert work(premixed="").verdict == "close"
    assert work(exhaust="room").verdict == "close"
    assert work(exhaust="room", gas_monitor="yes").verdict == "within"


def test_pure_inert_gas_needs_no_index():
    answer = work(mixture="argon 100 %")

    assert answer.figures["index"].value == 0 and answer.verdict == "within"
    assert "Air without oxygen" in {c.hazard for c in answer.cautions}


def test_the_order_and_the_units_of_the_rows_do_not_matter():
    assert work(mixture="hydrogen 20000 ppm, argon 98 %").figures["index"].value == pytest.approx(
        work().figures["index"].value
    )
    assert work(mixture="argon 50 %, hydrogen 2 %, argon 48 %").figures["index"].value == pytest.approx(
        work().figures["index"].value
    )


def test_a_pasted_line_is_taken_apart():
    typed = calcs.example("flammable") | {"mixture": "argon 98 % · H2 2 %"}

    assert calcs.work_out("flammable", typed).figures["index"].value == pytest.approx(work().figures["index"].value)


# ---------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    "mixture, reason",
    [
        ("argon 96 %, hydrogen 4 %", "flammable_gas"),
        ("hydrogen 100 %", "flammable_gas"),
        ("argon 94 %, hydrogen 2 %, oxygen 4 %", "air_in_fuel"),
        ("air 98 %, hydrogen 2 %", "air_in_fuel"),
        ("argon 98 %, carbon monoxide 2 %", "toxic_gas"),
        ("nitrogen 98 %, ammonia 2 %", "toxic_gas"),
        ("argon 99 %, acetylene 1 %", "unstable_gas"),
        ("argon 99 %, silane 1 %", "unstable_gas"),
        ("argon 99 %, another gas 1 %", "no_data"),
        ("argon 90 %, hydrogen 2 %", "mixture_sum"),
    ],
)
def test_refuses_a_mixture(mixture, reason):
    answer = work(mixture=mixture)

    assert answer.refusal.reason == reason and not answer.figures and answer.refusal.why


@pytest.mark.parametrize(
    "mixture", ["air 98 %, hydrogen 2 %", "argon 98 %, carbon monoxide 2 %", "argon 99 %, silane 1 %"]
)
def test_a_furnace_built_for_fuel_changes_nothing_about_these(mixture):
    assert work(mixture=mixture, **BUILT).refusal.reason == work(mixture=mixture).refusal.reason


@pytest.mark.parametrize("mode", ["mixture", "flammability limits", "dilution", "purge before fuel", "hydrogen limit"])
@pytest.mark.parametrize("built", ["yes", "no"])
def test_never_tells_how_to_mix_light_or_burn_off(mode, built):
    answer = work(mode, handling="mixed, lit or burnt off", built_for_flammable_gas=built)

    assert answer.refusal.reason == "procedure_asked"


def test_refuses_to_mix_on_site():
    assert work(premixed="no").refusal.reason == "mixed_on_site"


@pytest.mark.parametrize("mode", ["dilution", "purge before fuel"])
@pytest.mark.parametrize("gas", flammable.FUELS)
def test_refuses_pure_fuel_unless_the_furnace_is_built_for_it(mode, gas):
    reason = "toxic_gas" if flammable.fuels()[gas].toxic else "flammable_gas"

    assert work(mode, gas=gas).refusal.reason == reason


@pytest.mark.parametrize("mode", ["dilution", "purge before fuel"])
@pytest.mark.parametrize("gas", ["carbon monoxide", "ammonia"])
def test_refuses_poison_in_any_furnace(mode, gas):
    """A quarter of the lower limit of carbon monoxide is 27 000 ppm, which kills in minutes."""
    assert work(mode, gas=gas, **BUILT).refusal.reason == "toxic_gas"


def test_limits_of_a_mixture_that_burns_are_refused_too():
    assert work("flammability limits", mixture="hydrogen 100 %").refusal.reason == "flammable_gas"


def test_limits_without_fuel_are_a_problem():
    with pytest.raises(calcs.Problems) as caught:
        work("flammability limits", mixture="argon 100 %")

    assert "mixture" in caught.value.problems


# ---------------------------------------------------------------- limits, dilution, purge


@pytest.mark.parametrize("gas", flammable.FUELS)
def test_wider_is_never_narrower(gas):
    pairs = {name: flammable.limits_of({gas: 1.0}, name) for name in ("IEC", "NFPA", "wider")}

    assert pairs["wider"][0] == min(pairs["IEC"][0], pairs["NFPA"][0])
    assert pairs["wider"][1] == max(pairs["IEC"][1], pairs["NFPA"][1])


def test_heat_widens_the_limits_and_cold_does_not_narrow_them():
    assert flammable.hot_limits(0.04, 0.77, 280.0) == (0.04, 0.77)
    lower, upper = flammable.hot_limits(0.04, 0.77, 1273.0)

    assert 0 < lower < 0.04 and upper == 1.0


def test_ignition_by_itself_is_said_where_it_is_hot():
    hot = work("flammability limits", gas_temperature="600 °C")

    assert any("by itself" in note and "no longer protect" in note for note in hot.notes)


def test_a_limit_of_poison_is_not_a_limit_of_health():
    answer = work("flammability limits", mixture="nitrogen 50 %, carbon monoxide 50 %", **BUILT)

    assert "Poison far below the limit" in {c.hazard for c in answer.cautions}


def test_diluted_gas_is_at_the_share_of_the_limit():
    flow = 2.0
    air = work("dilution", **BUILT).figures["dilution_air"].value * 6e4

    assert flow / (flow + air) == pytest.approx(0.25 * 0.04)


def test_a_stale_limit_cannot_make_the_dilution_thinner():
    propane = work("dilution", gas="propane", **BUILT).figures["dilution_air"].value
    stale = work("dilution", gas="propane", lower_limit="4.0 %", **BUILT)
    lower = work("dilution", gas="propane", lower_limit="1 %", **BUILT)

    assert stale.figures["dilution_air"].value == propane and any("is used" in note for note in stale.notes)
    assert lower.figures["dilution_air"].value > propane


def test_diluted_gas_in_the_room_is_outside():
    assert work("dilution", exhaust="room", **BUILT).verdict == "outside"
    assert work("dilution", built_for_flammable_gas="yes", gas_monitor="no").verdict == "close"


@pytest.mark.parametrize("gas", [g for g in flammable.FUELS if not flammable.fuels()[g].toxic])
def test_a_purge_is_never_under_five_volumes_nor_trusted(gas):
    answer = work("purge before fuel", gas=gas, **BUILT)
    volumes = answer.figures["purge_volumes"]

    assert answer.verdict == "cannot_say" and "analyser" in answer.sentence
    assert volumes.low_value == 5 and volumes.low_value < volumes.value < volumes.high_value
    assert answer.figures["oxygen"].high_value > 0.05  # poorly mixed, the same volumes leave a mixture that burns


def test_the_pores_are_counted():
    assert any("658" in note for note in work("purge before fuel", **BUILT).notes)
    assert any("147" in note for note in work("purge before fuel", pore_volume="0 L", **BUILT).notes)


# ---------------------------------------------------------------- tables


def test_the_tables_are_whole():
    assert len(flammable.fuels()) == 7 and len(flammable.coefficients()) == 7
    assert flammable.fuels()["hydrogen"].tci == 0.055 and flammable.coefficients()["argon"] == 0.55
    for fuel in flammable.fuels().values():
        assert all(fuel.lower[s] < fuel.upper[s] < 1 for s in ("iec", "nfpa")), fuel.name
