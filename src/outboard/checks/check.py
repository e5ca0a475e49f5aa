"""A check: what is measured in every lane, the limit it must keep, and all that must be known for that."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.checks.finding import titled
from outboard.checks.needs import Need
from outboard.network.solution import Block
from outboard.parts.records import Origin

Floats = NDArray[np.float64]
Quantity = Callable[[Block], Floats]

AT_MOST = -1.0
AT_LEAST = 1.0


@dataclass(frozen=True, slots=True)
class Check:
    """One requirement on one part.

    measure   block -> value in every lane, [corner, point], SI
    limit     block -> limit in every lane, or one number
    sense     AT_MOST: value ≤ limit; AT_LEAST: value ≥ limit
    unit      "V", "A", "W" or "K" (a temperature)
    needs     figures and branches without which it stays undecided
    origin    where the limit comes from
    rest      value at which nothing of the limit is used [SI]
    derating  what a policy took off the limit, in words
    rating    letter symbol of the rating that the limit is, "P" for a resistor's; "" where it is none
    alike     names of all parts that are judged together, because any of them could be the weakest; else nothing
    silent    figure of the policy that is not at hand: without it nothing passes, yet what exceeds the rating fails
    """

    requirement: str
    part: str | None
    measure: Quantity
    limit: Quantity | float
    sense: float
    unit: str
    origin: Origin
    needs: tuple[Need, ...] = ()
    rest: float = 0.0
    derating: str = ""
    rating: str = ""
    silent: str = ""
    alike: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """What is required of what, as a person reads it."""
        return titled(self.requirement, self.part, self.alike)

    def margins(self, block: Block) -> tuple[Floats, Floats, Floats]:
        """Value, limit and margin of every lane; margin is negative where the limit is passed."""
        value = np.asarray(self.measure(block), dtype=float)
        limit = self.limit(block) if callable(self.limit) else np.full_like(value, self.limit)
        limit = np.broadcast_to(limit, value.shape)
        return value, limit, self.sense * (value - limit)
