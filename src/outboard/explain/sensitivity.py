"""How much a result moves with each letter: the derivative as a formula, its number, and per cent for per cent."""

from dataclasses import dataclass
from typing import Any

from outboard.explain.definitions import definition_value, rests_on
from outboard.explain.expression import Expression, value
from outboard.explain.ideal import Ideal
from outboard.explain.neglect import Box
from outboard.explain.solving import Solved

MOST_TERMS = 60


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """∂(quantity)/∂(letter): formula (None where it is too long to be read), value [SI], share for share,
    and the change of the quantity from the least to the most of the letter."""

    letter: str
    formula: Expression | None
    slope: float
    relative: float
    swing: float


def sensitivities(ideal: Ideal, solved: Solved) -> list[Sensitivity]:
    """By every letter that has a say, the most telling first."""
    letters = solved.letters_in(ideal.letters)
    box = Box(letters, solved.definitions)
    result = float(value(solved.expression, box.numbers))
    found = []
    for name, letter in letters.items():
        if letter.counts:
            continue
        moved = rests_on(solved.definitions, name)
        kept = [entry.name for entry in solved.definitions if entry.name not in moved]
        here = Box(letters, solved.definitions, kept)
        slope = value(solved.expression, here.symbols).diff(here.symbols[name])
        if not slope:
            continue
        tidy = here.ring()
        over, under = tidy.ring.from_dict(dict(slope.numer)), tidy.ring.from_dict(dict(slope.denom))
        formula = tidy.ratio(over, under) if len(over) + len(under) <= MOST_TERMS else None
        number = _worth(over, here) / _worth(under, here)
        relative = number * letter.value / result if result else 0.0
        found.append(Sensitivity(name, formula, number, relative, _swing(solved, box, name)))
    return sorted(found, key=lambda entry: -abs(entry.relative))


def _worth(poly: Any, box: Box) -> float:
    total = 0.0
    for monomial, number in poly.terms():
        factor = float(number)
        for name, power in zip(box.names, monomial, strict=True):
            if power:
                factor *= box.values[name] ** power
        total += factor
    return total


def _swing(solved: Solved, box: Box, name: str) -> float:
    """Change of the result from the letter's least to its most, the others at the point."""
    ends = []
    for number in box.ranges[name]:
        numbers = box.values | {name: number}
        for definition in solved.definitions:
            numbers[definition.name] = value(definition_value(definition), numbers)
        ends.append(float(value(solved.expression, numbers)))
    return ends[1] - ends[0]
