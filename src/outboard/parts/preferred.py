"""Preferred values of resistors and capacitors.

References
----------
[IEC60063] preferred number series for resistors and capacitors (from memory; the formula and its exceptions are
checked in tests/published/test_preferred_values.py)
"""

import math
from functools import cache

SERIES = {"E3": 3, "E6": 6, "E12": 12, "E24": 24, "E48": 48, "E96": 96, "E192": 192}
"""Names of the series and how many values each has in a decade."""

_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
"""Two digits; 27 to 47 and 82 are not the rounded powers of ten."""

_SLACK = 1e-9
"""Relative difference below which a value counts as the preferred one."""


@cache
def decade(series: str) -> tuple[int, ...]:
    """The values of a series between 10 and 99 (E3 to E24) or 100 and 999 (E48 to E192).

    ValueError for a series that does not exist.
    """
    count = SERIES.get(series)
    if count is None:
        raise ValueError(f"no series {series!r}; there are {', '.join(SERIES)}")
    if count <= 24:
        return _E24[:: 24 // count]
    finest = [round(100 * 10 ** (step / 192)) for step in range(192)]
    finest[185] = 920  # the standard prints 920 where the formula gives 919
    return tuple(finest[:: 192 // count])


def series_values(series: str, lo: float, hi: float) -> tuple[float, ...]:
    """All preferred values from lo to hi, both included, rising; lo must be above zero."""
    if not 0 < lo <= hi < math.inf:
        raise ValueError(f"no range of values: {lo} to {hi}")
    mantissas = decade(series)
    digits = len(str(mantissas[0])) - 1
    exponents = range(math.floor(math.log10(lo)) - 1, math.floor(math.log10(hi)) + 2)
    values = (float(f"{mantissa}e{exponent - digits}") for exponent in exponents for mantissa in mantissas)
    return tuple(value for value in values if lo * (1 - _SLACK) <= value <= hi * (1 + _SLACK))


def preferred(value: float, series: str, direction: str = "nearest") -> float:
    """The preferred value next to a wanted one: "nearest" by ratio, or the next one "up" or "down"."""
    if not 0 < value < math.inf:
        raise ValueError(f"no preferred value near {value}")
    around = series_values(series, value / 10, value * 10)
    below = max(candidate for candidate in around if candidate <= value * (1 + _SLACK))
    above = min(candidate for candidate in around if candidate >= value * (1 - _SLACK))
    if direction == "down":
        return below
    if direction == "up":
        return above
    if direction == "nearest":
        return above if above / value < value / below else below
    raise ValueError(f"no direction {direction!r}; there are nearest, up, down")
