"""A supply that is switched off and on again while hot: its junctions keep the temperatures they had at work."""

import numpy as np
from numpy.typing import NDArray

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


def _with_point(block: Block, point: int) -> Overrides:
    """The corners with one point of the sweep in every row."""
    values = np.tile(block.sweep.values[point], (len(block.corners), 1))
    return Overrides(block.corners.fields + block.sweep.fields, np.hstack([block.corners.values, values]))


def _first_unsolved(*ways: NDArray[np.int8]) -> NDArray[np.int8]:
    found = ways[-1].copy()
    for way in reversed(ways[:-1]):
        found = np.where(way == SOLVED, found, way).astype(np.int8)
    return found
