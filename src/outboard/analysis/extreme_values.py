"""Least and most of a figure while parts and surroundings lie anywhere between their ends.

Where a figure only rises or only falls with every parameter, its extremes lie at two corners of the box, which the
signs of the slopes name: one solution each instead of 2^n.  Whether it does is probed at points inside the box and at
the corners found; where a slope changes its sign the extremes are searched for, with exact slopes.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.sensitivity import Address, Figure, slopes
from outboard.network.circuit import Circuit
from outboard.network.overrides import Overrides
from outboard.network.solve import solved

Floats = NDArray[np.float64]

BY_SIGNS, BY_SEARCH = "signs of the slopes", "search"

NEGLIGIBLE = 1e-6
"""A parameter that moves a figure by less than this share of what all of them move it has no sign there."""

ROUNDING = 1e-9
"""By less than this share of its size a figure inside the box does not exceed the one at a corner."""

CORNERS_TRIED = 6
"""So many parameters of changing sign have all their ends combined before the search."""

SEARCHES = 3
"""Starts of a search: the best points known."""


@dataclass(frozen=True, slots=True)
class Box:
    """Parameters, each anywhere between its least and its most [SI]; arrays [parameter]."""

    addresses: tuple[Address, ...]
    least: Floats
    most: Floats

    def __post_init__(self) -> None:
        if not len(self.addresses) == len(self.least) == len(self.most) or not np.all(self.least <= self.most):
            raise ValueError("a box needs a least and a most for each parameter, in this order")

    @classmethod
    def of(cls, ends: Mapping[Address, tuple[float, float]]) -> "Box":
        """A box from (least, most) by parameter."""
        return cls(tuple(ends), *(np.array([pair[k] for pair in ends.values()], dtype=float) for k in (0, 1)))

    def points(self, shares: Floats) -> Floats:
        """Parameter values at shares of the way from least to most, [point, parameter]."""
        return self.least + (self.most - self.least) * shares

    def spread(self, count: int) -> Floats:
        """The middle of the box, and points strewn in it so that each parameter is met evenly; always the same ones."""
        random = np.random.default_rng(1)
        order = random.permuted(np.tile(np.arange(count), (len(self.addresses), 1)), axis=1).T
        strewn = (order + random.random(order.shape)) / max(count, 1)
        return self.points(np.vstack([np.full((1, len(self.addresses)), 0.5), strewn]))


@dataclass(frozen=True, slots=True)
class Extreme:
    """One end of a figure over a box.

    value    [SI]; None where some point of the box that was tried has no operating point
    at       the parameter values there
    way      BY_SIGNS or BY_SEARCH
    turning  parameters whose slope changes its sign in the box
    tried    operating points that were solved
    unsolved how many of them do not exist
    """

    value: float | None
    at: Mapping[Address, float]
    way: str
    turning: tuple[Address, ...]
    tried: int
    unsolved: int

    @property
    def sure(self) -> str:
        """How far to trust it, in words."""
        if self.value is None:
            return f"undecided: {self.unsolved} of {self.tried} points tried have no operating point"
        if self.way == BY_SIGNS:
            return f"every slope keeps its sign at the {self.tried} points tried, both corners among them"
        names = ", ".join(" ".join(address).strip() for address in self.turning) or "a parameter"
        return f"the slope by {names} changes sign; best of {self.tried} points tried, another may be beyond it"


@dataclass
class _Known:
    """All points solved so far, of all figures: values [point, figure], slopes [point, figure, parameter]."""

    circuit: Circuit
    figures: Sequence[Figure]
    box: Box
    points: Floats
    values: Floats
    slopes: Floats

    @classmethod
    def nothing(cls, circuit: Circuit, figures: Sequence[Figure], box: Box) -> "_Known":
        sizes = len(figures), len(box.addresses)
        return cls(circuit, figures, box, np.empty((0, sizes[1])), np.empty((0, sizes[0])), np.empty((0, *sizes)))

    def add(self, points: Floats) -> tuple[Floats, Floats]:
        """Solves further points; values and slopes are not numbers where there is no operating point."""
        block = solved(self.circuit, Overrides(self.box.addresses, np.ascontiguousarray(points)))
        values = np.stack([np.broadcast_to(f(block), block.outcomes.shape)[:, 0] for f in self.figures], axis=1)
        values[~block.is_solved[:, 0]] = np.nan
        found = slopes(block, self.figures, self.box.addresses)
        self.points, self.values = np.vstack([self.points, points]), np.vstack([self.values, values])
        self.slopes = np.concatenate([self.slopes, found])
        return values, found

    def signs(self, figure: int) -> NDArray[np.int8]:
        """Signs of a figure's slopes, [solved point, parameter]; 0 where a parameter hardly moves it."""
        moves = self.slopes[np.isfinite(self.values[:, figure]), figure] * (self.box.most - self.box.least)
        least = NEGLIGIBLE * np.abs(moves).sum(axis=1, keepdims=True)
        return np.where(np.abs(moves) > least, np.sign(moves), 0.0).astype(np.int8)


