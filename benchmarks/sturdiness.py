"""How sturdy the solver is: random stages, each under loads from nothing to past its limit.

    python benchmarks/sturdiness.py [--plain] [--beside] [--stages 2000] [--first 0] [--seed 1] [--loads 50]

Every lane is either solved, which is checked anew with NumPy and without the solver's own code, or it must be shown
to be without a solution: a junction past 500 °C, a solution outside the model's range, a fold, that is a load towards
which the smallest singular value of the jacobian goes to zero, or hunting: a balance that exists but grows away from
itself, or a course in time that never comes to rest.  What is left over is listed with the numbers that make it again.
The stages are invented and wild on purpose: many of them nobody would build.
"""

import argparse
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from itertools import count
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray
from random_plain_stages import random_stage as random_plain_stage
from random_stages import random_stage
from scipy.integrate import solve_ivp

from outboard.devices.catalogue import DEVICES
from outboard.network.circuit import Circuit, laid_out
from outboard.network.compile import solver
from outboard.network.outcome import OUT_OF_RANGE, RUNAWAY, SOLVED, WORDS
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved

Floats = NDArray[np.float64]
HOTTEST = 773.15
BALANCE = 1e-12
ROUNDINGS = 8.0 * np.finfo(float).eps


MOST_EVALUATIONS = 600_000
"""After so many evaluations a course in time is given up: then it shows nothing."""


class TooLong(Exception):
    """A course in time that takes too many steps."""


class Arrays:
    """The mathematics namespace of NumPy arrays."""

    exp, log, log1p, sqrt, tanh = (staticmethod(f) for f in (np.exp, np.log, np.log1p, np.sqrt, np.tanh))
    above = staticmethod(np.greater)
    choose = staticmethod(np.where)

    @staticmethod
    def with_slope(value: Floats, x: Floats, slope: Floats) -> Floats:
        return value


def parameters(block: Block) -> Floats:
    """The parameter vector of every lane, [slot, lane]."""
    slots, values = block._lane_overrides()
    numbers = np.repeat(block.circuit.base[:, None], len(values), axis=1)
    numbers[slots] = values.T
    return numbers


def residuals(block: Block) -> Floats:
    """Sum of all contributions to every balance, straight from the device equations, [unknown, lane]."""
    circuit, numbers = block.circuit, parameters(block)
    x = block.xs.reshape(-1, block.xs.shape[-1]).T
    tables = circuit.tables
    total = np.zeros((len(circuit.unknowns) + 1, x.shape[1]))
    with np.errstate(all="ignore"):
        for e, number in enumerate(tables.device):
            device = DEVICES[number]
            ports = tables.port[tables.port_start[e] :][: len(device.ports)]
            own = tables.parameter[tables.parameter_start[e] :][: len(device.parameters)]
            p = SimpleNamespace(**dict(zip(device.parameters, numbers[own], strict=True)))
            for port, flow in zip(ports, device.equations(list(x[ports]), p, Arrays()), strict=True):
                total[min(port, len(circuit.unknowns))] += flow
    return total[:-1]


def jacobian(block: Block, lane: int) -> Floats:
    """The whole jacobian of one lane, dense."""
    circuit, n = block.circuit, len(block.circuit.unknowns)
    residual, places = np.zeros(n + 1), np.zeros(len(circuit.tables.entry_row) + 1)
    x = np.ascontiguousarray(block.xs.reshape(-1, n + 2)[lane])
    solver().balances(x, np.ascontiguousarray(parameters(block)[:, lane]), circuit.tables, residual, places)
    matrix = np.zeros((n, n))
    matrix[circuit.tables.entry_row, circuit.tables.entry_column] = places[:-1]
    return matrix


def excess(block: Block) -> Floats:
    """Largest residual of each lane over what is allowed: 1e-12 plus eight roundings of the row's largest term."""
    found = np.abs(residuals(block))
    n = len(block.circuit.unknowns)
    worst = np.zeros(found.shape[1])
    for lane in np.flatnonzero(block.is_solved.ravel()):
        terms = np.abs(jacobian(block, lane) * block.xs.reshape(-1, n + 2)[lane, :n]).max(axis=1)
        worst[lane] = (found[:, lane] / (BALANCE + ROUNDINGS * terms)).max()
    return worst


