"""`derive` against printed examples and textbook forms: nothing is typed in but the figures of the example.

Roy Choudhury and Jain, *Linear Integrated Circuits*, ex. 6.1 p. 246, and Floyd, *Electronic Devices*, ex. 17.4 p. 557,
17.7 and 17.8 p. 572, were read in written-out copies of the printed books (second-hand).
"""

import pytest
from hand_networks import ENDLESS, derivation, load, regulator, resistor, result, supply, transistor

from outboard.explain.asked import Derivation
from outboard.explain.expression import value
from outboard.explain.writing import written

# --- Roy Choudhury and Jain, ex. 6.1: a PNP transistor past a 5 V regulator, 7 Ω, V_EB(on) = 1 V, gain 15 -----------


def bypass(ohms: float) -> list[str]:
    return [supply(12), resistor("R1", "in", "x", 7), transistor("Q1", "pnp", "out", "x", "in", 15, 1.0), regulator(5),
            load(ohms=ohms)]  # fmt: skip


def test_roy_choudhury_6_1_below_turn_on() -> None:
    """100 Ω: the load takes 50 mA, all of it through the regulator; the transistor is off."""
    found = derivation(bypass(100), quantities=("I_REG", "I_C1", "I_O"))
    assert ("Q1", "off") in found.doing
    assert 1e3 * result(found, "I_REG").value == pytest.approx(50, abs=0.5)
    assert 1e3 * result(found, "I_O").value == pytest.approx(50, abs=0.5)
    assert result(found, "I_C1").value == pytest.approx(0.0, abs=1e-12)


def test_roy_choudhury_6_1_at_5_amperes() -> None:
    """1 Ω: regulator 446 mA, transistor 4.55 A."""
    found = derivation(bypass(1), quantities=("I_REG", "I_C1"))
    assert 1e3 * result(found, "I_REG").value == pytest.approx(446, abs=0.5)
    assert result(found, "I_C1").value == pytest.approx(4.55, abs=0.005)


def test_base_resistor_of_the_same_example_by_inversion() -> None:
    """R1 = h_FE·V_BE/[I_REG(h_FE + 1) − I_O], LM340 data sheet as corrected: 446.4286 mA at 5 A give 7.000 Ω."""
    parts = [*bypass(1)[:-1], load(5)]
    found = result(derivation(parts, quantities=("I_REG",), find="R1", target=0.446428571), "I_REG").inverse
    assert found is not None and found.why == ""
    assert found.value == pytest.approx(7.0, abs=5e-4)


def test_the_division_is_named_after_the_book() -> None:
    parts = [*bypass(1)[:-1], load(5)]
    found = derivation(parts, quantities=("I_REG", "I_C1"))
    for name in ("I_REG", "I_C1"):
        (same,) = [entry for entry in result(found, name).coincides if entry.ours == name]
        assert same.published.source == "RoyChoudhury-6.1" and same.left_out == ()


# --- makers' notes -------------------------------------------------------------------------------------------------


def test_nec_4_2_by_inversion() -> None:
    """NEC G12702EJ8V0UM00 p. 17: V_BE 0.7 V, h_FE 50, 1 A through the regulator, 2 Ω: I_O = 33.5 A (worked out)."""
    parts = [supply(20), resistor("R1", "in", "x", 2), transistor("Q1", "pnp", "out", "x", "in", 50, 0.7), regulator(5),
             load(10)]  # fmt: skip
    found = result(derivation(parts, quantities=("I_REG",), find="I_O", target=1.0), "I_REG").inverse
    assert found is not None and found.value == pytest.approx(33.5, abs=0.05)


def sharing(emitter: float, lead: float, v_be: float, amperes: float) -> list[str]:
    return [supply(20), resistor("R2", "in", "x", lead), resistor("R1", "in", "e", emitter),
            transistor("Q1", "pnp", "out", "x", "e", ENDLESS, v_be), regulator(5), load(amperes)]  # fmt: skip


def test_sharing_by_a_pair_of_resistors() -> None:
    """Hobby article on sharing: 0.7 Ω in the lead, 0.3 Ω in the emitter, V_BE 0.7 V, regulator at 2 A: 4.3 A in all."""
    parts = sharing(0.3, 0.7, 0.7, 4.0)
    found = result(derivation(parts, quantities=("I_REG",), find="I_O", target=2.0), "I_REG").inverse
    assert found is not None and found.value == pytest.approx(4.3, abs=0.05)


def test_floyd_17_8() -> None:
    """24 V, 10 Ω, 0.7 A through the regulator (1 Ω and 0.7 V, ex. 17.7): load 2.4 A, transistor 1.7 A."""
    parts = [supply(30), resistor("R1", "in", "x", 1), transistor("Q1", "pnp", "out", "x", "in", ENDLESS, 0.7),
             regulator(24), load(ohms=10)]  # fmt: skip
    found = derivation(parts, quantities=("I_REG", "I_C1", "I_O"))
    assert [round(result(found, name).value, 6) for name in ("I_REG", "I_C1", "I_O")] == [0.7, 1.7, 2.4]


def test_floyd_17_4() -> None:
    """A sense transistor across 1 Ω takes over at 0.7 A."""
    parts = [supply(12), resistor("RS", "in", "out", 1), resistor("RC", "ground", "c", 1000),
             transistor("Q1", "pnp", "c", "out", "in", 100, 0.7), load(0.3)]  # fmt: skip
    (starts,) = [event for event in derivation(parts, quantities=("I_RS",)).loads if "Q1 starts" in event.event]
    assert starts.at == pytest.approx(0.7, abs=0.05)
    assert starts.formula is not None and written(starts.formula) == "V_BE1 / RS"


