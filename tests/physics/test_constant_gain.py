"""The transistor of hand algebra against hand algebra, and against printed examples.

"second-hand": the worked example was read in a written-out copy of the printed book.
"""

from collections.abc import Callable

import pytest

from outboard.network.part import Part
from outboard.network.solution import Block

Solve = Callable[..., Block]
BETA_1, BETA_2, V_BE = 150.0, 30.0, 0.6
R1, BLEED, LOAD = 1.2, 600.0, 3.0


def transistor(name: str, polarity: str, gain: float, v_be: float, c: str, b: str, e: str, **more: float) -> Part:
    values = {"gain": gain, "base_emitter_voltage": v_be, **more}
    return Part(name, "bipolar", {"collector": c, "base": b, "emitter": e}, values, polarity, "constant_gain")


def regulator(set_voltage: float, **more: float) -> Part:
    """Without quiescent current and nearly without output resistance."""
    values = {"set_voltage": set_voltage, "output_resistance": 1e-5, "quiescent_current": 0.0, "current_limit": 10.0}
    return Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"}, values | more)


def compound(bleed: float | None, load: float = LOAD, negative: bool = False) -> list[Part]:
    parts = [
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 20.0}),
        Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": R1}),
        transistor("Q1", "pnp", BETA_1, V_BE, c="y", b="x", e="in"),
        transistor("Q2", "npn", BETA_2, V_BE, c="in", b="y", e="out"),
        regulator(12.0, output_resistance=1e-3),
        Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": load}),
    ]
    return parts + ([Part("R2", "resistor", {"a": "y", "b": "out"}, {"resistance": bleed})] if bleed else [])


def regulator_current(load: float, bleed: float | None) -> float:
    """From I_reg = I_h1 + i_b1,  β1·i_b1 = I_h2 + i_b2,  I_reg + I_h2 + (β2 + 1)·i_b2 = I_L, with I_h = V_BE/R each."""
    driver, output = V_BE / R1, V_BE / bleed if bleed else 0.0
    together = BETA_1 * (BETA_2 + 1.0)
    return (load + together * driver + BETA_2 * output) / (1.0 + together)


@pytest.mark.parametrize("bleed", [BLEED, None])
@pytest.mark.parametrize("load", [0.7, 3.0, 8.0])
def test_compound_pair_follows_the_algebra(solve: Solve, bleed: float | None, load: float) -> None:
    block = solve(compound(bleed, load))
    by_hand = regulator_current(load, bleed)
    driver_base = by_hand - V_BE / R1
    output_base = BETA_1 * driver_base - (V_BE / bleed if bleed else 0.0)
    assert block.pin_current("U1", "in")[0, 0] == pytest.approx(by_hand, rel=1e-9)
    assert block.pin_current("Q1", "collector")[0, 0] == pytest.approx(-BETA_1 * driver_base, rel=1e-9)
    assert block.pin_current("Q2", "collector")[0, 0] == pytest.approx(BETA_2 * output_base, rel=1e-9)
    assert block.net_voltage("in")[0, 0] - block.net_voltage("x")[0, 0] == pytest.approx(V_BE, rel=1e-9)


@pytest.mark.parametrize(("bleed", "driver_milliamperes"), [(BLEED, 81.6), (None, 80.6)])
def test_regulator_keeps_its_share_with_and_without_bleed(
    solve: Solve, bleed: float | None, driver_milliamperes: float
) -> None:
    """Hand-over at 500 mA and at 1 mA, 3 A load, gains 150 and 30 (common practice, no source)."""
    block = solve(compound(bleed))
    assert 1e3 * block.pin_current("U1", "in")[0, 0] == pytest.approx(500.54, abs=0.005)
    assert -1e3 * block.pin_current("Q1", "collector")[0, 0] == pytest.approx(driver_milliamperes, abs=0.05)


def test_below_hand_over_the_regulator_carries_all(solve: Solve) -> None:
    block = solve(compound(BLEED, load=0.3))
    assert block.pin_current("U1", "in")[0, 0] == pytest.approx(0.3, rel=1e-9)
    assert abs(block.pin_current("Q1", "collector")[0, 0]) < 1e-9
    assert abs(block.pin_current("Q2", "collector")[0, 0]) < 1e-9


