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
from outboard.analysis.sensitivity import slopes
from outboard.checks.box import AMBIENT, INPUT, LOAD, Box
from outboard.checks.check import Check
from outboard.checks.drawn import Least
from outboard.checks.draws import BEYOND, RELEASED, SETTLED, Judged, Lanes, Lot, Units, lanes
from outboard.checks.margin_slopes import Piece, by_coordinate, by_place, values
from outboard.checks.verification import steady_checks
from outboard.network.solution import Block

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

BY_SIGNS, SEARCHED = "signs of the slopes", "search"
STREWN = 24
"""Points strewn inside the box."""

LOADS = 6
"""How many loads slopes are taken at."""

NEGLIGIBLE = 1e-6
"""What moves a margin by less than this share of what all together move it has no sign there."""

NEGLIGIBLE_ROUNDING = 0.1
"""Nor has what moves it by less than this share of what two solutions may differ by."""

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


class Known:
    """Everything tried so far, the worst of each requirement kept with its point."""

    def __init__(self, found: Lot) -> None:
        self.lot, self.box = found, Box.of(found.setting, found.sampling)
        self.pieces = _pieces(found)
        self.tried = 0
        self.opened = np.zeros(len(found.checks), dtype=np.intp)
        self.least: list[Least | None] = [None] * len(found.checks)
        self.points = np.zeros((len(found.checks), len(self.box.names)))

    def rounding(self, number: int) -> float:
        """By less than this two solutions of one unit may differ."""
        check, known = self.lot.checks[number], self.least[number]
        return BEYOND * max(abs(known.limit - check.rest), abs(known.margin)) if known is not None else 0.0

    def holds(self, number: int) -> bool:
        """Whether nothing that was tried falls short."""
        known = self.least[number]
        return known is None or known.margin >= 0.0

    def add(self, points: Floats) -> tuple[Units, dict[str, Lanes]]:
        """Solves the units of points at all loads and at all pairs of input and ambient."""
        units = self.box.units(points, self.tried)
        solved = lanes(self.lot.setting, units.rows, self.lot.manners)
        for k, (check, manner) in enumerate(zip(self.lot.checks, self.lot.manners, strict=True)):
            judged = Judged.of(check, solved[manner], units)
            self.opened[k] += np.count_nonzero(judged.opened)
            unit = int(judged.margins.argmin())
            found = judged.least(unit, units)
            if found is not None:
                self.keep(k, found, points[unit])
        self.tried += len(points)
        return units, solved

    def keep(self, number: int, found: Least, point: Floats) -> None:
        """The worse of this and what is known, rounding apart."""
        known = self.least[number]
        if known is None or found.margin < known.margin - self.rounding(number):
            self.least[number] = found
            around = np.array([[found.input_voltage, found.ambient, found.load]])
            self.points[number] = self.box.at(point[None], around)[0]

    def keep_points(self, points: Floats, owners: Numbers) -> None:
        """Points solved each by itself, for the requirements that own them."""
        first = np.array([self.pieces[k][0] for k in range(len(self.pieces))], dtype=object)
        value, limit, margin = values(self.box, list(first), points, owners)
        around = self.box.surroundings(points)
        for row, owner in enumerate(owners.tolist()):
            if np.isfinite(margin[row]):
                numbers = (margin[row], value[row], limit[row], *around[row, :2])
                least, value_, limit_, source, ambient = (float(number) for number in numbers)
                load = float(around[row, LOAD]) if self.lot.manners[owner] == SETTLED else self._load_of(owner)
                found = Least(least, self.tried, value_, limit_, source, ambient, load)
                self.keep(owner, found, points[row])

    def _load_of(self, number: int) -> float:
        return float(self.lot.setting.loads[0 if self.lot.manners[number] == RELEASED else -1])


def _pieces(found: Lot) -> list[list[Piece]]:
    """Of each requirement itself, and then that of each like part by itself."""
    own = {(check.requirement, check.part): check for check in steady_checks(found.setting.design)}
    pieces = []
    for check, manner in zip(found.checks, found.manners, strict=True):
        alone = [own[check.requirement, part] for part in check.alike] or [check]
        pieces.append([Piece(check, manner), *(Piece(one, manner) for one in alone)])
    return pieces


