"""Laws that every stage must obey: balances, symmetry, limits, monotony, held temperatures."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as trials
from hypothesis import strategies as st

from outboard.network.circuit import laid_out
from outboard.network.outcome import SOLVED
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import released, solved

Stage = Callable[..., list[Part]]
Solve = Callable[..., Block]
KELVIN = 273.15
NETS = ("in", "x", "y", "out")
HOT = ("Q1", "Q2", "U1")


def draws(*amperes: float) -> Overrides:
    return Overrides.column("load", "draws", np.array(amperes))


def test_currents_powers_and_heat_balance(stage: Stage) -> None:
    circuit = laid_out(stage(), KELVIN + 25.0)

    @trials(max_examples=60)
    @given(st.floats(0.0, 5.0), st.floats(13.5, 22.0), st.floats(-40.0, 80.0), st.floats(20.0, 150.0))
    def holds(load: float, voltage: float, ambient: float, gain: float) -> None:
        fields = (("load", "draws"), ("input", "voltage"), ("", "ambient"), ("Q2", "forward_gain"))
        block = solved(circuit, Overrides(fields, np.array([[load, voltage, KELVIN + ambient, gain]])))
        if block.outcomes[0, 0] != SOLVED:
            assert load > 1.0  # only a loaded stage may run away
            return
        assert block.worst_imbalance[0, 0] < 4e-12
        delivered, taken_up = block.power_balance
        assert taken_up[0, 0] == pytest.approx(delivered[0, 0], rel=1e-9)
        warm = sum(block.power(name)[0, 0] for name in HOT)
        to_air = block.pin_current("sink to air", "a") + block.pin_current("plate to air", "a")
        assert to_air[0, 0] == pytest.approx(warm, rel=1e-9)

    holds()


@pytest.mark.parametrize("load", [0.0, 0.2, 3.0, 6.0])
def test_mirror_image(stage: Stage, solve: Solve, load: float) -> None:
    """Every polarity turned round: every voltage and current turns round, every temperature and power stays."""
    positive, negative = (solve(stage(load, negative=turned)) for turned in (False, True))
    for net in NETS:
        assert negative.net_voltage(net)[0, 0] == pytest.approx(-positive.net_voltage(net)[0, 0], rel=1e-12)
    for name in HOT:
        cold = positive.junction_temperature(name)[0, 0]
        assert negative.junction_temperature(name)[0, 0] == pytest.approx(cold, rel=1e-12)
        assert negative.power(name)[0, 0] == pytest.approx(positive.power(name)[0, 0], rel=1e-9)
    # a current of 3 A is a difference of voltages over milliohms: roundings of 17 V weigh 1e-13 of it
    current = positive.pin_current("Q2", "collector")[0, 0]
    assert negative.pin_current("Q2", "collector")[0, 0] == pytest.approx(-current, rel=1e-11, abs=1e-12)


def test_more_load_means_more_of_everything(stage: Stage, solve: Solve) -> None:
    block = solve(stage(), sweep=draws(*np.linspace(0.0, 5.0, 101)))
    assert (np.diff(block.pin_current("Q2", "collector")[0]) > 0.0).all()
    assert (np.diff(block.pin_current("Q1", "emitter")[0]) > 0.0).all()
    assert (np.diff(block.net_voltage("out")[0]) < 0.0).all()
    assert (np.diff(block.at(("heat", "sink"))[0]) > 0.0).all()


def test_larger_boost_resistor_relieves_the_regulator(stage: Stage, solve: Solve) -> None:
    block = solve(stage(), corners=Overrides.column("R1", "resistance", np.geomspace(0.5, 50.0, 30)))
    assert (np.diff(block.pin_current("U1", "in")[:, 0]) < 0.0).all()


def test_more_gain_relieves_the_driver(stage: Stage, solve: Solve) -> None:
    block = solve(stage(), corners=Overrides.column("Q2", "forward_gain", np.geomspace(20.0, 200.0, 30)))
    assert (np.diff(block.pin_current("Q1", "emitter")[:, 0]) < 0.0).all()


def same(first: Block, second: Block, rel: float) -> None:
    for net in NETS:
        assert first.net_voltage(net)[0, 0] == pytest.approx(second.net_voltage(net)[0, 0], rel=rel), net
    for name in HOT:
        other = second.junction_temperature(name)[0, 0]
        assert first.junction_temperature(name)[0, 0] == pytest.approx(other, rel=rel), name


@pytest.mark.parametrize("load", [0.1, 3.0])
def test_endless_bleed_is_no_bleed(stage: Stage, solve: Solve, load: float) -> None:
    same(solve(stage(load, bleed=1e15)), solve(stage(load, bleed=None)), 1e-12)


def test_endless_boost_resistor_is_none(stage: Stage, solve: Solve) -> None:
    same(solve(stage(boost=1e15)), solve(stage(boost=None)), 1e-12)


@pytest.mark.parametrize(
    ("part", "field", "endless"),
    [
        ("Q1", "forward_early_voltage", 1e18),
        ("Q2", "forward_knee_current", 1e18),
        ("Q2", "reverse_early_voltage", 1e18),
    ],
)
def test_endless_parameter_is_the_absent_effect(
    stage: Stage, solve: Solve, part: str, field: str, endless: float
) -> None:
    without = [
        Part(p.name, p.kind, p.pins, {k: v for k, v in p.values.items() if k != field}, p.polarity, p.model, p.heat)
        if p.name == part else p
        for p in stage()
    ]  # fmt: skip
    same(solve(stage(changed={part: {field: endless}})), solve(without), 1e-12)


@pytest.mark.parametrize("field", ["base_resistance", "emitter_resistance", "collector_resistance"])
def test_vanishing_inner_resistance_is_none(stage: Stage, solve: Solve, field: str) -> None:
    """Zero makes no inner node, a nanoohm makes one: both must be the same transistor."""
    small, none = (solve(stage(changed={"Q2": {field: value}})) for value in (1e-9, 0.0))
    assert len(small.circuit.unknowns) == len(none.circuit.unknowns) + 1
    same(small, none, 1e-9)


def test_negative_load_step_is_the_load_step_backwards(stage: Stage, solve: Solve) -> None:
    """Where the solution is unique it does not matter from which side a load is reached."""
    up, down = (solve(stage(), sweep=draws(*loads)) for loads in ((0.0, 1.0, 2.0, 4.0), (4.0, 2.0, 1.0, 0.0)))
    assert np.allclose(up.xs[0], down.xs[0, ::-1], rtol=1e-9, atol=1e-9)


def test_held_temperatures_reproduce_the_start_when_nothing_changes(stage: Stage, solve: Solve) -> None:
    corners = Overrides.column("input", "voltage", np.array([15.0, 17.0, 20.0]))
    loaded = Overrides.column("load", "draws", np.full(3, 4.0))
    both = Overrides(corners.fields + loaded.fields, np.hstack([corners.values, loaded.values]))
    start = solve(stage(), corners=both)
    after = released(start.circuit, corners, loaded, loaded, start.xs[:, 0])
    assert after.is_solved.all()
    hot = np.array([*start.circuit.tables.is_temperature, False, True])
    assert np.array_equal(after.xs[:, 0, hot], start.xs[:, 0, hot])
    assert np.allclose(after.xs[:, 0], start.xs[:, 0], rtol=1e-12, atol=1e-12)


def test_load_released_while_still_hot(stage: Stage, solve: Solve) -> None:
    """Temperatures stay to the last bit; currents are those of a circuit that sits at these temperatures."""
    loaded, idle = draws(4.0), draws(0.01)
    start = solve(stage(), corners=loaded)
    after = released(start.circuit, Overrides.none(), loaded, idle, start.xs[:, 0])
    assert after.is_solved.all()
    hot = np.array([*start.circuit.tables.is_temperature, False, True])
    assert np.array_equal(after.xs[:, 0, hot], start.xs[:, 0, hot])
    assert after.worst_imbalance[0, 0] < 4e-12
    cold = solve(stage(), corners=idle)
    # hot transistors carry the same current with less base voltage
    assert after.net_voltage("in")[0, 0] == pytest.approx(cold.net_voltage("in")[0, 0], abs=1e-3)
    assert after.junction_temperature("Q2")[0, 0] > cold.junction_temperature("Q2")[0, 0] + 30.0