def growing(block: Block, lane: int, capacity: float = 1e-4) -> NDArray[np.complex128]:
    """The modes that grow [1/s], with this capacity [F] on every net and 1 J/K in every thermal place."""
    matrix, circuit = jacobian(block, lane), block.circuit
    branch = np.array([node[0] == "branch" for node in circuit.unknowns])
    nodes, currents = np.flatnonzero(~branch), np.flatnonzero(branch)
    own = matrix[np.ix_(currents, currents)] - 1e-6 * np.eye(len(currents))
    across = np.linalg.solve(own, matrix[np.ix_(currents, nodes)])
    rates = matrix[np.ix_(nodes, nodes)] - matrix[np.ix_(nodes, currents)] @ across
    modes = np.linalg.eigvals(-rates / np.where(circuit.tables.is_temperature[nodes], 1.0, capacity)[:, None])
    return np.asarray(modes[modes.real > 1e-3])


def cannot_last(block: Block, lane: int) -> bool:
    """True when a mode grows without swinging, be the electrical side slow or fast: that is beyond capacities."""
    modes = [growing(block, lane, capacity) for capacity in (1e-4, 1e-9)]
    return all(any(abs(mode.imag) < 1e-6 * abs(mode) for mode in found) for found in modes)


def smallest_singular_value(block: Block, lane: int) -> float:
    """Of the jacobian with rows and columns scaled to about one."""
    matrix = jacobian(block, lane)
    for _ in range(10):
        matrix = matrix / np.sqrt(np.abs(matrix).max(axis=1, keepdims=True))
        matrix = matrix / np.sqrt(np.abs(matrix).max(axis=0, keepdims=True))
    return float(np.linalg.svd(matrix, compute_uv=False)[-1])


def least_range(block: Block, lane: int) -> float:
    """The smallest of the numbers that must be positive inside the models' range."""
    circuit = block.circuit
    tables, numbers = circuit.tables, parameters(block)[:, lane]
    x = block.xs.reshape(-1, block.xs.shape[-1])[lane]
    least = np.inf
    for e, number in enumerate(tables.device):
        device = DEVICES[number]
        if device.valid:
            ports = tables.port[tables.port_start[e] :][: len(device.ports)]
            own = tables.parameter[tables.parameter_start[e] :][: len(device.parameters)]
            p = SimpleNamespace(**dict(zip(device.parameters, numbers[own], strict=True)))
            least = min(least, *device.valid(list(x[ports]), p, Arrays()))
    return float(least)


def hottest(block: Block, lane: int) -> float:
    """Highest temperature of a lane [K]."""
    x = block.xs.reshape(-1, block.xs.shape[-1])[lane, :-2]
    return float(x[block.circuit.tables.is_temperature].max())


def equilibrium(block: Block, lane: int) -> Block | None:
    """A balance of this lane by plain Newton steps with NumPy, stable or not; None if none is found.

    Tried from the lane's own last state and from its neighbours, as far as these are solved.
    """
    n = len(block.circuit.unknowns)
    states = block.xs.reshape(-1, n + 2)
    row, point = divmod(lane, block.outcomes.shape[1])
    tables = block.corners.rows(slice(row, row + 1)), block.sweep.rows(slice(point, point + 1))
    p = np.ascontiguousarray(parameters(block)[:, lane])
    good = [k for k in np.flatnonzero(block.is_solved.ravel()) if abs(k - lane) < 6]
    for start in (lane, *sorted(good, key=lambda k: abs(k - lane))):
        x = states[start].copy()
        for _ in range(100):
            state = x[None, None].copy()
            found = Block(block.circuit, *tables, state, np.full((1, 1), SOLVED, np.int8), np.zeros((1, 1, 3)))
            if excess(found)[0] <= 1.0:
                return found
            residual, places = np.zeros(n + 1), np.zeros(len(block.circuit.tables.entry_row) + 1)
            solver().balances(x, p, block.circuit.tables, residual, places)
            step = np.linalg.lstsq(jacobian(found, 0), -residual[:n], rcond=None)[0]
            x[:n] += step * min(1.0, 2.0 / np.abs(step).max())
    return None