def least_between(found: Lot) -> Extremes:
    """The least margin of every requirement in the box; see the module's words."""
    known = Known(found)
    probes = _strewn(known.box)
    turning, corners = _probed(known, probes)
    inside = known.points.copy()
    known.add(np.unique(np.vstack([corners, _worst_corners(known)]), axis=0))
    judged = _judged(known)
    _descend(known, judged, inside[judged])
    settled = np.zeros(len(found.checks), dtype=np.bool_)
    for number in range(ROUNDS):
        before = list(known.least)
        _search(known, np.flatnonzero(~settled), np.random.default_rng(number))
        settled = np.array([now is then for now, then in zip(known.least, before, strict=True)], dtype=np.bool_)
        if settled.all():
            break
    named, turned, weakest = _told(known, turning)
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


def _strewn(box: Box) -> Floats:
    """The middle of the box, and points strewn in it; always the same ones."""
    random = np.random.default_rng(1)
    strewn = box.least + (box.most - box.least) * random.random((STREWN, len(box.names)))
    return np.vstack([np.zeros((1, len(box.names))), strewn])


@dataclass(frozen=True)
class Turning:
    """Signs of the slopes of requirements at the probes: rising and falling [check, surroundings, coordinate].

    surroundings   input [V], ambient [K] and load [A] of each [surroundings, 3]
    """

    surroundings: Floats
    rising: NDArray[np.bool_]
    falling: NDArray[np.bool_]

    def around(self, check: int, surroundings: Floats) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Signs at the surroundings nearest to these; by input and ambient those at all of their ends."""
        spans = np.ptp(self.surroundings, axis=0)
        away = (np.abs(self.surroundings - surroundings) / np.where(spans > 0.0, spans, 1.0)).sum(axis=1)
        near, same_load = int(away.argmin()), self.surroundings[:, LOAD] == self.surroundings[away.argmin(), LOAD]
        found = []
        for signs in (self.rising[check], self.falling[check]):
            here = signs[near].copy()
            here[[INPUT, AMBIENT]] = signs[same_load][:, [INPUT, AMBIENT]].any(axis=0)
            here[LOAD] = False  # swept
            found.append(here)
        return found[0], found[1]


def _probed(known: Known, probes: Floats) -> tuple[Turning, Floats]:
    """Probes tried, the signs of their slopes at each load, and the corners that these name."""
    box, setting = known.box, known.lot.setting
    units, solved = known.add(probes)
    count, around = len(probes), len(box.pairs)
    chosen = np.unique(np.linspace(0, len(setting.loads) - 1, LOADS).round().astype(int))
    size = len(known.pieces), around * len(chosen), len(box.names)
    rising, falling = np.zeros(size, dtype=np.bool_), np.zeros(size, dtype=np.bool_)
    corners = []
    repeated = np.repeat(probes, around, axis=0)
    surroundings = np.column_stack([units.inputs, units.ambients, np.zeros(len(repeated))])
    points = box.at(repeated, surroundings)
    for manner, piece in solved.items():
        mine = [k for k, one in enumerate(known.lot.manners) if one == manner]
        if not mine:
            continue
        block = _some(piece.block, chosen) if manner == SETTLED else piece.block
        hot = _some(solved[SETTLED].block, chosen[-1:]) if manner == RELEASED else None
        figures = [known.pieces[k][1].margin for k in mine]
        by_address = slopes(block, figures, box.addresses, hot).reshape(len(points), -1, len(mine), len(box.addresses))
        found = box.together(box.by_place(points, by_address))
        if manner != SETTLED:
            found[..., LOAD] = 0.0
        # each place of input, ambient and load by itself: what is worst may lie at another corner there
        found = np.nan_to_num(found).reshape(count, around, *found.shape[1:])
        signs = _signs(found, np.array([known.rounding(k) for k in mine]))
        for whole, each in zip((rising, falling), signs, strict=True):
            each = np.broadcast_to(each.any(axis=0), (around, len(chosen), *each.shape[3:]))
            whole[mine] = np.moveaxis(each.reshape(size[1], len(mine), size[2]), 0, 1)
        apart = found.sum(axis=0)
        corners.append(box.corner(apart).reshape(-1, box.ways))
    ways = np.unique(np.vstack(corners).round(12), axis=0)
    pairs = np.repeat(np.array(box.pairs), len(chosen), axis=0)
    loads = np.tile(setting.loads[chosen], around)
    return Turning(np.column_stack([pairs, loads]), rising, falling), np.hstack([ways, np.zeros((len(ways), 3))])


def _some(block: Block, points: Numbers) -> Block:
    """Some of the loads of a block."""
    return Block(
        block.circuit, block.corners, block.sweep.rows(points), np.ascontiguousarray(block.xs[:, points]),
        block.outcomes[:, points], block.notes[:, points],
    )  # fmt: skip


def _signs(slopes_: Floats, rounding: Floats) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Where slopes [..., check, coordinate] rise and where they fall; neither where one hardly moves anything."""
    least = np.maximum(NEGLIGIBLE * np.abs(slopes_).sum(axis=-1), NEGLIGIBLE_ROUNDING * rounding)[..., None]
    return slopes_ > least, slopes_ < -least


