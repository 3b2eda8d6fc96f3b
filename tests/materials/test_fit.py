"""What may touch what: the rules of reading, the worked answers, the table itself, and what it refuses."""

import sys
from subprocess import run

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calcs
from calcs import data
from calcs.materials import fit, fit_rules

ZERO = 273.15
ALONE = {"element_material": "", "wall_material": "", "sensor": "", "load": "", "answers": "", "oxygen": "",
         "built_for_flammable_gas": "no", "premixed": "yes"}  # fmt: skip


def work(**changed):
    return calcs.work_out("fit", {n: v for n, v in (calcs.example("fit") | changed).items() if v != ""})


def only(**given):
    """A question with nothing in it but what is given."""
    return work(**(ALONE | given))


def rows(answer):
    return {(row["a"], row["b"]): row for row in answer.figures["pairs"].si_rows}


def plain(text):
    return text.replace("\u00a0", " ")


# ---------------------------------------------------------------- the example


def test_the_example_leaves_one_condition_open():
    answer = work()

    assert answer.verdict == "close" and answer.judged
    assert answer.figures["element_temperature"].value == pytest.approx(700 + ZERO)
    assert answer.figures["worst"].value == "F311"
    assert [row["row"] for row in answer.figures["questions"].si_rows] == ["F311"]
    assert len(answer.figures["pairs"].si_rows) == 6
    assert rows(answer)["copper, oxygen-free", "alumina"]["row"] == "F163"
    assert "600 °C is close" in plain(answer.sentence) and "Still to be answered: 1 condition." in plain(
        answer.sentence
    )


def test_an_answer_closes_its_question():
    answer = work(answers="F008 yes · F311 yes")

    assert answer.verdict == "within" and "questions" not in answer.figures
    assert "No row speaks against 6 pairs at 600 °C in argon" in plain(answer.sentence)


def test_an_answer_that_denies_takes_the_row_away():
    answer = work(answers="F008 no · F311 yes")

    assert answer.verdict == "cannot_say"
    assert rows(answer)["FeCrAl element", "argon"]["verdict"] == "Cannot say"


def test_the_unit_changes_nothing():
    same = work(chamber_temperature="873.15 K", element_difference="180 °F", oxygen="8000 ppb")

    assert same.verdict == work().verdict
    assert same.figures["pairs"].si_rows == work().figures["pairs"].si_rows


# ---------------------------------------------------------------- worked answers


@pytest.mark.parametrize(
    "given, verdict, row",
    [
        ({"element_material": "FeCrAl", "chamber_temperature": "1050 °C"}, "close", "F008"),
        ({"element_material": "FeCrAl", "chamber_temperature": "1050 °C", "answers": "F008 yes"}, "within", "F008"),
        ({"element_material": "FeCrAl", "chamber_temperature": "1150 °C"}, "close", "F009"),
        ({"element_material": "MoSi2", "gas": "hydrogen", "chamber_temperature": "1300 °C",
          "built_for_flammable_gas": "yes", "frost_point": "-60 °C"}, "outside", "F048"),
        ({"load": "titanium, touches nothing", "gas": "nitrogen", "chamber_temperature": "700 °C"}, "outside", "F213"),
        ({"load": "titanium, touches alumina", "chamber_temperature": "700 °C", "answers": "F218 yes"}, "close", "F168"),
        ({"load": "titanium, touches nickel alloy", "chamber_temperature": "900 °C"}, "outside", "F197"),
        ({"load": "steel, touches graphite", "chamber_temperature": "1150 °C"}, "outside", "F141"),
        ({"load": "graphite, touches nothing", "wall_material": "alumina-silica fibre", "gas": "vacuum",
          "chamber_temperature": "1200 °C"}, "outside", "F158"),
        ({"load": "graphite, touches nothing", "wall_material": "alumina-silica fibre",
          "chamber_temperature": "1100 °C", "answers": "F311 yes"}, "close", "F159"),
        ({"load": "graphite, touches nothing", "wall_material": "alumina-silica fibre",
          "chamber_temperature": "1250 °C"}, "outside", "F160"),
        ({"sensor": "type S", "gas": "forming gas", "chamber_temperature": "1000 °C"}, "outside", "F118"),
        ({"sensor": "type K", "chamber_temperature": "950 °C", "oxygen": "100 ppm"}, "close", "F112"),
        ({"load": "copper, tough-pitch, touches nothing", "gas": "forming gas", "oxygen": "5 ppm"}, "outside", "F240"),
        ({"load": "copper, oxygen-free, touches nothing", "gas": "forming gas", "oxygen": "5 ppm"}, "within", "F242"),
        ({"load": "brass, touches nothing", "gas": "vacuum", "chamber_temperature": "450 °C"}, "outside", "F249"),
        ({"wall_material": "310 steel", "gas": "vacuum", "chamber_temperature": "950 °C"}, "outside", "F101"),
        ({"wall_material": "310 steel", "chamber_temperature": "950 °C"}, "within", "F307"),
        ({"wall_material": "310 steel", "gas": "carbon monoxide", "built_for_flammable_gas": "yes"}, "outside", "F238"),
    ],
)  # fmt: skip
def test_worked_answer(given, verdict, row):
    answer = only(**given)

    assert (answer.verdict, answer.figures["worst"].value) == (verdict, row)


