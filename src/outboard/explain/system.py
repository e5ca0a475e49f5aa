"""The equations of one regime with letters in them: what is known outright gets a name, what is left is solved.

Known outright are potentials that junctions, sources and held voltages tie together, and currents and voltages that
follow from these alone.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from outboard.explain.alike import ALONE, Twins
from outboard.explain.definitions import Definition
from outboard.explain.expression import Expression, Sign
from outboard.explain.ideal import Ideal, Regime, equations
from outboard.explain.letters import current_letter
from outboard.explain.rows import ONE, Row, Term, total
from outboard.explain.tidying import Poly, Tidy

PolyRow = dict[str, Poly]
"""A sum over unknowns with polynomials before them."""

Laws = tuple[tuple[str, PolyRow], ...]
"""What equations are about, and their rows."""

GROUND = "v:ground"


@dataclass(frozen=True, slots=True)
class Equation:
    """row = 0, with what it is about and the laws that stand behind it as they are written down."""

    about: str
    row: PolyRow
    laws: Laws


class System:
    """Letters as generators of a ring, known potentials and currents, definitions, and the equations that are left."""

    def __init__(self, ideal: Ideal, regime: Regime, more: Row | None = None) -> None:
        from sympy import ZZ
        from sympy.polys.rings import ring

        self.ideal, self.regime, self.twins = ideal, regime, _twins(ideal, regime)
        rows = [*equations(ideal, regime), more or {}]
        used = {name for row in rows for terms in row.values() for _, letters in terms for name in letters}
        used |= set(self.twins.sizes)
        drives = [letter.name for letter in ideal.letters.values() if letter.drives and letter.name in used]
        plain = [letter for letter in ideal.letters.values() if not letter.drives and letter.name in used]
        rest = [letter.name for letter in sorted(plain, key=lambda letter: not letter.counts)]
        self.named = {law.resistor: current_letter(law.resistor) for law in ideal.laws if law.resistor}
        volts = [f"volt of {at}" for at in ideal.flows]
        ratios = [f"{what} of {switch.part}" for switch in ideal.switches if switch.name.endswith((" base", " channel"))
                  for what in ("share", "gain")]  # fmt: skip
        names = [*drives, *self.named.values(), *volts, *rest, *ratios]
        self.ring, *generators = ring([f"x{i}" for i in range(len(names))], ZZ)  # a letter may hold a comma
        self.letters = dict(zip(names, generators, strict=True))
        self.tidy = Tidy(self.ring, names, [*drives, *self.named.values(), *volts])
        self.potentials: dict[str, tuple[str, Poly]] = {GROUND: (GROUND, self.ring.zero)}
        self.definitions: dict[str, Definition] = {}
        self.worths: dict[str, Poly] = {}
        self.said: dict[str, tuple[str, PolyRow, tuple[str, ...]]] = {}
        self.equations = list(self._equations())

    def polynomial(self, terms: Any) -> Poly:
        """A coefficient as a polynomial."""
        result = self.ring.zero
        for factor, letters in terms:
            product = self.ring.one * int(factor)
            for letter in letters:
                product = product * self.letters[letter]
            result = result + product
        return result

    def row(self, row: Row) -> PolyRow:
        """A row with polynomials, like devices counted, potentials that are known put in."""
        found: PolyRow = {}
        for unknown, terms in counted(row, self.twins).items():
            factor = self.polynomial(terms)
            place, shift = self.potentials.get(unknown, (unknown, None))
            if shift is not None:
                found[ONE] = found.get(ONE, self.ring.zero) + factor * shift
                if place == GROUND:
                    continue
            found[place] = found.get(place, self.ring.zero) + factor
        return {unknown: factor for unknown, factor in found.items() if factor}

    def name(self, spare: str, name: str, entry: Definition) -> Poly:
        """Gives a spare letter of the ring its name and its meaning; a second one of a name gets a stroke."""
        while name in self.tidy.letters and name != spare:
            name = f"{name}'"
        entry = replace(entry, name=name)
        self.tidy.letters[self.tidy.letters.index(spare)] = name
        self.definitions[name] = entry
        return self.letters[spare]

    def _equations(self) -> Iterator[Equation]:
        """What is left to be solved, each with the name of what it is about."""
        followers = self.twins.parts
        laws = [(law.resistor, law.row) for law in self.ideal.laws if law.resistor not in followers]
        laws += [(switch.part, switch.states[self.regime[switch.name]].equation)
                 for switch in self.ideal.switches if switch.part not in followers]  # fmt: skip
        laws += [(f"net {at}", total(*(row for _, _, row in flows)))
                 for at, flows in self.ideal.flows.items() if at not in self.twins.nets]  # fmt: skip
        waiting, before = laws, -1
        while len(waiting) != before:
            before = len(waiting)
            waiting = [(about, row) for about, row in self._potentials(waiting) if not self._takes(about, row)]
        for about, row in waiting:
            found = self.row(row)
            yield Equation(about, found, ((about, found),) if about else ())

    def _takes(self, about: str, row: Row) -> bool:
        """Takes up what is known outright; a node law among it is remembered, for it is to be written down."""
        found = self.row(row)
        if not self._known(about, found):
            return False
        unknown = next(u for u in found if u != ONE)
        if about.startswith("net ") and len(row) > 1 and found.get(ONE):
            self.said[unknown] = (about, found, tuple(row))
        return True

    def laws_of(self, unknowns: Iterable[str]) -> Laws:
        """Node laws that said outright what these unknowns are, and those that they rest on, first things first."""
        found: dict[str, tuple[str, PolyRow]] = {}

        def follow(unknown: str) -> None:
            if unknown in self.said and unknown not in found:
                about, row, others = self.said[unknown]
                found[unknown] = about, row
                for other in others:
                    follow(other)

        for unknown in unknowns:
            follow(unknown)
        return tuple(reversed(found.values()))

    def _known(self, about: str, found: PolyRow) -> bool:
        """Takes up an equation that says outright what one unknown is; False when it does not."""
        unknown = next((u for u in found if u != ONE), "")
        if not unknown or set(found) - {ONE, unknown}:
            return False
        rest = -found.get(ONE, self.ring.zero)
        if about in self.named and unknown == f"i:{about}" and rest:
            self._settle(unknown, self._current(about, -rest))
            return True
        if found[unknown] in (1, -1) or not rest:
            worth = rest * found[unknown] if rest else rest
            self._settle(unknown, self._voltage(unknown.removeprefix("v:"), worth) if unknown[:2] == "v:" else worth)
            return True
        return False

    def _settle(self, unknown: str, worth: Poly) -> None:
        """What is known of an unknown, and of the nets that are tied to it."""
        for other, (place, shift) in list(self.potentials.items()):
            if place == unknown:
                self.potentials[other] = (GROUND, shift + worth)
        self.potentials[unknown] = (GROUND, worth)

    def _potentials(self, laws: list[tuple[str, Row]]) -> list[tuple[str, Row]]:
        """Ties nets together by junctions, sources and held voltages; gives back the other laws."""
        waiting, tied = laws, True
        while tied:
            tied, rest = False, []
            for about, row in waiting:
                found = self.row(row)
                nets = [unknown for unknown in found if unknown != ONE]
                simple = all(u.startswith("v:") and found[u] in (1, -1) for u in nets)
                if nets and simple and len(nets) <= 2 and not (len(nets) == 1 and about in self.named):
                    self._tie(found, nets)
                    tied = True
                else:
                    rest.append((about, row))
            waiting = rest
        return waiting

    def _tie(self, found: PolyRow, nets: list[str]) -> None:
        """±v_a ± v_b + constant = 0: one net is another with a known step."""
        moved, anchor = nets[0], nets[1] if len(nets) == 2 else GROUND
        sign = found[moved]
        step = -found.get(ONE, self.ring.zero) * sign
        if anchor != GROUND and found[anchor] * sign == 1:
            raise ArithmeticError("two nets tied crosswise")
        for unknown, (place, shift) in list(self.potentials.items()):
            if place == moved:
                self.potentials[unknown] = (anchor, shift + step)
        self.potentials[moved] = (anchor, step)

    def _voltage(self, at: str, worth: Poly) -> Poly:
        """A voltage that a known current makes across a resistor gets a name; any other is left as it is.

        Of nets that are tied together the output is the one that is named.
        """
        if all(sum(monomial) <= 1 for monomial in worth.monoms()):
            return worth
        place, step = self.potentials.get("v:out", ("", self.ring.zero))
        at, step = ("out", step) if place == f"v:{at}" else (at, self.ring.zero)
        name, words = ("V_O", "output voltage") if at == "out" else (f"V_{at}", f"voltage of net {at}")
        if name in self.tidy.letters:
            return worth
        self.worths[name] = worth + step
        entry = Definition(name, "", at, self.tidy.written(worth + step), "", words, "V")
        return self.name(f"volt of {at}", name, entry) - step

    def _current(self, resistor: str, drop: Poly) -> Poly:
        """Names the current of a resistor whose voltage is known; a junction's voltage makes it a hand-over current."""
        turned = letter_sign(drop)
        return self.current(resistor, self.tidy.written(drop * turned)) * turned

    def current(self, resistor: str, voltage: Expression) -> Poly:
        """The generator of a current with its name: voltage over resistor."""
        letter = next(letters[0] for law in self.ideal.laws if law.resistor == resistor
                      for _, letters in law.row[f"i:{resistor}"])  # fmt: skip
        name = self.named[resistor]
        control = re.fullmatch(r"V_(?:BE|GS)(\w+)", voltage.name) if isinstance(voltage, Sign) else None
        handed = control[1] if control else ""
        if not handed or f"I_h{handed}" in self.definitions:
            return self.name(name, name, Definition(name, letter, resistor, voltage))
        carries = (self.ideal.quantities.get(f"{current}{handed}") for current in ("I_C", "I_D"))
        to = next((found for found in carries if found is not None), None)
        shown = f"I_h{handed}"
        return self.name(name, shown, Definition(shown, letter, resistor, voltage, to.part if to else handed))


