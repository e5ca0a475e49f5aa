"""What is kept of any number of draws: counts, least margins, ladders and sums, in memory that does not grow.

Two of these merge into what one pass over all their draws would have left, bit for bit, in any order.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from outboard.checks.rungs import Ladder
from outboard.checks.sums import ExactSums

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Least:
    """The least margin and where: margin, value, limit [SI], number of the draw, input [V], ambient [K], load [A]."""

    margin: float
    draw: int
    value: float
    limit: float
    input_voltage: float
    ambient: float
    load: float

    @property
    def rank(self) -> tuple[float, int]:
        """Lesser margins first; of equal ones the draw with the lower number."""
        return self.margin, self.draw


@dataclass(slots=True)
class CheckDraws:
    """One requirement over draws, each counted by its worst lane.

    holds    every lane solved and judged, none short
    fails    some lane short
    open     no lane short, but some without a solution or without a limit
    outside  draws below the bound that the corners set
    """

    ways: int
    holds: int = 0
    fails: int = 0
    open: int = 0
    outside: int = 0
    least: Least | None = None
    ladder: Ladder = field(default_factory=Ladder)
    sums: ExactSums = field(init=False)

    def __post_init__(self) -> None:
        self.sums = ExactSums(self.ways + 2)

    @property
    def draws(self) -> int:
        """How many draws there were."""
        return self.holds + self.fails + self.open

    def take(self, margins: Floats, opened: Flags, places: Floats, bound: float) -> None:
        """Margins [draw], the least of each; `opened` where some lane of the draw could not be judged."""
        short = margins < 0.0
        self.fails += int(np.count_nonzero(short))
        self.open += int(np.count_nonzero(opened & ~short))
        self.holds += int(np.count_nonzero(~opened & ~short))
        self.outside += int(np.count_nonzero(margins < bound))
        self.ladder.put(np.where(opened, np.nan, margins))
        known = np.where(opened, 0.0, margins)
        self.sums.add(np.concatenate([[known.sum(), (known * known).sum()], (known[:, None] * places).sum(axis=0)]))

    def keep(self, least: Least) -> None:
        """The lesser of two."""
        if self.least is None or least.rank < self.least.rank:
            self.least = least

    def merge(self, other: "CheckDraws") -> None:
        """Other draws besides."""
        self.holds += other.holds
        self.fails += other.fails
        self.open += other.open
        self.outside += other.outside
        if other.least is not None:
            self.keep(other.least)
        self.ladder.below += other.ladder.below
        self.ladder.add(other.ladder.counts.items())
        self.sums.merge(other.sums)


@dataclass(slots=True)
class Drawn:
    """All requirements over draws.

    holds, fails, open   draws by all requirements together; a runaway fails
    points …             operating points looked at, run away, left undecided
    places               sums of places and of their products, for shares of variance
    """

    ways: int
    checks: tuple[CheckDraws, ...]
    holds: int = 0
    fails: int = 0
    open: int = 0
    points: int = 0
    runaway: int = 0
    undecided: int = 0
    places: ExactSums = field(init=False)

    def __post_init__(self) -> None:
        self.places = ExactSums(self.ways + self.ways**2)

    @classmethod
    def none(cls, ways: int, checks: int) -> "Drawn":
        """No draws yet."""
        return cls(ways, tuple(CheckDraws(ways) for _ in range(checks)))

    @property
    def draws(self) -> int:
        """How many draws there were."""
        return self.holds + self.fails + self.open

    def take_places(self, places: Floats) -> None:
        """Where draws [draw, way] lie."""
        products = (places[:, :, None] * places[:, None, :]).sum(axis=0)
        self.places.add(np.concatenate([places.sum(axis=0), products.ravel()]))

    def merge(self, other: "Drawn") -> None:
        """Other draws besides."""
        for name in ("holds", "fails", "open", "points", "runaway", "undecided"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.places.merge(other.places)
        for mine, theirs in zip(self.checks, other.checks, strict=True):
            mine.merge(theirs)


COUNTS = ("holds", "fails", "open", "points", "runaway", "undecided")


def stored(drawn: Drawn) -> dict[str, Any]:
    """As an object that JSON keeps without loss."""
    return {
        "ways": drawn.ways,
        **{name: getattr(drawn, name) for name in COUNTS},
        "places": _hex(drawn.places),
        "checks": [
            {
                "holds": check.holds, "fails": check.fails, "open": check.open, "outside": check.outside,
                "least": [getattr(check.least, name) for name in Least.__slots__] if check.least else None,
                "rungs": sorted(check.ladder.counts.items()), "below": check.ladder.below, "sums": _hex(check.sums),
            }
            for check in drawn.checks
        ],
    }  # fmt: skip


def restored(content: dict[str, Any]) -> Drawn:
    """What was stored; KeyError, TypeError or ValueError where it is something else."""
    ways = int(content["ways"])
    drawn = Drawn(ways, tuple(_check(ways, check) for check in content["checks"]))
    for name in COUNTS:
        setattr(drawn, name, int(content[name]))
    drawn.places = _sums(content["places"])
    return drawn


def _check(ways: int, content: dict[str, Any]) -> CheckDraws:
    check = CheckDraws(ways, content["holds"], content["fails"], content["open"], content["outside"])
    if content["least"] is not None:
        check.least = Least(*content["least"])
    check.ladder = Ladder({int(rung): int(count) for rung, count in content["rungs"]}, int(content["below"]))
    check.sums = _sums(content["sums"])
    return check


def _hex(sums: ExactSums) -> list[str]:
    return [f"{whole:x}" for whole in sums.wholes]


def _sums(wholes: Sequence[str]) -> ExactSums:
    return ExactSums(len(wholes), [int(whole, 16) for whole in wholes])
