"""Why a lane has no operating point, shown by other means than the solver's.

Each witness shows one thing: that a balance cannot last, that the branch of balances turns back, or that the circuit,
left alone in time, never comes to rest.
"""

from itertools import count

import numpy as np
from branch import WAYS_OUT, Branch, branch_from, matrix_and_residual
from numpy.typing import NDArray
from recomputed import Floats, excess, hottest, jacobian, least_range, parameters
from scipy.integrate import solve_ivp

from outboard.network.circuit import Circuit
from outboard.network.compile import solver
from outboard.network.outcome import OUT_OF_RANGE, RUNAWAY, SOLVED
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved

HOTTEST = 773.15
GOLDEN = 0.618033988749895
MOST_EVALUATIONS = 60_000
"""After so many evaluations a course in time is given up: then it shows nothing."""


AWAKE = (0.05, 0.1, 0.2)
"""How far the sources come up before the branch from the dead circuit is followed: the least at which it balances."""

BALANCED = 1e-9


class TooLong(Exception):
    """A course in time that takes too many steps."""


def growing(
    block: Block, lane: int, capacity: float = 1e-4, slowest: float = 1e-3, decades: float = 0.0
) -> NDArray[np.complex128]:
    """The modes that grow [1/s], none slower than `slowest`.

    Every net has this capacity [F], every thermal place 1 J/K; or more, strewn over so many decades.
    """
    matrix, circuit = jacobian(block, lane), block.circuit
    carries = np.array([node[0] == "branch" for node in circuit.unknowns])
    nodes, currents = np.flatnonzero(~carries), np.flatnonzero(carries)
    own = matrix[np.ix_(currents, currents)] - 1e-6 * np.eye(len(currents))
    across = np.linalg.solve(own, matrix[np.ix_(currents, nodes)])
    rates = matrix[np.ix_(nodes, nodes)] - matrix[np.ix_(nodes, currents)] @ across
    capacities = np.where(circuit.tables.is_temperature[nodes], 1.0, capacity)
    capacities *= 10.0 ** (decades * ((nodes * GOLDEN) % 1.0))
    modes = np.linalg.eigvals(-rates / capacities[:, None])
    return np.asarray(modes[modes.real > slowest])


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
    carries = np.array([node[0] == "branch" for node in circuit.unknowns])
    nodes, currents = np.flatnonzero(~carries), np.flatnonzero(carries)
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


def woken(circuit: Circuit, finish: Floats) -> tuple[Floats, Floats]:
    """The circuit when its sources have come a little way up, by plain Newton steps: its parameters and its state.

    Dead it floats here and there, and no way on can be told.
    """
    n, dead = len(circuit.unknowns), finish.copy()
    dead[circuit.tables.raised] = 0.0
    for awake in AWAKE:
        state = np.where(np.append(circuit.tables.is_temperature, [False, True]), finish[0], 0.0)
        for share in np.linspace(0.0, awake, 11)[1:]:
            p = np.ascontiguousarray(dead + share * (finish - dead))
            for _ in range(50):
                matrix, residual = matrix_and_residual(circuit, state, p)
                step = np.linalg.lstsq(matrix, -residual, rcond=None)[0]
                state[:n] += step * min(1.0, 0.3 / max(np.abs(step).max(), 1e-300))
        if np.abs(matrix_and_residual(circuit, state, p)[1]).max() < BALANCED:
            break
    return p, state


Branches = dict[tuple[int, int], Branch]
"""Branches already followed for one block, by where they start and the lane they were followed for."""


def branch_towards(block: Block, lane: int, known: Branches) -> tuple[Branch, float]:
    """The branch from the last good load before a lane through the lane's own, or, where no load before it is good,
    from the next one back, or else from the dead circuit as its sources come up; with the share of the way at which
    the lane lies."""
    circuit, numbers, last = block.circuit, parameters(block), block.outcomes.shape[1] - 1
    before = [k for k in range(lane) if block.outcomes[0, k] == SOLVED]
    beyond = [k for k in range(lane, last + 1) if block.outcomes[0, k] == SOLVED]
    if before or beyond:
        good, end = (before[-1], last) if before else (beyond[0], 0)
        start, begin, finish = block.xs[0, good].copy(), numbers[:, good], numbers[:, end]
        share, key = (lane - good) / (end - good), (good, -1)
    else:
        share, finish = 1.0, numbers[:, lane]
        begin, start = woken(circuit, finish)
        key = (-1, lane)
    if key not in known:
        known[key] = branch_from(circuit, start, np.ascontiguousarray(begin), np.ascontiguousarray(finish))
    return known[key], share


def balances_on(found: Branch, share: float, block: Block, lane: int) -> list[Block]:
    """The balances that a branch has at a lane's load, brought there by plain Newton steps; unsure ones left out."""
    n = len(block.circuit.unknowns)
    tables = block.corners.rows(slice(0, 1)), block.sweep.rows(slice(lane, lane + 1))
    p = np.ascontiguousarray(parameters(block)[:, lane])
    balances = []
    for x in found.crossings(share):
        state = x[None, None].copy()
        one = Block(block.circuit, *tables, state, np.full((1, 1), SOLVED, np.int8), np.zeros((1, 1, 3)))
        for _ in range(30):
            matrix, residual = matrix_and_residual(block.circuit, state[0, 0], p)
            state[0, 0, :n] += np.linalg.lstsq(matrix, -residual, rcond=None)[0]
            if excess(one)[0] <= 1.0:
                balances.append(one)
                break
    return balances


def unrest(balance: Block) -> str:
    """How a balance shows that it cannot be kept; empty where it keeps still."""
    if growing(balance, 0).size:
        return "hunts: the balance that exists has a growing mode"
    if any(growing(balance, 0, capacity).size for capacity in (1e-6, 1e-9)):
        return "hunts: the balance that exists has a growing mode with less capacity on the nets, as a power load makes"
    if any(growing(balance, 0, capacity, decades=1.0).size for capacity in (1e-4, 1e-6, 1e-9)):
        return "hunts: the balance that exists has a growing mode where capacities differ"
    if growing(balance, 0, slowest=1e-6).size:
        return "drifts: the balance that exists has a mode that grows, but slowly"
    return ""


def reason(block: Block, lane: int, known: Branches) -> str:
    """Why a lane has no solution, shown by other means than the solver's; empty where it cannot be shown."""
    outcome = block.outcomes.ravel()[lane]
    if outcome == RUNAWAY:
        return "a junction is past 500 °C" if hottest(block, lane) > HOTTEST else ""
    if outcome == OUT_OF_RANGE:
        return "base charge is not positive" if least_range(block, lane) <= 0.0 else ""
    led, share = branch_towards(block, lane, known)
    balances = balances_on(led, share, block, lane)
    shown = [unrest(balance) for balance in balances]
    if shown and all(shown):
        return shown[0]
    if not led.crossings(share) and led.end in WAYS_OUT:
        return f"a fold: the branch of balances never comes to this load, it {WAYS_OUT[led.end]}"
    balance = None if balances else equilibrium(block, lane)
    if balance is not None and unrest(balance):
        return unrest(balance)
    if swings(block, lane):
        return "hunts: in time it keeps swinging round the balance that exists"
    draws = block.sweep.values[:, 0]
    before = [k for k in range(lane) if block.outcomes[0, k] == SOLVED]
    if before:
        _, values = fold(block.circuit, draws[before[-1]], draws[lane])
        if values[-1] < 1e-2 * values[0]:
            return "a fold: the jacobian becomes singular towards the last good load"
    return ""
