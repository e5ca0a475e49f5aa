"""The circuit as it stands guides all corners: it may shorten their way, but never change where they arrive."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from outboard.network import solve
from outboard.network.circuit import laid_out
from outboard.network.outcome import RUNAWAY
from outboard.network.overrides import Overrides
from outboard.network.part import Heat, Part
from outboard.network.solution import Block
from outboard.network.solve import released, solved

ROOM = 298.15
TRANSISTOR = {"saturation_current": 1e-12, "forward_gain": 60.0, "forward_early_voltage": 80.0, "base_resistance": 0.5}
PARTS = (
    Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 18.0, "resistance": 0.1}),
    Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": 3.3}),
    Part("Q1", "bipolar", {"collector": "out", "base": "x", "emitter": "in"}, TRANSISTOR, "pnp",
         heat=Heat("sink", 1.5)),
    Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"},
         {"set_voltage": 12.0, "current_limit": 1.5, "short_circuit_current": 0.6, "shutdown_temperature": 1500.0},
         heat=Heat("sink", 4.0)),
    Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": 1.0}),
    Part("sink to air", "thermal_resistance", {"a": "sink", "b": "ambient"}, {"resistance": 1.0}),
)  # fmt: skip
LOADS = Overrides.column("load", "draws", np.array([0.002, 0.01, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, 1.0, 2.0, 3.0]))

GUIDES = {
    "as it should be": (ROOM, {}),
    "dropped out": (ROOM, {"input": 11.0}),
    "without a voltage": (ROOM, {"input": 0.0}),
    "badly cooled": (ROOM, {"sink to air": 60.0}),
    "running away": (780.0, {}),
    "another gain": (ROOM, {"Q1": 8.0}),
}
"""Surroundings [K] and numbers in which the circuit as it stands differs from all its corners."""

FIELDS = {"input": "voltage", "sink to air": "resistance", "Q1": "forward_gain"}


def one_by_one(monkeypatch: pytest.MonkeyPatch, work: Callable[[], Block]) -> Block:
    """The same cases without lanes and without a guide."""
    with monkeypatch.context() as changed:
        changed.setattr(solve, "FEWEST_TOGETHER", 10**9)
        return work()


def corners(rows: int = 40) -> Overrides:
    """Corners that say themselves what the guides differ in."""
    random = np.random.default_rng(7)
    fields = (("input", "voltage"), ("Q1", "forward_gain"), ("sink to air", "resistance"), ("", "ambient"))
    low, high = np.array([15.0, 30.0, 0.4, 260.0]), np.array([24.0, 150.0, 3.0, 330.0])
    values = low + (high - low) * random.random((rows, len(fields)))
    values[::9, 3] = 780.0  # past 500 °C from the beginning
    return Overrides(fields, values)


@pytest.mark.parametrize("guide", list(GUIDES))
@pytest.mark.parametrize("raise_each", [False, True])
def test_lanes_arrive_where_single_cases_do(monkeypatch: pytest.MonkeyPatch, guide: str, raise_each: bool) -> None:
    room, changed = GUIDES[guide]
    parts = [
        replace(part, values={**part.values, FIELDS[part.name]: changed[part.name]}) if part.name in changed else part
        for part in PARTS
    ]
    circuit = laid_out(tuple(parts), room)

    def work() -> Block:
        return solved(circuit, corners(), LOADS, raise_each=raise_each)

    together, alone = work(), one_by_one(monkeypatch, work)
    assert (alone.outcomes == RUNAWAY).any() and alone.is_solved.any()
    np.testing.assert_array_equal(together.outcomes, alone.outcomes)
    good = alone.is_solved
    np.testing.assert_allclose(together.xs[good], alone.xs[good], rtol=0.0, atol=2e-8)


def test_releases_in_lanes_are_those_of_single_cases(monkeypatch: pytest.MonkeyPatch) -> None:
    circuit = laid_out(PARTS, ROOM)
    rows = corners()
    hot = solved(circuit, rows, LOADS)
    most, least = (Overrides.column("load", "draws", np.full(len(rows), load)) for load in (3.0, 0.01))

    def work() -> Block:
        return released(circuit, rows, most, least, hot.xs[:, -1])

    together, alone = work(), one_by_one(monkeypatch, work)
    good = hot.is_solved[:, -1:]
    assert good.sum() > 20
    np.testing.assert_array_equal(together.outcomes[good], alone.outcomes[good])
    np.testing.assert_allclose(together.xs[good], alone.xs[good], rtol=0.0, atol=2e-8)
    places = [circuit.index[node] for node in circuit.unknowns if node[0] in ("junction", "heat")]
    np.testing.assert_array_equal(together.xs[good][:, places], hot.xs[:, -1:][good][:, places])
    assert (np.abs(together.xs - hot.xs[:, -1:])[good].max(axis=1) > 1e-3).all(), "the release changed nothing"
