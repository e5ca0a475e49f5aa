"""Bypass and compound stages where their answer is known: constant gains at random values, and the ends of them.

By hand, with I_h1 = V_BE1/R1 and I_h2 = V_BE2/R2, quiescent current left out (node laws; derived):
bypass    I_REG = min(I_L, (I_L + h·I_h1)/(1 + h))
compound  I_REG = min(I_L, (I_L + h1·I_h1)/(1 + h1), (I_L + H·I_h1 + h2·I_h2)/(1 + H)), H = h1·(h2 + 1)
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as trials
from hypothesis import strategies as st

from outboard.analysis.sensitivity import parameters_of, slopes
from outboard.network.circuit import AMBIENT_FIELD, laid_out
from outboard.network.outcome import SOLVED
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities.figures import collector_current, regulator_current

Stage = Callable[..., list[Part]]
KELVIN = 273.15
V_1, V_2 = 0.65, 0.7


def resistor(name: str, a: str, b: str, ohms: float) -> Part:
    return Part(name, "resistor", {"a": a, "b": b}, {"resistance": ohms})


def by_hand(compound: bool, r1: float | None = 2.2, r2: float | None = 100.0) -> list[Part]:
    """A stage of constant-gain transistors; None leaves a resistor out."""
    regulator = {"set_voltage": 12.0, "output_resistance": 1e-3, "quiescent_current": 0.0, "current_limit": 100.0}
    driver = {"collector": "y" if compound else "out", "base": "x", "emitter": "in"}
    parts = [
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 18.0}),
        Part("Q1", "bipolar", driver, {"gain": 80.0, "base_emitter_voltage": V_1}, "pnp", "constant_gain"),
        Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"}, regulator),
        Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": 2.0}),
    ]
    if r1 is not None:
        parts.append(resistor("R1", "in", "x", r1))
    if compound:
        second = {"collector": "in", "base": "y", "emitter": "out"}
        parts.append(Part("Q2", "bipolar", second, {"gain": 30.0, "base_emitter_voltage": V_2}, "npn", "constant_gain"))
        if r2 is not None:
            parts.append(resistor("R2", "y", "out", r2))
    return parts


def answer(parts: list[Part], **numbers: float) -> Block:
    """Solves with numbers named part_field, R1=… for its resistance."""
    fields = [tuple(name.split("__")) if "__" in name else (name, "resistance") for name in numbers]
    block = solved(laid_out(parts, KELVIN + 25.0), Overrides(tuple(fields), np.array([list(numbers.values())])))
    assert block.is_solved.all()
    return block


def regulator(block: Block) -> float:
    return float(regulator_current(block, "U1")[0, 0])


def bypass_share(load: float, gain: float, r1: float) -> float:
    return min(load, (load + gain * V_1 / r1) / (1.0 + gain))


def compound_share(load: float, h1: float, h2: float, r1: float, r2: float) -> float:
    both = h1 * (h2 + 1.0)
    with_pass = (load + both * V_1 / r1 + h2 * V_2 / r2) / (1.0 + both)
    return min(load, (load + h1 * V_1 / r1) / (1.0 + h1), with_pass)


def decades(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(np.log(low), np.log(high)).map(lambda x: float(np.exp(x)))


@trials(max_examples=80, deadline=None)
@given(decades(1e-3, 20.0), decades(3.0, 1e5), decades(1e-2, 1e5))
def test_bypass_at_random_values(load: float, gain: float, r1: float) -> None:
    block = answer(by_hand(False), load__draws=load, Q1__gain=gain, R1=r1)
    assert regulator(block) == pytest.approx(bypass_share(load, gain, r1), rel=1e-6)
    total = regulator(block) + collector_current(block, "Q1")[0, 0]
    assert total == pytest.approx(load, rel=1e-6)


@trials(max_examples=80, deadline=None)
@given(decades(1e-3, 20.0), decades(3.0, 1e3), decades(3.0, 1e3), decades(1e-1, 1e3), decades(1.0, 1e4))
def test_compound_at_random_values(load: float, h1: float, h2: float, r1: float, r2: float) -> None:
    block = answer(by_hand(True), load__draws=load, Q1__gain=h1, Q2__gain=h2, R1=r1, R2=r2)
    assert regulator(block) == pytest.approx(compound_share(load, h1, h2, r1, r2), rel=1e-6)


@pytest.mark.parametrize("compound", [False, True])
@pytest.mark.parametrize("load", [0.5, 2.0, 9.0])
def test_endless_gain_leaves_the_regulator_its_hand_over_current(compound: bool, load: float) -> None:
    """h → ∞: I_REG → V_BE1/R1, whatever the load; what is left of the way is Q1's base current and goes as 1/h."""
    far, near = (
        regulator(answer(by_hand(compound), load__draws=load, Q1__gain=gain)) - V_1 / 2.2 for gain in (1e3, 1e4)
    )
    assert far < 1e-3 * load
    assert far / near == pytest.approx(10.0, rel=1e-2)