def _search(known: Known, numbers: Numbers, random: np.random.Generator) -> None:
    """From the worst of each requirement along its slopes, then each coordinate alone, then at all loads and ends.

    A search that ends between the ends may lie at a bend: it is begun again from points around, unless what it found
    falls short anyway.
    """
    numbers = np.intersect1d(numbers, _judged(known))
    if not len(numbers):
        return
    box = known.box
    loose = _descend(known, numbers, known.points[numbers])
    loose = np.repeat(loose[[known.holds(k) for k in loose]], SHAKEN)
    shaken = known.points[loose] + SHAKE * random.standard_normal((len(loose), len(box.names)))
    _descend(known, loose, np.clip(shaken, box.least, box.most))
    known.keep_points(*_alone(known, numbers))
    ends = known.points[numbers].copy()
    ends[:, box.ways :] = 0.0
    known.add(np.unique(ends, axis=0))


def _judged(known: Known) -> Numbers:
    """The requirements that have a lane which can be judged."""
    return np.array([k for k, least in enumerate(known.least) if least is not None], dtype=np.intp)


def _descend(known: Known, numbers: Numbers, starts: Floats) -> Numbers:
    """Searches for some requirements from points [start, coordinate], of like parts for the weakest there; which of
    them ended elsewhere than at ends."""
    if not len(numbers):
        return numbers
    box = known.box
    flat, margins = _weakest(known, starts, numbers)
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


def _weakest(known: Known, points: Floats, numbers: Numbers) -> tuple[list[Piece], list[float]]:
    """Of like parts that with the least margin at each point, and this margin."""
    flat: list[Piece] = []
    owners: list[int] = []
    for row, k in enumerate(numbers):
        flat += known.pieces[k][1:]
        owners += [row] * (len(known.pieces[k]) - 1)
    margins = values(known.box, flat, points[owners], np.arange(len(flat)))[2]
    margins = np.where(np.isfinite(margins), margins, np.inf)
    found = []
    for row in range(len(numbers)):
        mine = np.flatnonzero(np.array(owners) == row)
        found.append(int(mine[margins[mine].argmin()]))
    return [flat[best] for best in found], [float(margins[best]) for best in found]


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


def _told(known: Known, turning: Turning) -> tuple[list[bool], list[tuple[str, ...]], dict[int, Piece]]:
    """Of each requirement: whether it lies at the corner that slopes of one sign name; coordinates of both signs; of
    like parts the weakest."""
    box = known.box
    numbers = _judged(known)
    turned: list[tuple[str, ...]]
    named, turned = [False] * len(known.pieces), [()] * len(known.pieces)
    if not len(numbers):
        return named, turned, {}
    points = known.points[numbers]
    flat, _ = _weakest(known, points, numbers)
    found = box.together(by_place(box, flat, points, np.arange(len(flat))))
    up, down = _signs(found, np.array([known.rounding(k) for k in numbers]))
    around = box.surroundings(points)
    for row, k in enumerate(numbers):
        rising, falling = turning.around(int(k), around[row])
        if flat[row] is known.pieces[k][1]:  # of like parts it is the first whose slopes were probed
            rising, falling = rising | up[row], falling | down[row]
        both = rising & falling
        both[LOAD] = False  # swept
        turned[k] = tuple(box.names[c] for c in np.flatnonzero(both))
        corner, at = box.places(np.vstack([np.append(box.corner(found[row]), np.zeros(3)), points[row]]))
        told = (up[row] | down[row])[: box.ways]
        named[k] = not both.any() and bool(np.array_equal(corner[told], at[told]))
    return named, turned, dict(zip(numbers.tolist(), flat, strict=True))