def test_electroless_nickel_melts_on_its_own_part():
    answer = only(load="electroless-nickel plated steel, touches nothing", chamber_temperature="900 °C")

    assert answer.verdict == "outside"
    assert rows(answer)["electroless-nickel plated steel", "its own parts"]["row"] == "F207"


def test_graphite_bears_fibre_in_argon_until_a_thousand_degrees():
    answer = only(load="graphite, touches nothing", wall_material="alumina-silica fibre", chamber_temperature="900 °C",
                  answers="F311 yes")  # fmt: skip

    assert answer.verdict == "within"


# ---------------------------------------------------------------- what is not known


def test_a_name_that_the_table_does_not_know_is_never_within():
    answer = only(load="unobtainium, touches alumina", answers="F008 yes")

    assert answer.verdict == "cannot_say" and answer.figures["worst"].value == "no row"
    assert "never allowed" in answer.sentence


@pytest.mark.parametrize(
    "name", ["titanium carbide", "copper phosphide", "steel wool soap", "silicon carbide fibre", "lead-free brass"]
)
def test_nothing_is_guessed_from_a_part_of_a_name(name):
    assert fit_rules.known_name(name) is None


@pytest.mark.parametrize(
    "said, grade, name",
    [("Cu", "", "copper"), ("steel", "stainless", "stainless"), ("316L", "", "stainless"), ("Brass", "", "brass"),
     ("copper", "oxygen-free", "copper"), ("copper", "beryllium", "beryllium copper"), ("PTFE", "", "halide")],
)  # fmt: skip
def test_names(said, grade, name):
    assert fit_rules.known_name(said, grade) == name


@given(
    one=st.sampled_from(sorted({r.a for r in fit_rules.table()} | set(fit_rules.families()))),
    other=st.sampled_from(sorted({r.a for r in fit_rules.table()} | set(fit_rules.families()))),
    gas=st.sampled_from([g for g in fit.GASES if g != "mixture"]),
    celsius=st.floats(0, 2000),
)
@settings(max_examples=300, deadline=None, derandomize=True)
def test_within_always_has_a_row_behind_it(one, other, gas, celsius):
    kelvin = celsius + ZERO
    found = fit_rules.pairs({gas: 1.0}, kelvin, kelvin, load=[{"material": one, "touches": other}], built=True)

    assert found
    by_id = {row.id: row for row in fit_rules.table()}
    for pair in found:
        if pair.verdict == "within":
            row = by_id[pair.row]
            assert row.verdict == "within" and row.covers(pair.celsius) and pair.row != fit_rules.NO_ROW_ID
        if pair.row in by_id:
            assert by_id[pair.row].kind == "general" or by_id[pair.row].covers(pair.celsius)


def test_a_warning_for_any_gas_does_not_make_a_gas_known():
    """Fused quartz in carbon dioxide is in no row at 1000 °C, so the warning from 1050 °C up must not turn it into close."""
    for celsius in ("1000 °C", "1100 °C"):
        assert (
            only(wall_material="fused quartz", gas="carbon dioxide", chamber_temperature=celsius).verdict
            == "cannot_say"
        )
    assert only(wall_material="fused quartz", chamber_temperature="1100 °C").verdict == "close"


