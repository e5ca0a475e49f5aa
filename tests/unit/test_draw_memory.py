"""What is kept of draws does not grow with their number."""

import pickle
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from outboard.arrangements import designed
from outboard.brief import read
from outboard.cases.sampling import BLOCK
from outboard.checks.draw_run import run
from outboard.checks.drawn import stored
from outboard.checks.draws import Lot, lot
from outboard.checks.rungs import Ladder, quantile

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
MEGABYTE = 2.0**20


@pytest.fixture(scope="module")
def railway() -> Lot:
    return lot(designed(read(EXAMPLES / "model-railway.toml")), seed=1)


def peak(work: Callable[[], object]) -> float:
    """Most memory that was taken at any time, arrays included [MB]."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1] / MEGABYTE
    finally:
        tracemalloc.stop()


def test_arrays_of_a_run_do_not_grow_with_the_number_of_draws(railway: Lot) -> None:
    run(railway, BLOCK, 1)
    few = peak(lambda: run(railway, 3 * BLOCK, 1))
    many = peak(lambda: run(railway, 24 * BLOCK, 1))
    solutions = BLOCK * 4 * len(railway.setting.loads) * len(railway.setting.circuit.unknowns) * 8 / MEGABYTE
    assert few > solutions, "what is measured does not even hold a block's solutions"
    assert many < few + 0.1 * 21 * solutions, (few, many)  # ladders fill up, solutions are not kept


def test_what_is_kept_fills_up(railway: Lot) -> None:
    """Counts and sums stay; a ladder gains the fewer rungs the more margins it has."""
    kept = [len(pickle.dumps(stored(run(railway, blocks * BLOCK, 1).drawn))) for blocks in (1, 4, 16)]
    assert kept[2] < 2 * kept[1] < 8 * kept[0], kept


def test_limits_of_a_quantile_take_no_memory() -> None:
    """Ten million margins on a ladder of a hundred rungs."""
    ladder = Ladder()
    ladder.put(np.linspace(1.0, 2.0, 100))
    ladder.counts = {rung: 100_000 for rung in ladder.counts}
    quantile(ladder, 0.01)  # what is imported does not count
    assert ladder.total == 10_000_000
    assert peak(lambda: quantile(ladder, 0.01)) < 0.5
    found = quantile(ladder, 0.505)
    assert found.least is not None and found.most is not None and found.margin is not None
    assert found.least <= found.margin <= found.most
