"""Leaving small things out, and what each neglect costs: at the point, and at most over the tolerance box."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from outboard.explain.bounds import Bound, bound_of_ratio
from outboard.explain.definitions import Definition, definition_value
from outboard.explain.expression import (
    ZERO,
    Expression,
    Product,
    Ratio,
    Sum,
    added,
    divided,
    is_negative,
    multiplied,
    negative,
    value,
)
from outboard.explain.forms import cleaned, lowest_terms
from outboard.explain.letters import Letters
from outboard.explain.tidying import Tidy, weight

Path = tuple[int, ...]

SMALL = 0.3
"""A term whose loss changes the result by more than this at the point is no candidate."""

MOST_CANDIDATES = 9
MOST_STEPS = 14
TRIFLE = 0.02
"""Share of what may be lost that a trifle costs."""

FIRST = 16
"""So many of the shortest formulas are brought to lowest terms before they are ranked."""


@dataclass(frozen=True, slots=True)
class Neglect:
    """A shorter formula: what was left out last (in words of the formula), the error so far, against the exact result.

    error  at the point, signed share of the exact result
    alone  what this neglect adds to the one before
    bound  over the tolerance box
    """

    dropped: Expression
    beside: Expression
    expression: Expression
    error: float
    alone: float
    bound: Bound


@dataclass(frozen=True, slots=True)
class Candidate:
    """A term that may be left out, where it stands, and the sum in which it stands."""

    path: Path
    term: Expression
    beside: Expression


class Box:
    """The letters at the point and over the tolerance box; named currents are put through to them, or `kept`."""

    def __init__(self, letters: Letters, definitions: Sequence[Definition], kept: Sequence[str] = ()) -> None:
        from sympy import ZZ
        from sympy.polys.fields import field

        self.letters, self.names = letters, [*letters, *kept]
        _, *generators = field([f"x{i}" for i in range(len(self.names))], ZZ)
        self.symbols: dict[str, Any] = dict(zip(self.names, generators, strict=True))
        self.values = {name: letter.value for name, letter in letters.items()}
        self.numbers = dict(self.values)
        for found in definitions:
            self.numbers[found.name] = value(definition_value(found), self.numbers)
            if found.name in kept:
                self.values[found.name] = self.numbers[found.name]
            else:
                self.symbols[found.name] = value(definition_value(found), self.symbols)
        self.ranges = {name: (letter.least, letter.most) for name, letter in letters.items()}
        self._worths: dict[Expression, Any] = {}
        self._ratios: dict[tuple[Expression, Expression], Any] = {}

    @property
    def driving(self) -> list[str]:
        """Names of voltages and currents."""
        return [name for name in self.names if name not in self.letters or self.letters[name].drives]

    def ring(self, *more: str) -> Tidy:
        """A ring of these names, and some more, to write results in."""
        from sympy import ZZ
        from sympy.polys.rings import ring

        names = [*self.names, *more]
        made, *_ = ring([f"x{i}" for i in range(len(names))], ZZ)
        return Tidy(made, names, [*self.driving, *more])

    def error(self, short: Expression, exact: Expression) -> float:
        """short/exact − 1 at the point."""
        return float(value(short, self.numbers) / value(exact, self.numbers) - 1.0)

    def bound(
        self, short: Expression, exact: Expression, ranges: Mapping[str, tuple[float, float]] | None = None
    ) -> Bound:
        """Largest |short/exact − 1| over the box."""
        ratio = self._ratio(short, exact)
        return bound_of_ratio(ratio.numer, ratio.denom, self.names, self.values, ranges or self.ranges)


    def _ratio(self, short: Expression, exact: Expression) -> Any:
        """short/exact in lowest terms; what was worked out once is remembered."""
        for expression in (short, exact):
            if expression not in self._worths:
                self._worths[expression] = value(expression, self.symbols)
        if (short, exact) not in self._ratios:
            self._ratios[short, exact] = self._worths[short] / self._worths[exact]
        return self._ratios[short, exact]


def candidates(expression: Expression, path: Path = ()) -> Iterator[Candidate]:
    """Every term of every sum."""
    match expression:
        case Sum(parts):
            for i, part in enumerate(parts):
                yield Candidate((*path, i), part, expression)
                yield from candidates(part, (*path, i))
        case Product(parts):
            for i, part in enumerate(parts):
                yield from candidates(part, (*path, i))
        case Ratio(over, under):
            yield from candidates(over, (*path, 0))
            yield from candidates(under, (*path, 1))


def without(expression: Expression, dropped: frozenset[Path], path: Path = ()) -> Expression | None:
    """The expression with some terms left out; None where nothing is left below a fraction line."""
    if path in dropped:
        return ZERO
    match expression:
        case Sum(parts) | Product(parts):
            kept = [without(part, dropped, (*path, i)) for i, part in enumerate(parts)]
            if any(part is None for part in kept):
                return None
            join = added if isinstance(expression, Sum) else multiplied
            return join(*(part for part in kept if part is not None))
        case Ratio(over, under):
            above, below = without(over, dropped, (*path, 0)), without(under, dropped, (*path, 1))
            if above is None or below is None or below == ZERO:
                return None
            return divided(above, below)
    return expression


def small_terms(expression: Expression, box: Box) -> list[Candidate]:
    """Terms whose loss hardly matters at the point, the smallest first."""
    found = []
    for candidate in candidates(expression):
        short = without(expression, frozenset({candidate.path}))
        if short is None or short == ZERO:
            continue
        try:
            error = abs(box.error(short, expression))
        except ZeroDivisionError:
            continue
        if error < SMALL:
            found.append((error, candidate))
    found.sort(key=lambda entry: entry[0])
    return [candidate for _, candidate in found[:MOST_CANDIDATES]]


def neglected(expression: Expression, box: Box, tidy: Tidy, most: float = SMALL) -> list[Neglect]:
    """One term after another left out, each time the one that matters least, until the error passes `most`."""
    steps: list[Neglect] = []
    current = expression
    while len(steps) < MOST_STEPS:
        found = _next_step(current, expression, box, tidy, most)
        if found is None:
            break
        candidate, short = found
        error, alone = box.error(short, expression), box.error(short, current)
        steps.append(Neglect(candidate.term, candidate.beside, short, error, alone, box.bound(short, expression)))
        current = short
    return steps


def _next_step(
    current: Expression, exact: Expression, box: Box, tidy: Tidy, most: float
) -> tuple[Candidate, Expression] | None:
    """The term that matters least now, and what remains without it."""
    for candidate in small_terms(current, box):
        short = without(current, frozenset({candidate.path}))
        if short is None or short == ZERO:
            continue
        short = lowest_terms(tidy, cleaned(short))
        if short != current and abs(box.error(short, exact)) <= most:
            return candidate, short
    return None


@dataclass(frozen=True, slots=True)
class Shortest:
    """The shortest formula that stays within a share of the exact result over the whole box."""

    expression: Expression
    within: float
    error: float
    bound: Bound
    tried: int


def shortest(expression: Expression, box: Box, tidy: Tidy, within: float) -> Shortest:
    """Every combination of small terms left out, the shortest first; the exact form itself where none does."""
    options: dict[Expression, float] = {}
    plain = _without_trifles(expression, box, tidy, within)
    for base in dict.fromkeys((expression, plain)):
        for chosen in _choices(base, box):
            short = without(base, frozenset(candidate.path for candidate in chosen))
            if short is None or short == ZERO:
                continue
            short = cleaned(short)
            error = box.error(short, expression)
            if abs(error) <= within:
                options[short] = error
    rough = sorted(options.items(), key=lambda entry: (weight(entry[0]), abs(entry[1])))
    first = {lowest_terms(tidy, short): error for short, error in rough[:FIRST]}
    ranked = sorted(first.items(), key=lambda entry: (weight(entry[0]), abs(entry[1]))) + rough[FIRST:]
    for tried, (short, error) in enumerate(ranked, 1):
        bound = box.bound(short, expression)
        if bound.proved and bound.most <= within:
            return Shortest(short, within, error, bound, tried)
    return Shortest(expression, within, 0.0, Bound(0.0, 0.0, True), len(ranked))


def _choices(base: Expression, box: Box) -> Iterator[tuple[Candidate, ...]]:
    """Every combination of the small terms of a formula."""
    terms = small_terms(base, box)
    return (chosen for count in range(len(terms) + 1) for chosen in combinations(terms, count))


def _without_trifles(expression: Expression, box: Box, tidy: Tidy, within: float) -> Expression:
    """The formula without what costs next to nothing against the share that may be lost."""
    current = expression
    for _ in range(MOST_STEPS):
        found = _next_step(current, expression, box, tidy, TRIFLE * within)
        if found is None:
            break
        current = found[1]
    return current


def good_from(short: Expression, exact: Expression, box: Box, letter: str, low: float, within: float) -> float | None:
    """From which value of a letter (the load) on a short formula stays within a share; None where nowhere."""
    most = box.ranges[letter][1]

    def holds(start: float) -> bool:
        return box.bound(short, exact, box.ranges | {letter: (start, most)}).most <= within

    if not holds(most):
        return None
    if holds(low):
        return low
    bad, good = low, most
    for _ in range(10):
        middle = (bad + good) / 2.0
        bad, good = (bad, middle) if holds(middle) else (middle, good)
    return good


def in_words(neglect: Neglect) -> tuple[Expression, Expression]:
    """What was left out, without its sign, and beside what."""
    term = negative(neglect.dropped) if is_negative(neglect.dropped) else neglect.dropped
    terms = neglect.beside.terms if isinstance(neglect.beside, Sum) else ()
    others = [part for part in terms if part != neglect.dropped]
    return term, added(*others) if others else ZERO