def test_a_mixture_is_known_only_if_each_gas_is():
    argon = only(sensor="type N", gas="argon")
    both = only(sensor="type N", gas="mixture", mixture="argon 50 % · carbon dioxide 50 %")

    assert argon.verdict == "within" and both.verdict == "cannot_say"


def test_between_vacuum_and_gas_both_speak():
    given = {"load": "titanium, touches nothing", "chamber_temperature": "500 °C", "gas": "nitrogen"}
    pumped = fit_rules.Gas({"argon": 1.0}, pressure_pa=1000.0)

    assert pumped.names == ("argon", "vacuum")
    assert fit_rules.Gas({"argon": 1.0}, pressure_pa=1.0).names == ("vacuum",)
    assert fit_rules.Gas({"helium": 1.0}, pressure_pa=1e5).names == ("argon",)
    assert "F219" in rows(only(**given, chamber_pressure="10 mbar"))["titanium", "nitrogen and vacuum"]["row"]


def test_the_upper_end_of_a_row_is_outside_it():
    below, at = (only(sensor="type N", chamber_temperature=t).verdict for t in ("1099.9 °C", "1100 °C"))

    assert (below, at) == ("within", "cannot_say")


def test_elements_of_molybdenum_are_looked_up_as_loads_in_forming_gas():
    answer = only(element_material="molybdenum", gas="forming gas", chamber_temperature="800 °C", frost_point="-50 °C")

    assert answer.verdict == "close" and {"F068", "F070"} <= set(
        rows(answer)["molybdenum element", "forming gas"]["row"].replace(",", "").split()
    )


# ---------------------------------------------------------------- conditions


def test_air_holds_oxygen_whatever_was_typed():
    answer = only(load="copper, oxygen-free, touches alumina", gas="air", oxygen="8 ppm", chamber_temperature="140 °C")

    assert rows(answer)["copper, oxygen-free", "alumina"]["verdict"] == "Cannot say"


def test_a_number_beats_an_answer():
    assert (
        only(load="copper, oxygen-free, touches nothing", oxygen="500 ppm", answers="F243 yes").verdict == "cannot_say"
    )


def test_a_frost_point_grants_dryness_but_never_lifts_a_stop():
    known = {
        "element_material": "MoSi2",
        "gas": "hydrogen",
        "built_for_flammable_gas": "yes",
        "chamber_temperature": "1300 °C",
    }

    assert rows(only(**known, frost_point="-5 °C"))["MoSi2 element", "hydrogen"]["row"].startswith("F048")
    dry = {"element_material": "NiCr", "gas": "forming gas", "chamber_temperature": "600 °C"}
    assert only(**dry).verdict == "close"
    assert only(**dry, frost_point="-50 °C").verdict == "within"
    assert only(**dry, frost_point="-30 °C").verdict == "cannot_say"


def test_stainless_in_hydrogen_asks_for_the_dryness_of_its_chromium():
    given = {"load": "stainless, touches nothing", "gas": "hydrogen", "built_for_flammable_gas": "yes",
             "chamber_temperature": "1100 °C"}  # fmt: skip

    assert "F232" in rows(only(**given, frost_point="-60 °C"))["stainless", "hydrogen"]["row"]
    assert "F232" not in rows(only(**given, frost_point="-10 °C"))["stainless", "hydrogen"]["row"]


def test_worse_ranges_on_the_way_up_are_named():
    answer = only(element_material="NiCr", chamber_temperature="1000 °C")

    assert answer.verdict == "within"
    assert any("F580" in note and "800 °C to 1050 °C" in plain(note) for note in answer.notes)


def test_an_alloy_is_held_below_its_melting_range():
    cold, near, hot = (
        only(load="bronze, touches nothing", chamber_temperature=t, oxygen="1 ppm")
        for t in ("700 °C", "776 °C", "850 °C")
    )

    assert "its own melting" not in {b for _, b in rows(cold)}
    assert rows(near)["bronze", "its own melting"]["verdict"] == "Close to a limit"
    assert hot.verdict == "outside"


def test_typed_r_and_b_sensors_fear_what_s_fears():
    for sensor in ("type S", "type R", "type B"):
        assert only(sensor=sensor, load="lead, touches nothing", chamber_temperature="350 °C").verdict == "outside"


