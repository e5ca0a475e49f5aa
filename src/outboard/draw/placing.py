"""Where words go so that none touch: beside curves, and above hairlines."""

from collections.abc import Sequence
from dataclasses import dataclass


def spread(wanted: Sequence[float], heights: Sequence[float], least: float, most: float) -> list[float]:
    """Middles of blocks, each as near as can be to where it is wanted, none on another, all between least and most.

    The order of `wanted`, which must rise, is kept. Least squares: blocks that would overlap move together until their
    mean lies at the mean of what they want. Blocks that are too high together start at `least`.
    """
    below, offsets = 0.0, []
    for height in heights:
        offsets.append(below + 0.5 * height)
        below += height
    groups: list[tuple[float, int]] = []
    for place, offset in zip(wanted, offsets, strict=True):
        total, count = place - offset, 1
        while groups and groups[-1][0] / groups[-1][1] >= total / count:
            total, count = total + groups[-1][0], count + groups[-1][1]
            groups.pop()
        groups.append((total, count))
    starts = [min(max(total / count, least), max(least, most - below)) for total, count in groups for _ in range(count)]
    return [start + offset for start, offset in zip(starts, offsets, strict=True)]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle."""

    left: float
    bottom: float
    right: float
    top: float

    def grown(self, by: float) -> "Box":
        """With air all around."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def meets(self, other: "Box") -> bool:
        """Whether two boxes share anything."""
        across = self.left < other.right and other.left < self.right
        return across and self.bottom < other.top and other.bottom < self.top


@dataclass(frozen=True, slots=True)
class Flag:
    """Words at the top of an upright hairline, on a tier over the panel."""

    x: float
    left: float
    right: float
    tier: int


GRAZE = 1.5
"""Nearer than this a hairline touches words, to the eye [pt]."""


def flags(xs: Sequence[float], widths: Sequence[float], least: float, most: float, gap: float) -> list[Flag]:
    """Tiers for the words of hairlines at xs, in the order given: words never touch words.

    Nor does a hairline run through words, as long as that can be had.
    """
    falling = sorted(range(len(xs)), key=lambda number: -xs[number])
    tries = [_placed(order, xs, widths, least, most, gap) for order in (falling, falling[::-1])]
    return min(tries, key=lambda found: (_crossings(found), max((flag.tier for flag in found), default=0)))


def _placed(
    order: Sequence[int], xs: Sequence[float], widths: Sequence[float], least: float, most: float, gap: float
) -> list[Flag]:
    """One after the other, each on the lowest tier where it fits."""
    placed: dict[int, Flag] = {}
    for number in order:
        x, width = xs[number], widths[number]
        lefts = [left for left in (x + gap, x - gap - width) if least <= left and left + width <= most]
        lefts = lefts or [max(least, min(x - 0.5 * width, most - width))]
        candidates = [Flag(x, left, left + width, tier) for tier in range(len(xs)) for left in lefts]
        free = [flag for flag in candidates if not any(_touch(flag, other, gap) for other in placed.values())]
        placed[number] = min(free, key=lambda flag: _crossings([flag, *placed.values()]))
    return [placed[number] for number in range(len(xs))]


def _touch(one: Flag, other: Flag, gap: float) -> bool:
    return one.tier == other.tier and one.left < other.right + gap and other.left < one.right + gap


def _crossings(placed: Sequence[Flag]) -> int:
    """How many hairlines run through words, or graze them."""
    return sum(
        line.tier >= words.tier and words.left - GRAZE < line.x < words.right + GRAZE
        for words in placed
        for line in placed
        if line is not words
    )
