"""A circuit that moves: f(x, t) + dq(x)/dt = 0, with the slopes of both, one point at a time.

Every device is traced once, with its slopes, into a plain Python function.  Temperatures are numbers here, not
unknowns: what is asked is over long before a junction has warmed.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

from outboard.devices.charges.regulator import wanted_current
from outboard.devices.charges.store import Store
from outboard.devices.device import Device
from outboard.devices.mathematics import FLOATS
from outboard.devices.regulator import REGULATOR
from outboard.network.circuit import GROUND_NODE
from outboard.network.expansion import Node
from outboard.network.moving_expansion import Piece, moving
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.tracer import Graph, Tracing, derivative, straight_line

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Address = tuple[str, str]
Drives = Mapping[Address, Callable[[float], float]]
"""(part, field) -> its value over time; what is not named keeps the part's own."""

SETTLED, MOST_STEPS = 1e-11, 60
"""At rest when no unknown moves by more than this [V; A], share of its size; Newton steps that are tried."""


class NoPoint(Exception):
    """The moving circuit has no point where one was looked for."""


@dataclass(frozen=True, slots=True)
class Evaluation:
    """At one point: flows f [A] and what is stored q [C] by row, and their slopes by unknown."""

    f: Floats
    q: Floats
    by_f: Floats
    by_q: Floats


@dataclass(frozen=True, slots=True)
class Traced:
    """A device as a function (port values, parameters) -> f, q and the slopes at the places, in this order."""

    function: Callable[..., tuple[float, ...]]
    moves: tuple[int, ...]
    f_places: tuple[tuple[int, int], ...]
    q_places: tuple[tuple[int, int], ...]


@cache
def traced(device: Device | Store) -> Traced:
    """The device with its slopes by every port but its temperature."""
    graph = Graph()
    ports = [graph.variable(f"v{k}") for k in range(len(device.ports))]
    numbers = [graph.variable(f"p{j}") for j in range(len(device.parameters))]
    p, m = SimpleNamespace(**dict(zip(device.parameters, numbers, strict=True))), Tracing(graph)
    none = tuple(graph.constant(0.0) for _ in ports)
    currents = device.equations if isinstance(device, Device) else device.currents
    f = tuple(currents(ports, p, m)) if currents is not None else none
    q = tuple(device.charges(ports, p, m)) if isinstance(device, Store) else none
    moves = tuple(k for k, name in enumerate(device.ports) if name != "temperature")
    wanted, places = [*(f[k] for k in moves), *(q[k] for k in moves)], []
    for found in (f, q):
        mine = [(k, j, derivative(found[k], ports[j])) for k in moves for j in moves]
        mine = [(k, j, slope) for k, j, slope in mine if slope.number() != 0.0]
        wanted += [slope for _, _, slope in mine]
        places.append(tuple((k, j) for k, j, _ in mine))
    lines, names = straight_line(wanted)
    arguments = ", ".join([*(f"v{k}" for k in range(len(ports))), *(f"p{j}" for j in range(len(numbers)))])
    text = "\n    ".join([f"def evaluated({arguments}):", *lines, f"return ({', '.join(names)},)"])
    scope: dict[str, Callable[..., tuple[float, ...]]] = {
        name: getattr(math, name) for name in ("exp", "log", "log1p", "sqrt", "tanh")
    }
    exec(compile(text, f"<{device.name}>", "exec"), scope)
    return Traced(scope["evaluated"], moves, places[0], places[1])


