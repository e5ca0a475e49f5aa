"""Kirchhoff's laws of one regime solved with letters: potentials, named currents, node laws that are used, result."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from outboard.explain.alike import Twins
from outboard.explain.deadline import within
from outboard.explain.elimination import WANTED, block, needed, next_pivot
from outboard.explain.expression import Expression, Sign, added, divided, is_negative, multiplied, names, negative
from outboard.explain.ideal import Ideal, Regime, equations
from outboard.explain.letters import Letter, Letters, current_letter
from outboard.explain.rows import ONE, Row, total
from outboard.explain.tidying import Poly, Tidy

MOST_SECONDS = 10.0
"""How long one quantity may take."""


@dataclass(frozen=True, slots=True)
class Definition:
    """A named current: the voltage across a resistor, known from junctions and sources alone, over the resistor."""

    name: str
    resistor: str
    part: str
    drop: Expression
    handover_of: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One equation as it is written down: left = right, with the net or the part that it belongs to."""

    about: str
    left: Expression
    right: Expression


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
    """One regime with letters in it: known potentials first, then named currents, then the equations that are left."""

    def __init__(self, ideal: Ideal, regime: Regime, more: Row | None = None) -> None:
        from sympy import ZZ
        from sympy.polys.rings import ring

        self.ideal, self.regime = ideal, regime
        rows = [*equations(ideal, regime), more or {}]
        used = {name for row in rows for terms in row.values() for _, letters in terms for name in letters}
        drives = [letter.name for letter in ideal.letters.values() if letter.drives and letter.name in used]
        rest = [letter.name for letter in ideal.letters.values() if not letter.drives and letter.name in used]
        self.named = {law.resistor: self._current_name(law.resistor) for law in ideal.laws if law.resistor}
        names = [*drives, *self.named.values(), *rest]
        self.ring, *generators = ring([f"x{i}" for i in range(len(names))], ZZ)  # a letter may hold a comma
        self.letters = dict(zip(names, generators, strict=True))
        self.tidy = Tidy(self.ring, names, [*drives, *self.named.values()])
        self.twins = self._twins()
        self.potentials: dict[str, tuple[str, Poly]] = {"v:ground": ("v:ground", self.ring.zero)}
        self.definitions: dict[str, Definition] = {}
        self.equations = list(self._equations())
        self.wanted = WANTED

    def _twins(self) -> Twins:
        """Those that are alike in this regime; none where one conducts and its like does not."""
        for name, state in self.regime.items():
            part, _, what = name.partition(" ")
            model = self.ideal.twins.same.get(f"b:{part}", "").removeprefix("b:")
            if model and self.regime[f"{model} {what}"] != state:
                return Twins({}, frozenset(), frozenset())
        return self.ideal.twins

    @staticmethod
    def _current_name(resistor: str) -> str:
        return current_letter(resistor)

    def polynomial(self, terms: Any) -> Poly:
        """A coefficient as a polynomial."""
        result = self.ring.zero
        for factor, letters in terms:
            product = self.ring.one * int(factor)
            for letter in letters:
                product = product * self.letters[letter]
            result = result + product
        return result

    def row(self, row: Row) -> dict[str, Poly]:
        """A row with polynomials, potentials that are known put in."""
        found: dict[str, Poly] = {}
        for written, terms in row.items():
            factor, unknown = self.polynomial(terms), self.twins.same.get(written, written)
            place, shift = self.potentials.get(unknown, (unknown, None))
            if shift is not None:
                found[ONE] = found.get(ONE, self.ring.zero) + factor * shift
                if place == "v:ground":
                    continue
            found[place] = found.get(place, self.ring.zero) + factor
        return {unknown: factor for unknown, factor in found.items() if factor}

    def _equations(self) -> Iterator[tuple[str, dict[str, Poly]]]:
        """What is left to be solved, each with the name of what it is about."""
        followers = self.twins.parts
        laws = [(law.resistor, law.row) for law in self.ideal.laws if law.resistor not in followers]
        laws += [(switch.part, switch.states[self.regime[switch.name]].equation)
                 for switch in self.ideal.switches if switch.part not in followers]  # fmt: skip
        waiting, before = self._potentials(laws), -1
        while len(waiting) != before:
            before = len(waiting)
            waiting = [(about, row) for about, row in waiting if not self._known(about, self.row(row))]
        yield from ((about, self.row(row)) for about, row in waiting)
        for at, flows in self.ideal.flows.items():
            if at in self.twins.nets:
                continue
            yield f"net {at}", self.row(total(*(row for _, _, row in flows)))

    def _known(self, about: str, found: dict[str, Poly]) -> bool:
        """Takes up an equation that says outright what one unknown is; False when it does not."""
        unknown = next((u for u in found if u != ONE), "")
        if not unknown or set(found) - {ONE, unknown}:
            return False
        rest = -found.get(ONE, self.ring.zero)
        if about in self.named and unknown == f"i:{about}" and rest:
            self.potentials[unknown] = ("v:ground", self._define(about, -rest))
            return True
        if found[unknown] in (1, -1) or not rest:
            self.potentials[unknown] = ("v:ground", rest * found[unknown] if rest else rest)
            return True
        return False

    def _potentials(self, laws: list[tuple[str, Row]]) -> list[tuple[str, Row]]:
        """Ties nets together by junctions, sources and held voltages; gives back the other laws."""
        waiting, tied = laws, True
        while tied:
            tied, rest = False, []
            for about, row in waiting:
                found = self.row(row)
                nets = [unknown for unknown in found if unknown != ONE]
                simple = all(u.startswith("v:") and found[u] in (1, -1) for u in nets)
                if nets and simple and len(nets) <= 2:
                    self._tie(found, nets)
                    tied = True
                else:
                    rest.append((about, row))
            waiting = rest
        return waiting

    def _tie(self, found: dict[str, Poly], nets: list[str]) -> None:
        """±v_a ± v_b + constant = 0: one net is another with a known step."""
        moved, anchor = nets[0], nets[1] if len(nets) == 2 else "v:ground"
        sign = found[moved]
        step = -found.get(ONE, self.ring.zero) * sign
        if anchor != "v:ground" and found[anchor] * sign == 1:
            raise ArithmeticError("two nets tied crosswise")
        for unknown, (place, shift) in list(self.potentials.items()):
            if place == moved:
                self.potentials[unknown] = (anchor, shift + step)
        self.potentials[moved] = (anchor, step)

    def _define(self, resistor: str, drop: Poly) -> Poly:
        """Names the current of a resistor whose voltage is known; a junction's voltage makes it a hand-over current."""
        letter = next(letters[0] for law in self.ideal.laws if law.resistor == resistor
                      for _, letters in law.row[f"i:{resistor}"])  # fmt: skip
        name, turned = self.named[resistor], letter_sign(drop)
        voltage = self.tidy.written(drop * turned)
        current = self.letters[name]
        control = re.fullmatch(r"V_(?:BE|GS)(\w+)", voltage.name) if isinstance(voltage, Sign) else None
        handed = control[1] if control else ""
        if handed and f"I_h{handed}" not in self.definitions:
            shown = f"I_h{handed}"
            self.tidy.letters[self.tidy.letters.index(name)] = shown
        else:
            shown, handed = name, ""
        carries = (self.ideal.quantities.get(f"{current}{handed}") for current in ("I_C", "I_D"))
        to = next((found for found in carries if found is not None), None) if handed else None
        self.definitions[shown] = Definition(shown, letter, resistor, voltage, to.part if to is not None else handed)
        return current * turned

    def solved(self, wanted: Row, name: str = WANTED, seconds: float = MOST_SECONDS) -> Solved:
        """A quantity; TooLong when the time is up, ArithmeticError where it is not determined."""
        self.wanted = name
        with within(seconds):
            return self._solved(wanted)

    def _solved(self, wanted: Row) -> Solved:
        asked = {unknown: -factor for unknown, factor in self.row(wanted).items()}
        asked[WANTED] = self.ring.one
        system = needed([*self.equations, ("", asked)])
        lines = tuple(self._lines(system))
        over, under, substitutions = self._eliminated([dict(row) for _, row in system])
        rows = [poly for _, row in system for poly in row.values()]
        used = {self.tidy.letters[i] for poly in (over, under, *rows) for m in poly.monoms()
                for i, power in enumerate(m) if power}  # fmt: skip
        definitions = tuple(found for name, found in self.definitions.items() if name in used)
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

    def _lines(self, system: list[tuple[str, dict[str, Poly]]]) -> Iterator[Line]:
        for about, row in system:
            if about:
                yield Line(about, *self._sides(row))

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

    def _eliminated(self, system: list[dict[str, Poly]]) -> tuple[Poly, Poly, tuple[Line, ...]]:
        """Unknowns with a coefficient of ±1 put in one by one; what is left is solved as a block."""
        substitutions = []
        while (pivot := next_pivot(system)) is not None:
            i, unknown = pivot
            row = system.pop(i)
            sign = row.pop(unknown)
            instead = {u: -factor * sign for u, factor in row.items()}
            if instead.keys() - {ONE} and self.letter_of(unknown) != self.wanted:
                substitutions.append(Line("", *self._named(unknown, instead)))
            for other in system:
                factor = other.pop(unknown, None)
                if factor is not None:
                    for u, piece in instead.items():
                        joined = other.get(u, self.ring.zero) + factor * piece
                        if joined:
                            other[u] = joined
                        else:
                            other.pop(u, None)
        if len(system) == 1:
            row = system[0]
            return -row.get(ONE, self.ring.zero), row[WANTED], tuple(substitutions)
        return *block(system, self.ring), tuple(substitutions)

    def _named(self, unknown: str, instead: Mapping[str, Poly]) -> tuple[Expression, Expression]:

        terms = [self.tidy.written(p) if u == ONE else self._times(p, self.letter_of(u)) for u, p in instead.items()]
        return Sign(self.letter_of(unknown)), added(*terms)


def _number(poly: Poly, letters: Sequence[str], numbers: Mapping[str, float]) -> float:
    total = 0.0
    for monomial, factor in poly.terms():
        product = float(factor)
        for name, power in zip(letters, monomial, strict=True):
            if power:
                product *= numbers[name] ** power
        total += product
    return total


def letter_sign(poly: Poly) -> int:
    """−1 where every term is negative."""
    return -1 if all(number < 0 for number in poly.coeffs()) else 1


def definition_value(definition: Definition) -> Expression:
    """drop / R."""
    return divided(definition.drop, Sign(definition.resistor))
