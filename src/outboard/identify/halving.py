"""Roots of rising functions by halving an interval: slow, and never lost."""

from collections.abc import Callable

STEPS = 80
"""Halvings of an interval: below the last digit of a float."""


def root(function: Callable[[float], float], low: float, high: float, steps: int = STEPS) -> float:
    """Where a rising function passes through zero between low and high."""
    for _ in range(steps):
        middle = (low + high) / 2.0
        low, high = (middle, high) if function(middle) < 0.0 else (low, middle)
    return (low + high) / 2.0