def test_kit_manual_onset() -> None:
    """Elenco power-supply manual p. 5: 3 Ω and 0.2 A make 0.6 V, where the bypass starts."""
    parts = [supply(12), resistor("R1", "in", "x", 3), transistor("Q1", "pnp", "out", "x", "in", 50, 0.6), regulator(5),
             load(1)]  # fmt: skip
    assert derivation(parts).loads[0].at == pytest.approx(0.2, abs=0.05)


# --- pairs -----------------------------------------------------------------------------------------------------------


def compound(bleed: float | None, first: float, second: float, v_be: float = 0.6, **more: float) -> list[str]:
    parts = [supply(20), resistor("R1", "in", "x", more.get("base", 1.2)),
             transistor("Q1", "pnp", "y", "x", "in", first, v_be),
             transistor("Q2", "npn", "in", "y", "out", second, v_be), regulator(12),
             load(more.get("amperes", 3.0))]  # fmt: skip
    return parts if bleed is None else [*parts, resistor("R2", "y", "out", bleed)]


def test_complementary_pair() -> None:
    """Public transistor guide: gains of 100 and 100 make 10 100 together."""
    found = result(derivation(compound(None, 100, 100), quantities=("I_REG",)), "I_REG")
    assert found.gain is not None and value(found.gain.expression, found.numbers) == pytest.approx(10_100, rel=1e-12)
    assert "guide-complementary-pair" in {entry.published.source for entry in found.coincides if entry.ours == "h_FE"}


def test_darlington_pair() -> None:
    """Course on Darlington transistors: h1 + (h1 + 1)·h2 of 300 and 100 is 30 400 exactly."""
    parts = [supply(12), transistor("Q1", "pnp", "out", "x", "y", 300, 0.6),
             transistor("Q2", "pnp", "out", "y", "in", 100, 0.6), regulator(5), load(3)]  # fmt: skip
    found = result(derivation(parts, quantities=("I_REG",)), "I_REG")
    assert 3.0 / found.value - 1.0 == pytest.approx(30_400, rel=1e-9)


def test_bleeder_onset() -> None:
    """0.65 V over 47 Ω are 13.83 mA."""
    found = result(derivation(compound(47.0, 100, 30, 0.65), quantities=("I_C1",)), "I_C1")
    assert 1e3 * found.numbers["I_h2"] == pytest.approx(13.83, abs=0.005)


# --- the stage of constant gain: 150 and 30, 0.6 V, hand-over at 500 mA and at 1 mA, 3 A (common practice, no source)


@pytest.fixture(scope="module")
def stage() -> Derivation:
    return derivation(compound(600.0, 150, 30), without="R2", quantities=("I_REG", "I_C1"), within=0.01,
                      values={"h_FE1": (80, 150, 250), "h_FE2": (15, 30, 60), "I_O": (3, 3, 8)})  # fmt: skip


def test_stage_keeps_its_regulator_current_with_and_without_bleed(stage: Derivation) -> None:
    found = result(stage, "I_REG")
    assert found.difference is not None
    assert [round(1e3 * i, 2) for i in (found.value, found.difference.other_value)] == [500.54, 500.54]
    assert [round(1e3 * found.numbers[name], 6) for name in ("I_h1", "I_h2")] == [500.0, 1.0]


def test_stage_loads_its_driver_more_with_bleed(stage: Derivation) -> None:
    found = result(stage, "I_C1")
    assert found.difference is not None
    assert 1e3 * found.value == pytest.approx(81.6, abs=0.05)
    assert 1e3 * found.difference.other_value == pytest.approx(80.6, abs=0.05)
    assert written(found.difference.difference) == "−h_FE1·h_FE2·I_h2 / (1 + h_FE)"


def test_stage_gives_the_textbook_forms_with_their_price(stage: Derivation) -> None:
    """I_REG ≈ I_h1 and I_C1 ≈ (I_O − I_h1)/h_FE2 + I_h2; errors worked out by hand from 500.54 and 81.6 mA."""
    regulator_current = result(stage, "I_REG")
    assert written(regulator_current.told).startswith("I_h1 + (")
    first = {written(step.expression): step for step in regulator_current.neglects}
    assert first["I_h1"].error == pytest.approx(500.0 / 500.5439 - 1.0, rel=1e-3)
    driver = result(stage, "I_C1")
    assert driver.shortest is not None and driver.shortest.bound.proved
    assert written(driver.shortest.expression) == "(I_O + h_FE2·I_h2 − I_h1) / (1 + h_FE2)"
    exact = 150.0 * (3.0 + 0.03 - 0.5) / 4651.0
    assert driver.value == pytest.approx(exact, rel=1e-12)
    assert driver.shortest.error == pytest.approx((2.53 / 31.0) / exact - 1.0, rel=1e-6)
    assert driver.shortest.bound.most < 0.01


def test_textbook_form_fails_at_low_gain_and_light_load() -> None:
    """I_h1 alone for the regulator's current: fine at gains of 150 and 30, not good to 1 % at 4 and 6."""
    low = compound(600.0, 4, 6, amperes=3.0)
    short = result(derivation(low, quantities=("I_REG",), within=0.01), "I_REG").shortest
    assert short is not None and written(short.expression) != "I_h1"
    light = derivation(compound(600.0, 150, 30), quantities=("I_C1",), within=0.02, load=0.6,
                       values={"I_O": (0.6, 0.6, 8.0)})  # fmt: skip
    found = result(light, "I_C1")
    assert found.shortest is not None and "I_h1" in written(found.shortest.expression)
