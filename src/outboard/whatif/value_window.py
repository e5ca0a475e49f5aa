"""Between which values of a resistor everything passes.

The way to the first value that fails is halved at the corners that were worst for the design as it is.  The bound so
found is then tried at all corners that a variant is tried at; where one of these fails, what was worst there joins the
others and the halving begins anew.  Of resistors that are alike all have the value together.
"""

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from outboard.arrangements.design import Design
from outboard.cases.alike import alike
from outboard.checks.finding import PASS
from outboard.checks.verification import Choices, Tried, judged, tried
from outboard.errors import RefusedNetwork
from outboard.parts.preferred import series_values
from outboard.whatif.near_worst import at_worst, joined, most_corners
from outboard.whatif.omit import LOADS
from outboard.whatif.variant import with_value

FARTHEST = 1000.0
"""Factor beyond which no bound is looked for."""

CLOSENESS = 1.01
"""A bound is known to this factor."""

STRIDE = 2.0

ROUNDS = 4
"""How often corners may join before the bound is looked for at all of them."""


@dataclass(frozen=True, slots=True)
class ValueWindow:
    """The marked values [Ω] of a resistor with which all requirements pass, its tolerance counted.

    least, most   bounds; None where none was found within a factor of a thousand
    below, above  what fails first beyond each
    preferred     preferred values inside, as far as the window is bounded
    alike         all resistors that have the value together, where there are several
    """

    name: str
    value: float
    least: float | None
    most: float | None
    below: str
    above: str
    preferred: tuple[float, ...]
    alike: tuple[str, ...] = ()


Failing = Callable[[float, Choices], tuple[str, Tried | None]]
"""What does not pass with a value at some corners, empty when all does, and what was tried."""


def value_windows(design: Design, names: Sequence[str], series: str) -> tuple[ValueWindow, ...]:
    """The windows of some resistors; none when the design does not pass as it is: then no value lies in one."""
    found = tried(design, LOADS)
    if judged(found, 0.0).verdict != PASS:
        return ()
    like = alike(design.parts)
    together = {name: like.get(name, (name,)) for name in names}
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        coming = {
            name: [pool.submit(_bound, design, group, stride, found) for stride in (1.0 / STRIDE, STRIDE)]
            for name, group in together.items()
        }
        bounds = {name: [one.result() for one in sides] for name, sides in coming.items()}
    return tuple(_window(design, name, together[name], bounds[name], series) for name in names)


def _window(
    design: Design, name: str, group: tuple[str, ...], bounds: Sequence[tuple[float | None, str]], series: str
) -> ValueWindow:
    (least, below), (most, above) = bounds
    inside = series_values(series, least, most) if least is not None and most is not None else ()
    value = design.part(name).part.values["resistance"]
    return ValueWindow(name, value, least, most, below, above, inside, group if len(group) > 1 else ())


def _bound(design: Design, names: tuple[str, ...], stride: float, found: Tried) -> tuple[float | None, str]:
    """The last value that passes in one direction, and what fails first behind it."""

    def failing(resistance: float, choices: Choices) -> tuple[str, Tried | None]:
        return _failing(with_value(design, names, resistance), choices)

    value = design.part(names[0]).part.values["resistance"]
    few, most = at_worst(found), most_corners(found)
    bad, why = None, ""
    for round_ in range(ROUNDS + 1):
        good, bad, why = _searched(value, bad, why, stride, failing, few if round_ < ROUNDS else most)
        reason, there = failing(good, most)
        if not reason:
            break
        bad, why = good, reason
        few = joined(few, at_worst(there)) if there is not None else few
    return (good, why) if bad is not None else (None, "")


def _searched(
    value: float, bad: float | None, why: str, stride: float, failing: Failing, choices: Choices
) -> tuple[float, float | None, str]:
    """Last value that passes, next one that fails and by what; bad is None where all pass to the farthest."""
    good, following = value, value * stride
    while bad is None and 1.0 / FARTHEST <= following / value <= FARTHEST:
        why, _ = failing(following, choices)
        if why:
            bad = following
        else:
            good, following = following, following * stride
    while bad is not None and max(good / bad, bad / good) > CLOSENESS:
        middle = (good * bad) ** 0.5
        reason, _ = failing(middle, choices)
        good, bad, why = (good, middle, reason) if reason else (middle, bad, why)
    return good, bad, why


def _failing(design: Design, choices: Choices) -> tuple[str, Tried | None]:
    try:
        found = tried(design, LOADS, True, choices)
    except RefusedNetwork as refused:
        return refused.what, None
    worst = judged(found, 0.0).ordered[0]
    return "" if worst.verdict == PASS else worst.title, found
