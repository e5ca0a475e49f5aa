"""What became of every point: solved, run away, or left open."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from outboard.cases.corners import USUAL, Corners
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding
from outboard.checks.tally import Worst
from outboard.checks.verdict import corner_words
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY, SOLVED
from outboard.network.solution import Block

EVERYWHERE = "an operating point everywhere"


class Outcomes:
    """How many points solved, ran away or stayed open, and where the first of each was met."""

    def __init__(self) -> None:
        self.count = {outcome: 0 for outcome in (SOLVED, RUNAWAY, OUT_OF_RANGE, NOT_CONVERGED)}
        self.first: dict[int, str] = {}

    @property
    def points(self) -> int:
        """How many points were looked at."""
        return sum(self.count.values())

    @property
    def undecided(self) -> int:
        """How many did not converge or left a model's range."""
        return self.count[OUT_OF_RANGE] + self.count[NOT_CONVERGED]

    def take(self, block: Block, corners: Corners, loads: NDArray[np.float64]) -> None:
        """Counts a block."""
        for outcome in self.count:
            places = np.argwhere(block.outcomes == outcome)
            self.count[outcome] += len(places)
            if len(places) and outcome not in self.first and outcome != SOLVED:
                row, point = (int(place) for place in places[0])
                ends = [a for a in range(len(corners.axes)) if corners.choices[row, a] != USUAL]
                worst = Worst(np.nan, np.nan, np.nan, corners, row, float(loads[point]))
                self.first[outcome] = corner_words(worst, ends)

    def findings(self) -> Iterator[Finding]:
        """An operating point at every corner: a runaway fails, an open point leaves it undecided."""
        verdict, where = PASS, ""
        missing: tuple[str, ...] = ()
        if self.count[RUNAWAY]:
            verdict, where = FAIL, self.first[RUNAWAY]
        elif self.undecided:
            outcome = NOT_CONVERGED if self.count[NOT_CONVERGED] else OUT_OF_RANGE
            verdict, where = UNDECIDED, self.first[outcome]
            missing = (f"{self.undecided} points did not converge or left a model's range",)
        note = f"{self.count[RUNAWAY]} of {self.points} points run away" if self.count[RUNAWAY] else ""
        yield Finding(EVERYWHERE, None, verdict, in_words=where, missing=missing, note=note)
