"""How much every figure moves with every parameter: exact slopes of solved circuits, without solving again.

A solution x(p) obeys F(x, p) = 0, hence dx/dp = −(∂F/∂x)⁻¹ ∂F/∂p (implicit function theorem; textbook, memory).
The derivatives of F are those of the devices' own equations, evaluated on arrays that carry slopes; a figure is read
off a block whose every number carries its slope by every parameter.  Nothing is differentiated by hand or by steps.

Right after a release temperatures T still are those of the hot solution: F(x, T, p) = 0 without its thermal rows, so
dx/dp takes ∂F/∂T·dT/dp along, with dT/dp from the hot solution.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from outboard.devices.catalogue import DEVICES
from outboard.network.circuit import AMBIENT_FIELD, Circuit
from outboard.network.sloped import SLOPED, Sloped, slope_of
from outboard.network.solution import Block

Floats = NDArray[np.float64]
Address = tuple[str, str]
"""(part, field); the field of ambient temperature is AMBIENT_FIELD."""

Figure = Callable[[Block], Floats]
"""Reads one figure off a block, [corner, point]; numbers that it brings along itself count as constant."""

TOGETHER = 4096
"""Lanes whose derivatives are held at one time."""


@dataclass(frozen=True)
class SlopedBlock(Block):
    """A block whose unknowns, flows and numbers carry their slopes by `parameters`."""

    parameters: tuple[Address, ...] = ()

    def number(self, part: str, field: str) -> Floats:
        """A part's number, with slope 1 by itself."""
        plain = super().number(part, field)
        slopes = np.array([1.0 if address == (part, field) else 0.0 for address in self.parameters])
        return cast(Floats, Sloped(plain, slopes.reshape((1,) * plain.ndim + (-1,))))


@dataclass(frozen=True, slots=True)
class _Local:
    """One element's own slopes: [lane, contribution, port] and by every asked parameter [lane, contribution, m]."""

    ports: NDArray[np.uint32]
    rows: NDArray[np.uint32]
    by_port: Floats
    by_parameter: Floats


def parameters_of(circuit: Circuit) -> tuple[Address, ...]:
    """Everything that a slope can be asked by: all numbers of all parts, and the ambient temperature."""
    return tuple(circuit.slots)


