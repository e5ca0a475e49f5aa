"""Loads that can only be reached past points that cannot last, in stages drawn at random.

Every lane is judged by `benchmarks/sturdiness.py`, with NumPy and without the code of the solver: what is solved
balances and has no growing mode, what is not solved hunts or lies beyond a fold of the branch of balances.
"""

import importlib
from pathlib import Path

import pytest

BENCHMARKS = Path(__file__).parents[2] / "benchmarks"
REACHED = {
    4715: ("a net that floats within roundings, without load", 50),
    7315: ("loads that are stable beyond some that hunt from the very first", 24),
    7338: ("a branch that turns back twice before the load", 49),
    5593: ("a place where temperatures run far ahead of the load", 46),
}
"""Stages by number: what makes them hard, and at how many of 50 loads a stable balance exists."""


@pytest.mark.parametrize("number", REACHED, ids=lambda number: REACHED[number][0])
def test_stable_balances_past_unstable_ones_are_found(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(BENCHMARKS)
    sturdiness = importlib.import_module("sturdiness")
    tally = sturdiness.tallied(range(number, number + 1), seed=1, loads=50, plain=False, side_by_side=False)
    assert tally.unexplained == []
    assert tally.outcomes["solved"] == REACHED[number][1]
    assert tally.worst <= 1.0
