"""A quantity that a person promises as least, usual and most."""

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Span:
    """Least, usual and most of one quantity, in SI; least ≤ usual ≤ most."""

    least: float
    usual: float
    most: float

    def __post_init__(self) -> None:
        if not self.least <= self.usual <= self.most:
            raise ValueError(f"a span must rise: {self.least}, {self.usual}, {self.most}")

    def __iter__(self) -> Iterator[float]:
        return iter((self.least, self.usual, self.most))

    @property
    def farthest(self) -> float:
        """Size of what lies farthest from nothing: the most, of a negative quantity the least."""
        return max(abs(self.least), abs(self.most))

    @classmethod
    def exactly(cls, value: float) -> "Span":
        """The span of a quantity that does not vary."""
        return cls(value, value, value)

    @classmethod
    def around(cls, value: float, tolerance: float) -> "Span":
        """The span value·(1 ± tolerance), tolerance as a fraction."""
        spread = abs(value) * tolerance
        return cls(value - spread, value, value + spread)
