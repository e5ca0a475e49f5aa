"""Least of smooth functions over a box, many searches in step: bounded quasi-Newton with exact slopes.

Every search keeps its own inverse curvature (BFGS; textbook, memory), frees what may move, and offers steps of several
lengths along its direction, folded back into the box.  All steps of all searches are valued in one batch.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

Values = Callable[[Floats, NDArray[np.intp]], Floats]
"""(points [row, coordinate], search of each row) -> value of each; not a number where there is none."""

Slopes = Callable[[Floats, NDArray[np.intp]], Floats]
"""(points, searches) -> slopes [row, coordinate]."""

LENGTHS = (1.0, 0.25, 0.0625, 0.0156, 0.002)
"""Of the steps that are tried along a direction."""

FLAT = 1e-6
"""A slope below this share of the greatest moves nothing worth a step."""


@dataclass
class Search:
    """One search: where it stands, its value and slopes there, its inverse curvature.

    gain     by less than this an improvement is none
    settled  no step brought a gain;  cornered: every slope pushes against an end of the box, or is none
    """

    at: Floats
    value: float
    gain: float
    slope: Floats = field(default_factory=lambda: np.empty(0))
    inverse: Floats = field(default_factory=lambda: np.empty((0, 0)))
    settled: bool = False
    cornered: bool = False

    def steps(self, least: Floats, most: Floats) -> Floats:
        """Points worth a try, [step, coordinate]: along the direction, along the slope, and at the corner it names."""
        span = most - least
        free = ~(((self.at <= least) & (self.slope >= 0.0)) | ((self.at >= most) & (self.slope <= 0.0)))
        free &= np.abs(self.slope) > FLAT * np.abs(self.slope).max(initial=0.0)
        if not free.any():
            return np.empty((0, len(self.at)))
        directions = []
        own = np.zeros_like(self.at)
        own[free] = -self.inverse[np.ix_(free, free)] @ self.slope[free]
        if own @ self.slope < 0.0:
            directions.append(own)
        plain = np.where(free, -self.slope, 0.0)
        directions.append(0.5 * plain * span / np.abs(plain).max())
        points = [np.clip(self.at + length * way, least, most) for way in directions for length in LENGTHS]
        points.append(np.where(free, np.where(self.slope > 0.0, least, most), self.at))
        return np.unique(np.array(points), axis=0)

    def start(self, slope: Floats, span: Floats) -> None:
        """Slopes at the first point; a full step there goes half-way through the box along the steepest."""
        self.slope = slope
        steepest = float(np.abs(slope).max(initial=0.0))
        self.inverse = np.diag(0.5 * span / steepest) if steepest > 0.0 else np.diag(span)

    def move(self, at: Floats, value: float, slope: Floats) -> None:
        """Goes to a better point and learns the curvature from how the slopes changed on the way."""
        way, bend = at - self.at, slope - self.slope
        along = float(way @ bend)
        if along > 1e-12 * float(np.linalg.norm(way) * np.linalg.norm(bend)):
            one = np.eye(len(way)) - np.outer(way, bend) / along
            self.inverse = one @ self.inverse @ one.T + np.outer(way, way) / along
        self.at, self.value, self.slope = at, value, slope


def descend(
    searches: Sequence[Search], values: Values, slopes: Slopes, least: Floats, most: Floats, rounds: int = 24
) -> None:
    """Moves every search down until no step brings its gain; those that still move after `rounds` are not settled."""
    if searches:
        found = slopes(np.array([search.at for search in searches]), np.arange(len(searches)))
        for search, slope in zip(searches, found, strict=True):
            search.start(np.nan_to_num(slope), most - least)
    for _ in range(rounds):
        going = [number for number, search in enumerate(searches) if not search.settled]
        offers = [searches[number].steps(least, most) for number in going]
        for number, offered in zip(going, offers, strict=True):
            searches[number].settled = searches[number].cornered = not len(offered)
        owners = np.repeat(np.array(going, dtype=np.intp), [len(offered) for offered in offers])
        if not len(owners):
            return
        _step(searches, np.vstack(offers), owners, values, slopes)


def _step(searches: Sequence[Search], points: Floats, owners: NDArray[np.intp], values: Values, slopes: Slopes) -> None:
    """Each search takes the best of the points offered to it, or settles."""
    found = np.where(np.isfinite(worth := values(points, owners)), worth, np.inf)
    better = []
    for number in np.unique(owners):
        mine = np.flatnonzero(owners == number)
        best = int(mine[found[mine].argmin()])
        if found[best] < searches[number].value - searches[number].gain:
            better.append((int(number), best))
        else:
            searches[number].settled = True
    if not better:
        return
    chosen = np.array([best for _, best in better])
    turned = slopes(points[chosen], owners[chosen])
    for (number, best), slope in zip(better, turned, strict=True):
        searches[number].move(points[best].copy(), float(found[best]), np.nan_to_num(slope))
