"""Polynomials written the short way: common factors out, sums grouped by gains, results grouped by what drives them."""

from collections.abc import Sequence
from functools import cache, lru_cache
from typing import Any

from outboard.explain.expression import (
    Expression,
    Number,
    Sign,
    Sum,
    added,
    divided,
    is_negative,
    length,
    multiplied,
    names,
    negative,
)

FEW_TERMS = 40
"""Longer polynomials are factored but not searched for the shortest grouping."""

MOST_FACTORED = 60
"""Longer ones are not factored but for single letters."""

TRIED_ALL = 8
"""Up to so many terms every letter is tried for the grouping, above only the most frequent."""

FEW_APART = 6
"""A sum of no more terms over a single product is written term by term."""

Poly = Any
"""An element of a polynomial ring of sympy over the integers."""


@cache
def _ring(count: int) -> Any:
    from sympy import ZZ
    from sympy.polys.rings import ring

    return ring([f"x{i}" for i in range(count)], ZZ)[0]


@lru_cache(maxsize=4096)
def _factored(count: int, terms: frozenset[tuple[tuple[int, ...], Any]]) -> tuple[Any, list[tuple[Poly, int]]]:
    """Number and factors; the same polynomial turns up in the rings of many results."""
    content, factors = _ring(count).from_dict(dict(terms)).factor_list()
    return content, factors


def weight(expression: Expression) -> tuple[int, int]:
    """What makes a grouping worse: letters, then numbers."""
    return sum(1 for _ in names(expression)), length(expression)


