"""What a device declares about itself."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

Number = Any
"""A float, a forty-digit number or an expression of the tracer: anything that does arithmetic."""


class Mathematics(Protocol):
    """The functions that device equations may use."""

    def exp(self, x: Number) -> Number: ...
    def log(self, x: Number) -> Number: ...
    def log1p(self, x: Number) -> Number: ...
    def sqrt(self, x: Number) -> Number: ...
    def tanh(self, x: Number) -> Number: ...
    def choose(self, condition: Number, yes: Number, no: Number) -> Number: ...
    def above(self, x: Number, limit: Number) -> Number: ...
    def with_slope(self, value: Number, x: Number, slope: Number) -> Number: ...


Equations = Callable[[Sequence[Number], Any, Mathematics], Sequence[Number]]


@dataclass(frozen=True, slots=True)
class Device:
    """A building block of networks.

    ports       the unknowns it reads, in order; contribution k belongs to the balance of port k
    parameters  its numbers, in order
    equations   (port values, parameters, mathematics) -> contributions, shape (port,)
    valid       (port values, parameters, mathematics) -> numbers that are positive inside the model's range
    corners     (port values, parameters, mathematics) -> numbers that pass zero at a sharp bend of the equations,
                one meaning the width of the bend
    junctions   pairs of ports whose forward voltage Newton steps must not overrun, (plus, minus)
    mirrored    True when a parameter `polarity` of −1 turns all voltages and currents round
    """

    name: str
    ports: tuple[str, ...]
    parameters: tuple[str, ...]
    equations: Equations
    valid: Equations | None = None
    corners: Equations | None = None
    junctions: tuple[tuple[str, str], ...] = ()
    mirrored: bool = False
