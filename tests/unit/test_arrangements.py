"""From a brief to parts: nets, names, heat paths, what the file spells out, and mistakes at their place."""

import pytest

from outboard.arrangements import designed, respread
from outboard.arrangements.transistor_figures import Place, transistor_figures
from outboard.brief import read_text
from outboard.errors import WrongInput
from outboard.identify import identified
from outboard.network.part import Heat
from outboard.parts import find

KELVIN = 273.15

PROMISED = """\
[input]
voltage = ["16 V", "18 V", "20 V"]
resistance = "50 mΩ"
[output]
voltage = "12 V"
load = ["0 A", "2 A", "5 A"]
"""

SINK = """\
[heat.sinks]
main = "0.7 K/W"
[heat]
pass = { sink = "main", pad = "0.5 K/W" }
"""


def bypass(more="", pass_type="MJ2955", heat="", parts=""):
    return f'{PROMISED}[stage]\narrangement = "bypass"\nregulator = "7812"\npass = "{pass_type}"\n{more}\n{heat}{parts}'


def compound(more="", driver="BD140", pass_type="2N3055", heat="", parts=""):
    stage = f'arrangement = "compound"\nregulator = "7812"\ndriver = "{driver}"\npass = "{pass_type}"\n'
    return f"{PROMISED}[stage]\n{stage}{more}\n{heat}{parts}"


def design(text):
    return designed(read_text(text, "design.toml"))


def pins(design):
    return {part.name: " ".join(part.part.pins.values()) for part in design.parts}


def mistakes(text):
    with pytest.raises(WrongInput) as refused:
        design(text)
    return refused.value.mistakes


# --- nets -------------------------------------------------------------------------------------------------------------


def test_bypass_of_one_device():
    assert pins(design(bypass())) == {
        "input": "in ground", "load": "out ground", "U1": "x out ground", "R1": "in x", "Q1": "out x in",
    }  # fmt: skip


def test_bypass_of_three_devices_has_ballast_in_each_emitter():
    found = pins(design(bypass("count = 3")))
    assert {name: found[name] for name in ("Q1", "Q2", "Q3")} == {"Q1": "out x e1", "Q2": "out x e2", "Q3": "out x e3"}
    assert {name: found[name] for name in ("R3", "R4", "R5")} == {"R3": "in e1", "R4": "in e2", "R5": "in e3"}
    assert "R2" not in found


def test_compound_of_one_device():
    found = pins(design(compound()))
    assert {name: found[name] for name in found if name[0] in "QR"} == {
        "R1": "in x", "Q1": "y x in", "R2": "y out", "Q2": "in y out",
    }  # fmt: skip


def test_compound_of_two_devices_keeps_the_bleed_behind_the_ballast():
    found = pins(design(compound("count = 2")))
    assert {name: found[name] for name in found if name[0] in "QR" and name not in ("R1", "Q1")} == {
        "R2": "y out", "Q2": "in y e1", "Q3": "in y e2", "R3": "out e1", "R4": "out e2",
    }  # fmt: skip


def test_written_ballast_serves_a_single_device_too_and_none_is_none():
    assert pins(design(bypass('ballast = "0.1 Ω"')))["Q1"] == "out x e1"
    assert pins(design(bypass('ballast = "0 Ω"\ncount = 2')))["Q2"] == "out x in"


def test_bleed_can_be_left_out():
    assert "R2" not in pins(design(compound('bleed = "none"')))


def test_usual_values_of_input_and_load():
    found = design(compound())
    assert found.part("input").part.values == {"voltage": 18.0, "resistance": 0.05}
    assert found.part("load").part.values == {"draws": 2.0}


def test_roles():
    found = design(compound("count = 2", heat=SINK))
    assert {part.name: part.role for part in found.parts} == {
        "input": "input", "load": "load", "U1": "regulator", "R1": "base resistor", "Q1": "driver", "R2": "bleed",
        "R3": "ballast", "R4": "ballast", "Q2": "pass device", "Q3": "pass device", "sink main": "sink",
    }  # fmt: skip


