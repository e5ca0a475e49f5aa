"""The ideal network: constant V_BE, constant gain, regulators that hold, limit or give up; linear within a regime.

Every device has switches; each state of a switch is one equation and the conditions (margins) under which it holds.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from outboard.explain.alike import Twins
from outboard.explain.letters import Letters
from outboard.explain.rows import Row


@dataclass(frozen=True, slots=True)
class Margin:
    """What must not become negative while a state lasts, the state that follows if it does, and the event in words.

    `under` is another switch and its state without which the margin means nothing: no base current, no saturation.
    """

    row: Row
    then: str
    event: str
    under: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class State:
    """One equation (row = 0) with the margins within which it holds; `words` say it of the part."""

    equation: Row
    margins: tuple[Margin, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Switch:
    """What a part can do: base off or on, collector free or saturated, regulator holding or not."""

    name: str
    part: str
    states: Mapping[str, State]
    usual: str

    def margins(self, regime: Mapping[str, str]) -> Iterator[Margin]:
        """What must hold of this switch in a regime."""
        for margin in self.states[regime[self.name]].margins:
            if margin.under is None or regime[margin.under[0]] == margin.under[1]:
                yield margin


@dataclass(frozen=True, slots=True)
class Law:
    """An equation that holds in every regime; `resistor` names the resistor whose law it is."""

    row: Row
    resistor: str = ""


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something that can be asked for: its letter, its row, its unit, its words."""

    name: str
    row: Row
    unit: str
    meaning: str
    part: str
    pin: str = ""


@dataclass(frozen=True, slots=True)
class Ideal:
    """All of it.

    flows       currents into each net's pins: net -> (part, pin, row)
    unknowns    nets first, then branch currents
    quantities  what can be asked for, by letter
    left_out    what hand algebra does not count, in words
    twins       devices that do as the first of their kind does
    """

    letters: Letters
    laws: tuple[Law, ...]
    switches: tuple[Switch, ...]
    flows: Mapping[str, tuple[tuple[str, str, Row], ...]]
    unknowns: tuple[str, ...]
    quantities: Mapping[str, Quantity]
    left_out: tuple[str, ...]
    twins: Twins

    @property
    def values(self) -> dict[str, float]:
        """Every letter's value at the point."""
        return {name: letter.value for name, letter in self.letters.items()}


Regime = Mapping[str, str]
"""Switch -> state."""


def equations(ideal: Ideal, regime: Regime) -> list[Row]:
    """All equations of a regime: laws, switches, then one node law per net."""
    from outboard.explain.rows import total

    rows = [law.row for law in ideal.laws]
    rows += [switch.states[regime[switch.name]].equation for switch in ideal.switches]
    return rows + [total(*(row for _, _, row in flows)) for flows in ideal.flows.values()]
