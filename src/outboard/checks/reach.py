"""How far a design holds: every requirement over load × input, within what was promised and somewhat beyond.

A place on the map has the least margin that any of the tolerances tried there has, at the worst ambient; where some of
them is left open and none falls short, the place is undecided and has no number.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from outboard.checks.finding import titled

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Mapped:
    """One requirement on the map.

    margins   least margin [input, load], kelvins for temperatures; not a number where it is undecided or runs away
    way       from rest to the limit, for margins as a share of it
    missing   why it is undecided everywhere that it does not fail
    alike     all parts that it stands for, where there are several
    """

    requirement: str
    part: str | None
    alike: tuple[str, ...]
    unit: str
    way: float
    missing: tuple[str, ...]
    margins: Floats

    @property
    def title(self) -> str:
        """What is required of what, as a person reads it."""
        return titled(self.requirement, self.part, self.alike)

    @property
    def holds(self) -> Flags:
        """Where it holds [input, load]; an open place does not."""
        return np.asarray(self.margins >= 0.0)


@dataclass(frozen=True)
class Place:
    """The least margin within what was promised, and where."""

    margin: float
    input_voltage: float
    load: float


@dataclass(frozen=True)
class Reach:
    """The map: inputs [V] × loads [A], the requirements on it, and where some unit runs away [input, load].

    combinations   of tolerances that were tried at every place, and of how many they were chosen
    """

    inputs: Floats
    loads: Floats
    promised_inputs: tuple[float, float]
    promised_load: tuple[float, float]
    maps: tuple[Mapped, ...]
    ran_away: Flags
    combinations: tuple[int, int]

    @property
    def ordered(self) -> tuple[Mapped, ...]:
        """Tightest within the promise first, as a share of the way to the limit; those without a number last."""
        return tuple(sorted(self.maps, key=self._share))

    def _share(self, one: Mapped) -> float:
        least = self.least(one)
        return float("inf") if least is None else round(least.margin / one.way, 9)

    @cached_property
    def together(self) -> Mapped:
        """All requirements that can be decided at once, margins as shares of their ways."""
        decided = [one.margins / one.way for one in self.maps if not one.missing]
        if not decided:
            return Mapped("all requirements", None, (), "", 1.0, ("none can be decided",), self._nowhere)
        least = np.where(np.isnan(decided), np.inf, decided).min(axis=0)
        known = (least < 0.0) | ~np.isnan(decided).any(axis=0)
        return Mapped("all requirements", None, (), "", 1.0, (), np.where(known, least, np.nan))

    @property
    def _nowhere(self) -> Floats:
        return np.full(self.ran_away.shape, np.nan)

    @property
    def _promised(self) -> tuple[Flags, Flags]:
        """Which inputs and which loads lie within what was promised."""
        low, high = self.promised_inputs
        least, most = self.promised_load
        return (self.inputs >= low) & (self.inputs <= high), (self.loads >= least) & (self.loads <= most)

    @property
    def promised(self) -> Flags:
        """The places within what was promised [input, load]."""
        return np.asarray(np.outer(*self._promised))

    def weakest(self, place: Place) -> Mapped | None:
        """The requirement with the least share of its way left at a place of the map."""
        row, column = np.searchsorted(self.inputs, place.input_voltage), np.searchsorted(self.loads, place.load)
        known = [one for one in self.maps if not one.missing and np.isfinite(one.margins[row, column])]
        return min(known, key=lambda one: float(one.margins[row, column]) / one.way, default=None)

    def least(self, one: Mapped) -> Place | None:
        """Where within the promise the margin is least; None where it has no number anywhere there."""
        margins = np.where(self.promised & np.isfinite(one.margins), one.margins, np.inf)
        row, column = np.unravel_index(int(margins.argmin()), margins.shape)
        if not np.isfinite(margins[row, column]):
            return None
        return Place(float(margins[row, column]), float(self.inputs[row]), float(self.loads[column]))

    def undecided(self, one: Mapped) -> Flags:
        """Where there is no number, and no runaway that would be an answer [input, load]."""
        return np.asarray(np.isnan(one.margins) & ~self.ran_away)

    def edges(self, one: Mapped) -> Iterator[tuple[float, ...]]:
        """For every input the loads at which the margin passes zero, straight lines between the places of the map."""
        for row in one.margins:
            before, after = row[:-1], row[1:]
            passes = np.isfinite(before) & np.isfinite(after) & ((before < 0.0) != (after < 0.0))
            with np.errstate(invalid="ignore"):
                share = before[passes] / (before - after)[passes]
            yield tuple((self.loads[:-1][passes] + share * np.diff(self.loads)[passes]).tolist())

    def most_load(self, one: Mapped) -> float | None:
        """Largest load up to which it holds at every promised input; None where it holds at none."""
        good = np.asarray(one.holds[self._promised[0]].all(axis=0))
        count = good.size if good.all() else int(np.argmin(good))
        return float(self.loads[count - 1]) if count else None

    def input_span(self, one: Mapped) -> tuple[float, float] | None:
        """Inputs around the promised ones at which it holds at every promised load; None where it does not."""
        good = np.asarray(one.holds[:, self._promised[1]].all(axis=1))
        promised = np.flatnonzero(self._promised[0])
        if not good[promised].all():
            return None
        first, last = int(promised[0]), int(promised[-1])
        while first > 0 and good[first - 1]:
            first -= 1
        while last + 1 < good.size and good[last + 1]:
            last += 1
        return float(self.inputs[first]), float(self.inputs[last])
