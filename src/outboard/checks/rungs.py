"""Very many margins on a ladder: counts by rung, and what their ranks say.

A margin is kept as the leading bits of its number: 1 part in 4096 fine at any size, so that the ladder stays small
however many margins are put on it, and two ladders add up to the same one in any order.  What is read off is the lower
edge of a rung: never more than the true margin, less by 0.025 % at most.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

KEPT_BITS = 12
_SHIFT = 52 - KEPT_BITS
_SIGN = np.int64(-1) << np.int64(63)

CONFIDENCE = 0.95
"""Of every interval and limit, two-sided."""


def rungs_of(margins: Floats) -> NDArray[np.int64]:
    """The rung of every margin; rungs rise with margins."""
    bits = np.ascontiguousarray(margins + 0.0, dtype=np.float64).view(np.int64)  # + 0.0 turns −0 into 0
    rising = np.where(bits < 0, _SIGN - bits - 1, bits)
    return np.asarray(rising >> np.int64(_SHIFT))


def edge_of(rung: int) -> float:
    """The least margin of a rung."""
    rising = np.int64(rung) << np.int64(_SHIFT)
    bits = rising if rising >= 0 else _SIGN - rising - np.int64(1)
    return float(np.array([bits]).view(np.float64)[0])


@dataclass(slots=True)
class Ladder:
    """How many margins stand on each rung; `below` counts those without a number, lower than every rung."""

    counts: dict[int, int] = field(default_factory=dict)
    below: int = 0

    def put(self, margins: Floats) -> None:
        """Finite margins; whatever is not finite counts as below."""
        finite = np.isfinite(margins)
        self.below += int(np.count_nonzero(~finite))
        rungs, counts = np.unique(rungs_of(margins[finite]), return_counts=True)
        self.add(zip(rungs.tolist(), counts.tolist(), strict=True))

    def add(self, rungs: Iterable[tuple[int, int]]) -> None:
        """Counts by rung."""
        for rung, count in rungs:
            self.counts[rung] = self.counts.get(rung, 0) + count

    @property
    def total(self) -> int:
        """How many there are."""
        return self.below + sum(self.counts.values())

    def ranked(self, rank: int) -> float | None:
        """The margin of a rank, 1 the least; None where it has no number or no such rank is there."""
        reached = self.below
        if not reached < rank <= self.total:
            return None
        for rung in sorted(self.counts):
            reached += self.counts[rung]
            if reached >= rank:
                return edge_of(rung)
        return None


@dataclass(frozen=True, slots=True)
class Quantile:
    """The margin that a share of units falls short of, with its confidence limits; None where nothing can be told."""

    share: float
    margin: float | None
    least: float | None
    most: float | None


def _at_most(rank: int, total: int, share: float) -> float:
    """Probability that no more than `rank` of `total` independent draws fall below the quantile of a share."""
    from scipy.special import bdtr

    return float(bdtr(float(rank), total, share))


def quantile(ladder: Ladder, share: float) -> Quantile:
    """Quantile of the margins with limits that hold for any distribution, from the ranks of the binomial law.

    The limits are the margins of ranks l and u with P(l ≤ number below the quantile < u) ≥ CONFIDENCE; None where the
    rank that would be needed is not there.  Source: H. A. David and H. N. Nagaraja, Order Statistics, 3rd ed., 7.1
    (memory).
    """
    total = ladder.total
    half = (1.0 - CONFIDENCE) / 2.0
    if not total:
        return Quantile(share, None, None, None)
    low = bisect_right(range(total + 1), half, key=lambda rank: _at_most(rank, total, share))  # P(fewer) ≤ half
    high = bisect_left(range(total + 1), 1.0 - half, key=lambda rank: _at_most(rank, total, share)) + 1
    rank = max(1, int(np.ceil(share * total)))
    return Quantile(share, ladder.ranked(rank), ladder.ranked(low), ladder.ranked(high))


def proportion(least: int, most: int, total: int) -> tuple[float, float]:
    """Interval of a share of which at least `least` and at most `most` of `total` were met.

    Clopper and Pearson's, exact for independent draws: C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404 (memory).
    """
    from scipy.special import betaincinv

    half = (1.0 - CONFIDENCE) / 2.0
    low = float(betaincinv(least, total - least + 1, half)) if least else 0.0
    high = float(betaincinv(most + 1, total - most, 1.0 - half)) if most < total else 1.0
    return low, high
