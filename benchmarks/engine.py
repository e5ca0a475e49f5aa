"""The engine against scipy.optimize.root on the same equations, and what edits cost.

    python benchmarks/engine.py

The circuit: a compound stage with 14 unknowns (two transistors with inner nodes, three junction temperatures), the
parameters invented.  Both sides start each point from the neighbouring load point, both use the compiled residual and
jacobian, all in one run; times are medians of five interleaved runs.
"""

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
from scipy.optimize import root

from outboard.network.circuit import Circuit, laid_out
from outboard.network.compile import solver
from outboard.network.overrides import Overrides
from outboard.network.part import Heat, Part
from outboard.network.solve import solved

RUNS = 5
ROOM = 298.15
COARSE, FINE = np.linspace(0.1, 5.0, 24), np.linspace(0.1, 5.0, 100)
CORNERS = 200
BALANCED = 1e-9

DRIVER = {
    "saturation_current": 0.2e-12, "forward_gain": 120.0, "forward_early_voltage": 70.0, "forward_knee_current": 1.0,
    "emitter_leakage_current": 5e-12, "base_resistance": 2.0, "emitter_resistance": 0.05, "collector_resistance": 0.2,
    "gain_temperature_exponent": 1.5, "cutoff_current": 50e-9,
}  # fmt: skip
PASS = {
    "saturation_current": 5e-12, "forward_gain": 60.0, "forward_early_voltage": 100.0, "forward_knee_current": 5.0,
    "emitter_leakage_current": 80e-12, "base_resistance": 0.3, "emitter_resistance": 6e-3, "collector_resistance": 0.04,
    "gain_temperature_exponent": 1.2, "cutoff_current": 1e-6,
}  # fmt: skip
PARTS = (
    Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 17.0, "resistance": 0.05}),
    Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": 2.2}),
    Part("Q1", "bipolar", {"collector": "y", "base": "x", "emitter": "in"}, DRIVER, "pnp", heat=Heat("ambient", 28.0)),
    Part("Q2", "bipolar", {"collector": "in", "base": "y", "emitter": "out"}, PASS, "npn", heat=Heat("ambient", 2.3)),
    Part("R2", "resistor", {"a": "y", "b": "out"}, {"resistance": 47.0}),
    Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"},
         {"set_voltage": 12.0, "current_limit": 2.0, "short_circuit_current": 0.8}, heat=Heat("ambient", 5.0)),
    Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": 3.0}),
)  # fmt: skip


def batch(circuit: Circuit, loads: Any, workers: int | None) -> int:
    """Solved points of all corners along all loads."""
    gains = Overrides.column("Q2", "forward_gain", np.linspace(30.0, 90.0, CORNERS))
    block = solved(circuit, gains, Overrides.column("load", "draws", loads), workers=workers)
    return int(block.is_solved.sum())


def one_by_one(circuit: Circuit, loads: Any) -> int:
    """Solved points of scipy.optimize.root (hybr) along the loads, each from the solution of its neighbour."""
    n, places = len(circuit.unknowns), len(circuit.tables.entry_row)
    ((slot, _),) = circuit.slots["load", "draws"]
    x, p = np.zeros(n + 2), circuit.base.copy()
    x[n + 1] = ROOM
    residual, entries, matrix = np.zeros(n + 1), np.zeros(places + 1), np.zeros((n, n))
    rows, columns, balances = circuit.tables.entry_row, circuit.tables.entry_column, solver().balances

    def balance(unknowns: Any) -> Any:
        x[:n] = unknowns
        balances(x, p, circuit.tables, residual, entries)
        matrix[rows, columns] = entries[:-1]
        return residual[:n], matrix

    start = solved(circuit, sweep=Overrides.column("load", "draws", loads[:1])).xs[0, 0, :n]
    good = 0
    for load in loads:
        p[slot] = load
        found = root(balance, start, jac=True, method="hybr", tol=1e-12)
        if np.abs(balance(found.x)[0]).max() < BALANCED:
            start, good = found.x.copy(), good + 1
    return good


def sweep(circuit: Circuit) -> int:
    """200 loads of one circuit."""
    return int(solved(circuit, sweep=Overrides.column("load", "draws", np.linspace(0.0, 5.0, 200))).is_solved.sum())


def edited(number: int) -> int:
    """The stage laid out anew with one part changed, left out or added, and solved."""
    changed = replace(PARTS[1], values={"resistance": 2.2 + 0.1 * number})
    more = Part("R3", "resistor", {"a": "x", "b": "out"}, {"resistance": 1e3 + number})
    edits = (
        tuple(changed if part.name == "R1" else part for part in PARTS),
        tuple(part for part in PARTS if part.name != "R2"),
        (*PARTS, more),
    )
    return int(solved(laid_out(edits[number % len(edits)], ROOM)).is_solved.sum())


def compiled_versions() -> int:
    """How many machine-code versions of the solver's functions there are in this process."""
    return sum(len(thing.signatures) for thing in vars(solver()).values() if hasattr(thing, "signatures"))


def timed(work: Callable[[], int]) -> tuple[float, int]:
    """Seconds and what came out."""
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


def main() -> None:
    """Prints the table."""
    circuit = laid_out(PARTS, ROOM)
    assert len(circuit.unknowns) == 14, circuit.unknowns
    kinds: dict[str, Callable[[], int]] = {
        f"{name}, {len(loads)} loads": work
        for loads in (FINE, COARSE)
        for name, work in (
            ("batch, one worker", partial(batch, circuit, loads, 1)),
            ("batch, all workers", partial(batch, circuit, loads, None)),
            ("scipy.optimize.root", partial(one_by_one, circuit, loads)),
        )
    }
    kinds |= {
        "sweep of 200 loads": partial(sweep, circuit),
    }
    for work in kinds.values():
        work()  # compiled code is read from disk, or made, before anything counts
    edited(0)
    versions = compiled_versions()
    times: dict[str, list[float]] = {kind: [] for kind in kinds}
    points: dict[str, int] = {}
    edits = []
    for run in range(RUNS):
        for kind, work in kinds.items():
            spent, points[kind] = timed(work)
            times[kind].append(spent)
        edits += [timed(partial(edited, 3 * run + number))[0] for number in range(3)]
    per_point = {kind: statistics.median(times[kind]) / points[kind] for kind in kinds}
    print(f"{'14 unknowns':34s}{'solved':>10s}{'µs a point':>13s}{'points/s':>12s}{'times scipy':>13s}")
    for kind in kinds:
        each = per_point[kind]
        loads = len(COARSE if str(len(COARSE)) in kind else FINE)
        reference = per_point[f"scipy.optimize.root, {loads} loads"]
        print(f"{kind:34s}{points[kind]:10d}{1e6 * each:13.2f}{1 / each:12.0f}{reference / each:13.1f}")
    print(f"sweep of 200 loads: {1e3 * statistics.median(times['sweep of 200 loads']):.2f} ms")
    usual, most = 1e3 * statistics.median(edits), 1e3 * max(edits)
    print(f"one part edited, laid out anew and solved: {usual:.2f} ms, at most {most:.2f} ms")
    print(f"compiled versions before and after the edits: {versions}, {compiled_versions()}")
    if compiled_versions() != versions:
        sys.exit("an edit compiled something")


if __name__ == "__main__":
    main()
