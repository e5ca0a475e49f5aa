"""A logarithmic scale between two values, with round numbers at ones, twos and fives."""

from dataclasses import dataclass
from math import ceil, floor, log10

from numpy import asarray, float64
from numpy import log10 as log10s
from numpy.typing import ArrayLike, NDArray

FIRST = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class LogAxis:
    """From least to most, both above nothing; its place on paper from `start` to `end` [pt]."""

    least: float
    most: float
    start: float
    end: float

    def at(self, value: ArrayLike) -> NDArray[float64]:
        """Where values lie on paper [pt]."""
        share = log10s(asarray(value, dtype=float64) / self.least) / log10(self.most / self.least)
        return asarray(self.start + share * (self.end - self.start))

    def place(self, value: float) -> float:
        """Where one value lies on paper [pt]."""
        return float(self.at(value))

    def ticks(self) -> list[float]:
        """Ones, twos and fives between least and most."""
        powers = range(floor(log10(self.least)), ceil(log10(self.most)) + 1)
        found = (float(f"{first}e{power}") for power in powers for first in FIRST)
        return [value for value in found if self.least * (1 - 1e-9) <= value <= self.most * (1 + 1e-9)]
