"""What small terms cost, in words: line after line of what is left out, and the shortest formula that keeps a promise.
"""

from collections.abc import Iterator
from itertools import zip_longest
from math import isinf

from rich.text import Text

from outboard.explain.asked import Result
from outboard.explain.bounds import Bound
from outboard.explain.expression import ZERO, Expression, Sum
from outboard.explain.forms import with_name
from outboard.explain.neglect import Neglect, in_words
from outboard.explain.writing import equation
from outboard.explain.writing import written as formula
from outboard.formulas.written import written
from outboard.quantity.showing import MINUS
from outboard.report.plate import QUIET, Cell, Plate
from outboard.report.words import listed

UNSEEN = 1e-6
"""Errors below this are not told apart."""

SMALL = 1e-3
"""In an overview what costs less over the whole box goes in one line."""

ERRORS = "errors here, and the most in the box, with all lines above left out too"

WORTH_SAYING = (0.01, 0.1)
"""Shares that a short formula may be off by over the box."""

NO_BOUND = "no bound: somewhere in the box the result passes nothing, because another regime rules there"

LONGEST = 24
"""Signs that a term may have to be named in full."""


def write_neglects(plate: Plate, result: Result, together: float = UNSEEN) -> None:
    """A line for every term left out; those that cost less than `together` over the box in one line."""
    if result.too_long:
        plate.quietly("too many terms to look for small ones; parts that are alike would make it short", 4)
    if not result.neglects:
        return
    rows: list[list[Cell]] = [
        ["; ".join(words), equation(result.name, with_gain(result, step.expression)), share(step.error),
         at_most(step.bound)]
        for words, step in left_out_together(result, together)
    ]  # fmt: skip
    plate.say()
    plate.table(("left out, one after another", "what remains", "here", "in the box ≤"), rows, figures=(2, 3))
    plate.quietly(ERRORS, 4)
    if any(isinf(step.bound.most) for step in result.neglects):
        plate.quietly(NO_BOUND, 4)
    if result.shortest is not None:
        short = result.shortest
        if short.bound.most == 0.0 and short.expression == result.told:
            plate.say(f"good to {percent(short.within)} over the whole box: nothing shorter than the exact form", 4)
        else:
            text = f"good to {percent(short.within)} over the whole box:  {equation(result.name, short.expression)}"
            plate.say(Text(text, style="bold"), 4)
            plate.quietly(f"here {share(short.error)}, in the box at most {at_most(short.bound)}", 4)
        if result.good_from is not None and short.expression != result.told and short.bound.most > 0.0:
            plate.quietly(f"it keeps that for every load from {written(result.good_from, 'A', 3)} on", 4)


def with_gain(result: Result, expression: Expression) -> Expression:
    """A formula with the gain of several devices written by its letter."""
    return with_name(expression, result.gain) if result.gain is not None else expression


def write_short(plate: Plate, result: Result) -> None:
    """Of all neglects the last that keeps each of a few shares over the box."""
    best = [[step for step in result.neglects if step.bound.most <= most][-1:] for most in WORTH_SAYING]
    for step in {id(step): step for steps in best for step in steps}.values():
        price = f"  {share(step.error)}, in the box ≤ {at_most(step.bound)}"
        plate.say(Text(f"≈ {formula(with_gain(result, step.expression))}").append(price, style=QUIET), 4)


def left_out_together(result: Result, together: float = UNSEEN) -> Iterator[tuple[list[str], Neglect]]:
    """The terms of each line of neglects in words, and the step that ends it."""
    words: list[tuple[str, str]] = []
    for step, following in zip_longest(result.neglects, result.neglects[1:]):
        words.append(_left_out(step))
        if following is not None and following.bound.most < together:
            continue  # what costs nothing that could be shown goes in one line
        yield _joined(words), step
        words = []


def _joined(pairs: list[tuple[str, str]]) -> list[str]:
    """Terms that stood beside the same one together; the same term beside several too."""
    beside: dict[str, list[str]] = {}
    for term, other in pairs:
        beside.setdefault(other, []).append(term)
    found: dict[str, list[str]] = {}
    for other, terms in beside.items():
        found.setdefault(listed(list(dict.fromkeys(terms))), []).append(other)
    return [terms + (f" beside {listed(others)}" if any(others) else "") for terms, others in found.items()]


def _left_out(step: Neglect) -> tuple[str, str]:
    """A term and the first of those that it stood beside."""
    term, beside = in_words(step)
    first = beside.terms[0] if isinstance(beside, Sum) else beside
    more = " …" if isinstance(beside, Sum) or formula(first) != formula(beside) else ""
    text = formula(term)
    if len(text) > LONGEST:
        text = "all the rest"
    return text, f"{formula(first)}{more}" if beside != ZERO and len(formula(first)) <= LONGEST else ""


def share(error: float) -> str:
    """An error for people: per cent, per mille where small."""
    if abs(error) < 1e-9:
        return "0"
    digits = f"{abs(error) * 100.0:.2g}" if abs(error) < 0.995 else f"{abs(error) * 100.0:.0f}"
    if abs(error) < 1e-6:
        return "< 0.0001 %"
    return f"{MINUS if error < 0 else '+'}{f'{float(digits):.7f}'.rstrip('0').rstrip('.')} %"


def at_most(bound: Bound) -> str:
    """A bound for people."""
    if bound.most == float("inf"):
        return "no bound"
    return share(bound.most).replace("+", "") + ("" if bound.proved else " at corners")


def percent(within: float) -> str:
    """A share that was asked for."""
    return f"{within * 100.0:g} %"