class Tidy:
    """Writes elements of one ring; what was written once is remembered."""

    def __init__(self, ring: Any, letters: Sequence[str], driving: Sequence[str]) -> None:
        self.ring, self.letters = ring, list(letters)
        self.driving = [self.letters.index(name) for name in driving]
        self._known: dict[Poly, Expression] = {}

    def written(self, poly: Poly) -> Expression:
        """The shortest grouping that was found."""
        known = self._known.get(poly)
        if known is None:
            known = self._known[poly] = self._found(poly)
        return known

    def _found(self, poly: Poly) -> Expression:
        if len(poly) <= 1:
            return self._monomials(poly)
        content, factors = self._factors(poly)
        if len(factors) > 1 or content != 1 or factors[0][1] > 1:
            pieces = [self.written(factor) for factor, power in factors for _ in range(power)]
            pieces.sort(key=self._place)
            mixed = isinstance(pieces[-1], Sum) and any(map(is_negative, pieces[-1].terms))
            if content < 0 and isinstance(pieces[-1], Sum) and (len(pieces) == 1 or mixed):
                content, pieces[-1] = -content, negative(pieces[-1])
            return multiplied(Number(float(content)), *pieces)
        if all(self._drives(monomial) for monomial in poly.monoms()):
            return self.by_drive(poly)
        return self._grouped(poly)

    def _place(self, piece: Expression) -> tuple[int, int, int]:
        """Single letters first, what drives the circuit behind what does not."""
        if isinstance(piece, Sign):
            place = self.letters.index(piece.name)
            return 0, place in self.driving, place
        return 1, length(piece), 0

    def _drives(self, monomial: tuple[int, ...]) -> bool:
        return sum(monomial[i] for i in self.driving) == 1

    def by_drive(self, poly: Poly) -> Expression:
        """A sum over what drives the circuit, each with its coefficient."""
        groups: dict[Poly, list[Expression]] = {}
        for i in self.driving:
            coefficient = self.coefficient(poly, i)
            if coefficient:
                turned = _minuses(coefficient) * 2 > len(coefficient) or (-coefficient in groups)
                same, sign = (-coefficient, -1.0) if turned else (coefficient, 1.0)
                groups.setdefault(same, []).append(multiplied(Number(sign), Sign(self.letters[i])))
        return added(*(multiplied(self.written(c), added(*letters)) for c, letters in groups.items()))

    def coefficient(self, poly: Poly, place: int) -> Poly:
        """What stands before a letter that occurs once at most."""
        found = {(*m[:place], 0, *m[place + 1 :]): c for m, c in poly.terms() if m[place]}
        return self.ring.from_dict(found)

    def _factors(self, poly: Poly) -> tuple[Any, list[tuple[Poly, int]]]:
        """Number and factors, looked for in a ring of the polynomial's own letters; single letters of a long one."""
        if len(poly) > MOST_FACTORED:
            common = [min(powers) for powers in zip(*poly.monoms(), strict=True)]
            single = [(self.ring.gens[i], power) for i, power in enumerate(common) if power]
            rest = {tuple(a - b for a, b in zip(m, common, strict=True)): c for m, c in poly.terms()}
            return 1, [*single, (self.ring.from_dict(rest), 1)]
        places = [i for i in range(len(self.letters)) if any(monomial[i] for monomial in poly.monoms())]
        terms = frozenset((tuple(m[i] for i in places), c) for m, c in poly.terms())
        content, factors = _factored(len(places), terms)
        return content, [(self._widened(factor, places), power) for factor, power in factors]

    def _widened(self, poly: Poly, places: Sequence[int]) -> Poly:
        """A polynomial of a smaller ring in this one."""
        found = {}
        for monomial, number in poly.terms():
            powers = [0] * len(self.letters)
            for place, power in zip(places, monomial, strict=True):
                powers[place] = power
            found[tuple(powers)] = number
        return self.ring.from_dict(found)

    def _grouped(self, poly: Poly) -> Expression:
        best = self._monomials(poly)
        if len(poly) > FEW_TERMS or len(poly) <= 2:
            return best
        counts = [sum(1 for monomial in poly.monoms() if monomial[i]) for i in range(len(self.letters))]
        places = sorted((i for i, count in enumerate(counts) if count > 1), key=lambda i: -counts[i])
        for place in places if len(poly) <= TRIED_ALL else places[:2]:
            if {monomial[place] for monomial in poly.monoms()} != {0, 1}:
                continue
            with_it = self.coefficient(poly, place)
            without = self.ring.from_dict({m: c for m, c in poly.terms() if not m[place]})
            option = added(self.written(without), multiplied(Sign(self.letters[place]), self.written(with_it)))
            if weight(option) < weight(best):
                best = option
        return best

    def _monomials(self, poly: Poly) -> Expression:
        terms = []
        for monomial, number in sorted(poly.terms(), key=lambda term: sum(term[0])):
            signs = [Sign(self.letters[i]) for i, power in enumerate(monomial) for _ in range(power)]
            signs.sort(key=self._place)
            terms.append(multiplied(Number(float(number)), *signs))
        return added(*terms)

    def ratio(self, over: Poly, under: Poly) -> Expression:
        """over/under in lowest terms, written with as few minus signs as can be."""
        over, under = over.cancel(under)
        even = _minuses(under) * 2 == len(under) and _minuses(over) * 2 > len(over)
        all_above = _minuses(under) > 0 and _minuses(over) == len(over)
        if _minuses(under) * 2 > len(under) or even or all_above:
            over, under = -over, -under
        if len(under) == 1 and 1 < len(over) <= FEW_APART and self._parts_differ(over, under):
            return added(*(self._one_by_one(over, under)))
        return divided(self.written(over), self.written(under))

    def _parts_differ(self, over: Poly, under: Poly) -> bool:
        """Whether a term by itself would lose something of the denominator."""
        (below,) = under.monoms()
        return any(any(a and b for a, b in zip(monomial, below, strict=True)) for monomial in over.monoms())

    def _one_by_one(self, over: Poly, under: Poly) -> list[Expression]:
        terms = []
        for monomial, number in over.terms():
            above, below = self.ring.from_dict({monomial: number}).cancel(under)
            terms.append(divided(self.written(above), self.written(below)))
        return terms


def _minuses(poly: Poly) -> int:
    return sum(1 for number in poly.coeffs() if number < 0)
