"""Sums without rounding: in whatever order and groups numbers are added, the total is the same to the bit."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_ONE = 1 << 1074
"""How many times the least float goes into one: every float is a whole multiple of the least."""


class ExactSums:
    """Totals of several columns, kept as whole multiples of the least float."""

    __slots__ = ("wholes",)

    def __init__(self, columns: int, wholes: Sequence[int] = ()) -> None:
        self.wholes = list(wholes) or [0] * columns

    def add(self, numbers: Floats) -> None:
        """One finite number per column."""
        for column, number in enumerate(numbers.ravel().tolist()):
            over, under = number.as_integer_ratio()
            self.wholes[column] += over * (_ONE // under)

    def merge(self, other: "ExactSums") -> None:
        """The totals of other numbers besides."""
        self.wholes = [mine + theirs for mine, theirs in zip(self.wholes, other.wholes, strict=True)]

    @property
    def totals(self) -> Floats:
        """The totals, rounded once."""
        return np.array([whole / _ONE for whole in self.wholes])