def test_explicit_parts_alone():
    text = '[[parts]]\nname = "R7"\nkind = "resistor"\npins = { a = "out", b = "ground" }\nresistance = "10 Ω"\n'
    found = design(f"{PROMISED}{text}")
    assert [part.name for part in found.parts] == ["input", "load", "R7"]
    assert found.part("R7").role == "resistor"


# --- heat -------------------------------------------------------------------------------------------------------------


def test_mounted_and_bare_devices():
    """R_thJC of the 2N3055 is 1.52 K/W, R_thJA of a BD140 100 K/W (their sheets)."""
    found = design(compound(heat=SINK))
    assert found.part("Q2").part.heat == Heat("main", 1.52 + 0.5)
    assert found.part("Q2").pad == 0.5
    assert found.part("Q1").part.heat == Heat("ambient", 100.0)
    assert found.part("Q1").pad is None
    assert found.part("sink main").part.pins == {"a": "main", "b": "ambient"}
    assert found.part("sink main").part.values == {"resistance": 0.7}


# --- what the file spells out -----------------------------------------------------------------------------------------

OWN_DRIVER = """
[[parts]]
name = "Q1"
kind = "bipolar"
polarity = "pnp"
pins = { collector = "y", base = "x", emitter = "in" }
type = "TIP32C"
emitter_resistance = "0.25 Ω"
heat = { to = "clip", resistance = "5 K/W", pad = "1 K/W" }
[[parts]]
name = "clip to air"
kind = "thermal_resistance"
pins = { a = "clip", b = "ambient" }
resistance = "9 K/W"
"""


def test_a_part_of_the_same_name_takes_place_and_role_of_the_stage_s():
    usual, found = design(compound()), design(compound(parts=OWN_DRIVER))
    names = [part.name for part in usual.parts]
    assert [part.name for part in found.parts] == [*names, "clip to air"]
    driver = found.part("Q1")
    assert (driver.role, driver.type.name, driver.part.heat, driver.pad) == ("driver", "TIP32C", Heat("clip", 5.0), 1.0)


def test_written_values_stand_over_those_of_the_type():
    driver = design(compound(parts=OWN_DRIVER)).part("Q1")
    sheet = identified(find("TIP32C"))
    assert driver.part.values == {**sheet.values, "emitter_resistance": 0.25}
    assert driver.identified.origins["emitter_resistance"].kind == "stated"
    assert driver.identified.origins["forward_gain"] == sheet.origins["forward_gain"]
    assert driver.identified.spread("V_BE") is None, "the sheet's spread is not that of a stated value"
    assert driver.identified.spread("gain") == sheet.spread("gain")


def test_input_and_load_can_be_replaced():
    load = '[[parts]]\nname = "load"\nkind = "load"\npins = { plus = "out", minus = "ground" }\nresistance = "6 Ω"\n'
    found = design(compound(parts=load))
    assert found.part("load").part.values == {"resistance": 6.0}
    assert found.part("load").role == "load"
    assert len(found.with_role("load")) == 1


RESISTOR = '[[parts]]\nname = "R9"\nkind = "resistor"\npins = { a = "out", b = "ground" }\nresistance = "1 kΩ"\n'


def test_tolerance_and_rating_of_written_resistors():
    bought = 'tolerance = "1 %"\nrated_power = "0.6 W"\nrole = "standing load"\n'
    exact = design(compound(parts=RESISTOR + bought)).part("R9")
    assert (exact.tolerance, exact.rated_power.power, exact.role) == (0.01, 0.6, "standing load")
    assert exact.rated_power.full_power_temperature == pytest.approx(343.15)
    assert exact.part.values == {"resistance": 1000.0}
    usual = design(compound('resistors = "2 %"', parts=RESISTOR)).part("R9")
    assert (usual.tolerance, usual.rated_power) == (0.02, None)
    alone = design(PROMISED + RESISTOR).part("R9")
    assert (alone.tolerance, alone.tolerance_origin.kind) == (0.05, "default")