def boosted(load: float) -> list[Part]:
    return [
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 12.0}),
        Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": 7.0}),
        transistor("Q1", "pnp", 15.0, 1.0, c="out", b="x", e="in"),
        regulator(5.0),
        Part("load", "load", {"plus": "out", "minus": "ground"}, {"resistance": load}),
    ]


def test_roy_choudhury_6_1_below_turn_on(solve: Solve) -> None:
    """Roy Choudhury and Jain, Linear Integrated Circuits, ex. 6.1, p. 246 (second-hand): 100 Ω, regulator alone."""
    block = solve(boosted(100.0))
    assert 1e3 * block.pin_current("U1", "in")[0, 0] == pytest.approx(50.0, abs=0.5)
    assert 1e3 * (block.net_voltage("in") - block.net_voltage("x"))[0, 0] == pytest.approx(350.0, abs=0.5)
    assert abs(block.pin_current("Q1", "collector")[0, 0]) < 1e-12


def test_roy_choudhury_6_1_at_5_A(solve: Solve) -> None:
    """The same example (second-hand), 1 Ω: regulator 446 mA, transistor 4.55 A; exactly 446.43 mA and 4.5536 A."""
    block = solve(boosted(1.0))
    assert 1e3 * block.pin_current("U1", "in")[0, 0] == pytest.approx(446.43, abs=0.005)
    assert -block.pin_current("Q1", "collector")[0, 0] == pytest.approx(4.5536, abs=0.00005)
    load = block.pin_current("load", "plus")[0, 0]
    assert block.pin_current("U1", "in")[0, 0] == pytest.approx((load + 15.0 / 7.0) / 16.0, rel=1e-9)


@pytest.mark.parametrize("polarity", ["npn", "pnp"])
def test_saturating_switch(solve: Solve, polarity: str) -> None:
    """1 mA into the base would carry 100 mA, but 10 V and 1 kΩ leave 9.8 mA at 0.2 V."""
    turn = 1.0 if polarity == "npn" else -1.0
    block = solve([
        Part("supply", "source", {"plus": "s", "minus": "ground"}, {"voltage": 10.0 * turn}),
        Part("drive", "source", {"plus": "d", "minus": "ground"}, {"voltage": 5.0 * turn}),
        Part("Rc", "resistor", {"a": "s", "b": "c"}, {"resistance": 1e3}),
        Part("Rb", "resistor", {"a": "d", "b": "b"}, {"resistance": 4300.0}),
        transistor("Q", polarity, 100.0, 0.7, c="c", b="b", e="ground", saturation_voltage=0.2),
    ])  # fmt: skip
    assert turn * block.net_voltage("c")[0, 0] == pytest.approx(0.2, rel=1e-9)
    assert turn * block.pin_current("Q", "collector")[0, 0] == pytest.approx(9.8e-3, rel=1e-9)
    assert turn * block.pin_current("Q", "base")[0, 0] == pytest.approx(1e-3, rel=1e-9)


def test_switch_that_does_not_saturate(solve: Solve) -> None:
    block = solve([
        Part("supply", "source", {"plus": "s", "minus": "ground"}, {"voltage": 10.0}),
        Part("drive", "source", {"plus": "d", "minus": "ground"}, {"voltage": 5.0}),
        Part("Rc", "resistor", {"a": "s", "b": "c"}, {"resistance": 50.0}),
        Part("Rb", "resistor", {"a": "d", "b": "b"}, {"resistance": 4300.0}),
        transistor("Q", "npn", 100.0, 0.7, c="c", b="b", e="ground", saturation_voltage=0.2),
    ])  # fmt: skip
    assert block.pin_current("Q", "collector")[0, 0] == pytest.approx(0.1, rel=1e-9)
    assert block.net_voltage("c")[0, 0] == pytest.approx(5.0, rel=1e-9)
