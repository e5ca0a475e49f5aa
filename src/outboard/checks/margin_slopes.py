"""Margins at single points of a box, and their exact slopes: one requirement, one input, one ambient, one load each."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.sensitivity import Address, Figure, slopes
from outboard.checks.box import LOAD, LOAD_FIELD, Box
from outboard.checks.check import Check
from outboard.checks.draws import RELEASED, SETTLED
from outboard.network.outcome import SOLVED
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import released, solved

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Piece:
    """A requirement of one part, and in which manner its lanes come about; of like parts each has its own."""

    check: Check
    manner: str

    def margin(self, block: Block) -> Floats:
        """Margin in every lane, with the slopes that the block carries."""
        check = self.check
        limit = check.limit(block) if callable(check.limit) else check.limit
        margin: Floats = check.sense * (check.measure(block) - limit)
        return margin


@dataclass(frozen=True)
class Solutions:
    """Single points solved in one manner; `hot` what a release came from."""

    block: Block
    hot: Block | None = None


def solutions(box: Box, points: Floats, manner: str) -> Solutions:
    """Points solved, each at its own input, ambient and load; after a start or a release the load is not its own."""
    setting, rows = box.setting, box.rows(points)
    if not setting.load_fields:
        return Solutions(solved(setting.circuit, rows, workers=1))
    most, least = (np.full(len(rows), load) for load in setting.loads[[-1, 0]])
    own = box.surroundings(points)[:, LOAD] if manner == SETTLED else most
    hot = solved(setting.circuit, _beside(rows, own), workers=1)
    if manner != RELEASED:
        return Solutions(hot)
    before, now = (Overrides.column(*LOAD_FIELD, load) for load in (most, least))
    after = released(setting.circuit, rows, before, now, hot.xs[:, 0], workers=1)
    outcomes = np.where(hot.is_solved, after.outcomes, hot.outcomes).astype(np.int8)
    return Solutions(Block(after.circuit, after.corners, after.sweep, after.xs, outcomes, after.notes), hot)


def _beside(rows: Overrides, loads: Floats) -> Overrides:
    return Overrides((*rows.fields, LOAD_FIELD), np.hstack([rows.values, loads[:, None]]))


def of_manner(pieces: Sequence[Piece], owners: Numbers) -> dict[str, Numbers]:
    """Rows by the manner of the piece that owns each."""
    manners = np.array([pieces[owner].manner for owner in owners])
    return {str(manner): np.flatnonzero(manners == manner) for manner in np.unique(manners)}


def values(box: Box, pieces: Sequence[Piece], points: Floats, owners: Numbers) -> tuple[Floats, Floats, Floats]:
    """Value, limit and margin of each point, for the piece that owns it; not numbers where there is no solution."""
    found = np.full((3, len(points)), np.nan)
    for manner, rows in of_manner(pieces, owners).items():
        block = solutions(box, points[rows], manner).block
        is_solved = block.outcomes[:, 0] == SOLVED
        for piece in np.unique(owners[rows]):
            mine = (owners[rows] == piece) & is_solved
            found[:, rows[mine]] = [each[mine, 0] for each in pieces[piece].check.margins(block)]
    return found[0], found[1], found[2]


def by_coordinate(box: Box, pieces: Sequence[Piece], points: Floats, owners: Numbers) -> Floats:
    """Slope of each point's margin by the coordinates of the box, [point, coordinate]."""
    return box.by_coordinate(points, by_place(box, pieces, points, owners))


def by_place(box: Box, pieces: Sequence[Piece], points: Floats, owners: Numbers) -> Floats:
    """Slope of each point's margin by where parts stand, [point, coordinate]; nothing by a load that is not its own."""
    found = np.zeros((len(points), len(box.names)))
    for manner, rows in of_manner(pieces, owners).items():
        addresses = box.addresses
        mine = points[rows]
        slope = by_address(box, pieces, mine, owners[rows], manner, addresses)
        found[rows] = box.by_place(mine, slope[:, None])[:, 0]
        if manner != SETTLED:
            found[rows, LOAD] = 0.0
    return found


def by_address(
    box: Box, pieces: Sequence[Piece], points: Floats, owners: Numbers, manner: str, addresses: Sequence[Address]
) -> Floats:
    """Slope of each point's margin by numbers of the circuit, [point, address] in SI; all points of one manner."""
    found = solutions(box, points, manner)
    used, place = np.unique(owners, return_inverse=True)
    figures: list[Figure] = [pieces[piece].margin for piece in used]
    return slopes(found.block, figures, addresses, found.hot)[np.arange(len(points)), place]
