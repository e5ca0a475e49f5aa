"""`derive` on the stage of constant gain: the textbook forms of a compound pair come out with their price.

Gains of 150 and 30, V_BE 0.6 V, hand-over at 500 mA and at 1 mA, 3 A: common practice, no source.  What print says is
in test_derived_rows.
"""

import pytest
from hand_networks import compound, derivation, result

from outboard.explain.asked import Derivation
from outboard.explain.writing import written


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