@dataclass(frozen=True, slots=True)
class MovingCircuit:
    """Pieces with their places: unknowns in order, held temperatures, and where each number goes.

    values   the parameters of every piece, as the parts have them
    slots    (part, field) -> (piece, place in its parameters, reciprocal)
    ports    of every piece, places among unknowns, ground and held temperatures
    cuts     of what a piece's function gives: number of moving ports, and where the slopes of charges begin
    """

    parts: tuple[Part, ...]
    pieces: tuple[Piece, ...]
    unknowns: tuple[Node, ...]
    index: Mapping[Node, int]
    held: Mapping[Node, float]
    values: tuple[tuple[float, ...], ...]
    slots: Mapping[Address, tuple[tuple[int, int, bool], ...]]
    ports: tuple[tuple[int, ...], ...]
    functions: tuple[Callable[..., tuple[float, ...]], ...]
    cuts: tuple[tuple[int, int], ...]
    f_rows: Indices
    f_cells: Indices
    q_cells: Indices

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return len(self.unknowns)

    def place(self, net: str) -> int | None:
        """Index of a net; None for ground."""
        found = self.index.get(("net", net))
        return None if found == self.size else found

    def numbers(self, drives: Drives, time: float) -> list[list[float]]:
        """Parameters of every piece at a time; KeyError for a drive that the circuit has no place for."""
        rows = [list(row) for row in self.values]
        for address, course in drives.items():
            value = course(time)
            for piece, place, inverse in self.slots[address]:
                rows[piece][place] = 1.0 / value if inverse else value
        return rows

    def flows(self, x: Floats, numbers: Sequence[Sequence[float]]) -> list[tuple[float, ...]]:
        """What each piece gives at a point: f and q of its moving ports, then their slopes."""
        at = (*x.tolist(), 0.0, *self.held.values())
        found = []
        for piece, ports, function, row in zip(self.pieces, self.ports, self.functions, numbers, strict=True):
            try:
                found.append(function(*[at[k] for k in ports], *row))
            except (ArithmeticError, ValueError) as error:
                raise NoPoint(f"{piece.part}: {error}") from error
        return found

    def evaluation(self, x: Floats, numbers: Sequence[Sequence[float]]) -> Evaluation:
        """f, q and their slopes at a point; NoPoint where arithmetic gives out."""
        f: list[float] = []
        q: list[float] = []
        by_f: list[float] = []
        by_q: list[float] = []
        for (count, slopes), found in zip(self.cuts, self.flows(x, numbers), strict=True):
            f += found[:count]
            q += found[count : 2 * count]
            by_f += found[2 * count : slopes]
            by_q += found[slopes:]
        n, wide = self.size, self.size + 1
        sums = [_summed(self.f_rows, flows, wide)[:n] for flows in (f, q)]
        slopes_f = _summed(self.f_cells, by_f, wide * wide).reshape(wide, wide)[:n, :n]
        slopes_q = _summed(self.q_cells, by_q, wide * wide).reshape(wide, wide)[:n, :n]
        return Evaluation(sums[0], sums[1], slopes_f, slopes_q)


def _summed(places: Indices, values: Sequence[float], size: int) -> Floats:
    """Values added up by their places."""
    return np.asarray(np.bincount(places, values, size), dtype=np.float64)


def moving_circuit(parts: Sequence[Part], temperatures: Mapping[Node, float]) -> MovingCircuit:
    """The parts as a circuit that moves, every junction at its temperature [K]."""
    pieces = tuple(piece for part in parts for piece in moving(part))
    found = dict.fromkeys(node for piece in pieces for node in piece.nodes)
    unknowns = tuple(node for node in found if node != GROUND_NODE and node not in temperatures)
    index = {node: k for k, node in enumerate(unknowns)} | {GROUND_NODE: len(unknowns)}
    slots: dict[Address, list[tuple[int, int, bool]]] = {}
    for number, piece in enumerate(pieces):
        for place, origin in enumerate(piece.numbers):
            slots.setdefault((origin.part, origin.field), []).append((number, place, origin.inverse))
    wide = len(unknowns) + 1
    held = {node: wide + k for k, node in enumerate(temperatures)}
    known_pieces = [traced(piece.device) for piece in pieces]
    f_rows, f_cells, q_cells = [], [], []
    for piece, known in zip(pieces, known_pieces, strict=True):
        at = [index.get(node, wide - 1) for node in piece.nodes]
        f_rows += [at[k] for k in known.moves]
        f_cells += [at[k] * wide + at[j] for k, j in known.f_places]
        q_cells += [at[k] * wide + at[j] for k, j in known.q_places]
    return MovingCircuit(
        tuple(parts), pieces, unknowns, index, temperatures,
        tuple(tuple(number.value for number in piece.numbers) for piece in pieces),
        {address: tuple(places) for address, places in slots.items()},
        tuple(tuple(held[node] if node in held else index[node] for node in piece.nodes) for piece in pieces),
        tuple(known.function for known in known_pieces),
        tuple((len(known.moves), 2 * len(known.moves) + len(known.f_places)) for known in known_pieces),
        np.array(f_rows, dtype=np.intp), np.array(f_cells, dtype=np.intp), np.array(q_cells, dtype=np.intp),
    )  # fmt: skip


