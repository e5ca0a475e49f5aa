"""Signs of exact slopes: at points strewn in the box they name the corner where each margin is least, and where one
changes its sign no corner can be trusted alone.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.sensitivity import slopes
from outboard.checks.box import AMBIENT, INPUT, LOAD, Box
from outboard.checks.draws import RELEASED, SETTLED
from outboard.checks.known import Known
from outboard.checks.margin_slopes import Piece, by_place
from outboard.network.solution import Block

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Numbers = NDArray[np.intp]

STREWN = 24
"""Points strewn inside the box."""

LOADS = 6
"""How many loads slopes are taken at."""

NEGLIGIBLE = 1e-6
"""What moves a margin by less than this share of what all together move it has no sign there."""

NEGLIGIBLE_ROUNDING = 0.1
"""Nor has what moves it by less than this share of what two solutions may differ by."""


def strewn(box: Box) -> Floats:
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
    rising: Flags
    falling: Flags

    def around(self, check: int, surroundings: Floats) -> tuple[Flags, Flags]:
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


def probed(known: Known, probes: Floats) -> tuple[Turning, Floats]:
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


def _signs(slopes_: Floats, rounding: Floats) -> tuple[Flags, Flags]:
    """Where slopes [..., check, coordinate] rise and where they fall; neither where one hardly moves anything."""
    least = np.maximum(NEGLIGIBLE * np.abs(slopes_).sum(axis=-1), NEGLIGIBLE_ROUNDING * rounding)[..., None]
    return slopes_ > least, slopes_ < -least


def told(known: Known, turning: Turning) -> tuple[list[bool], list[tuple[str, ...]], dict[int, Piece]]:
    """Of each requirement: whether it lies at the corner that slopes of one sign name; coordinates of both signs; of
    like parts the weakest."""
    box = known.box
    numbers = known.judged
    turned: list[tuple[str, ...]]
    named, turned = [False] * len(known.pieces), [()] * len(known.pieces)
    if not len(numbers):
        return named, turned, {}
    points = known.points[numbers]
    flat, _ = known.weakest(points, numbers)
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
        felt = (up[row] | down[row])[: box.ways]
        named[k] = not both.any() and bool(np.array_equal(corner[felt], at[felt]))
    return named, turned, dict(zip(numbers.tolist(), flat, strict=True))