def _twins(ideal: Ideal, regime: Regime) -> Twins:
    """Those that are alike in this regime; none where one conducts and its like does not."""
    for name, state in regime.items():
        part, _, what = name.partition(" ")
        model = ideal.twins.devices.get(part)
        if model and regime[f"{model} {what}"] != state:
            return ALONE
    return ideal.twins


def counted(row: Row, twins: Twins) -> dict[str, tuple[Term, ...]]:
    """A row in which the first of each kind stands for all: n times where all take the same part in it."""
    found: dict[str, tuple[Term, ...]] = {}
    members: dict[str, list[tuple[Term, ...]]] = {}
    for unknown, terms in row.items():
        first = twins.same.get(unknown, unknown)
        if first in twins.counts:
            members.setdefault(first, []).append(terms)
        else:
            found[first] = terms
    for first, all_terms in members.items():
        letter = twins.counts[first]
        alike = len({frozenset(terms) for terms in all_terms}) == 1
        if alike and len(all_terms) == twins.sizes[letter][1]:
            found[first] = tuple((factor, (letter, *letters)) for factor, letters in all_terms[0])
        else:
            found[first] = tuple(term for terms in all_terms for term in terms)
    return found


def letter_sign(poly: Poly) -> int:
    """−1 where every term is negative."""
    return -1 if all(number < 0 for number in poly.coeffs()) else 1