def test_endless_gain_of_the_pass_device_leaves_the_driver_the_bleed_current() -> None:
    """h2 → ∞: I_C1 → V_BE2/R2."""
    block = answer(by_hand(True), Q2__gain=1e8)
    assert collector_current(block, "Q1")[0, 0] == pytest.approx(V_2 / 100.0, rel=1e-5)


@pytest.mark.parametrize("compound", [False, True])
def test_base_resistor_of_nothing_leaves_everything_to_the_regulator(compound: bool) -> None:
    """R1 → 0: the transistor never gets its V_BE; a wire and a microohm are the same."""
    for parts, numbers in ((by_hand(compound, r1=0.0), {}), (by_hand(compound), {"R1": 1e-6})):
        block = answer(parts, load__draws=9.0, **numbers)
        assert regulator(block) == pytest.approx(9.0, rel=1e-9)
        assert collector_current(block, "Q1")[0, 0] < 1e-9


@pytest.mark.parametrize(("compound", "total_gain"), [(False, 80.0), (True, 80.0 * 31.0)])
def test_no_base_resistor_divides_by_the_gain_alone(compound: bool, total_gain: float) -> None:
    """R1 → ∞, R2 → ∞: I_REG = I_L/(1 + h); no resistor and a huge one are the same."""
    without = answer(by_hand(compound, r1=None, r2=None), load__draws=5.0)
    huge = answer(by_hand(compound), R1=1e12, load__draws=5.0, **({"R2": 1e12} if compound else {}))
    for block in (without, huge):
        assert regulator(block) == pytest.approx(5.0 / (1.0 + total_gain), rel=1e-7)


def test_bleed_of_nothing_leaves_the_pass_device_off() -> None:
    """R2 → 0: driver alone, I_REG = (I_L + h1·I_h1)/(1 + h1)."""
    for parts, numbers in ((by_hand(True, r2=0.0), {}), (by_hand(True), {"R2": 1e-6})):
        block = answer(parts, load__draws=5.0, **numbers)
        assert regulator(block) == pytest.approx((5.0 + 80.0 * V_1 / 2.2) / 81.0, rel=1e-7)
        assert collector_current(block, "Q2")[0, 0] < 1e-9


@pytest.mark.parametrize("compound", [False, True])
def test_vanishing_load(compound: bool) -> None:
    """I_L → 0: the regulator carries all of it, and what it carries drops over R1."""
    loads = 10.0 ** np.arange(-8.0, -1.0)
    circuit = laid_out(by_hand(compound), KELVIN + 25.0)
    block = solved(circuit, Overrides.column("load", "draws", loads))
    assert block.is_solved.all()
    # i·(V_BE − v) = 1e-15 W is left of a transistor that is off
    assert regulator_current(block, "U1")[:, 0] == pytest.approx(loads, rel=1e-6, abs=1e-12)
    drop = block.net_voltage("in")[:, 0] - block.net_voltage("x")[:, 0]
    assert drop == pytest.approx(2.2 * loads, rel=1e-6, abs=1e-11)


@pytest.mark.parametrize("load", [0.0, 1e-6, 1e-3])
def test_real_stage_without_load_is_the_regulator_alone(stage: Stage, load: float) -> None:
    """Cold and unloaded both transistors only leak: R1 carries the quiescent current less what leaks past it."""
    block = solved(laid_out(stage(load), KELVIN - 20.0))
    assert block.is_solved.all()
    leaks = collector_current(block, "Q1")[0, 0] + collector_current(block, "Q2")[0, 0]
    assert leaks < 5e-6
    drop = block.net_voltage("in")[0, 0] - block.net_voltage("x")[0, 0]
    assert drop / 2.2 == pytest.approx(4e-3 + load, rel=2e-2)


