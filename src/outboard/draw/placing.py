"""Where words go so that none touch: beside curves, and above hairlines."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product


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


MOST_CHOICES = 8
"""Hairlines for which both sides are tried; further ones take the first that fits."""

GRAZE = 1.5
"""Nearer than this a hairline touches words, to the eye [pt]."""


def flags(xs: Sequence[float], widths: Sequence[float], least: float, most: float, gap: float) -> list[Flag]:
    """Words of hairlines at xs, in the order given: words never touch words, and all is as low as can be.

    Nor does a hairline run through words, unless no choice of sides avoids it.
    """
    sides = [_sides(x, width, least, most, gap) for x, width in zip(xs, widths, strict=True)]
    for number in range(MOST_CHOICES, len(sides)):
        sides[number] = sides[number][:1]
    tries = []
    for lefts in product(*sides):
        spans = [(left, left + width) for left, width in zip(lefts, widths, strict=True)]
        tiers, crossings = _tiers(xs, spans, gap)
        tries.append((crossings, max(tiers, default=0), sum(tiers), tiers, spans))
    _, _, _, tiers, spans = min(tries, key=lambda found: found[:3])
    return [Flag(x, *span, tier) for x, span, tier in zip(xs, spans, tiers, strict=True)]


def _sides(x: float, width: float, least: float, most: float, gap: float) -> list[float]:
    """Where words may begin: right of their hairline, left of it, or where they just fit."""
    lefts = [left for left in (x + gap, x - gap - width) if least <= left and left + width <= most]
    return lefts or [max(least, min(x - 0.5 * width, most - width))]


def _tiers(xs: Sequence[float], spans: Sequence[tuple[float, float]], gap: float) -> tuple[list[int], int]:
    """Tiers for words at given places, and how many hairlines run through words all the same.

    Words stand above those whose hairlines would run through them; where that goes round in a circle it is given up.
    """
    count = range(len(xs))
    through = [{n for n in count if n != m and spans[m][0] - GRAZE < xs[n] < spans[m][1] + GRAZE} for m in count]
    tiers: dict[int, int] = {}
    crossings = 0
    while len(tiers) < len(xs):
        waiting = [number for number in count if number not in tiers]
        number = min(waiting, key=lambda number: len(through[number] - tiers.keys()))
        crossings += len(through[number] - tiers.keys())
        tier = max((tiers[other] + 1 for other in through[number] & tiers.keys()), default=0)
        taken = {tiers[other] for other in tiers if _overlap(spans[number], spans[other], gap)}
        tiers[number] = next(free for free in range(tier, tier + len(xs) + 1) if free not in taken)
    return [tiers[number] for number in count], crossings


def _overlap(one: tuple[float, float], other: tuple[float, float], gap: float) -> bool:
    return one[0] < other[1] + gap and other[0] < one[1] + gap
