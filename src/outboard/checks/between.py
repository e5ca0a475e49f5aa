"""The least margin of every requirement while each tolerance lies anywhere between its ends, parts independent.

Units are tried along the whole load range at all ends of input and ambient: the middle of the box and points strewn in
it.  At these the exact slopes of every margin are taken, at both ends of input and ambient and at loads all the way;
their signs name a corner for every requirement and place, all tolerances at once, which is solved anew.  From the worst
that is known a search follows the exact slopes inside the box, input, ambient and load free too; at last each
coordinate alone is put to its ends and between.  What got worse is searched again, until nothing does.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.descent import Search, descend
from outboard.checks.box import Box
from outboard.checks.check import Check
from outboard.checks.drawn import Least
from outboard.checks.draws import Lot
from outboard.checks.known import Known
from outboard.checks.margin_slopes import Piece, by_coordinate, values
from outboard.checks.slope_signs import probed, strewn, told

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

BY_SIGNS, SEARCHED = "signs of the slopes", "search"

ROUNDS = 8
"""Rounds of search at the most."""

SHAKEN, SHAKE = 3, 0.3
"""A search that ended between the ends is begun again from so many points around, so far off."""

STEPS = (-1.0, -0.5, 0.0, 0.5, 1.0)
"""Where each coordinate is put alone: least, half-way, usual, half-way, most."""


@dataclass(frozen=True, slots=True)
class Between:
    """One requirement: its least lane over the box, and the point where it was met.

    manner   how the lane comes about
    way      BY_SIGNS: every slope has one sign at all points tried, the corner that they name among them; or SEARCHED
    turning  coordinates whose slope has both signs
    settled  whether the last round found nothing worse
    opened   units tried with a lane that has no solution or no limit;  tried  units in all;  probed  points with slopes
    """

    check: Check
    manner: str
    least: Least | None
    point: Floats
    way: str
    turning: tuple[str, ...]
    settled: bool
    opened: int
    tried: int
    probed: int

    @property
    def sure(self) -> str:
        """How far to trust it, in words."""
        if self.least is None:
            return f"undecided: none of {self.tried} units has a lane that can be judged"
        if self.way == BY_SIGNS:
            return f"every slope keeps its sign at {self.probed} points inside and at the corner that they name"
        named = ", ".join(self.turning) or "none that was seen"
        ended = "nothing worse is near" if self.settled else "the search was ended before it settled"
        return f"slopes of both signs: {named}; least of {self.tried} units and a search, {ended}"


@dataclass(frozen=True)
class Extremes:
    """All requirements over the box; `weakest`: of like parts that with the least margin, where there is one."""

    box: Box
    found: tuple[Between, ...]
    weakest: Mapping[int, Piece]


def least_between(found: Lot) -> Extremes:
    """The least margin of every requirement in the box; see the module's words."""
    known = Known(found)
    probes = strewn(known.box)
    turning, corners = probed(known, probes)
    inside = known.points.copy()
    known.add(np.unique(np.vstack([corners, _worst_corners(known)]), axis=0))
    judged = known.judged
    _descend(known, judged, inside[judged])
    settled = np.zeros(len(found.checks), dtype=np.bool_)
    for number in range(ROUNDS):
        before = list(known.least)
        _search(known, np.flatnonzero(~settled), np.random.default_rng(number))
        settled = np.array([now is then for now, then in zip(known.least, before, strict=True)], dtype=np.bool_)
        if settled.all():
            break
    named, turned, weakest = told(known, turning)
    each = (
        Between(
            check, found.manners[k], known.least[k], known.points[k], BY_SIGNS if named[k] else SEARCHED, turned[k],
            bool(settled[k]), int(known.opened[k]), known.tried, len(probes),
        )
        for k, check in enumerate(found.checks)
    )  # fmt: skip
    return Extremes(known.box, tuple(each), weakest)


def _worst_corners(known: Known) -> Floats:
    """What was worst of the corners that were tried before."""
    found = [known.box.of_corner(tally.worst) for tally in known.lot.tallies if tally.worst is not None]
    points = np.array(found).reshape(len(found), len(known.box.names))
    points[:, known.box.ways :] = 0.0
    return points


def _search(known: Known, numbers: Numbers, random: np.random.Generator) -> None:
    """From the worst of each requirement along its slopes, then each coordinate alone, then at all loads and ends.

    A search that ends between the ends may lie at a bend: it is begun again from points around.
    """
    numbers = np.intersect1d(numbers, known.judged)
    if not len(numbers):
        return
    box = known.box
    loose = _descend(known, numbers, known.points[numbers])
    loose = np.repeat(loose, SHAKEN)
    shaken = known.points[loose] + SHAKE * random.standard_normal((len(loose), len(box.names)))
    _descend(known, loose, np.clip(shaken, box.least, box.most))
    known.keep_points(*_alone(known, numbers))
    ends = known.points[numbers].copy()
    ends[:, box.ways :] = 0.0
    known.add(np.unique(ends, axis=0))


def _descend(known: Known, numbers: Numbers, starts: Floats) -> Numbers:
    """Searches for some requirements from points [start, coordinate], of like parts for the weakest there; which of
    them ended elsewhere than at ends."""
    if not len(numbers):
        return numbers
    box = known.box
    flat, margins = known.weakest(starts, numbers)
    searches = [
        Search(start.copy(), margin, 0.1 * known.rounding(k))
        for start, margin, k in zip(starts, margins, numbers, strict=True)
    ]  # fmt: skip
    descend(
        searches, lambda points, owners: values(box, flat, points, owners)[2],
        lambda points, owners: by_coordinate(box, flat, points, owners), box.least, box.most,
    )  # fmt: skip
    known.keep_points(np.array([search.at for search in searches]), numbers)
    return numbers[[not search.cornered for search in searches]]


def _alone(known: Known, numbers: Numbers) -> tuple[Floats, Numbers]:
    """The worst points with each coordinate in turn put to each step."""
    box = known.box
    found, owners = [], []
    for k in numbers:
        for coordinate in np.flatnonzero(box.most > box.least):
            for step in STEPS:
                if box.least[coordinate] <= step != known.points[k, coordinate]:
                    moved = known.points[k].copy()
                    moved[coordinate] = step
                    found.append(moved)
                    owners.append(int(k))
    return np.array(found).reshape(len(found), len(box.names)), np.array(owners, dtype=np.intp)
