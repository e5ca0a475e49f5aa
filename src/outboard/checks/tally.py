"""Keeps, check by check, the lane with the least margin while solved blocks stream past."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.cases.corners import Corners
from outboard.checks.check import Check
from outboard.network.solution import Block


@dataclass(frozen=True, slots=True)
class Worst:
    """The least margin met so far: value, limit and margin [SI], and where it was met."""

    value: float
    limit: float
    margin: float
    corners: Corners
    row: int
    load: float | None


class Tally:
    """The worst lane of one check; lanes without a solution are counted, never judged."""

    def __init__(self, check: Check) -> None:
        self.check = check
        self.worst: Worst | None = None
        self.unsolved = 0
        self.unjudged = 0

    def skip(self, lanes: int) -> None:
        """Lanes that could not even be tried, because what goes before them has no solution."""
        self.unsolved += lanes

    def take(self, block: Block, corners: Corners, loads: "NDArray[np.float64] | None") -> None:
        """Judges a block: corners[row] belongs to block row, loads[point] to block point."""
        solved = block.is_solved
        self.unsolved += int(np.count_nonzero(~solved))
        if not solved.any():
            return
        value, limit, margin = self.check.margins(block)
        self.unjudged += int(np.count_nonzero(solved & ~np.isfinite(margin)))
        usable = np.where(solved & np.isfinite(margin), margin, np.inf)
        flat = int(usable.argmin())
        row, point = np.unravel_index(flat, usable.shape)
        least = float(usable[row, point])
        if np.isfinite(least) and (self.worst is None or least < self.worst.margin):
            load = float(loads[point]) if loads is not None else None
            self.worst = Worst(
                float(value[row, point]), float(limit[row, point]), least, corners.rows(slice(row, row + 1)), 0, load
            )
