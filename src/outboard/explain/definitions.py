"""Auxiliary quantities of a derivation: currents, voltages and ratios that get a name, and lines as they are written.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from outboard.explain.expression import Expression, Sign, divided, names, put_for


@dataclass(frozen=True, slots=True)
class Definition:
    """A named quantity.

    A current is the voltage `drop` across a resistor, known from junctions and sources alone, over that resistor; where
    `resistor` is nothing, `drop` is the quantity itself.  `handover_of` is the device that a hand-over current is of.
    """

    name: str
    resistor: str
    part: str
    drop: Expression
    handover_of: str = ""
    meaning: str = ""
    unit: str = "A"

    @property
    def words(self) -> str:
        """What it is."""
        if self.meaning:
            return self.meaning
        return f"hand-over current of {self.handover_of}" if self.handover_of else f"current of {self.part}"


@dataclass(frozen=True, slots=True)
class Line:
    """One equation as it is written down: left = right, with the net or the part that it belongs to."""

    about: str
    left: Expression
    right: Expression


def definition_value(definition: Definition) -> Expression:
    """drop / R, or the quantity itself."""
    return divided(definition.drop, Sign(definition.resistor)) if definition.resistor else definition.drop


def rests_on(definitions: Iterable[Definition], letter: str) -> set[str]:
    """Names of those definitions in which a letter has a say, through others too."""
    found: set[str] = set()
    for entry in definitions:
        if {letter, *found} & set(names(definition_value(entry))):
            found.add(entry.name)
    return found


def with_what_they_rest_on(used: Iterable[str], known: Mapping[str, Definition]) -> tuple[Definition, ...]:
    """The definitions of some names and of the names in these, in the order in which they were made."""
    wanted, waiting = set(), [name for name in used if name in known]
    while waiting:
        name = waiting.pop()
        if name not in wanted:
            wanted.add(name)
            waiting += [inner for inner in names(definition_value(known[name])) if inner in known]
    return tuple(entry for name, entry in known.items() if name in wanted)


def put_through(expression: Expression, definitions: Sequence[Definition]) -> Expression:
    """The expression without the names of these definitions."""
    for entry in reversed(definitions):
        expression = put_for(expression, {entry.name: definition_value(entry)})
    return expression