def swings(block: Block, lane: int, capacity: float = 1e-4, duration: float = 600.0) -> bool:
    """True where the circuit, left alone in time from the last good load, still swings when two thirds are over.

    A stiff integrator of SciPy, the same capacities as in `growing`: the junctions must span more than 1 K after
    `duration` / 3 and no less after `duration` · 2/3, which what settles does not.
    """
    circuit, n = block.circuit, len(block.circuit.unknowns)
    before = [k for k in range(lane) if block.outcomes[0, k] == SOLVED]
    if not before:
        return False
    p = np.ascontiguousarray(parameters(block)[:, lane])
    branch = np.array([node[0] == "branch" for node in circuit.unknowns])
    nodes, currents = np.flatnonzero(~branch), np.flatnonzero(branch)
    warm = circuit.tables.is_temperature[nodes]
    capacities = np.where(warm, 1.0, capacity)
    x = block.xs.reshape(-1, n + 2)[before[-1]].copy()

    def flows(state: Floats) -> tuple[Floats, Floats]:
        x[nodes], x[currents] = state, 0.0
        for _ in range(2):  # the branch equations are linear in their currents
            residual, places = np.zeros(n + 1), np.zeros(len(circuit.tables.entry_row) + 1)
            solver().balances(x, p, circuit.tables, residual, places)
            matrix = np.zeros((n, n))
            matrix[circuit.tables.entry_row, circuit.tables.entry_column] = places[:-1]
            own = matrix[np.ix_(currents, currents)] - 1e-6 * np.eye(len(currents))
            x[currents] -= np.linalg.solve(own, residual[currents])
        across = np.linalg.solve(own, matrix[np.ix_(currents, nodes)])
        rates = matrix[np.ix_(nodes, nodes)] - matrix[np.ix_(nodes, currents)] @ across
        solver().balances(x, p, circuit.tables, residual, places)
        return -residual[nodes] / capacities, -rates / capacities[:, None]

    asked = count()

    def rates_of(_: float, state: Floats) -> Floats:
        if next(asked) > MOST_EVALUATIONS:
            raise TooLong
        return flows(state)[0]

    try:
        course = solve_ivp(
            rates_of, (0.0, duration), x[nodes], "BDF", jac=lambda _, y: flows(y)[1], rtol=1e-6, atol=1e-6
        )
    except TooLong:
        return False
    if not course.success or course.y[warm].max() > HOTTEST:
        return False
    third = np.floor(3.0 * course.t / duration)
    spans = [np.ptp(course.y[warm][:, third == k], axis=1).max() for k in (1, 2)]
    return bool(spans[0] > 1.0 and spans[1] > 0.9 * spans[0])


def fold(circuit: Circuit, good: float, bad: float) -> tuple[float, Floats]:
    """The last load that can be followed up to, and the smallest singular values on the way to it."""
    for _ in range(40):
        middle = 0.5 * (good + bad)
        block = solved(circuit, sweep=Overrides.column("load", "draws", np.array([0.0, middle])))
        held = block.outcomes[0, 1] == SOLVED and not block.notes[0, 1, 2]
        good, bad = (middle, bad) if held else (good, middle)
    loads = good * (1.0 - np.array([1e-1, 1e-3, 1e-5, 1e-7]))
    block = solved(circuit, sweep=Overrides.column("load", "draws", loads))
    return good, np.array([smallest_singular_value(block, lane) for lane in range(len(loads))])


def reason(block: Block, lane: int) -> str:
    """Why a lane has no solution, shown by other means than the solver's; empty where it cannot be shown."""
    outcome = block.outcomes.ravel()[lane]
    if outcome == RUNAWAY:
        return "a junction is past 500 °C" if hottest(block, lane) > HOTTEST else ""
    if outcome == OUT_OF_RANGE:
        return "base charge is not positive" if least_range(block, lane) <= 0.0 else ""
    balance = equilibrium(block, lane)
    if balance is not None and growing(balance, 0).size:
        return "hunts: the balance that exists has a growing mode"
    if balance is not None and any(growing(balance, 0, capacity).size for capacity in (1e-6, 1e-9)):
        return "hunts: the balance that exists has a growing mode with less capacity on the nets, as a power load makes"
    if swings(block, lane):
        return "hunts: in time it keeps swinging round the balance that exists"
    draws = block.sweep.values[:, 0]
    before = [k for k in range(lane) if block.outcomes[0, k] == SOLVED]
    if before:
        _, values = fold(block.circuit, draws[before[-1]], draws[lane])
        if values[-1] < 1e-2 * values[0]:
            return "a fold: the jacobian becomes singular towards the last good load"
    return ""


def beside(circuit: Circuit, draws: Overrides) -> tuple[Block, int, list[int]]:
    """Three input voltages solved side by side; how many lanes differ from the same solved one by one, and which of
    these are no operating point.

    Where a circuit has two stable operating points the length of the steps may decide which one is found; a lane that
    is balanced and keeps still is then another one, and is only counted.
    """
    (slot, _), *_ = circuit.slots["input", "voltage"]
    corners = Overrides.column("input", "voltage", circuit.base[slot] * np.array([1.0, 0.97, 1.04]))
    together = solved(circuit, corners, draws, workers=1)
    closeness = excess(together).reshape(together.outcomes.shape)
    others, wrong = 0, []
    for row in range(len(corners)):
        alone = solved(circuit, corners.rows(slice(row, row + 1)), draws, workers=1)
        same = alone.outcomes[0] == together.outcomes[row]
        scale = 1e-6 * (1.0 + np.abs(alone.xs[0]))
        close = (np.abs(alone.xs[0] - together.xs[row]) <= scale).all(axis=1) | (alone.outcomes[0] != SOLVED)
        for point in np.flatnonzero(~(same & close)):
            others += 1
            lane = row * len(draws) + int(point)
            if together.outcomes[row, point] == SOLVED and (
                not closeness[row, point] <= 1.0 or cannot_last(together, lane)
            ):
                wrong.append(lane)
    return together, others, wrong


