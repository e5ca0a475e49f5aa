"""Which published formulas a result coincides with: the same number everywhere, and the same algebra after renaming."""

import random
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from outboard.explain.expression import Expression, names, value
from outboard.explain.letters import Letter

TRIES = 3
CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Published:
    """A formula of the collection, its text, its source, and which of its letters stand for which of ours."""

    key: str
    text: str
    source: str
    renamed: Mapping[str, str]


class _Branching:
    """A number that carries its symbol along, so that min and max take the branch that rules at this point."""

    def __init__(self, number: float, symbol: Any) -> None:
        self.number, self.symbol = number, symbol

    def _with(self, other: Any, work: Any) -> "_Branching":
        number, symbol = (other.number, other.symbol) if isinstance(other, _Branching) else (other, other)
        return _Branching(work(self.number, number), work(self.symbol, _whole(symbol)))

    def __add__(self, other: Any) -> "_Branching":
        return self._with(other, lambda a, b: a + b)

    def __radd__(self, other: Any) -> "_Branching":
        return self._with(other, lambda a, b: b + a)

    def __sub__(self, other: Any) -> "_Branching":
        return self._with(other, lambda a, b: a - b)

    def __rsub__(self, other: Any) -> "_Branching":
        return self._with(other, lambda a, b: b - a)

    def __mul__(self, other: Any) -> "_Branching":
        return self._with(other, lambda a, b: a * b)

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> "_Branching":
        return self._with(other, lambda a, b: a / b)

    def __rtruediv__(self, other: Any) -> "_Branching":
        return self._with(other, lambda a, b: b / a)

    def __lt__(self, other: Any) -> bool:
        return bool(self.number < (other.number if isinstance(other, _Branching) else other))

    def __gt__(self, other: Any) -> bool:
        return bool(self.number > (other.number if isinstance(other, _Branching) else other))

    def __le__(self, other: Any) -> bool:
        return not self > other

    def __ge__(self, other: Any) -> bool:
        return not self < other


def _whole(number: Any) -> Any:
    return int(number) if isinstance(number, float) and number == int(number) else number


def published(expression: Expression, unit: str, letters: Mapping[str, Letter]) -> Published | None:
    """The first formula of the collection that says the same; None when none does.

    `letters` are those that may stand in the expression; a result that is a single letter is no formula.
    """
    from outboard.formulas import formulas

    ours = list(dict.fromkeys(names(expression)))
    if len(ours) < 2:
        return None
    for formula in formulas().values():
        theirs = [symbol for symbol in formula.symbols]
        if formula.result.dimension != unit or len(theirs) != len(ours):
            continue
        for renaming in _renamings([(s.name, s.dimension) for s in theirs], ours, letters):
            if _same(expression, formula, dict(zip((s.parameter for s in theirs), renaming, strict=True)), letters):
                return Published(formula.key, formula.text, formula.source,
                                 dict(zip((s.name for s in theirs), renaming, strict=True)))  # fmt: skip
    return None


def _base(name: str) -> str:
    """A letter without what numbers it, and without the ends of a span."""
    return re.sub(r"\d+|,(?:max|min|hot)$", "", name)


def _renamings(
    theirs: Sequence[tuple[str, str]], ours: Sequence[str], letters: Mapping[str, Letter]
) -> Iterator[tuple[str, ...]]:
    """Ways to put our letters for theirs: like letter for like, equal units."""
    if not theirs:
        yield ()
        return
    (name, unit), rest = theirs[0], theirs[1:]
    for own in ours:
        if letters[own].unit == unit and _base(own) == _base(name):
            for others in _renamings(rest, [other for other in ours if other != own], letters):
                yield (own, *others)


def _same(expression: Expression, formula: Any, renamed: Mapping[str, str], letters: Mapping[str, Letter]) -> bool:
    """Equal numbers at several points near ours, then equal fractions of polynomials."""
    from outboard.formulas import NoSolution

    chance = random.Random(1)
    for _ in range(TRIES):
        numbers = {name: letters[name].value * chance.uniform(0.97, 1.03) for name in renamed.values()}
        try:
            theirs = formula(**{parameter: numbers[name] for parameter, name in renamed.items()})
        except (NoSolution, ZeroDivisionError, ValueError):
            return False
        if abs(theirs - value(expression, numbers)) > CLOSE * max(abs(theirs), 1e-300):
            return False
    return _algebra_agrees(expression, formula, renamed, letters)


def _algebra_agrees(
    expression: Expression, formula: Any, renamed: Mapping[str, str], letters: Mapping[str, Letter]
) -> bool:
    from sympy import QQ
    from sympy.polys.fields import field

    ours = list(renamed.values())
    _, *generators = field([f"x{i}" for i in range(len(ours))], QQ)
    symbols = dict(zip(ours, generators, strict=True))
    try:
        theirs = formula(**{p: _Branching(letters[name].value, symbols[name]) for p, name in renamed.items()})
    except (TypeError, AttributeError):  # a formula that rounds or takes roots is not compared
        return False
    symbol = theirs.symbol if isinstance(theirs, _Branching) else theirs
    return bool(symbol - value(expression, symbols) == 0)