def test_respread_moves_the_spread_and_keeps_the_usual_values():
    """Least h_FE of the 2N3055 is 20 at 4 A, 5 at 10 A (its sheet): at 8 A the least device has less than at 4 A."""
    part = design(compound()).part("Q2")
    moved = respread(part, 8.0)
    assert moved.part == part.part and moved.identified.values == part.identified.values
    assert moved.identified.spread("gain").least < part.identified.spread("gain").least
    assert respread(part, 1e-9) == part
    stated = respread(design(compound(parts=OWN_DRIVER)).part("Q1"), 0.4)
    assert stated.part.values["emitter_resistance"] == 0.25 and stated.identified.spread("V_BE") is None


# --- mistakes ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "where", "write"),
    [
        (bypass(pass_type="2N3055"), "stage.pass", 'pass = "MJ2955"'),
        (bypass(pass_type="TIP3055"), "stage.pass", 'pass = "TIP2955"'),
        (compound(pass_type="MJ2955"), "stage.pass", 'pass = "2N3055"'),
        (compound(driver="BD139"), "stage.driver", 'driver = "BD140"'),
        (compound(driver="BD 140"), "stage.driver", 'driver = "BD140"'),
        (compound(pass_type="7812"), "stage.pass", ""),
    ],
)  # fmt: skip
def test_types_that_do_not_fit_the_arrangement(text, where, write):
    (mistake,) = mistakes(text)
    assert mistake.where == where
    key = where.removeprefix("stage.")
    lines = text.splitlines()
    assert lines[mistake.line - 1].startswith(f'{key} = ') and mistake.column == len(key) + 4
    assert mistake.file == "design.toml" and mistake.what.startswith(f"{key} in [stage]: ")
    assert write in mistake.write and (mistake.write or not write)


def test_all_mistakes_of_a_stage_at_once():
    assert [mistake.where for mistake in mistakes(compound(driver="BD139", pass_type="2N3056"))] == [
        "stage.driver", "stage.pass",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "where", "said", "write"),
    [
        ('"TIP32C"', '"TIP32"', "parts.Q1.type", "no 'TIP32'", 'type = "TIP32C"'),
        ('"TIP32C"', '"2N3055"', "parts.Q1.polarity", "2N3055 is NPN, not PNP", '"npn" or type = "MJ2955"'),
        ('"TIP32C"', '"7805"', "parts.Q1.kind", "7805 is a regulator", 'kind = "regulator"'),
    ],
)  # fmt: skip
def test_types_of_explicit_parts(old, new, where, said, write):
    text = compound(parts=OWN_DRIVER.replace(old, new))
    (mistake,) = mistakes(text)
    assert mistake.where == where and said in mistake.what and write in mistake.write
    assert text.splitlines()[mistake.line - 1] == "[[parts]]"


def test_a_value_that_a_pair_does_not_have_is_refused():
    """The leakage of one emitter makes no sense for two transistors in one package."""
    new = OWN_DRIVER.replace('"TIP32C"', '"TIP127"').replace("emitter_resistance", "emitter_leakage_current")
    (mistake,) = mistakes(compound(parts=new.replace("0.25 Ω", "1 pA")))
    assert mistake.where == "parts.Q1.emitter_leakage_current" and "TIP127 holds a pair" in mistake.what


def test_hand_figures_of_a_pair_count_two_junctions():
    """V_BE falls faster than one junction's can, −2.3 mV/K at most (recalled), and gain with twice the exponent."""
    place = Place("Q1", 2.0, 4.0, KELVIN - 10.0, KELVIN + 100.0)
    figures = transistor_figures(find("TIP122"), place)
    warm = transistor_figures(find("TIP122"), Place("Q1", 2.0, 4.0, KELVIN + 25.0, KELVIN + 100.0))
    slope = (figures.most_voltage.value - warm.most_voltage.value) / 35.0
    assert 2.3e-3 < slope < 4.6e-3
    assert warm.least_gain.value / figures.least_gain.value == pytest.approx((298.15 / 263.15) ** 3.0, rel=1e-6)
    assert 1.1 < figures.onset.value < 1.6 and not figures.overstrained
