"""What a figure of a safe area shows, before it is drawn: the pieces of its edge, each with the line that makes it."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from outboard.checks.heat import AreaPoint
from outboard.checks.safe_area import Lines
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.parts.safe_area import LinePoint

Floats = NDArray[np.float64]

FINE = 600
"""Voltages at which an edge is worked out."""

ROOM = 1.8
"""How far the scales go beyond the greatest voltage and current, as a factor."""

SHALLOW, DOWN = 80.0, 1000.0
"""How far below the greatest current the scale goes at the least and at the most, as factors."""

LEAST_VOLTS = 1.0
"""Where the scale of voltages begins, unless the path goes below [V]."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of the edge: which line, its voltages and currents, whether it is certain for lasting current."""

    line: str
    volts: Floats
    amperes: Floats
    certain: bool


@dataclass(frozen=True, slots=True)
class Extent:
    """What the scales must hold [V, A]."""

    least_volts: float
    most_volts: float
    least_amperes: float
    most_amperes: float


def extent(point: AreaPoint) -> Extent:
    """Scales that hold the edge, and what of the path counts."""
    lines = point.lines
    every = [*point.path, *point.short]
    volts = [one.voltage for one in every if one.voltage > 0.0]
    low = min([LEAST_VOLTS, 0.7 * point.voltage, *(0.7 * value for value in volts if value > 0.2)])
    high = max(lines.most_voltage, *volts, point.voltage) * ROOM
    most = max(lines.most_current, point.current, *(one.current for one in every)) * ROOM
    cold = float(lines.allowed(np.array(lines.most_voltage), np.array(REFERENCE_TEMPERATURE)))
    wanted = [0.3 * value for value in (point.current, cold) if value > 0.0]
    return Extent(low, high, max(most / ROOM / DOWN, min([most / ROOM / SHALLOW, *wanted])), most)


def edge(lines: Lines, case: float, least: float) -> Iterator[Piece]:
    """The edge at a case temperature [K], piece after piece by rising voltage, up to the greatest voltage."""
    volts = np.geomspace(least, lines.most_voltage, FINE)
    amperes = lines.allowed(volts, np.full(FINE, case))
    which = [(lines.binding(float(v), case), _certain(lines, float(v), case)) for v in volts]
    for (line, certain), group in groupby(range(FINE), key=lambda place: which[place]):
        places = list(group)
        # one place further, so that pieces meet
        last = min(places[-1] + 1, FINE - 1)
        chosen = [*places, last] if last != places[-1] else places
        yield Piece(line, volts[chosen], amperes[chosen], certain)


def _certain(lines: Lines, voltage: float, case: float) -> bool:
    """Whether the edge is certain: as far as the line for lasting current goes; without one where I_C max is all."""
    if lines.lasting:
        return voltage <= lines.lasting[-1].voltage
    return lines.binding(voltage, case) == "greatest current"


def shown_points(lines: Lines) -> tuple[LinePoint, ...]:
    """Points of second breakdown that hold only for a pulse; where the line for lasting current is known none."""
    return () if lines.lasting else lines.brief
