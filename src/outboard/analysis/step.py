"""One change of load or input and what came of it, as an oscilloscope and current probes would show it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from outboard.analysis.moving_design import MovingDesign
from outboard.network.moving import Floats

LOAD_RISES, LOAD_FALLS = "load rises", "load falls"
INPUT_RISES, INPUT_FALLS = "input rises", "input falls"
START, OFF = "start-up", "switch-off"
NAMES = (LOAD_RISES, LOAD_FALLS, INPUT_RISES, INPUT_FALLS, START, OFF)

SETTLED_SHARE = 0.1
"""Share of the greatest deviation within which the output counts as settled."""

ARRIVED_SHARE = 0.01
"""The same of a start-up or a switch-off, whose greatest deviation is the whole way."""


@dataclass(frozen=True, slots=True)
class Change:
    """What changes: input and load before and after [V, A], in what time [s]."""

    name: str
    inputs: tuple[float, float]
    loads: tuple[float, float]
    edge: float

    @property
    def is_line(self) -> bool:
        """Whether it is the input that changes."""
        return self.inputs[0] != self.inputs[1]


@dataclass(frozen=True)
class Step:
    """The way of one change; times count from its beginning [s].

    output    voltage that the load sees, in the direction of what is promised [V]
    currents  of the load and of every device (collector, drain, regulator's output, diode), as sizes [A]
    pins      (part, pin) -> current into it [A]; `nets` voltages [V]
    broken    why the way ends before its time, where it does
    """

    change: Change
    end: str
    times: Floats
    output: Floats
    currents: Mapping[str, Floats]
    pins: Mapping[tuple[str, str], Floats]
    nets: Mapping[str, Floats]
    source: Floats
    broken: str = ""

    @property
    def began(self) -> float:
        """Output at rest before [V]."""
        return float(self.output[0])

    @property
    def ended(self) -> float:
        """Output at the end [V]."""
        return float(self.output[-1])

    @cached_property
    def lowest(self) -> tuple[float, float]:
        """Least output and when [V, s]."""
        place = int(self.output.argmin())
        return float(self.output[place]), float(self.times[place])

    @cached_property
    def highest(self) -> tuple[float, float]:
        """Greatest output and when [V, s]."""
        place = int(self.output.argmax())
        return float(self.output[place]), float(self.times[place])

    @property
    def dip(self) -> float:
        """How far it falls below both its ends [V]."""
        return max(0.0, min(self.began, self.ended) - self.lowest[0])

    @property
    def overshoot(self) -> float:
        """How far it rises above both its ends [V]."""
        return max(0.0, self.highest[0] - max(self.began, self.ended))

    @cached_property
    def settled(self) -> float:
        """From when on it stays within a tenth of its greatest deviation from where it ends, or 1 % of a way [s]."""
        off = np.abs(self.output - self.ended)
        share = ARRIVED_SHARE if self.change.name in (START, OFF) else SETTLED_SHARE
        return self.last_beyond(off, share * float(off.max()))

    def outside(self, low: float, high: float) -> float:
        """From when on it stays between two voltages [s]; 0 when it always does, no number when it ends outside."""
        off = np.maximum(self.output - high, low - self.output)
        if off[-1] > 0.0:
            return float("nan")
        return max(0.0, self.last_beyond(off, 0.0))

    def last_beyond(self, values: Floats, level: float) -> float:
        """When values are above a level for the last time [s]; 0 when they never are."""
        above = np.flatnonzero(values > level)
        if not len(above):
            return 0.0
        k = int(above[-1])
        if k + 1 == len(values):
            return float(self.times[k])
        share = (values[k] - level) / (values[k] - values[k + 1])
        return float(self.times[k] + share * (self.times[k + 1] - self.times[k]))


@dataclass(frozen=True, slots=True)
class NoStep:
    """A change that could not be followed at all, and why."""

    change: Change
    end: str
    why: str


@dataclass(frozen=True, slots=True)
class Steps:
    """All steps; the usual bandwidth first."""

    moving: MovingDesign
    steps: tuple[Step, ...]
    failed: tuple[NoStep, ...]

    def step(self, name: str, end: str = "usual") -> Step | None:
        """That of a name at an end of the bandwidth."""
        return next((one for one in self.steps if (one.change.name, one.end) == (name, end)), None)
