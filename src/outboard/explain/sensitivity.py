"""How much a result moves with each letter: the derivative as a formula, its number, and per cent for per cent."""

from dataclasses import dataclass
from typing import Any

from outboard.explain.expression import Expression, value
from outboard.explain.ideal import Ideal
from outboard.explain.neglect import Box
from outboard.explain.solving import Solved, definition_value
from outboard.explain.tidying import Tidy

MOST_TERMS = 400


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
    from sympy import ZZ
    from sympy.polys.rings import ring

    box = Box(ideal.letters, solved.definitions)
    exact = value(solved.expression, box.symbols)
    names = list(ideal.letters)
    made, *_ = ring([f"x{i}" for i in range(len(names))], ZZ)
    tidy = Tidy(made, names, [name for name in names if ideal.letters[name].drives])
    result = float(value(solved.expression, box.numbers))
    found = []
    for name in names:
        slope = exact.diff(box.symbols[name])
        if not slope:
            continue
        over, under = made.from_dict(dict(slope.numer)), made.from_dict(dict(slope.denom))
        formula = tidy.ratio(over, under) if len(over) + len(under) <= MOST_TERMS else None
        number = float(_worth(over, box) / _worth(under, box))
        letter = ideal.letters[name]
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