FALLS, RISES = -1.0, 1.0
ELECTRICAL = [
    ("output falls with load", lambda b: b.net_voltage("out"), ("load", "draws"), FALLS),
    ("input falls with load", lambda b: b.net_voltage("in"), ("load", "draws"), FALLS),
    ("regulator current rises with load", lambda b: regulator_current(b, "U1"), ("load", "draws"), RISES),
    ("output rises with set voltage", lambda b: b.net_voltage("out"), ("U1", "set_voltage"), RISES),
    ("regulator current falls with R1", lambda b: regulator_current(b, "U1"), ("R1", "resistance"), FALLS),
    ("regulator current falls with R2", lambda b: regulator_current(b, "U1"), ("R2", "resistance"), FALLS),
    ("regulator current falls with gain", lambda b: regulator_current(b, "U1"), ("Q1", "forward_gain"), FALLS),
    ("driver current falls with gain", lambda b: collector_current(b, "Q1"), ("Q2", "forward_gain"), FALLS),
]
THERMAL = [
    ("output falls with load", lambda b: b.net_voltage("out"), ("load", "draws"), FALLS),
    ("junction warms with ambient", lambda b: b.junction_temperature("Q2"), AMBIENT_FIELD, RISES),
    ("junction warms with its resistance", lambda b: b.junction_temperature("Q2"), ("Q2", "heat.resistance"), RISES),
    ("junction warms with the sink", lambda b: b.junction_temperature("Q2"), ("sink to air", "resistance"), RISES),
    ("junction warms with input", lambda b: b.junction_temperature("Q2"), ("input", "voltage"), RISES),
    ("junction warms with load", lambda b: b.junction_temperature("Q2"), ("load", "draws"), RISES),
]
DEMANDED = [
    pytest.param(False, ELECTRICAL, id="junctions at ambient"), pytest.param(True, THERMAL, id="junctions that warm up")
]  # fmt: skip


@pytest.mark.parametrize(("warms", "demands"), DEMANDED)
def test_what_physics_demands_of_slopes(stage: Stage, warms: bool, demands: list) -> None:
    """Signs of exact slopes at random sensible values of a loaded stage, so that every device works.

    Demands on the currents hold at steady temperatures only: a smaller R2 loads the driver, which warms up, needs less
    V_BE and so leaves the regulator less current, not more.
    """
    circuit = laid_out([part if warms else replace(part, heat=None) for part in stage()], KELVIN + 25.0)
    fields = [
        ("load", "draws"), ("input", "voltage"), AMBIENT_FIELD, ("R1", "resistance"), ("R2", "resistance"),
        ("Q1", "forward_gain"), ("Q2", "forward_gain"),
    ]  # fmt: skip

    @trials(max_examples=60, deadline=None)
    @given(
        st.floats(0.7, 4.0), st.floats(15.5, 20.0), st.floats(KELVIN - 20.0, KELVIN + 50.0), st.floats(1.5, 10.0),
        st.floats(20.0, 500.0), st.floats(40.0, 250.0), st.floats(20.0, 150.0),
    )  # fmt: skip
    def holds(load: float, voltage: float, ambient: float, r1: float, r2: float, h1: float, h2: float) -> None:
        block = solved(circuit, Overrides(tuple(fields), np.array([[load, voltage, ambient, r1, r2, h1, h2]])))
        if block.outcomes[0, 0] != SOLVED:
            assert warms and load > 1.0  # only a loaded stage that warms up may run away
            return
        found = slopes(block, [figure for _, figure, _, _ in demands], [address for _, _, address, _ in demands])[0]
        for k, (demand, _, _, sign) in enumerate(demands):
            assert found[k, k] * sign > 0.0, demand

    holds()


def test_every_power_that_moves_moves_another(stage: Stage) -> None:
    """Energy: for every parameter the slopes of all parts' powers add up to nothing, and heat arrives in the air.

    Σ v·i = 0 holds before and after any change (Tellegen), so Σ ∂(v·i)/∂p = 0, with sources counted negative.
    """
    circuit = laid_out(stage(), KELVIN + 25.0)
    parameters = parameters_of(circuit)
    corners = Overrides((("load", "draws"), ("input", "voltage")), np.array([[0.0, 17.0], [0.3, 15.0], [3.0, 18.0]]))
    block = solved(circuit, corners)
    assert block.is_solved.all()
    powers = [lambda b, name=name: b.power(name) for name in block.electrical_parts]
    found = slopes(block, powers, parameters)
    # seen as a change of each parameter by its own size (a millionth where it is nothing)
    sizes = np.array([max(1e-6, abs(float(block.number(*address).flat[0]))) for address in parameters])
    sizes[~np.isfinite(sizes)] = 1.0
    assert np.all(np.abs(found.sum(axis=1)) * sizes <= 1e-9 * np.abs(found).sum(axis=1) * sizes + 1e-14)
    assert np.abs(found[2]).sum() > 1.0
    hot = slopes(block, [lambda b, name=name: b.power(name) for name in ("Q1", "Q2", "U1")], parameters).sum(axis=1)
    air = slopes(block, [lambda b, n=n: b.pin_current(n, "a") for n in ("sink to air", "plate to air")], parameters)
    assert np.all(np.abs(air.sum(axis=1) - hot) * sizes <= 1e-8 * np.abs(hot) * sizes + 1e-13)
