"""Functions for device equations on ordinary floats, and the shapes that several devices share."""

import math
from typing import Any

from outboard.constants import BOLTZMANN, ELEMENTARY_CHARGE
from outboard.devices.device import Mathematics, Number

BOLTZMANN_VOLTAGE = BOLTZMANN / ELEMENTARY_CHARGE
"""k/q [V/K]."""

STEEPEST = 80.0
"""Above this argument the exponential goes on along its tangent: no iterate may overflow, no solution lies there."""


class Floats:
    """The mathematics namespace of Python floats."""

    exp = staticmethod(math.exp)
    log = staticmethod(math.log)
    log1p = staticmethod(math.log1p)
    sqrt = staticmethod(math.sqrt)
    tanh = staticmethod(math.tanh)

    @staticmethod
    def above(x: float, limit: float) -> bool:
        """True where x is greater than the limit."""
        return x > limit

    @staticmethod
    def choose(condition: bool, yes: Any, no: Any) -> Any:
        """One of two values; both are always computed."""
        return yes if condition else no

    @staticmethod
    def with_slope(value: float, x: float, slope: float) -> float:
        """The value; the tracer takes the slope along as its derivative by x."""
        return value


FLOATS = Floats()


def limited_exp(x: Number, m: Mathematics) -> Number:
    """The exponential, continued by its tangent above x = 80 so that iterates cannot overflow."""
    inside = m.choose(m.above(x, STEEPEST), STEEPEST, x)
    power = m.exp(inside)
    return m.with_slope(power + power * (x - inside), x, power)


def soft_positive(x: Number, width: Number, m: Mathematics) -> Number:
    """The positive part of x with a rounded corner, width·ln(1 + exp(x/width))."""
    u = x / width
    up = m.above(u, 0.0)
    tail = m.exp(m.choose(up, -u, u))
    share = 1.0 / (1.0 + tail)
    rounded = m.choose(up, u, 0.0) + m.log1p(tail)
    return width * m.with_slope(rounded, u, m.choose(up, share, tail * share))


def soft_least(x: Number, most: Number, width: Number, m: Mathematics) -> Number:
    """The smaller of x and `most` with a rounded corner: x − s(x − most), without cancellation where x is far above."""
    v = (x - most) / width
    up = m.above(v, 0.0)
    return m.choose(up, most, x) - width * m.log1p(m.exp(m.choose(up, -v, v)))


def soft_between(x: Number, most: Number, width: Number, m: Mathematics) -> Number:
    """What of x lies between zero and `most`: s(x) − s(x − most), without cancellation where x is far above."""
    u, v = x / width, (x - most) / width
    some, all_of_it = m.above(u, 0.0), m.above(v, 0.0)
    straight = m.choose(all_of_it, m.choose(some, most, most - x), m.choose(some, x, 0.0))
    first = m.log1p(m.exp(m.choose(some, -u, u)))
    second = m.log1p(m.exp(m.choose(all_of_it, -v, v)))
    return straight + width * (first - second)


def logistic(x: Number, m: Mathematics) -> Number:
    """1/(1 + exp(−x)) without overflow on either side."""
    up = m.above(x, 0.0)
    tail = m.exp(m.choose(up, -x, x))
    share = 1.0 / (1.0 + tail)
    value = m.choose(up, share, tail * share)
    return m.with_slope(value, x, share * (tail * share))
