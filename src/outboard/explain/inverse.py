"""Solved for the part: which value of a letter makes a quantity what it should be, and why sometimes none does."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from outboard.explain.boundaries import with_letters
from outboard.explain.definitions import rests_on
from outboard.explain.expression import Expression, value
from outboard.explain.ideal import Ideal, Quantity, Regime
from outboard.explain.neglect import Box
from outboard.explain.regime import NoRegime, regime_at
from outboard.explain.solving import Solved
from outboard.explain.tidying import Tidy

NEARLY = 1e-6


@dataclass(frozen=True, slots=True)
class Inverse:
    """A letter as a formula of the quantity that is wanted.

    value    what it comes to; None where there is no such value, and `why` says why
    reached  what the quantity is at nothing and at infinity of the letter; None where the formula has no end there
    """

    letter: str
    quantity: str
    wanted: float
    formula: Expression
    value: float | None
    reached: tuple[float | None, float | None]
    why: str


class DoesNotMatter(ValueError):
    """The quantity does not depend on the letter."""


def solved_for(
    ideal: Ideal, regime: Regime, quantity: Quantity, solved: Solved, letter: str, wanted: float
) -> Inverse:
    """The value of a letter that makes a quantity `wanted` [SI]; DoesNotMatter when it has no say in it."""
    moved = rests_on(solved.definitions, letter)
    kept = [found.name for found in solved.definitions if found.name not in moved]
    letters = solved.letters_in(ideal.letters)
    if letter not in letters:
        raise DoesNotMatter(f"{quantity.name} does not depend on {letter} in this regime")
    box = Box(letters, solved.definitions, kept)
    tidy = box.ring(quantity.name)
    generators = dict(zip(tidy.letters, tidy.ring.gens, strict=True))
    exact = value(solved.expression, box.symbols)
    over, under = (_moved(poly, tidy) for poly in (exact.numer, exact.denom))
    place = tidy.letters.index(letter)
    if max(_degree(over, place), _degree(under, place)) == 0:
        raise DoesNotMatter(f"{quantity.name} does not depend on {letter} in this regime")
    if max(_degree(over, place), _degree(under, place)) > 1:
        raise DoesNotMatter(f"{letter} stands for several parts here; give them names and values of their own")
    balance = over - generators[quantity.name] * under
    formula = tidy.ratio(-_rest(tidy, balance, place), tidy.coefficient(balance, place))
    numbers = box.values | {quantity.name: wanted}
    reached = _ends(tidy, over, under, place, numbers)
    try:
        found = float(value(formula, numbers))
    except ZeroDivisionError:
        return Inverse(letter, quantity.name, wanted, formula, None, reached, f"{letter} would be infinite")
    if not found > 0.0:
        return Inverse(letter, quantity.name, wanted, formula, None, reached, f"{letter} would be negative")
    return Inverse(letter, quantity.name, wanted, formula, found, reached,
                   _kept(ideal, regime, quantity, letter, found, wanted))  # fmt: skip


def _moved(poly: Any, tidy: Tidy) -> Any:
    """A polynomial of the letters in the ring that has one letter more."""
    return tidy.ring.from_dict({(*monomial, 0): number for monomial, number in poly.terms()})


def _degree(poly: Any, place: int) -> int:
    return max((monomial[place] for monomial in poly.monoms()), default=0)


def _rest(tidy: Tidy, poly: Any, place: int) -> Any:
    return tidy.ring.from_dict({m: c for m, c in poly.terms() if not m[place]})


def _ends(
    tidy: Tidy, over: Any, under: Any, place: int, numbers: Mapping[str, float]
) -> tuple[float | None, float | None]:
    """The quantity at nothing and at infinity of the letter."""

    def worth(poly: Any) -> float:
        return float(value(tidy.written(poly), numbers)) if poly else 0.0

    pairs = ((_rest(tidy, over, place), _rest(tidy, under, place)),
             (tidy.coefficient(over, place), tidy.coefficient(under, place)))  # fmt: skip
    ends = [worth(first) / worth(second) if worth(second) else None for first, second in pairs]
    return ends[0], ends[1]


def _kept(ideal: Ideal, regime: Regime, quantity: Quantity, letter: str, found: float, wanted: float) -> str:
    """Nothing, or what goes wrong when the part is really given that value."""
    changed = with_letters(ideal, {letter: found})
    try:
        point = regime_at(changed, changed.values, regime)
    except NoRegime:
        return "with that value no regime is consistent"
    if abs(point.read(quantity.row) - wanted) <= NEARLY * abs(wanted):
        return ""
    other = [f"{switch.part} {words}" for switch in ideal.switches
             if (words := switch.states[point.regime[switch.name]].words)
             and point.regime[switch.name] != regime[switch.name]]  # fmt: skip
    return "with that value another regime rules: " + ", ".join(other)