def extreme_values(
    circuit: Circuit, figures: Sequence[Figure], box: Box, probes: int = 24
) -> tuple[tuple[Extreme, Extreme], ...]:
    """Least and most of each figure over the box.

    `probes` points in the box tell whether the slopes keep their signs; more of them make surer.
    """
    known = _Known.nothing(circuit, figures, box)
    known.add(box.spread(probes))
    for k in range(len(figures)):
        rising = known.signs(k).sum(axis=0) >= 0
        known.add(box.points(np.stack([~rising, rising]).astype(float)))
    return tuple((_extreme(known, k, -1.0), _extreme(known, k, 1.0)) for k in range(len(figures)))


def _extreme(known: _Known, figure: int, sense: float) -> Extreme:
    """The most (sense +1) or the least (sense −1) of a figure."""
    signs = known.signs(figure)
    turns: NDArray[np.bool_] = np.logical_and(np.any(signs > 0, axis=0), np.any(signs < 0, axis=0))
    worth = _worth(known, figure, sense)
    at_corner = np.all((known.points == known.box.least) | (known.points == known.box.most), axis=1)
    best = int(np.argmax(np.where(at_corner, worth, -np.inf)))
    solved_all = bool(np.isfinite(worth).all())
    beaten = solved_all and bool(worth.max() > worth[best] + ROUNDING * np.abs(worth).max())
    searched = solved_all and (beaten or bool(turns.any()))
    if searched:
        _search(known, figure, sense, turns)
        worth = _worth(known, figure, sense)
        best = int(np.argmax(worth))
    unsolved = int(np.isinf(worth).sum())
    at = {} if unsolved else dict(zip(known.box.addresses, known.points[best].tolist(), strict=True))
    return Extreme(
        value=None if unsolved else float(known.values[best, figure]),
        at=MappingProxyType(at),
        way=BY_SEARCH if searched else BY_SIGNS,
        turning=tuple(address for address, turn in zip(known.box.addresses, turns, strict=True) if turn),
        tried=len(known.points),
        unsolved=unsolved,
    )


def _worth(known: _Known, figure: int, sense: float) -> Floats:
    """What is to be made as great as can be, [point]; minus infinity where there is no operating point."""
    values = known.values[:, figure]
    return np.where(np.isfinite(values), sense * values, -np.inf)


def _search(known: _Known, figure: int, sense: float, turns: NDArray[np.bool_]) -> None:
    """Climbs within the box from the best points known, by a bounded quasi-Newton method with exact slopes."""
    from scipy.optimize import minimize

    box, width = known.box, known.box.most - known.box.least
    if 0 < turns.sum() <= CORNERS_TRIED:
        known.add(_combined(known, figure, sense, turns))
    worth = _worth(known, figure, sense)
    size = max(float(np.ptp(worth[np.isfinite(worth)])), np.finfo(float).tiny)

    def below(shares: Floats) -> tuple[float, Floats]:
        values, found = known.add(box.points(shares[None]))
        if not np.isfinite(values[0, figure]):  # worse than anything known
            return float(1.0 - worth[np.isfinite(worth)].min() / size), np.zeros(len(shares))
        return -sense * values[0, figure] / size, -sense * found[0, figure] * width / size

    for start in known.points[np.argsort(-worth, kind="stable")[:SEARCHES]]:
        shares = np.divide(start - box.least, width, out=np.zeros_like(width), where=width > 0.0)
        minimize(below, shares, jac=True, method="L-BFGS-B", bounds=[(0.0, 1.0)] * len(shares))


def _combined(known: _Known, figure: int, sense: float, turns: NDArray[np.bool_]) -> Floats:
    """All ends of the turning parameters, the others at the end that their slope names."""
    rows = np.array(list(product((0.0, 1.0), repeat=int(turns.sum()))))
    shares = np.tile((sense * known.signs(figure).sum(axis=0) >= 0).astype(float), (len(rows), 1))
    shares[:, turns] = rows
    return known.box.points(shares)
