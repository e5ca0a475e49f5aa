"""Between which values of one resistor everything passes: found by halving the way to the first value that fails."""

from dataclasses import dataclass

from outboard.arrangements.design import Design
from outboard.checks.finding import PASS, Verdict
from outboard.checks.verification import verified
from outboard.errors import RefusedNetwork
from outboard.parts.preferred import series_values
from outboard.whatif.omit import LOADS
from outboard.whatif.variant import with_value

FARTHEST = 1000.0
"""Factor beyond which no bound is looked for."""

CLOSENESS = 1.01
"""A bound is known to this factor."""

STRIDE = 2.0


@dataclass(frozen=True, slots=True)
class ValueWindow:
    """The marked values [Ω] of a resistor with which all requirements pass, its tolerance counted.

    least, most   bounds; None where none was found within a factor of a thousand
    below, above  what fails first beyond each
    preferred     preferred values inside, as far as the window is bounded
    """

    name: str
    value: float
    least: float | None
    most: float | None
    below: str
    above: str
    preferred: tuple[float, ...]


def value_window(design: Design, name: str, series: str) -> ValueWindow | None:
    """The window of one resistor; None when the design does not pass as it is: then its value lies in none."""
    value = design.part(name).part.values["resistance"]
    if verified(design, LOADS).verdict != PASS:
        return None
    least, below = _bound(design, name, value, 1.0 / STRIDE)
    most, above = _bound(design, name, value, STRIDE)
    lo, hi = least or value / FARTHEST, most or value * FARTHEST
    inside = series_values(series, lo, hi) if least is not None and most is not None else ()
    return ValueWindow(name, value, least, most, below, above, inside)


def _bound(design: Design, name: str, value: float, stride: float) -> tuple[float | None, str]:
    """The last value that passes in one direction, and what fails first behind it."""
    good, bad, why = value, value * stride, ""
    while True:
        why = _failing(design, name, bad)
        if why:
            break
        good, bad = bad, bad * stride
        if not 1.0 / FARTHEST <= bad / value <= FARTHEST:
            return None, ""
    while max(good / bad, bad / good) > CLOSENESS:
        middle = (good * bad) ** 0.5
        reason = _failing(design, name, middle)
        good, bad, why = (good, middle, reason) if reason else (middle, bad, why)
    return good, why


def _failing(design: Design, name: str, value: float) -> str:
    """The requirement that does not pass with this value; empty when all do."""
    try:
        verdict: Verdict = verified(with_value(design, name, value), LOADS, dangling=True)
    except RefusedNetwork as refused:
        return refused.what
    worst = verdict.ordered[0]
    return "" if worst.verdict == PASS else worst.title
