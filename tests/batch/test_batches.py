"""Many lanes at once are the same lanes one by one, whatever the order, the threads or the way a number gets in."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from outboard.network.circuit import Circuit, laid_out
from outboard.network.outcome import RUNAWAY, SOLVED
from outboard.network.overrides import Overrides
from outboard.network.part import Heat, Part
from outboard.network.solution import Block
from outboard.network.solve import FEWEST_TOGETHER, released, solved

ROOM = 298.15
DRIVER = {
    "saturation_current": 0.2e-12, "forward_gain": 120.0, "forward_early_voltage": 70.0, "forward_knee_current": 1.0,
    "base_resistance": 2.0, "emitter_resistance": 0.05, "gain_temperature_exponent": 1.5, "cutoff_current": 50e-9,
}  # fmt: skip
PASS = {
    "saturation_current": 5e-12, "forward_gain": 60.0, "forward_early_voltage": 100.0, "forward_knee_current": 5.0,
    "emitter_leakage_current": 80e-12, "base_resistance": 0.3, "collector_resistance": 40e-3,
    "gain_temperature_exponent": 1.2, "cutoff_current": 1e-9,
}  # fmt: skip
PARTS = (
    Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 17.0, "resistance": 0.05}),
    Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": 2.2}),
    Part("Q1", "bipolar", {"collector": "y", "base": "x", "emitter": "in"}, DRIVER, "pnp", heat=Heat("plate", 6.0)),
    Part("Q2", "bipolar", {"collector": "in", "base": "y", "emitter": "out"}, PASS, "npn", heat=Heat("sink", 1.5)),
    Part("R2", "resistor", {"a": "y", "b": "out"}, {"resistance": 100.0}),
    Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"},
         {"set_voltage": 12.0, "current_limit": 2.0, "short_circuit_current": 0.8}, heat=Heat("sink", 4.0)),
    Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": 3.0}),
    Part("sink to air", "thermal_resistance", {"a": "sink", "b": "ambient"}, {"resistance": 0.8}),
    Part("plate to air", "thermal_resistance", {"a": "plate", "b": "ambient"}, {"resistance": 20.0}),
)  # fmt: skip


@pytest.fixture(scope="module")
def circuit() -> Circuit:
    return laid_out(PARTS, ROOM)


def corners(rows: int = 60) -> Overrides:
    """Random corners; some of them run away, so that every kind of lane is among them."""
    random = np.random.default_rng(5)
    fields = (("input", "voltage"), ("Q1", "forward_gain"), ("Q2", "forward_gain"), ("Q2", "forward_early_voltage"),
              ("sink to air", "resistance"), ("", "ambient"), ("Q2", "heat.resistance"))  # fmt: skip
    low = np.array([14.0, 40.0, 20.0, 50.0, 0.5, 250.0, 1.0])
    high = np.array([26.0, 200.0, 120.0, 200.0, 8.0, 350.0, 60.0])
    values = low + (high - low) * random.random((rows, len(fields)))
    values[3::7, fields.index(("", "ambient"))] = 760.0  # hot enough that the load decides whether 500 °C are passed
    return Overrides(fields, values)


LOADS = Overrides.column("load", "draws", np.linspace(0.0, 6.0, 13))
NO_LOADS = Overrides.none()


def fields_of(block: Block) -> dict[str, Any]:
    """Everything that a block says, by name."""
    return {
        "xs": block.xs, "outcomes": block.outcomes, "notes": block.notes, "flows": block.flows,
        "out": block.net_voltage("out"), "junction": block.junction_temperature("Q2"), "power": block.power("Q2"),
        "collector": block.pin_current("Q2", "collector"), "imbalance": block.worst_imbalance,
        "delivered": block.power_balance[0], "taken up": block.power_balance[1],
        "gain": block.number("Q2", "forward_gain"),
    }  # fmt: skip


def assert_identical(block: Block, rows: list[Block], order: list[int]) -> None:
    """Each row of the block is, bit for bit, the block that was solved alone."""
    for row, single in zip(order, rows, strict=True):
        for name, value in fields_of(single).items():
            assert np.array_equal(fields_of(block)[name][row], value[0], equal_nan=True), (name, row)


def test_the_batch_holds_solved_and_unsolved_lanes(circuit: Circuit) -> None:
    block = solved(circuit, corners(), LOADS)
    assert (block.outcomes == SOLVED).any() and (block.outcomes == RUNAWAY).any()


@pytest.mark.parametrize("raise_each", [False, True])
def test_batch_is_the_loop_of_singles(circuit: Circuit, raise_each: bool) -> None:
    """A corner among others is, bit for bit, that corner among copies of itself."""
    table = corners(24)
    block = solved(circuit, table, LOADS, raise_each)
    singles = [
        solved(circuit, table.rows(np.full(FEWEST_TOGETHER, row)), LOADS, raise_each) for row in range(len(table))
    ]
    assert_identical(block, singles, list(range(len(table))))


POLISHED = 2e-8
"""Newton steps end below 1e-8 (V or K): two ways to the same point differ by no more than that each."""


@pytest.mark.parametrize("raise_each", [False, True])
def test_lanes_side_by_side_agree_with_the_scalar_solver(circuit: Circuit, raise_each: bool) -> None:
    """One corner alone goes through other compiled code than many: same outcomes, same points."""
    table = corners(40)
    block = solved(circuit, table, LOADS, raise_each)
    for row in range(len(table)):
        alone = solved(circuit, table.rows(slice(row, row + 1)), LOADS, raise_each)
        assert np.array_equal(alone.outcomes[0], block.outcomes[row])
        standing = alone.is_solved[0]
        assert np.abs(alone.xs[0, standing] - block.xs[row, standing]).max(initial=0.0) < POLISHED


def test_raised_points_are_single_points(circuit: Circuit) -> None:
    """With `raise_each` a point of the sweep knows nothing of its neighbours."""
    block = solved(circuit, corners(8), LOADS, raise_each=True)
    for point in range(len(LOADS)):
        alone = solved(circuit, corners(8), LOADS.rows(slice(point, point + 1)))
        assert np.array_equal(block.xs[:, point], alone.xs[:, 0])
        assert np.array_equal(block.outcomes[:, point], alone.outcomes[:, 0])


@pytest.mark.parametrize("workers", [2, 3, 7, 100])
def test_workers_change_no_bit(circuit: Circuit, workers: int) -> None:
    one, many = (solved(circuit, corners(), LOADS, workers=count) for count in (1, workers))
    for name, value in fields_of(one).items():
        assert np.array_equal(value, fields_of(many)[name], equal_nan=True), name


def test_order_of_corners_changes_no_bit(circuit: Circuit) -> None:
    table = corners()
    order = np.random.default_rng(6).permutation(len(table))
    straight, shuffled = solved(circuit, table, LOADS), solved(circuit, table.rows(order), LOADS)
    assert np.array_equal(straight.xs[order], shuffled.xs, equal_nan=True)
    assert np.array_equal(straight.outcomes[order], shuffled.outcomes)
    assert np.array_equal(straight.notes[order], shuffled.notes)


def test_solving_twice_changes_no_bit(circuit: Circuit) -> None:
    assert np.array_equal(solved(circuit, corners(), LOADS).xs, solved(circuit, corners(), LOADS).xs, equal_nan=True)


CHANGES = [
    ("R1", "resistance", 4.7), ("R2", "resistance", 33.0), ("Q1", "forward_gain", 55.0),
    ("Q2", "saturation_current", 1e-11),
    ("Q1", "forward_early_voltage", 40.0), ("Q2", "forward_knee_current", 2.0), ("Q2", "emitter_leakage_emission", 1.8),
    ("Q2", "reverse_early_voltage", 12.0), ("Q1", "cutoff_doubling", 7.0), ("Q1", "base_resistance", 5.0),
    ("Q2", "reference_temperature", 310.0), ("U1", "set_voltage", 11.5), ("U1", "dropout_voltage", 4.1),
    ("U1", "shutdown_temperature", 310.0), ("input", "voltage", 19.0), ("input", "resistance", 0.2),
    ("load", "draws", 1.0), ("sink to air", "resistance", 2.0),
]  # fmt: skip


@pytest.mark.parametrize(("name", "field", "value"), CHANGES, ids=lambda item: str(item))
def test_override_is_a_new_layout_with_that_value(circuit: Circuit, name: str, field: str, value: float) -> None:
    """Reciprocal fields and fields that are absent by default among them."""
    parts = [
        replace(part, values={**part.values, field: value}) if part.name == name else part
        for part in PARTS
    ]  # fmt: skip
    anew = solved(laid_out(parts, ROOM))
    table = Overrides.column(name, field, np.array([value]))
    for block in (solved(circuit, table), solved(circuit, sweep=table)):
        assert block.is_solved.all() and anew.is_solved.all()
        assert np.allclose(block.xs, anew.xs, rtol=1e-12, atol=1e-12)
        assert block.number(name, field)[0, 0] == pytest.approx(value, rel=1e-15)
    assert not np.allclose(anew.xs, solved(circuit).xs, rtol=1e-9, atol=0.0), "the change changes nothing"


def test_heat_path_as_an_override(circuit: Circuit) -> None:
    parts = [replace(part, heat=Heat("sink", 3.0)) if part.name == "Q2" else part for part in PARTS]
    table = Overrides.column("Q2", "heat.resistance", np.array([3.0]))
    assert np.allclose(solved(circuit, table).xs, solved(laid_out(parts, ROOM)).xs, rtol=1e-12, atol=1e-12)


def test_ambient_as_a_column(circuit: Circuit) -> None:
    temperatures = np.array([233.15, 298.15, 343.15])
    block = solved(circuit, Overrides.column("", "ambient", temperatures))
    for row, temperature in enumerate(temperatures):
        anew = solved(laid_out(PARTS, float(temperature)))
        assert np.allclose(block.xs[row], anew.xs[0], rtol=1e-12, atol=1e-12)
        assert block.xs[row, 0, -1] == temperature


def test_unknown_field_is_a_key_error(circuit: Circuit) -> None:
    with pytest.raises(KeyError):
        solved(circuit, Overrides.column("Q2", "colour", np.array([1.0])))
    with pytest.raises(KeyError):
        solved(circuit, Overrides.column("Q9", "forward_gain", np.array([1.0])))


def test_following_a_load_is_raising_the_sources_for_each(circuit: Circuit) -> None:
    """Where the way does not matter: below every limit, with stable temperatures."""
    table = Overrides.column("input", "voltage", np.array([15.0, 17.0, 20.0]))
    followed, raised = (solved(circuit, table, LOADS, raise_each) for raise_each in (False, True))
    assert followed.is_solved.all() and raised.is_solved.all()
    assert np.allclose(followed.xs, raised.xs, rtol=1e-9, atol=1e-9)


def test_release_row_by_row(circuit: Circuit) -> None:
    """Held temperatures, in batches and alone, whatever the workers."""
    table = Overrides.column("input", "voltage", np.linspace(15.0, 20.0, 9))
    loaded, idle = (Overrides.column("load", "draws", np.full(9, amperes)) for amperes in (4.0, 0.05))
    start = solved(circuit, Overrides(table.fields + loaded.fields, np.hstack([table.values, loaded.values])))
    assert start.is_solved.all()
    before = start.xs.copy()
    blocks = [released(circuit, table, loaded, idle, start.xs[:, 0], workers) for workers in (1, 2)]
    assert blocks[0].is_solved.all()
    assert np.array_equal(blocks[0].xs, blocks[1].xs)
    assert np.array_equal(start.xs, before)
    some = slice(2, 2 + FEWEST_TOGETHER)
    few = released(circuit, table.rows(some), loaded.rows(some), idle.rows(some), start.xs[some, 0])
    assert np.array_equal(blocks[0].xs[some], few.xs)
    for row in range(9):
        one = slice(row, row + 1)
        single = released(circuit, table.rows(one), loaded.rows(one), idle.rows(one), start.xs[one, 0])
        assert np.abs(blocks[0].xs[row] - single.xs[0]).max() < POLISHED


def test_a_sweep_may_turn_round(circuit: Circuit) -> None:
    """Up and down again: the same points where there is only one, and the surroundings stay as warm as they are."""
    up = np.linspace(0.0, 1.5, 9)
    table = corners(12)
    table.values[:, table.fields.index(("", "ambient"))] = np.linspace(260.0, 330.0, 12)
    table.values[:, table.fields.index(("sink to air", "resistance"))] = 0.6
    table.values[:, table.fields.index(("Q2", "heat.resistance"))] = 1.5  # cool enough that leakage cannot latch
    block = solved(circuit, table, Overrides.column("load", "draws", np.concatenate([up, up[-2::-1]])))
    there, back = block.xs[:, : len(up)], block.xs[:, : len(up) - 2 : -1]
    both = block.is_solved[:, : len(up)] & block.is_solved[:, : len(up) - 2 : -1]
    assert both.all()
    assert np.array_equal(there[..., -1][both], back[..., -1][both])
    assert np.abs(there[both] - back[both]).max() < POLISHED