def temperatures_of(block: Block, corner: int = 0, point: int = 0) -> dict[Node, float]:
    """Every junction and thermal place of a solution, and the surroundings [K]."""
    circuit, x = block.circuit, block.xs[corner, point]
    return {node: float(x[place]) for node, place in circuit.index.items() if node[0] in ("heat", "junction")}


def at_rest(circuit: MovingCircuit, block: Block, drives: Drives, corner: int = 0, point: int = 0) -> Floats:
    """The point of the moving circuit that is the solution at rest; NoPoint when Newton does not settle there."""
    x = np.zeros(circuit.size)
    known = block.xs[corner, point]
    for node, place in block.circuit.index.items():
        if node in circuit.index and node != GROUND_NODE:
            x[circuit.index[node]] = known[place]
    numbers = circuit.numbers(drives, 0.0)
    for piece, row in zip(circuit.pieces, numbers, strict=True):
        if piece.nodes[-1][0] == "control" and len(piece.nodes) == len(REGULATOR.ports) + 1:
            pins = [circuit.held.get(node, x[circuit.index[node]] if node in circuit.index else 0.0)
                    if node != GROUND_NODE else 0.0 for node in piece.nodes[:-1]]  # fmt: skip
            given = SimpleNamespace(**dict(zip(piece.device.parameters, row, strict=True)))
            x[circuit.index[piece.nodes[-1]]] = wanted_current(pins, given, FLOATS)
    return settled(circuit, x, numbers)


def settled(circuit: MovingCircuit, x: Floats, numbers: Sequence[Sequence[float]]) -> Floats:
    """f(x) = 0 by Newton from a point close by, steps halved while they do not help."""
    found = circuit.evaluation(x, numbers)
    for _ in range(MOST_STEPS):
        step = newton_step(found.by_f, found.f)
        if np.all(np.abs(step) <= SETTLED * (1.0 + np.abs(x))):
            return x - step
        share = 1.0
        while True:
            try:
                trial = circuit.evaluation(x - share * step, numbers)
                if share < 1e-3 or np.abs(trial.f).max() <= np.abs(found.f).max():
                    break
            except NoPoint:
                pass
            share *= 0.5
            if share < 1e-6:
                raise NoPoint("at rest nothing settles")
        x, found = x - share * step, trial
    if np.abs(found.f).max() <= 1e-9:  # what is left is rounding
        return x
    raise NoPoint("at rest nothing settles")


def newton_step(slopes: Floats, residual: Floats) -> Floats:
    """slopes⁻¹·residual, rows and columns brought to like size; NoPoint where there is none."""
    with np.errstate(divide="ignore", invalid="ignore"):
        by_row = 1.0 / np.abs(slopes).max(axis=1)
        scaled = slopes * by_row[:, None]
        by_column = 1.0 / np.abs(scaled).max(axis=0)
    if not (np.isfinite(by_row).all() and np.isfinite(by_column).all()):
        raise NoPoint("the balance of a net does not depend on anything")
    try:
        step = by_column * np.linalg.solve(scaled * by_column, by_row * residual)
    except np.linalg.LinAlgError:
        raise NoPoint("the slopes have no inverse") from None
    if not np.isfinite(step).all():
        raise NoPoint("the slopes have no inverse")
    return np.asarray(step)