def slopes(
    block: Block, figures: Sequence[Figure], parameters: Sequence[Address], hot: Block | None = None
) -> Floats:
    """∂figure/∂parameter [SI per SI], array [lane, figure, parameter]; lanes run through the points of each corner.

    hot   the solution whose temperatures `block` still has, lane by lane, right after its load was released
    Not a number where a lane has no solution, or where a figure has no slope (at the edge of runaway).
    At a sharp bend of a figure (|x|, max) the slope of one side.  KeyError for a field that the circuit lacks.
    """
    corners, points = block.outcomes.shape
    step = max(1, TOGETHER // max(1, points))
    pieces = []
    for k in range(0, corners, step):
        rows = slice(k, k + step)
        pieces.append(_slopes(_rows(block, rows), figures, parameters, None if hot is None else _rows(hot, rows)))
    return np.concatenate(pieces) if pieces else np.empty((0, len(figures), len(parameters)))


def root_sum_square(by_parameter: Floats, deviations: Floats) -> Floats:
    """Standard deviation of a figure while its parameters deviate independently: √Σ(slope·deviation)².

    deviations  standard deviation of each parameter, in its own unit (a uniform ±a: a/√3)
    Validity: deviations so small that slopes hardly change.  JCGM 100:2008, eq. 10 (memory).
    """
    return np.asarray(np.sqrt(np.square(by_parameter * deviations).sum(axis=-1)))


def _rows(block: Block, rows: slice) -> Block:
    return Block(
        block.circuit, block.corners.rows(rows), block.sweep, block.xs[rows], block.outcomes[rows], block.notes[rows]
    )


def _slopes(block: Block, figures: Sequence[Figure], parameters: Sequence[Address], hot: Block | None) -> Floats:
    tilted = sloped(block, parameters, hot)
    shape = (*block.outcomes.shape, len(parameters))
    found = np.empty((block.outcomes.size, len(figures), len(parameters)))
    for k, figure in enumerate(figures):
        found[:, k] = np.broadcast_to(slope_of(figure(tilted)), shape).reshape(-1, len(parameters))
    found[~block.is_solved.reshape(-1)] = np.nan
    return found


def sloped(block: Block, parameters: Sequence[Address], hot: Block | None = None) -> SlopedBlock:
    """The same solutions, every number with its slopes by the parameters; `hot` as for `slopes`."""
    parameters = tuple(parameters)
    held = None
    if hot is not None:
        held = slope_of(sloped(hot, parameters).xs).reshape(-1, hot.xs.shape[-1], len(parameters))
    lanes = block.xs.reshape(-1, block.xs.shape[-1])
    rows = block.stored_numbers
    tilts = _stored_slopes(block.circuit, rows, parameters)
    warmer = np.array([1.0 if address == AMBIENT_FIELD else 0.0 for address in parameters])
    with np.errstate(all="ignore"):  # lanes without a solution hold anything
        locals_ = _local_slopes(block.circuit, lanes, rows, tilts, len(parameters))
        moved = _unknown_slopes(block.circuit, locals_, lanes, block.is_solved.reshape(-1), warmer, held)
        flows = [
            np.einsum("lkj,ljm->lkm", local.by_port, moved[:, local.ports]) + local.by_parameter for local in locals_
        ]
    shape = block.outcomes.shape
    xs = Sloped(block.xs, moved.reshape(*shape, *moved.shape[1:]))
    tilted = SlopedBlock(
        block.circuit, block.corners, block.sweep, cast(Floats, xs), block.outcomes, block.notes, parameters
    )
    by_flow = np.concatenate(flows, axis=1)
    tilted.__dict__["flows"] = Sloped(block.flows, by_flow.reshape(*shape, *by_flow.shape[1:]))
    return tilted


def _stored_slopes(circuit: Circuit, rows: Floats, parameters: Sequence[Address]) -> dict[int, dict[int, Floats]]:
    """By slot and parameter number: ∂stored/∂parameter [lane]; a stored reciprocal 1/v has the slope −1/v²."""
    found: dict[int, dict[int, Floats]] = {}
    for m, address in enumerate(parameters):
        for slot, inverse in circuit.slots[address]:
            stored = rows[:, slot]
            found.setdefault(slot, {})[m] = -stored * stored if inverse else np.ones(len(rows))
    return found


def _local_slopes(
    circuit: Circuit, lanes: Floats, rows: Floats, tilts: dict[int, dict[int, Floats]], count: int
) -> list[_Local]:
    tables = circuit.tables
    found = []
    for e, number in enumerate(tables.device):
        device = DEVICES[number]
        at = slice(int(tables.port_start[e]), int(tables.port_start[e + 1]))
        q = int(tables.parameter_start[e])
        slots = tables.parameter[q : q + len(device.parameters)]
        width = len(device.ports)
        asked = [j for j, slot in enumerate(slots) if int(slot) in tilts]
        one = np.eye(width + len(asked))
        ports = [Sloped(lanes[:, i], one[None, k]) for k, i in enumerate(tables.port[at])]
        numbers: list[Any] = [rows[:, slot] for slot in slots]
        for k, j in enumerate(asked):
            numbers[j] = Sloped(numbers[j], one[None, width + k])
        given = SimpleNamespace(**dict(zip(device.parameters, numbers, strict=True)))
        shape = (len(lanes), len(one))
        own = np.stack(
            [np.broadcast_to(slope_of(flow), shape) for flow in device.equations(ports, given, SLOPED)], axis=1
        )
        by_parameter = np.zeros((len(lanes), width, count))
        for k, j in enumerate(asked):
            for m, tilt in tilts[int(slots[j])].items():
                by_parameter[:, :, m] += own[:, :, width + k] * tilt[:, None]
        found.append(_Local(tables.port[at], tables.row[at], own[:, :, :width], by_parameter))
    return found


def _unknown_slopes(
    circuit: Circuit, locals_: Sequence[_Local], lanes: Floats, is_solved: NDArray[np.bool_], warmer: Floats,
    held: Floats | None,
) -> Floats:  # fmt: skip
    """∂x/∂parameter, [lane, unknown + 2, parameter]; ground does not move, ambient by itself.

    held   how temperatures move that the circuit does not decide at this moment, as part of the same array
    """
    n = len(circuit.unknowns)
    jacobian = np.zeros((len(lanes), n + 1, n + 2))
    driven = np.zeros((len(lanes), n + 1, len(warmer)))
    for local in locals_:
        for k, row in enumerate(local.rows):
            driven[:, row] += local.by_parameter[:, k]
            for j, port in enumerate(local.ports):
                jacobian[:, row, port] += local.by_port[:, k, j]
    driven[:, :n] += jacobian[:, :n, n + 1, None] * warmer
    if held is not None:
        warm = np.flatnonzero(circuit.tables.is_temperature[:n])
        jacobian[:, warm] = 0.0
        jacobian[:, warm, warm] = 1.0
        driven[:, warm] = -held[:, warm]
    moved = np.full((len(lanes), n + 2, len(warmer)), np.nan)
    moved[:, n], moved[:, n + 1] = 0.0, warmer
    moved[is_solved, :n] = _solutions(jacobian[is_solved, :n, :n], -driven[is_solved, :n])
    return moved


def _solutions(matrices: Floats, right: Floats) -> Floats:
    """Solutions of many small systems, rows and columns brought to like size, refined once."""
    by_row = 1.0 / np.abs(matrices).max(axis=2, keepdims=True)
    scaled = matrices * by_row
    by_column = 1.0 / np.abs(scaled).max(axis=1, keepdims=True)
    scaled *= by_column
    inverses = _inverses(scaled)
    wanted = right * by_row
    found = inverses @ wanted
    found += inverses @ (wanted - scaled @ found)
    return np.asarray(found * by_column.swapaxes(1, 2))


def _inverses(matrices: Floats) -> Floats:
    """Inverses of many matrices; not numbers for one that has none: at the very edge of runaway no slope exists."""
    try:
        return np.asarray(np.linalg.inv(matrices))
    except np.linalg.LinAlgError:
        if len(matrices) == 1:
            return np.full_like(matrices, np.nan)
        return np.concatenate([_inverses(matrix[None]) for matrix in matrices])
