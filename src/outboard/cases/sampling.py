"""Random draws: places on the ways of a design, number by number, the same whoever asks and in whatever order.

Draws come in blocks of BLOCK; a block follows from seed and block number alone.  "sobol": one scrambled sequence of
Sobol' (scrambled by the seed), of which a block is a piece; "latin": each block a Latin hypercube of its own; "plain":
independent numbers.  Confidence limits are exact for plain draws; the other two fill the box more evenly than chance
would, which their limits do not count in their favour.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from outboard.cases.axes import Address
from outboard.cases.distributions import Way
from outboard.cases.sobol import sobol

Floats = NDArray[np.float64]
Method = Literal["sobol", "latin", "plain"]

METHODS: tuple[Method, ...] = ("sobol", "latin", "plain")

BLOCK = 256
"""Draws in a block; a power of two, so that a block of Sobol' points is balanced."""

MOST_DRAWS = 1 << 30
"""Points that the sequence of Sobol' has."""

INSIDE = 2.0**-54
"""The least a uniform number may be away from 0 and 1."""


@dataclass(frozen=True)
class Sampling:
    """Draws along ways, with `extra` uniform numbers besides (input and ambient, where these are drawn).

    correlation   of the normal quantities behind the ways, [way, way]
    limits_at     standard deviations between usual and limit, where a normal distribution is cut
    """

    ways: tuple[Way, ...]
    correlation: Floats
    limits_at: float
    seed: int
    method: Method = "sobol"
    extra: int = 0

    def block(self, number: int) -> tuple[Floats, Floats]:
        """Places [draw, way] from −1 to 1 and the extra uniform numbers [draw, extra] of a block."""
        uniform = self._uniform(number)
        own, extra = uniform[:, : len(self.ways)], uniform[:, len(self.ways) :]
        places = np.empty_like(own)
        even = self._correlated(own)
        for column, way in enumerate(self.ways):
            places[:, column] = _placed(even[:, column], way, self.limits_at)
        return self.with_room(places), extra

    def _uniform(self, number: int) -> Floats:
        """Uniform numbers inside 0 to 1, [draw, dimension]."""
        dimensions = len(self.ways) + self.extra
        if not dimensions:
            return np.empty((BLOCK, 0))
        if self.method == "sobol":
            found = sobol(dimensions, self.seed, number * BLOCK, BLOCK)
        elif self.method == "latin":
            from scipy.stats import qmc

            found = qmc.LatinHypercube(dimensions, rng=np.random.default_rng([self.seed, number])).random(BLOCK)
        else:
            found = np.random.default_rng([self.seed, number]).random((BLOCK, dimensions))
        return np.asarray(np.clip(found, INSIDE, 1.0 - 2.0 * INSIDE))

    @cached_property
    def _root(self) -> Floats:
        """Symmetric root of the correlation; it exists even where devices are matched."""
        values, vectors = np.linalg.eigh(self.correlation)
        return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)) @ vectors.T)

    def _correlated(self, uniform: Floats) -> Floats:
        """Uniform numbers that go together as their ways do; those of unrelated ways stay as they are."""
        from scipy.special import ndtr, ndtri

        related = (self.correlation != np.eye(len(self.ways))).any(axis=1)
        if not related.any():
            return uniform
        normal = ndtri(uniform[:, related])
        root = self._root[np.ix_(related, related)]
        found = uniform.copy()
        # summed in a fixed order, so that no library for matrices decides the last digit
        found[:, related] = np.clip(ndtr((normal[:, None, :] * root[None]).sum(axis=2)), INSIDE, 1.0 - 2.0 * INSIDE)
        return found

    def with_room(self, places: Floats) -> Floats:
        """Ways that share a guarantee: what the one takes, the other lacks."""
        column = {way.name: number for number, way in enumerate(self.ways)}
        for way in self.ways:
            if way.room in column:
                places[:, column[way.name]] *= 1.0 - np.abs(places[:, column[way.room]])
        return places


def _placed(uniform: Floats, way: Way, limits_at: float) -> Floats:
    """Places on a way from uniform numbers: the quantile of its distribution, cut at the limits."""
    from scipy.special import ndtr, ndtri

    if way.one_sided:
        uniform = 0.5 + 0.5 * uniform
    if way.shape == "uniform":
        return np.asarray(np.clip(2.0 * uniform - 1.0, -1.0, 1.0))
    outside = ndtr(-limits_at)
    return np.asarray(np.clip(ndtri(outside + uniform * (1.0 - 2.0 * outside)) / limits_at, -1.0, 1.0))


def numbers(ways: Sequence[Way], places: Floats) -> tuple[tuple[Address, ...], Floats]:
    """What the parts' numbers are at places [draw, way]: addresses and their values [draw, address]."""
    columns = [pair for number, way in enumerate(ways) for pair in way.numbers(places[:, number])]
    if not columns:
        return (), np.empty((len(places), 0))
    return tuple(address for address, _ in columns), np.column_stack([values for _, values in columns])


def places_of_one_by_one(count: int) -> Floats:
    """The usual unit, and then each way alone at its least and at its most, [2·way + 1, way]."""
    places = np.zeros((2 * count + 1, count))
    for way in range(count):
        places[2 * way + 1, way], places[2 * way + 2, way] = -1.0, 1.0
    return places
