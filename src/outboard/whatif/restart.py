"""A supply that is switched off and on again, or that a short lets go, while its junctions keep their temperatures."""

import numpy as np
from numpy.typing import NDArray

from outboard.network.edits import METER, SHORT
from outboard.network.outcome import SOLVED
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import released

INPUT = ("input", "voltage")


def restarted(block: Block) -> Block:
    """The points of a block, reached anew: input down to nothing and back, load and temperatures held meanwhile.

    A point from which one of the two ways is not found has the outcome of that way.
    """
    if INPUT not in block.corners.fields:
        return block
    column = block.corners.fields.index(INPUT)
    on = Overrides((INPUT,), block.corners.values[:, [column]])
    off = Overrides((INPUT,), np.zeros((len(block.corners), 1)))
    xs, outcomes, notes = block.xs.copy(), block.outcomes.copy(), block.notes.copy()
    for point in range(len(block.sweep)):
        cases = _with_point(block, point)
        down = released(block.circuit, cases, on, off, xs[:, point], workers=1)
        up = released(block.circuit, cases, off, on, down.xs[:, 0], workers=1)
        chosen = _first_unsolved(outcomes[:, point], down.outcomes[:, 0], up.outcomes[:, 0])
        xs[:, point], notes[:, point], outcomes[:, point] = up.xs[:, 0], up.notes[:, 0], chosen
    return Block(block.circuit, block.corners, block.sweep, xs, outcomes, notes)


def let_go(block: Block, short: str) -> Block:
    """The points of a block, solved with a short, after the short has gone: input, load and temperatures held.

    A limit that folds back may leave the output where it is: less comes than a load of constant current takes.
    """
    address = (short, "resistance")
    before = Overrides.column(*address, np.full(len(block.corners), SHORT))
    after = Overrides.column(*address, np.full(len(block.corners), METER))
    xs, outcomes, notes = block.xs.copy(), block.outcomes.copy(), block.notes.copy()
    for point in range(len(block.sweep)):
        free = released(block.circuit, _with_point(block, point), before, after, xs[:, point], workers=1)
        xs[:, point], notes[:, point] = free.xs[:, 0], free.notes[:, 0]
        outcomes[:, point] = _first_unsolved(outcomes[:, point], free.outcomes[:, 0])
    return Block(block.circuit, block.corners, block.sweep, xs, outcomes, notes)


def _with_point(block: Block, point: int) -> Overrides:
    """The corners with one point of the sweep in every row."""
    values = np.tile(block.sweep.values[point], (len(block.corners), 1))
    return Overrides(block.corners.fields + block.sweep.fields, np.hstack([block.corners.values, values]))


def _first_unsolved(*ways: NDArray[np.int8]) -> NDArray[np.int8]:
    found = ways[-1].copy()
    for way in reversed(ways[:-1]):
        found = np.where(way == SOLVED, found, way).astype(np.int8)
    return found
