"""Kirchhoff's laws of one regime solved with letters: the node laws that are used, what is put in, the result."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from outboard.explain.deadline import within
from outboard.explain.definitions import Definition, Line, definition_value, with_what_they_rest_on
from outboard.explain.elimination import WANTED, block, needed, next_pivot
from outboard.explain.expression import Expression, Sign, added, is_negative, multiplied, names, negative
from outboard.explain.ideal import Ideal, Regime
from outboard.explain.letters import Letter, Letters
from outboard.explain.rows import ONE, Row
from outboard.explain.sharing import Drive, Sharing, joined
from outboard.explain.system import PolyRow, System, letter_sign
from outboard.explain.tidying import Poly, Tidy

MOST_SECONDS = 10.0
"""How long one quantity may take."""


@dataclass(frozen=True)
class Solved:
    """A quantity as a ratio of two polynomials in letters and named currents.

    lines   the equations that were used; substitutions what each elimination put in place of which unknown
    """

    over: Poly
    under: Poly
    tidy: Tidy
    definitions: tuple[Definition, ...]
    lines: tuple[Line, ...]
    substitutions: tuple[Line, ...]

    @cached_property
    def expression(self) -> Expression:
        """The exact result."""
        return self.tidy.ratio(self.over, self.under)

    def worth(self, numbers: Mapping[str, float]) -> float:
        """The result in numbers, straight from the polynomials."""
        return _number(self.over, self.tidy.letters, numbers) / _number(self.under, self.tidy.letters, numbers)

    def letters_in(self, letters: Letters) -> dict[str, Letter]:
        """Those letters that have a say."""
        used = set(self.tidy.letters) | {name for d in self.definitions for name in names(definition_value(d))}
        return {name: letter for name, letter in letters.items() if name in used}


class Symbols:
    """One regime with letters in it, ready to be asked for one quantity after another."""

    def __init__(self, ideal: Ideal, regime: Regime, more: Row | None = None) -> None:
        self.ideal = ideal
        self.system = System(ideal, regime, more)
        self.sharing = Sharing(self.system)
        self.ring, self.tidy = self.system.ring, self.system.tidy
        self.wanted = WANTED

    def solved(self, wanted: Row, name: str = WANTED, seconds: float = MOST_SECONDS) -> Solved:
        """A quantity; TooLong when the time is up, ArithmeticError where it is not determined."""
        self.wanted = name
        with within(seconds):
            return self._solved(wanted)

    def _solved(self, wanted: Row) -> Solved:
        asked = {unknown: -factor for unknown, factor in self.system.row(wanted).items()}
        asked[WANTED] = self.ring.one
        asked = self.sharing.reduced(asked)
        equations = {id(e): e for e in self.sharing.equations}
        chosen = needed([*((key, e.row) for key, e in equations.items()), (0, asked)])
        laws = joined(self.system.laws_of(wanted), *(equations[key].laws for key, _ in chosen if key))
        lines = tuple(Line(about, *self._sides(row)) for about, row in laws)
        over, under, substitutions = self._eliminated([dict(row) for _, row in chosen])
        rows = [poly for row in (*(row for _, row in chosen), *(row for _, row in laws)) for poly in row.values()]
        used = [self.tidy.letters[i] for poly in (over, under, *rows) for m in poly.monoms()
                for i, power in enumerate(m) if power]  # fmt: skip
        definitions = with_what_they_rest_on(dict.fromkeys(used), self.system.definitions)
        own = self.system.worths.get(self.wanted)
        if own is not None and over == under * self.ring.gens[self.tidy.letters.index(self.wanted)]:
            over, under = own, self.ring.one  # asked for by its name: what the name stands for
            definitions = tuple(entry for entry in definitions if entry.name != self.wanted)
        over, under, tidy = self._compact(over, under)
        return Solved(over, under, tidy, definitions, lines, substitutions)

    def _compact(self, over: Poly, under: Poly) -> tuple[Poly, Poly, Tidy]:
        """The result in a ring of its own letters only: less to look through."""
        from sympy import ZZ
        from sympy.polys.rings import ring

        monomials = [monomial for poly in (over, under) for monomial in poly.monoms()]
        places = [i for i in range(len(self.tidy.letters)) if any(monomial[i] for monomial in monomials)] or [0]
        own = [self.tidy.letters[i] for i in places]
        made, *_ = ring([f"x{i}" for i in range(len(places))], ZZ)
        moved = [made.from_dict({tuple(m[i] for i in places): c for m, c in poly.terms()}) for poly in (over, under)]
        over, under = moved[0].cancel(moved[1])
        driving = [self.tidy.letters[i] for i in places if i in self.tidy.driving]
        return over, under, Tidy(made, own, driving)

    def _sides(self, row: Mapping[str, Poly]) -> tuple[Expression, Expression]:
        """Terms to the side on which they are positive."""

        left, right = [], []
        for unknown, factor in row.items():
            if unknown == ONE:
                terms = [self.tidy.written(self.ring.from_dict({m: c})) for m, c in factor.terms()]
            else:
                terms = [self._times(factor, self.letter_of(unknown))]
            for term in terms:
                if is_negative(term):
                    right.append(negative(term))
                else:
                    left.append(term)
        if len(left) + len(right) > 1 and not (left and right):  # what adds up to nothing
            (first, *others) = left or right
            return first, added(*map(negative, others))
        return added(*left), added(*right)

    def _times(self, factor: Poly, letter: str) -> Expression:
        """A coefficient with its letter, the minus in front."""
        if letter_sign(factor) < 0:
            return negative(multiplied(self.tidy.written(-factor), Sign(letter)))
        return multiplied(self.tidy.written(factor), Sign(letter))

    def letter_of(self, unknown: str) -> str:
        """How an unknown is written."""
        if unknown == WANTED:
            return self.wanted
        for quantity in self.ideal.quantities.values():
            if set(quantity.row) == {unknown} and quantity.row[unknown] == ((1.0, ()),):
                return quantity.name
        kind, _, part = unknown.partition(":")
        return {"lost": f"I_s{part.lstrip('Q')}", "limit": "I_max", "b": f"I_B{part.lstrip('Q')}"}.get(kind, unknown)

    def _eliminated(self, system: list[PolyRow]) -> tuple[Poly, Poly, tuple[Line, ...]]:
        """Unknowns with a coefficient of ±1 put in one by one; what is left is solved as a block."""
        substitutions = []
        while (pivot := next_pivot(system)) is not None:
            i, unknown = pivot
            row = system.pop(i)
            sign = row.pop(unknown)
            instead = {u: -factor * sign for u, factor in row.items()}
            if instead.keys() - {ONE} and self.letter_of(unknown) != self.wanted:
                substitutions.append(self._named(unknown, instead))
            for other in system:
                factor = other.pop(unknown, None)
                if factor is not None:
                    for u, piece in instead.items():
                        both = other.get(u, self.ring.zero) + factor * piece
                        if both:
                            other[u] = both
                        else:
                            other.pop(u, None)
        if len(system) == 1:
            row = system[0]
            return -row.get(ONE, self.ring.zero), row[WANTED], tuple(substitutions)
        return *block(system, self.ring), tuple(substitutions)

    def _named(self, unknown: str, instead: PolyRow) -> Line:
        """What is put in: an unknown, or what all collectors of a group carry."""
        drives = {drive.unknown: drive for drive in self.sharing.drives}
        terms = [self.tidy.written(p) if u == ONE else self._by_collectors(p, drives[u]) if u in drives
                 else self._times(p, self.letter_of(u)) for u, p in instead.items()]  # fmt: skip
        drive = drives.get(unknown)
        if drive is None:
            return Line("", Sign(self.letter_of(unknown)), added(*terms))
        return Line("", drive.collectors, multiplied(self.tidy.written(drive.gain), added(*terms)))


    def _by_collectors(self, factor: Poly, drive: Drive) -> Expression:
        """factor·drive, told by what flows: gain·drive is what the collectors carry, drive itself is beside·I_B."""
        whole, rest = factor.div(drive.gain)
        if not rest:
            return multiplied(self.tidy.written(whole), drive.collectors)
        return self._times(factor * drive.beside, self.letter_of(f"b:{drive.device}"))


def _number(poly: Poly, letters: Sequence[str], numbers: Mapping[str, float]) -> float:
    total = 0.0
    for monomial, factor in poly.terms():
        product = float(factor)
        for name, power in zip(letters, monomial, strict=True):
            if power:
                product *= numbers[name] ** power
        total += product
    return total
