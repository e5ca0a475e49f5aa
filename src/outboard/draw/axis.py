"""Scales of an axis: plain, or the square root, on which small currents stay visible beside large ones.

On a root scale over a root scale a steady share of the load is still a straight line through the origin, and nothing
has its place, which it has not on a logarithmic one. The widths of currents in a schematic follow the same law.
"""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import ArrayLike, NDArray

from outboard.quantity.showing import MINUS

Floats = NDArray[np.float64]

STEPS = (5, 2, 1)
DECADES = 6

PREFIXES = {0: "", -3: "m", -6: "µ"}
FEW = 0.1


def root(value: ArrayLike) -> Floats:
    """Square root that keeps the sign."""
    value = np.asarray(value, dtype=np.float64)
    return np.asarray(np.sign(value) * np.sqrt(np.abs(value)))


def square(value: ArrayLike) -> Floats:
    """What `root` came from."""
    value = np.asarray(value, dtype=np.float64)
    return np.asarray(value * np.abs(value))


@dataclass(frozen=True, slots=True)
class Axis:
    """From least to most in a unit, along `rooted` or plain steps."""

    least: float
    most: float
    unit: str
    rooted: bool

    @property
    def written_unit(self) -> str:
        """The unit that its numbers are written in."""
        return PREFIXES[self._power] + self.unit

    def number(self, value: float) -> str:
        """A value as it is written beside a tick."""
        return f"{value / 10.0**self._power:.6g}".replace("-", MINUS)

    @property
    def _power(self) -> int:
        """The power of ten that spares small axes their zeros."""
        return next((power for power in PREFIXES if self.most > FEW * 10.0**power), min(PREFIXES)) if self.rooted else 0

    def share(self, value: ArrayLike) -> Floats:
        """How far along the axis a value lies, 0 to 1."""
        along = root if self.rooted else np.asarray
        first, last = along(self.least), along(self.most)
        return np.asarray((along(value) - first) / (last - first), dtype=np.float64)

    def ticks(self, length: float, apart: float) -> list[float]:
        """Round values whose numbers, on an axis of this length, stand at least so far apart, rising."""
        return self._rooted_ticks(length, apart) if self.rooted else self._plain_ticks(length, apart)

    def _rooted_ticks(self, length: float, apart: float) -> list[float]:
        """The largest value of one digit, below it ones, twos and fives as they have room, and nothing."""
        exponent = int(np.floor(np.log10(self.most)))
        exponent -= 1 if self.most < 10.0**exponent else 0  # the logarithm of a little less than 1000 rounds to 3
        found = [float(f"{np.floor(self.most / 10.0**exponent):.0f}e{exponent}")]
        for value in (float(f"{step}e{exponent - down}") for down in range(DECADES) for step in STEPS):
            room = min(self.share(found[-1]) - self.share(value), self.share(value) - self.share(0.0))
            if room * length >= apart:
                found.append(value)
        return [0.0, *reversed(found)]

    def _plain_ticks(self, length: float, apart: float) -> list[float]:
        least_step = (self.most - self.least) * apart / length
        exponent = int(np.floor(np.log10(least_step)))
        sizes = (float(f"{size}e{exponent}") for size in (1, 2, 5, 10, 20))
        step = next(size for size in sizes if size >= least_step)
        first, last = int(np.ceil(self.least / step)), int(np.floor(self.most / step))
        return [float(f"{number * step:.12g}") for number in range(first, last + 1)]

    def lay(self, axes: Axes, which: str) -> None:
        """Make it the x or the y axis of a panel."""
        set_scale, set_limits = (axes.set_xscale, axes.set_xlim) if which == "x" else (axes.set_yscale, axes.set_ylim)
        if self.rooted:
            set_scale("function", functions=(root, square))
        set_limits(self.least, self.most)