# ---------------------------------------------------------------- fuel


@pytest.mark.parametrize(
    "mixture, built, verdict",
    [("nitrogen 97 % · hydrogen 3 %", "no", "within"), ("argon 95 % · hydrogen 5 %", "no", "outside"),
     ("argon 95 % · hydrogen 5 %", "yes", "close"), ("air 97 % · hydrogen 3 %", "yes", "outside")],
)  # fmt: skip
def test_hydrogen_is_judged_by_the_index(mixture, built, verdict):
    found = fit_rules.pairs(_shares(mixture), 373.15, 373.15, built=built == "yes", premixed=True)

    assert (found[0].verdict if found else "within") == verdict


def _shares(mixture):
    return {part.split()[0]: float(part.split()[1]) / 100 for part in mixture.split(" · ")}


def test_hydrogen_mixed_on_site_is_outside():
    answer = only(sensor="type N", gas="mixture", mixture="nitrogen 97 % · hydrogen 3 %", premixed="no")

    assert answer.verdict == "outside" and "pre-mix" in answer.sentence


@pytest.mark.parametrize("name", ["premixed", "built_for_flammable_gas"])
def test_hydrogen_asks_for_two_facts(name):
    with pytest.raises(calcs.Problems) as caught:
        only(sensor="type N", gas="mixture", mixture="nitrogen 97 % · hydrogen 3 %", **{name: ""})

    assert list(caught.value.problems) == [name]


# ---------------------------------------------------------------- refusals, problems, cautions


def test_nothing_to_compare_is_refused():
    answer = only()

    assert answer.refusal.reason == "nothing_to_compare" and not answer.figures


@pytest.mark.parametrize(
    "changed, field",
    [
        ({"gas": "mixture"}, "mixture"),
        ({"gas": "mixture", "mixture": "nitrogen 50 % · argon 30 %"}, "mixture"),
        ({"answers": "F001 yes"}, "answers"),
        ({"answers": "F999 yes"}, "answers"),
        ({"answers": "F008 yes · F008 no"}, "answers"),
        ({"gas": "vacuum", "chamber_pressure": "1005 mbar"}, "chamber_pressure"),
        ({"element_temperature": "500 °C"}, "element_temperature"),
        ({"chamber_temperature": "2001 °C"}, "chamber_temperature"),
        ({"element_difference": "301 K"}, "element_difference"),
        ({"load": "copper"}, "load"),
        ({"gas": "steam"}, "gas"),
    ],
)
def test_what_cannot_be_used_is_said_beside_its_field(changed, field):
    with pytest.raises(calcs.Problems) as caught:
        work(**changed)

    assert field in caught.value.problems


def test_element_temperature_alone_is_enough():
    answer = only(element_material="FeCrAl", chamber_temperature="", element_temperature="1150 °C")

    assert answer.figures["worst"].value == "F008" and any("Without a chamber temperature" in n for n in answer.notes)


def test_a_default_difference_has_a_range():
    figure = only(element_material="FeCrAl", element_difference="").figures["element_temperature"]

    assert (figure.low_value, figure.value, figure.high_value) == pytest.approx((650 + ZERO, 700 + ZERO, 750 + ZERO))


@pytest.mark.parametrize(
    "given, hazard",
    [
        ({"load": "cadmium, touches nothing"}, "Toxic fume"),
        ({"load": "sealed container, touches nothing"}, "Fire or burst"),
        ({"wall_material": "fused quartz", "gas": "vacuum"}, "Chamber under vacuum"),
        (
            {"load": "graphite, touches nothing", "gas": "carbon dioxide", "chamber_temperature": "800 °C"},
            "Carbon monoxide",
        ),
        ({"sensor": "type N", "gas": "forming gas"}, "Fuel in the furnace gas"),
        ({"wall_material": "alumina-silica fibre", "chamber_temperature": "1000 °C"}, "Dust of used fibre"),
        ({"load": [{"material": "titanium", "form": "powder"}]}, "Fire or burst"),
    ],
)
def test_what_can_hurt_is_said(given, hazard):
    assert hazard in {caution.hazard for caution in only(**given).cautions}


