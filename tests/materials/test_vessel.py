"""Sizes of a box and a tube, and which kind of chamber suits a task."""

from math import log, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs import solids
from calcs.heat.lining import fibre_conductivity
from calcs.materials import vessel

BOX, TUBE, WHICH = "box", "tube", "which kind"


def work(mode=BOX, **changed):
    return calcs.work_out("vessel", calcs.example("vessel", mode) | changed)


def kinds(**changed):
    """The verdict on each kind, as its word."""
    return {row["kind"]: row["verdict"] for row in work(WHICH, **changed).figures["comparison"].rows}


def reason(kind, **changed):
    return next(r["reason"] for r in work(WHICH, **changed).figures["comparison"].rows if r["kind"] == kind)


# ---------------------------------------------------------------- from the sizes


def test_the_example_is_the_furnace_of_the_story():
    figures = work().figures

    assert figures["free_volume"].value == pytest.approx(0.024)
    assert figures["gas_volume"].value == pytest.approx(0.1077)
    assert figures["insulation_mass"].value == pytest.approx(17.67)
    assert figures["wall_loss"].value == pytest.approx(0.12 * sqrt(0.502 * 1.438) * 555 / 0.1)


def test_gas_fills_the_whole_shell_less_the_fibres():
    useful, insulation, gas = vessel.box_volumes(0.3, 0.25, 0.32, 0.1, 0.9)

    assert useful + insulation == pytest.approx(0.5 * 0.45 * 0.52)
    assert gas == pytest.approx(useful + 0.9 * insulation)


def test_a_thin_lining_is_a_flat_wall():
    """Area over thickness tends to that of the inner face as the lining gets thin."""
    inner = 2 * (0.3 * 0.25 + 0.3 * 0.32 + 0.25 * 0.32)

    assert vessel.box_shape(0.3, 0.25, 0.32, 1e-6) * 1e-6 == pytest.approx(inner, rel=1e-4)


@pytest.mark.parametrize("bore, heated, thickness", [(0.01, 0.01, 0.5), (0.08, 0.4, 0.1), (0.5, 5.0, 0.01)])
def test_the_tube_agrees_with_a_library(bore, heated, thickness):
    conduction = pytest.importorskip("ht.conduction")
    resistance = conduction.R_cylinder(bore, bore + 2 * thickness, 1.0, heated)

    assert vessel.tube_shape(bore, heated, thickness) == pytest.approx(1 / resistance)


def test_the_mean_conductivity_is_the_integral_over_the_temperatures():
    steps = 400
    temperatures = [318 + (873 - 318) * (i + 0.5) / steps for i in range(steps)]
    mean = sum(fibre_conductivity("argon", t, 101325, 190) for t in temperatures) / steps

    assert vessel.mean_fibre_conductivity("argon", 873, 318, 190) == pytest.approx(mean, rel=2e-3)


def test_gas_and_vacuum_change_the_loss():
    losses = {
        gas: work(gas=gas, mean_conductivity="").figures["wall_loss"].value
        for gas in ("vacuum", "argon", "air", "hydrogen")
    }

    assert list(losses.values()) == sorted(losses.values())
    assert losses["hydrogen"] > 2 * losses["air"]


@pytest.mark.parametrize("gas", list(vessel.STAND_IN))
def test_a_gas_without_data_is_never_given_less_loss_than_its_stand_in(gas):
    assert work(gas=gas, mean_conductivity="").figures["wall_loss"].value == pytest.approx(
        work(gas=vessel.STAND_IN[gas], mean_conductivity="").figures["wall_loss"].value
    )


def test_a_typed_conductivity_has_the_smaller_spread():
    typed, modelled = work().figures["wall_loss"], work(mean_conductivity="").figures["wall_loss"]

    assert typed.low_value / typed.value == pytest.approx(0.85)
    assert modelled.low_value / modelled.value == pytest.approx(0.7)
    assert typed.high_value == pytest.approx(2 * typed.value)


@pytest.mark.parametrize("mode", [BOX, TUBE])
def test_purge_gas_is_the_volume_changes_at_room_temperature(mode):
    figures = work(mode).figures
    changes = log(0.20946 / 20e-6)

    assert figures["volume_changes"].value == pytest.approx(changes, rel=1e-4)
    expected = figures["gas_volume"].value * changes * 273.15 / solids.ROOM_K
    assert figures["purge_gas"].value == pytest.approx(expected, rel=1e-4)


