"""Solves a circuit for a table of cases: corners (rows of overrides), each along a sweep."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from outboard.network.circuit import Circuit
from outboard.network.compile import solver
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.working_arrays import lanes_for, scratch_for

Floats = NDArray[np.float64]
NO_SLOTS = np.empty(0, dtype=np.uint32)
NO_VALUES = np.empty((1, 0))
FEWEST_TOGETHER = 3
"""Fewer corners are quicker one by one than as lanes side by side; the results agree to the solver's 1e-8 V."""

FEWEST_ROWS = 4
"""Below this many rows a thread, threads cost more than they save."""


def _shared_out(rows: int, work: Callable[[slice], Any], workers: int | None) -> None:
    """Runs `work` on slices of the rows, a thread each."""
    threads = min(workers or os.cpu_count() or 1, max(1, rows // FEWEST_ROWS))
    if threads == 1:
        work(slice(0, rows))
        return
    edges = np.linspace(0, rows, threads + 1).astype(int)
    first, *others = (slice(a, b) for a, b in pairwise(edges))
    with ThreadPoolExecutor(len(others)) as pool:  # this thread takes a share itself: to wake others takes a while
        futures = [pool.submit(work, share) for share in others]
        work(first)
        for future in futures:
            future.result()


def _follow(
    circuit: Circuit, corners: int, start: tuple[bool, Any, Any], cases: tuple[Any, ...], results: tuple[Any, ...]
) -> None:  # fmt: skip
    """Follows cases with the solver that suits so many corners; `start` says what is held and from where."""
    scratch = scratch_for(circuit)
    scratch.held[:] = circuit.tables.is_temperature if start[0] else False
    if circuit.tables.dense or corners < FEWEST_TOGETHER:
        solver().follow(circuit.base, circuit.tables, scratch, *start, *cases, *results)
        return
    points = results[0].shape[1]
    guide = np.zeros((points, len(solver().RAISING) + 1, len(circuit.unknowns) + 2))
    room = (scratch, lanes_for(circuit), guide, np.zeros(points, dtype=np.bool_))
    solver().follow_together(circuit.base, circuit.tables, *room, *start, *cases, *results)


def solved(
    circuit: Circuit,
    corners: Overrides | None = None,
    sweep: Overrides | None = None,
    raise_each: bool = False,
    workers: int | None = None,
) -> Block:
    """Solutions of every corner at every point of the sweep.

    For each corner the sources are raised from zero at the sweep's first point and the sweep is followed from
    there; with `raise_each` the sources are raised anew for each point.  The circuit without overrides goes the same
    way first, to guide them.  Results depend neither on `workers` nor on what other corners there are, but for the
    last 1e-8 V where there are fewer than FEWEST_TOGETHER.
    """
    corners = corners or Overrides.none()
    sweep = sweep or Overrides.none()
    n = len(circuit.unknowns)
    shape = (len(corners), len(sweep))
    xs = np.empty((*shape, n + 2))
    outcomes = np.empty(shape, dtype=np.int8)
    notes = np.empty((*shape, 3))
    corner_slots, corner_values = corners.stored(circuit)
    sweep_slots, sweep_values = sweep.stored(circuit)
    position = sweep.values[:, 0].copy() if sweep.fields else np.arange(float(len(sweep)))

    def work(rows: slice) -> None:
        cases = (corner_slots, corner_values[rows], sweep_slots, sweep_values, position, raise_each)
        start = (False, NO_SLOTS, NO_VALUES)
        _follow(circuit, len(corners), start, cases, (xs[rows], outcomes[rows], notes[rows]))

    _shared_out(len(corners), work, workers)
    return Block(circuit, corners, sweep, xs, outcomes, notes)


def released(
    circuit: Circuit, corners: Overrides, before: Overrides, after: Overrides, starts: Floats,
    workers: int | None = None,
) -> Block:  # fmt: skip
    """Solutions right after some numbers changed, while every temperature still is what it was.

    starts [corner, unknown + 2] solves `corners` with `before`; the result solves them with `after`, row by row.
    """
    merged = Overrides(corners.fields + after.fields, np.hstack([corners.values, after.values]))
    xs = np.array(starts[:, None, :], order="C")  # a copy: what it started from stays as it is
    outcomes = np.empty((len(corners), 1), dtype=np.int8)
    notes = np.empty((len(corners), 1, 3))
    slots, values = merged.stored(circuit)
    slots_before, values_before = before.stored(circuit)

    def work(rows: slice) -> None:
        cases = (slots, values[rows], NO_SLOTS, NO_VALUES, np.zeros(1), False)
        start = (True, slots_before, values_before[rows])
        _follow(circuit, len(corners), start, cases, (xs[rows], outcomes[rows], notes[rows]))

    _shared_out(len(corners), work, workers)
    return Block(circuit, merged, Overrides.none(), xs, outcomes, notes)
