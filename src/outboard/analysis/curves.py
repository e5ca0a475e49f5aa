"""How the load current divides, as curves over the load and the places on them that a technician asks for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.network.outcome import SOLVED
from outboard.span import Span

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

UP, DOWN = "up", "down"


@dataclass(frozen=True, slots=True)
class Device:
    """A regulator or transistor that takes its share; `role` is what it is for."""

    name: str
    role: str
    kind: str


@dataclass(frozen=True, slots=True)
class Curve:
    """One condition, followed one way. Arrays run over the loads; figures where not `solved` mean nothing.

    condition    "cold", "usual" or "hot"
    direction    "up": the load rises from nothing; "down": it falls from the end
    load         what the load asks for [A], rising whatever the direction
    output       size of the voltage at the load [V]
    currents     by device [A]: a transistor's collector current, what a regulator delivers
    powers       by device [W]
    junctions    by device [K]; ambient for a device without a heat path
    limiting, dropped_out   by regulator: why it no longer holds its voltage
    """

    condition: str
    direction: str
    input_voltage: float | None
    ambient: float
    load: Floats
    outcomes: NDArray[np.int8]
    output: Floats
    currents: Mapping[str, Floats]
    powers: Mapping[str, Floats]
    junctions: Mapping[str, Floats]
    limiting: Mapping[str, Mask]
    dropped_out: Mapping[str, Mask]

    @property
    def solved(self) -> Mask:
        """Where there is an operating point."""
        return np.asarray(self.outcomes == SOLVED)


@dataclass(frozen=True, slots=True)
class Handover:
    """The load [A] at which a transistor starts to carry, and what the regulator delivers there [A].

    A transistor starts where it carries 1 % of what it carries at full load under the same condition. None: it carries
    nothing worth the name; a load of zero: it carries that much without any load.
    """

    condition: str
    part: str
    load: float | None
    regulator_current: float | None


@dataclass(frozen=True, slots=True)
class Event:
    """A stretch of loads [A] on which a regulator limits or drops out, the output is off, or there is no point."""

    condition: str
    what: str
    part: str | None
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Difference:
    """Loads [A] at which the way up and the way down end in different points, and the largest gap of the output [V]."""

    condition: str
    least: float
    most: float
    gap: float


@dataclass(frozen=True, slots=True)
class NoStart:
    """A load [A] into which the circuit does not start, though it carries it when the load rises slowly.

    followed, started   output [V] on the two ways; None where there is no operating point
    """

    condition: str
    load: float
    followed: float | None
    started: float | None


@dataclass(frozen=True, slots=True)
class Division:
    """All curves of a design, and the places on them; `promised` is the span of the load [A], as far as it is known."""

    devices: tuple[Device, ...]
    promised: Span
    target: float | None
    tolerance: float | None
    curves: tuple[Curve, ...]
    handovers: tuple[Handover, ...]
    events: tuple[Event, ...]
    differs: tuple[Difference, ...]
    no_start: tuple[NoStart, ...]

    @property
    def conditions(self) -> Sequence[str]:
        """The words of the conditions, cold before hot."""
        return tuple(dict.fromkeys(curve.condition for curve in self.curves))

    def curve(self, condition: str, direction: str = UP) -> Curve:
        """One curve; KeyError when there is none."""
        for curve in self.curves:
            if (curve.condition, curve.direction) == (condition, direction):
                return curve
        raise KeyError((condition, direction))

    @property
    def holds(self) -> bool:
        """Whether every promised load has an operating point, at every condition."""
        return all(
            curve.solved[(curve.load >= self.promised.least) & (curve.load <= self.promised.most)].all()
            for curve in self.curves
            if curve.direction == UP
        )