def test_without_an_oxygen_limit_there_is_no_purge():
    assert "purge_gas" not in work(target_oxygen="").figures
    assert "purg" not in work(target_oxygen="").sentence


@pytest.mark.parametrize("name", ["inner_width", "inner_height", "inner_depth", "insulation_thickness"])
def test_a_larger_box_holds_more_gas(name):
    volumes = [work(**{name: size}).figures["gas_volume"].value for size in ("60 mm", "120 mm", "240 mm", "480 mm")]

    assert volumes == sorted(volumes) and len(set(volumes)) == 4


def test_the_answer_does_not_depend_on_the_unit():
    first = work()
    same = work(
        inner_width="0.3 m", inner_height="25 cm", insulation_thickness="10 cm", insulation_density="0.19 g/cm3",
        chamber_temperature="873.15 K", target_oxygen="20000 ppb",
    )  # fmt: skip

    for name in [n for n, figure in first.figures.items() if figure.is_number]:
        assert same.figures[name].value == pytest.approx(first.figures[name].value), name


def test_a_tube_without_a_heated_length_says_so():
    answer = work(TUBE, heated_length="")

    assert "load_volume" not in answer.figures and any("heated length" in note for note in answer.notes)
    assert answer.figures["wall_loss"].value > work(TUBE).figures["wall_loss"].value


def test_a_tube_offers_all_its_gas_to_the_purge_and_part_of_it_to_the_load():
    figures = work(TUBE).figures

    assert figures["free_volume"].value == figures["gas_volume"].value == pytest.approx(0.00452389, rel=1e-5)
    assert figures["load_volume"].low_value == pytest.approx(0.3 * 0.5 * 0.00452389 * 400 / 900, rel=1e-5)
    assert figures["load_volume"].high_value == pytest.approx(2 * figures["load_volume"].low_value)


def test_a_cold_chamber_has_no_loss():
    answer = work(chamber_temperature="40 °C")

    assert "wall_loss" not in answer.figures and any("not hotter" in note for note in answer.notes)


@given(
    width=st.floats(0.05, 2), height=st.floats(0.05, 2), depth=st.floats(0.05, 2), thickness=st.floats(0.01, 0.5),
    porosity=st.floats(0, 0.98),
)  # fmt: skip
@settings(max_examples=100, deadline=None, derandomize=True)
def test_gas_lies_between_useful_space_and_shell(width, height, depth, thickness, porosity):
    useful, insulation, gas = vessel.box_volumes(width, height, depth, thickness, porosity)

    assert useful <= gas <= useful + insulation
    inner = 2 * (width * height + width * depth + height * depth)
    assert vessel.box_shape(width, height, depth, thickness) > inner / thickness


# ---------------------------------------------------------------- which kind


def test_the_example_names_retort_and_bell():
    answer = work(WHICH)

    assert answer.verdict == "within" and answer.judged
    assert kinds() == {
        "fibre-lined box": "Close to a limit", "ceramic muffle": "Cannot say", "tube": "Close to a limit",
        "metal retort": "Within limits", "bell": "Within limits",
    }  # fmt: skip
    suit = {row["kind"] for row in answer.figures["recommended"].rows}
    rest = {row["kind"] for row in answer.figures["not_recommended"].rows}
    assert suit | rest == set(kinds()) and not suit & rest


def test_titanium_keeps_fibre_out_of_the_gas():
    task = {"load_material": "titanium", "chamber_temperature": "700 °C", "load_volume": "0.5 L"}

    found = kinds(**task, residual_limit="5 ppm")
    assert found["fibre-lined box"] == "Outside limits"
    assert found["metal retort"] == found["tube"] == "Within limits"
    assert "bake it out" in reason("fibre-lined box", **task, residual_limit="500 ppm")


@pytest.mark.parametrize(
    "kind, cool, warm, hot",
    [
        ("metal retort", "1050 °C", "1051 °C", "1101 °C"), ("ceramic muffle", "1200 °C", "1201 °C", "1501 °C"),
        ("fibre-lined box", "1100 °C", "1101 °C", "1601 °C"), ("tube", "1500 °C", "1501 °C", "1701 °C"),
    ],
)  # fmt: skip
def test_heat_decides(kind, cool, warm, hot):
    task = {"load_material": "", "residual_limit": "", "target_oxygen": "", "load_volume": ""}
    found = [kinds(**task, chamber_temperature=t)[kind] for t in (cool, warm, hot)]

    assert found == ["Within limits", "Close to a limit", "Outside limits"]