@dataclass
class Tally:
    """What came of all lanes."""

    outcomes: Counter[str] = field(default_factory=Counter)
    reasons: Counter[str] = field(default_factory=Counter)
    unexplained: list[str] = field(default_factory=list)
    beside: int = 0
    others: int = 0
    wrong: list[str] = field(default_factory=list)
    worst: float = 0.0
    jumps: int = 0
    iterations: float = 0.0
    seconds: float = 0.0

    def add(self, block: Block, name: str) -> None:
        """Enters the lanes of one stage."""
        self.outcomes.update(WORDS[k] for k in block.outcomes.ravel())
        self.iterations += block.notes[0, :, 0].sum()
        self.jumps += int((block.notes[..., 2] * block.is_solved).sum())
        closeness = excess(block)
        for lane in range(block.outcomes.size):
            where = f"{name} lane {lane} ({block.sweep.values[lane, 0]:.4g} A)"
            if block.outcomes.ravel()[lane] != SOLVED:
                why = reason(block, lane)
                self.reasons[why] += 1
                if not why:
                    self.unexplained.append(f"{where}: {WORDS[block.outcomes.ravel()[lane]]}, nothing shows why")
                continue
            self.worst = max(self.worst, closeness[lane])
            if not closeness[lane] <= 1.0:
                self.unexplained.append(f"{where}: solved, but a balance is open {closeness[lane]:.3g} times too far")
            if cannot_last(block, lane):
                self.unexplained.append(f"{where}: solved, but a mode grows")


def main() -> int:
    """Solves the stages, prints the table, and returns 1 if a lane is left unexplained."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, usual in (("stages", 2000), ("first", 0), ("seed", 1), ("loads", 50)):
        parser.add_argument(f"--{name}", type=int, default=usual)
    parser.add_argument("--beside", action="store_true", help="also solve three corners side by side and one by one")
    parser.add_argument("--plain", action="store_true", help="only bypass and compound stages, without options")
    chosen = parser.parse_args()
    stage = random_plain_stage if chosen.plain else random_stage
    tally = Tally()
    for number in range(chosen.first, chosen.first + chosen.stages):
        parts, ambient, most = stage(chosen.seed, number)
        draws = Overrides.column("load", "draws", np.linspace(0.0, most, chosen.loads))
        circuit = laid_out(parts, ambient)
        start = time.perf_counter()
        block = solved(circuit, sweep=draws, workers=1)
        tally.seconds += time.perf_counter() - start
        tally.add(block, f"seed {chosen.seed} stage {number}")
        if chosen.beside:
            together, others, wrong = beside(circuit, draws)
            tally.beside += together.outcomes.size
            tally.others += others
            tally.wrong += [f"seed {chosen.seed} stage {number} lane {lane} of those side by side" for lane in wrong]
    report(tally, chosen.stages * chosen.loads)
    return 1 if tally.unexplained or tally.wrong else 0


def report(tally: Tally, lanes: int) -> None:
    """Prints what was counted."""
    print(f"{lanes} lanes, {tally.seconds:.1f} s in the solver, {tally.iterations / lanes:.1f} iterations a lane")
    for word in WORDS:
        print(f"  {word:15s}{tally.outcomes[word]:8d}")
    print(f"of the solved ones {tally.jumps} were reached by settling past a fold or past an unstable point")
    print(f"worst residual, recomputed: {tally.worst:.2f} of 1e-12 plus eight roundings of the largest term")
    for why, lanes_of in tally.reasons.most_common():
        print(f"  {lanes_of:6d}  {why or 'unexplained'}")
    if tally.beside:
        print(
            f"{tally.beside} lanes side by side, {tally.others} found another operating point than one by one, ", end=""
        )
        print(f"{len(tally.wrong)} of these are no operating point")
        for line in tally.wrong[:50]:
            print(f"  {line}")
    print(f"unexplained: {len(tally.unexplained)}")
    for line in tally.unexplained[:200]:
        print(f"  {line}")


if __name__ == "__main__":
    sys.exit(main())
