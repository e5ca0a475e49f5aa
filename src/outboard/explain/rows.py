"""Linear equations whose coefficients are products of letters: written once, read as numbers or as symbols.

A row is a sum over unknowns; the unknown "" stands for 1.  An equation says that its row is nothing.
Unknowns: "v:NET", and currents such as "b:Q1" (base), "lost:Q1" (taken away by saturation), "i:PART".
"""

from collections.abc import Iterable, Mapping

Term = tuple[float, tuple[str, ...]]
"""A number times letters."""

Row = Mapping[str, tuple[Term, ...]]

ONE = ""
GROUND_UNKNOWN = "v:ground"
NOTHING: Row = {}


def of(unknown: str, factor: float = 1.0, *letters: str) -> Row:
    """factor·letters·unknown."""
    return {} if unknown == GROUND_UNKNOWN else {unknown: ((factor, letters),)}


def constant(factor: float, *letters: str) -> Row:
    """factor·letters."""
    return {ONE: ((factor, letters),)}


def total(*rows: Row) -> Row:
    """Their sum, with like terms joined."""
    found: dict[str, dict[tuple[str, ...], float]] = {}
    for row in rows:
        for unknown, terms in row.items():
            into = found.setdefault(unknown, {})
            for factor, letters in terms:
                key = tuple(sorted(letters))
                into[key] = into.get(key, 0.0) + factor
    return {
        unknown: terms
        for unknown, joined in found.items()
        if (terms := tuple((factor, letters) for letters, factor in joined.items() if factor != 0.0))
    }


def times(row: Row, factor: float, *letters: str) -> Row:
    """A row multiplied."""
    return {u: tuple((factor * f, (*letters, *more)) for f, more in terms) for u, terms in row.items()}


def less(first: Row, second: Row) -> Row:
    """first − second."""
    return total(first, times(second, -1.0))


def net(name: str) -> Row:
    """Voltage of a net; nothing for ground."""
    return of(f"v:{name}")


def across(first: str, second: str) -> Row:
    """Voltage from one net to another."""
    return total(net(first), of(f"v:{second}", -1.0))


def number(terms: Iterable[Term], values: Mapping[str, float]) -> float:
    """A coefficient as a number."""
    result = 0.0
    for factor, letters in terms:
        for letter in letters:
            factor *= values[letter]
        result += factor
    return result