def test_hot_vacuum_rules_out_muffle_and_hot_retort():
    found = kinds(hot_vacuum="yes", chamber_temperature="950 °C")

    assert found["metal retort"] == found["ceramic muffle"] == "Outside limits"
    assert found["bell"] == "Cannot say" and found["fibre-lined box"] == "Close to a limit"
    assert kinds(hot_vacuum="yes", chamber_temperature="850 °C")["metal retort"] == "Close to a limit"
    assert kinds(gas="vacuum", chamber_temperature="950 °C") == found


def test_hydrogen_is_never_without_a_condition():
    found = kinds(hydrogen="yes")

    assert "Within limits" not in found.values() and found["ceramic muffle"] == "Outside limits"
    assert kinds(gas="hydrogen") == found
    assert [c.hazard for c in work(WHICH, hydrogen="yes").cautions] == ["Fuel in the furnace"]


def test_binder_needs_its_own_way_out():
    assert kinds(binder="yes")["bell"] == "Outside limits"
    assert "Fume from binder" in {c.hazard for c in work(WHICH, binder="yes").cautions}


def test_a_load_ten_times_too_large_rules_a_kind_out():
    assert kinds(load_volume="0.8 L")["tube"] == "Within limits"
    assert kinds(load_volume="8 L")["tube"] == "Close to a limit"
    assert kinds(load_volume="8.1 L")["tube"] == "Outside limits"


def test_less_than_a_ppm_has_its_condition_everywhere():
    found = kinds(residual_limit="", target_oxygen="0.5 ppm", load_volume="")

    assert "Within limits" not in found.values()


def test_nothing_left_is_outside():
    answer = work(WHICH, chamber_temperature="1900 °C", load_volume="1000 L")

    assert answer.verdict == "outside" and "recommended" not in answer.figures
    assert answer.sentence.startswith("No kind of chamber")


def test_a_hotter_task_is_never_borne_by_more_kinds():
    order = ["Within limits", "Close to a limit", "Cannot say", "Outside limits"]
    before = None
    for hot in range(100, 2000, 100):
        now = [order.index(v) for v in kinds(chamber_temperature=f"{hot} °C", hot_vacuum="yes").values()]
        assert before is None or all(a <= b for a, b in zip(before, now, strict=True))
        before = now


def test_the_drawing_shows_three_sections():
    (drawing,) = work().pictures

    words = {shape.text for shape in drawing.shapes if hasattr(shape, "text")}
    assert {"fibre-lined box", "tube", "metal retort", "open gas", "insulation"} <= words
    assert len(drawing.table.columns) == 6


# ---------------------------------------------------------------- problems


@pytest.mark.parametrize(
    "mode, changed, field",
    [
        (BOX, {"inner_width": "49 mm"}, "inner_width"),
        (BOX, {"inner_depth": "2.01 m"}, "inner_depth"),
        (BOX, {"insulation_thickness": "9 mm"}, "insulation_thickness"),
        (BOX, {"insulation_porosity": "0.99"}, "insulation_porosity"),
        (BOX, {"insulation_density": "0 kg/m3"}, "insulation_density"),
        (BOX, {"mean_conductivity": "", "chamber_temperature": "1700 °C"}, "mean_conductivity"),
        (BOX, {"target_oxygen": "0 ppm"}, "target_oxygen"),
        (BOX, {"target_oxygen": "21 %"}, "target_oxygen"),
        (TUBE, {"tube_bore": "9 mm"}, "tube_bore"),
        (TUBE, {"heated_length": "901 mm"}, "heated_length"),
        (WHICH, {"load_material": "moon rock"}, "load_material"),
        (WHICH, {"chamber_temperature": "2001 °C"}, "chamber_temperature"),
        (WHICH, {"load_volume": "-1 L"}, "load_volume"),
    ],
)
def test_what_is_not_possible_is_a_problem(mode, changed, field):
    with pytest.raises(calcs.Problems) as caught:
        work(mode, **changed)

    assert field in caught.value.problems


def test_the_ends_are_answered():
    assert work(inner_width="50 mm", inner_height="2 m", insulation_thickness="500 mm").figures
    assert work(TUBE, heated_length="900 mm").figures
    assert work(mean_conductivity="", chamber_temperature="1600 °C").figures
