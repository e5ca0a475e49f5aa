"""What a device declares about itself while voltages change."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from outboard.devices.device import Equations, Mathematics, Number


@dataclass(frozen=True, slots=True)
class Store:
    """A building block of networks that move.

    ports       the unknowns it reads, in order; contribution k belongs to the balance of port k
    parameters  its numbers, in order
    charges     (port values, parameters, mathematics) -> what is stored for each port [C; Wb; s·A]
    currents    the same for what flows beside it; none for a pure store
    """

    name: str
    ports: tuple[str, ...]
    parameters: tuple[str, ...]
    charges: Equations
    currents: Equations | None = None


def nothing(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """No contribution to any port."""
    return tuple(port * 0.0 for port in x)