def test_the_example_has_no_caution():
    assert work().cautions == ()


# ---------------------------------------------------------------- the table itself


def test_the_table_is_whole():
    table = fit_rules.table()

    assert len(table) == 617 and [row.id for row in table] == [f"F{n:03d}" for n in range(1, 618)]
    for row in table:
        assert row.kind in ("element-gas", "wall-gas", "solid-gas", "sensor", "contact", "load-volatile", "general"), (
            row.id
        )
        assert row.verdict in ("within", "close", "outside") and row.standing, row.id
        assert row.low is None or row.high is None or row.low < row.high, row.id
        assert row.test.split()[0] in fit_rules.TESTS, row.id
        assert row.kind == "contact" or row.b in (*fit.GASES, "any") or row.kind == "sensor", row.id


def test_every_other_name_leads_into_the_table():
    names = {name for row in fit_rules.table() for name in (row.a, row.b)} | set(fit_rules.families())

    for row in data.rows("materials/fit_names.csv"):
        assert row["name"] in names, row
    for name, family in fit_rules.families().items():
        assert {*family.parts, *family.contact_parts, *family.vacuum_parts} <= names, name


def test_every_choice_of_the_form_has_rows():
    spoken = {row.a for row in fit_rules.table()}

    assert {*fit.ELEMENTS, *fit.WALLS, *fit.SENSORS} <= spoken


# Rows F148 to F150, F163, F174 and F182 are crucibles for the melt itself.
# Melting points, CRC Handbook of Chemistry and Physics, °C (known, source not looked up).
MELTING = {"aluminium": 660, "silver": 962, "gold": 1064, "copper": 1085, "silicon": 1414, "nickel": 1455, "cobalt": 1495,
           "iron": 1538, "palladium": 1555, "titanium": 1668, "platinum": 1768, "zirconium": 1855, "chromium": 1907,
           "vanadium": 1910, "niobium": 2477, "molybdenum": 2623, "tantalum": 3017, "tungsten": 3422}  # fmt: skip


def test_no_row_lets_a_metal_be_solid_above_its_melting_point():
    for row in fit_rules.table():
        for name in (row.a, row.b):
            if name in MELTING and row.verdict == "within" and row.kind in ("solid-gas", "contact"):
                assert row.high <= MELTING[name] or row.id in ("F148", "F149", "F150", "F163", "F174", "F182"), row.id


# Eutectics in °C, Binary Alloy Phase Diagrams (known, source not looked up).
EUTECTIC = {("graphite", "iron"): 1147, ("graphite", "nickel"): 1327, ("graphite", "cobalt"): 1320,
            ("nickel", "titanium"): 942, ("iron", "titanium"): 1085, ("copper", "titanium"): 875, ("copper", "silver"): 779,
            ("aluminium", "copper"): 548, ("aluminium", "silicon"): 577, ("gold", "silicon"): 363, ("iron", "zirconium"): 928,
            ("molybdenum", "nickel"): 1309, ("platinum", "silicon"): 830, ("nickel", "sulphur"): 637}  # fmt: skip


@pytest.mark.parametrize("one, other", EUTECTIC)
def test_what_melts_together_is_outside_from_below_its_eutectic(one, other):
    kelvin = EUTECTIC[one, other] + ZERO
    for first, second in ((one, other), (other, one)):
        found = fit_rules.pairs({"argon": 1.0}, kelvin, kelvin, load=[{"material": first, "touches": second}])

        assert any(p.verdict == "outside" and {p.a, p.b} == {one, other} for p in found)


def test_the_table_is_not_read_at_the_start():
    """Asked for only when a question is put; the site starts without it."""
    code = "import calcs.materials.fit as f, calcs.materials.fit_rules as r; print(r.table.cache_info().currsize)"
    done = run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "0"


def test_the_plain_function_gives_the_same_verdict():
    found = fit.pairs({"argon": 1.0}, 873.15, 973.15, "FeCrAl", "alumina-silica fibre", "type N",
                      [{"material": "copper", "grade": "oxygen-free", "touches": "alumina"}], oxygen=8e-6,
                      answers={"F008": True})  # fmt: skip

    assert [p.row for p in found] == [row["row"].split(",")[0] for row in work().figures["pairs"].si_rows]
