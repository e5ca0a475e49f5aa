"""All that may differ at once: every tolerance of every part by itself, with input, ambient and load.

A point of the box has a coordinate from −1 to 1 for each way, and three more for the surroundings, from their least to
their most.  Ways that always go together (matched devices) follow the first of them; ways that share a guarantee leave
each other room.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from outboard.cases.axes import OPPOSED, Address
from outboard.cases.distributions import Way
from outboard.cases.sampling import Sampling, numbers
from outboard.checks.draws import Units, overrides
from outboard.checks.setting import Setting
from outboard.checks.tally import Worst
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.network.circuit import AMBIENT_FIELD
from outboard.network.overrides import Overrides

Floats = NDArray[np.float64]

TOGETHER = 1.0 - 1e-9
"""Correlation from which on two tolerances are one."""

SURROUNDINGS = ("input", "ambient", "load")
INPUT, AMBIENT, LOAD = -3, -2, -1
"""Places of the surroundings among the coordinates, from the end."""

LOAD_FIELD: Address = ("load", "draws")


@dataclass(frozen=True)
class Box:
    """The box of a design; points [point, coordinate]."""

    setting: Setting
    sampling: Sampling

    @classmethod
    def of(cls, setting: Setting, sampling: Sampling) -> "Box":
        """The box in which units are drawn, with room for the drift of resistors that work as a ratio."""
        ways = tuple(_with_drift(way, setting) for way in sampling.ways)
        return cls(setting, replace(sampling, ways=ways))

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Of the coordinates: ways, then the surroundings."""
        return (*(way.name for way in self.sampling.ways), *SURROUNDINGS)

    @property
    def ways(self) -> int:
        """How many of the coordinates are tolerances."""
        return len(self.sampling.ways)

    @cached_property
    def spans(self) -> Floats:
        """Least and most of input [V], ambient [K] and load [A], [surrounding, end]."""
        setting = self.setting
        loads = setting.loads if setting.load_fields else np.zeros(1)
        return np.array([[min(ends), max(ends)] for ends in (setting.inputs, setting.ambients, loads)], dtype=float)

    @cached_property
    def pairs(self) -> tuple[tuple[float, float], ...]:
        """Input [V] and ambient [K] at which every unit is tried: each at its least, usual and most."""
        return (*self.setting.ends, *self.setting.between)

    @cached_property
    def most(self) -> Floats:
        """The upper end of every coordinate; 0 where nothing can differ."""
        moves = self.spans[:, 1] > self.spans[:, 0]
        return np.concatenate([np.where(self._leads, 1.0, 0.0), np.where(moves, 1.0, 0.0)])

    @cached_property
    def least(self) -> Floats:
        """The lower end of every coordinate; 0 for a way that has only one side."""
        one_sided = [way.one_sided for way in self.sampling.ways]
        return np.concatenate([np.where(one_sided, 0.0, -self.most[: self.ways]), -self.most[self.ways :]])

    @cached_property
    def _first(self) -> NDArray[np.intp]:
        """The way that each way goes with; itself for most."""
        if not self.ways:
            return np.empty(0, dtype=np.intp)
        return np.asarray(np.argmax(self.sampling.correlation > TOGETHER, axis=1))

    @property
    def _leads(self) -> NDArray[np.bool_]:
        return np.asarray(self._first == np.arange(self.ways))

    @cached_property
    def rooms(self) -> tuple[tuple[int, int], ...]:
        """Ways that share a guarantee: (the one that needs room, the one whose distance from usual takes it)."""
        place = {way.name: number for number, way in enumerate(self.sampling.ways)}
        return tuple(
            (number, place[way.room]) for number, way in enumerate(self.sampling.ways) if way.room in place
        )  # fmt: skip

    def places(self, points: Floats) -> Floats:
        """Where parts stand on their ways, [point, way]."""
        return self.sampling.with_room(points[:, : self.ways][:, self._first].copy())

    def surroundings(self, points: Floats) -> Floats:
        """Input [V], ambient [K] and load [A] of points, [point, surrounding]."""
        low, high = self.spans.T
        return np.asarray(np.clip(low + (high - low) * 0.5 * (points[:, self.ways :] + 1.0), low, high))

    def at(self, points: Floats, surroundings: Floats) -> Floats:
        """Points with these surroundings instead of their own."""
        low, high = self.spans.T
        span = np.where(high > low, high - low, 1.0)
        moved = points.copy()
        moved[:, self.ways :] = np.where(high > low, np.clip(2.0 * (surroundings - low) / span - 1.0, -1.0, 1.0), 0.0)
        return moved

    def of_corner(self, worst: Worst) -> Floats:
        """The point of the box where a corner lies."""
        given = worst.corners.overrides
        values = dict(zip(given.fields, given.values[worst.row].tolist(), strict=True))
        places = [_place(way, values) for way in self.sampling.ways]
        around = (worst.corners.inputs[worst.row], worst.corners.ambients[worst.row], worst.load or 0.0)
        points: Floats = self.at(np.array([[*places, 0.0, 0.0, 0.0]]), np.array([around], dtype=float))
        return np.asarray(points[0])

    def rows(self, points: Floats) -> Overrides:
        """Numbers of the parts at points, with input and ambient."""
        addresses, values = numbers(self.sampling.ways, self.places(points))
        inputs, ambients, _ = self.surroundings(points).T
        return overrides(self.setting, addresses, values, inputs, ambients)

    def units(self, points: Floats, first: int) -> Units:
        """Units at points, each at all `pairs`, whatever surroundings the points have."""
        addresses, values = numbers(self.sampling.ways, self.places(points))
        pairs = self.pairs
        inputs, ambients = (np.tile([pair[which] for pair in pairs], len(points)) for which in (0, 1))
        rows = overrides(self.setting, addresses, np.repeat(values, len(pairs), axis=0), inputs, ambients)
        return Units(first, points, inputs, ambients, rows)

    @cached_property
    def addresses(self) -> tuple[Address, ...]:
        """Everything that a coordinate moves: numbers of parts, then input, ambient and load where there are any."""
        setting = self.setting
        own = tuple(address for way in self.sampling.ways for address in way.fields)
        source: Sequence[Address] = () if setting.input is None else ((setting.input, "voltage"),)
        return (*own, *source, AMBIENT_FIELD, *setting.load_fields)

    def by_place(self, points: Floats, by_address: Floats) -> Floats:
        """Slopes by where parts stand, ways that go together still apart, from slopes by `addresses`.

        points [point, coordinate], by_address [point, …, address]; the result [point, …, coordinate].
        """
        steps = self._steps(points)
        shaped = steps.reshape(len(steps), *(1,) * (by_address.ndim - 2), steps.shape[1])
        moved = by_address * shaped
        found = np.zeros((*by_address.shape[:-1], self.ways + len(SURROUNDINGS)))
        for column, coordinate in enumerate(self._coordinates):
            found[..., coordinate] += moved[..., column]
        return found

    def by_coordinate(self, points: Floats, by_place: Floats) -> Floats:
        """Slopes by the coordinates of points [point, coordinate], from slopes by places [point, coordinate]."""
        found = by_place.copy()
        tied = points[:, : self.ways][:, self._first]
        for needs, takes in self.rooms:
            found[:, takes] -= by_place[:, needs] * tied[:, needs] * np.sign(tied[:, takes])
            found[:, needs] *= 1.0 - np.abs(tied[:, takes])
        return self.together(found)

    def together(self, slopes: Floats) -> Floats:
        """Slopes [..., coordinate] with those of ways that go together summed at the first of them."""
        found = slopes.copy()
        for way, first in enumerate(self._first):
            if first != way:
                found[..., first] += found[..., way]
                found[..., way] = 0.0
        return found

    @cached_property
    def _coordinates(self) -> tuple[int, ...]:
        """The coordinate of each address."""
        size = self.ways + len(SURROUNDINGS)
        own = tuple(number for number, way in enumerate(self.sampling.ways) for _ in way.fields)
        source = () if self.setting.input is None else (size + INPUT,)
        return (*own, *source, size + AMBIENT, *(size + LOAD for _ in self.setting.load_fields))

    def _steps(self, points: Floats) -> Floats:
        """∂number/∂place of each address, [point, address]."""
        places = self.places(points)
        own = [slope for number, way in enumerate(self.sampling.ways) for slope in way.slopes(places[:, number])]
        half = 0.5 * (self.spans[:, 1] - self.spans[:, 0])
        around = [np.full(len(points), half[c - self.ways]) for c in self._coordinates[len(own) :]]
        return np.column_stack([*own, *around])

    def corner(self, slopes: Floats) -> Floats:
        """The ways' corner at which a figure of these slopes by places [..., coordinate] is least."""
        slopes = self.together(slopes)
        found = np.where(slopes[..., : self.ways] > 0.0, self.least[: self.ways], self.most[: self.ways])
        for needs, takes in self.rooms:
            first = self._first[takes]
            apart = -slopes[..., needs] > np.abs(slopes[..., first])
            found[..., first] = np.where(apart, 0.0, found[..., first])
            found[..., needs] = np.where(apart, 1.0, found[..., needs])
        return found


def _with_drift(way: Way, setting: Setting) -> Way:
    """A resistor of a divider with ends as wide as its tolerance and its drift over the ambient together."""
    part = setting.design.part(way.part)
    if way.kind != "resistance" or part.role not in OPPOSED or not part.drift:
        return way
    away = part.drift * max(abs(ambient - REFERENCE_TEMPERATURE) for ambient in setting.ambients)
    ((least,), (usual,), (most,)) = way.least, way.usual, way.most
    return replace(way, least=(least - usual * away,), most=(most + usual * away,))


def _place(way: Way, values: Mapping[Address, float]) -> float:
    """Where a corner has a way: at its least, its most, or usual."""
    mine = [values.get(field, usual) for field, usual in zip(way.fields, way.usual, strict=True)]
    return next((place for ends, place in ((way.usual, 0.0), (way.most, 1.0), (way.least, -1.0))
                 if np.allclose(mine, ends, rtol=1e-9, atol=0.0)), 0.0)  # fmt: skip
