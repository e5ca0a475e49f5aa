"""The numbers of a derivation, written with their units: what is put into its formulas."""

from collections.abc import Iterator, Mapping

from outboard.explain.asked import Derivation, Result
from outboard.explain.boundaries import Boundary
from outboard.explain.definitions import Definition, definition_value
from outboard.explain.expression import Expression, Sign, value
from outboard.explain.writing import TEXT, Notation, equation, in_figures
from outboard.formulas.written import written


def figures(derivation: Derivation, result: Result | None = None) -> dict[str, str]:
    """Every letter and every named quantity with its number; of the composite gain that of a result."""
    numbers = numbers_of(derivation) | (dict(result.numbers) if result is not None else {})
    units = {name: letter.unit for name, letter in derivation.letters.items()}
    units |= {entry.name: entry.unit for entry in _all_definitions(derivation)}
    found = {name: written(number, units[name]) for name, number in numbers.items() if name in units}
    if result is not None and result.gain is not None:
        found[result.gain.name] = written(float(value(result.gain.expression, numbers)), "1")
    return found


def numbers_of(derivation: Derivation) -> dict[str, float]:
    """Letters and named quantities at the point, SI."""
    numbers = dict(derivation.values)
    for entry in _all_definitions(derivation):
        numbers[entry.name] = float(value(definition_value(entry), numbers))
    return numbers


def _all_definitions(derivation: Derivation) -> Iterator[Definition]:
    ones: list[Result | Boundary] = [*derivation.results, *derivation.loads, *derivation.inputs]
    for one in ones:
        yield from one.definitions


def worked_out(
    name: str, expression: Expression, pieces: Mapping[str, str], worth: str, notation: Notation = TEXT
) -> str:
    """letter = formula = numbers put in = what it comes to."""
    return notation.equal.join([equation(name, expression, notation), *_numbers(expression, pieces, worth, notation)])


def put_in(
    name: str, expression: Expression, pieces: Mapping[str, str], worth: str, notation: Notation = TEXT
) -> str:  # fmt: skip
    """letter = numbers put in = what it comes to."""
    return notation.equal.join([notation.letter(name), *_numbers(expression, pieces, worth, notation)])


def _numbers(expression: Expression, pieces: Mapping[str, str], worth: str, notation: Notation) -> list[str]:
    inside = [] if isinstance(expression, Sign) else [in_figures(expression, pieces, notation)]
    return [*inside, notation.figure(worth)]
