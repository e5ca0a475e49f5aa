"""Two designs side by side: the same quantity of both, and the difference as a formula."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from outboard.explain.definitions import Definition, definition_value, with_what_they_rest_on
from outboard.explain.expression import Expression, Sign, names, put_for, value
from outboard.explain.forms import composite_gain, with_name
from outboard.explain.letters import Letter
from outboard.explain.neglect import Box
from outboard.explain.solving import Solved

SAME = 1e-12


@dataclass(frozen=True, slots=True)
class Difference:
    """other − own: the formula of the other, of the difference, and the numbers; `primed` are the other's.

    letters, definitions   what the formula of the other needs that the own design lacks, with its values
    """

    quantity: str
    other: Expression
    difference: Expression
    own_value: float
    other_value: float
    primed: tuple[str, ...]
    letters: tuple[Letter, ...]
    definitions: tuple[Definition, ...]
    values: Mapping[str, float]


def difference(
    name: str, own: Solved, other: Solved, own_letters: Mapping[str, Letter], other_letters: Mapping[str, Letter]
) -> Difference:
    """The difference of one quantity of two designs; a letter with another value in the other design gets a prime."""
    own_values, other_values = _values(own, own_letters), _values(other, other_letters)
    primed = {n: f"{n}′" for n, number in other_values.items()
              if n in own_values and abs(number - own_values[n]) > SAME * abs(number)}  # fmt: skip
    named = {d.name: d for d in (*own.definitions, *other.definitions)}
    everything: dict[str, Letter] = dict(own_letters)
    for letter in other_letters.values():
        renamed = replace(letter, name=primed.get(letter.name, letter.name))
        everything.setdefault(renamed.name, renamed)
    kept = [*named, *(primed[n] for n in named if n in primed)]
    definitions: list[Definition] = [*own.definitions]
    definitions += [_renamed(d, primed) for d in other.definitions if primed.get(d.name, d.name) not in
                    {known.name for known in own.definitions}]  # fmt: skip
    box = Box(everything, definitions, [n for n in kept if n in {d.name for d in definitions}])
    second = put_for(other.expression, {n: Sign(p) for n, p in primed.items()})
    found = value(second, box.symbols) - value(own.expression, box.symbols)
    tidy = box.ring()
    written = tidy.ratio(tidy.ring.from_dict(dict(found.numer)), tidy.ring.from_dict(dict(found.denom)))
    gain = composite_gain(written)
    first, last = (float(value(s.expression, numbers)) for s, numbers in ((own, own_values), (other, other_values)))
    new = with_what_they_rest_on(names(second), {d.name: d for d in definitions if d not in own.definitions})
    used = {*names(second), *(n for d in new for n in names(definition_value(d)))}
    letters = tuple(letter for n, letter in everything.items() if n in used and n not in own_letters)
    return Difference(name, second, with_name(written, gain) if gain else written, first, last,
                      tuple(n for n in primed.values() if n in used), letters, new, box.numbers)  # fmt: skip


def _values(solved: Solved, letters: Mapping[str, Letter]) -> dict[str, float]:
    return Box(letters, solved.definitions).numbers


def _renamed(definition: Definition, primed: Mapping[str, str]) -> Definition:
    drop = put_for(definition.drop, {n: Sign(p) for n, p in primed.items()})
    resistor = primed.get(definition.resistor, definition.resistor)
    return replace(definition, name=primed.get(definition.name, definition.name), resistor=resistor, drop=drop)
