"""Where regimes end: followed along the load (or the input) from one event to the next, each solved with letters.

Within a regime everything is a straight line in the load, so that the next event is met exactly.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from outboard.explain.definitions import Definition
from outboard.explain.expression import Expression
from outboard.explain.ideal import Ideal, Margin, Regime, Switch
from outboard.explain.regime import NoRegime, Point, point_in, regime_at
from outboard.explain.rows import Row
from outboard.explain.solving import Symbols
from outboard.explain.tidying import Poly, Tidy

MOST_EVENTS = 24
BEYOND = 1e-7
"""How far beyond an event the next regime is looked for, as a share of the range."""


@dataclass(frozen=True, slots=True)
class Boundary:
    """An event: at which value of the letter, of which part, the regime before it, and the value as a formula."""

    letter: str
    at: float
    part: str
    event: str
    before: Regime
    formula: Expression | None = None
    definitions: tuple[Definition, ...] = ()


def boundaries(ideal: Ideal, letter: str, start: float, end: float) -> list[Boundary]:
    """Every event between two values of a letter, in the order in which they are met; stops where no regime follows."""
    return [_solved(ideal, event, margin) for event, margin in _walk(ideal, letter, start, end)]


def _walk(ideal: Ideal, letter: str, start: float, end: float) -> Iterator[tuple[Boundary, Margin]]:
    span = end - start
    at, step = start, BEYOND * span
    try:
        point = regime_at(ideal, ideal.values | {letter: start + step})
    except NoRegime:
        return
    for _ in range(MOST_EVENTS):
        found = _next(ideal, point, letter, at, end, span)
        if found is None:
            return
        at, switch, margin = found
        yield Boundary(letter, at, switch.part, margin.event, point.regime), margin
        try:
            changed = {**point.regime, switch.name: margin.then}
            point = regime_at(ideal, ideal.values | {letter: at + step}, changed)
        except NoRegime:
            return


def _next(
    ideal: Ideal, point: Point, letter: str, at: float, end: float, span: float
) -> tuple[float, Switch, Margin] | None:
    """The nearest place at which a condition of this regime ends."""
    here = point_in(ideal, point.regime, ideal.values | {letter: at})
    there = point_in(ideal, point.regime, ideal.values | {letter: end})
    if here is None or there is None:
        return None
    best: tuple[float, Switch, Margin] | None = None
    for switch in ideal.switches:
        for margin in switch.margins(point.regime):
            first, last = here.read(margin.row), there.read(margin.row)
            if last >= 0.0 or last >= first:
                continue
            share = max(0.0, first / (first - last))
            where = at + share * (end - at)
            if abs(where - at) <= 2.0 * BEYOND * abs(span) and first < 1e-6 * there.size(margin.row):
                continue  # the very condition that has just changed over
            if best is None or abs(where - at) < abs(best[0] - at):
                best = (where, switch, margin)
    return best


def _solved(ideal: Ideal, event: Boundary, margin: Margin) -> Boundary:
    """The event with its place as a formula."""
    try:
        formula, definitions = value_where_nothing(ideal, event.before, margin.row, event.letter)
    except ArithmeticError:
        return event
    return replace(event, formula=formula, definitions=definitions)


def value_where_nothing(
    ideal: Ideal, regime: Regime, row: Row, letter: str
) -> tuple[Expression | None, tuple[Definition, ...]]:
    """The value of a letter at which a row becomes nothing; None where the row does not depend on it."""
    symbols = Symbols(ideal, regime, row)
    found = symbols.solved(row)
    return linear_root(found.tidy, found.over, letter), found.definitions


def linear_root(tidy: Tidy, poly: Poly, letter: str) -> Expression | None:
    """−b/a of a·letter + b."""
    if letter not in tidy.letters:
        return None
    place = tidy.letters.index(letter)
    slope = tidy.coefficient(poly, place)
    if not slope:
        return None
    rest = tidy.ring.from_dict({m: c for m, c in poly.terms() if not m[place]})
    return tidy.ratio(-rest, slope)


def with_letters(ideal: Ideal, values: Mapping[str, float]) -> Ideal:
    """The ideal network with other values of some letters."""
    letters = {name: replace(letter, value=values.get(name, letter.value)) for name, letter in ideal.letters.items()}
    return replace(ideal, letters=letters)
