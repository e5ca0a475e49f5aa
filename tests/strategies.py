"""What property tests draw: invented designs as text of a design file, and networks of resistors.

    from strategies import briefs, resistor_networks
"""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from hypothesis import strategies as st

from outboard.network.part import Part

REGULATORS = {5.0: "7805", 12.0: "7812", 15.0: "7815"}
"""Fixed regulators by their voltage [V]."""

PNP = ("TIP2955", "MJ2955", "TIP36C", "TIP32C")
NPN = ("2N3055", "TIP3055", "TIP35C", "MJ15003", "TIP31C")

Keys = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class WrittenBrief:
    """A design file before it is text: sections in order, each with its keys as they are written, then parts."""

    sections: Mapping[str, Keys]
    parts: tuple[Keys, ...] = ()

    @property
    def text(self) -> str:
        """The file."""
        tables = [*((f"[{name}]", keys) for name, keys in self.sections.items()),
                  *(("[[parts]]", keys) for keys in self.parts)]  # fmt: skip
        return "\n".join(
            "\n".join([header, *(f"{key} = {value}" for key, value in keys.items()), ""]) for header, keys in tables
        )

    def changed(self, section: str, **keys: str) -> "WrittenBrief":
        """The same file with some keys of one section written otherwise."""
        return replace(self, sections={**self.sections, section: {**self.sections[section], **keys}})

    def shuffled(self, chance: random.Random) -> "WrittenBrief":
        """The same file in another order: of sections, of keys, of parts."""

        def mixed(items: Sequence[Any]) -> list[Any]:
            return chance.sample(items, len(items))

        sections = {name: dict(mixed(list(keys.items()))) for name, keys in mixed(list(self.sections.items()))}
        return WrittenBrief(sections, tuple(dict(mixed(list(keys.items()))) for keys in mixed(self.parts)))


def parts_shuffled(text: str, chance: random.Random) -> str:
    """A file of explicit parts with its parts in another order."""
    head, *parts = text.split("[[parts]]")
    return head + "".join(f"[[parts]]{part.rstrip()}\n\n" for part in chance.sample(parts, len(parts)))


def quoted(value: float, unit: str) -> str:
    """A quantity as a file writes it."""
    return f'"{value:.6g} {unit}"'


def span(least: float, usual: float, most: float, unit: str) -> str:
    """Least, usual and most as a file writes them."""
    return f"[{quoted(least, unit)}, {quoted(usual, unit)}, {quoted(most, unit)}]"


def numbers(least: float, most: float) -> st.SearchStrategy[float]:
    """Numbers between two others, of three figures or so."""
    return st.integers(0, 200).map(lambda step: least + (most - least) * step / 200)


@st.composite
def briefs(draw: st.DrawFn, most_devices: int = 2, most_load: float = 4.0, loaded: bool = False) -> WrittenBrief:
    """Invented stages of both arrangements, all of which can be laid out; nobody says that they are any good.

    A `loaded` one always has a resistor from its output to ground.
    """
    voltage, regulator = draw(st.sampled_from(sorted(REGULATORS.items())))
    arrangement = draw(st.sampled_from(("bypass", "compound")))
    least = voltage + draw(numbers(3.5, 6.0))
    usual = least + draw(numbers(0.0, 3.0))
    load = draw(numbers(0.5, most_load))
    cold, warm, hot = draw(numbers(-20.0, 10.0)), draw(numbers(10.0, 30.0)), draw(numbers(30.0, 50.0))
    types = {"pass": draw(st.sampled_from(PNP if arrangement == "bypass" else NPN))}
    if arrangement == "compound":
        types["driver"] = draw(st.sampled_from(("BD140", "TIP32C")))
    mounted = {role: draw(numbers(0.2, 2.0)) for role in ("regulator", *types)}
    stage = {"arrangement": f'"{arrangement}"', "regulator": f'"{regulator}"'}
    stage |= {role: f'"{name}"' for role, name in types.items()}
    stage |= {"count": str(draw(st.integers(1, most_devices))), "series": f'"{draw(st.sampled_from(("E12", "E24")))}"',
              "resistors": f'"{draw(st.sampled_from((1, 2, 5)))} %"'}  # fmt: skip
    standing = {
        "name": '"R9"', "kind": '"resistor"', "role": '"standing load"', "pins": '{ a = "out", b = "ground" }',
        "resistance": quoted(draw(numbers(300.0, 3000.0)), "Ω"), "rated_power": '"2 W"',
    }  # fmt: skip
    sections = {
        "input": {"voltage": span(least, usual, usual + draw(numbers(0.0, 3.0)), "V"),
                  "resistance": quoted(draw(numbers(0.0, 0.1)), "Ω")},
        "output": {"voltage": quoted(voltage, "V"), "tolerance": '"6 %"',
                   "load": span(draw(st.sampled_from((0.0, 0.1))), load / 2, load, "A")},
        "surroundings": {"ambient": span(cold, warm, hot, "°C")},
        "requirements": {"short_circuit": '"none"', "trust": '"typical"'},
        "stage": stage,
        "heat.sinks": {"plate": quoted(draw(numbers(0.3, 1.5)), "K/W")},
        "heat": {role: f'{{ sink = "plate", pad = {quoted(pad, "K/W")} }}' for role, pad in mounted.items()},
    }  # fmt: skip
    return WrittenBrief(sections, (standing,) if loaded or draw(st.booleans()) else ())


@dataclass(frozen=True, slots=True)
class ResistorNetwork:
    """Resistors between nets, fed by one source behind its resistance: (net, net, ohms)."""

    voltage: float
    inner: float
    resistors: tuple[tuple[str, str, float], ...]

    @property
    def nets(self) -> tuple[str, ...]:
        """Every net but ground."""
        names = {net for one, other, _ in self.resistors for net in (one, other)} | {"in"}
        return tuple(sorted(names - {"ground"}))

    @property
    def parts(self) -> tuple[Part, ...]:
        """The network as the solver takes it."""
        source = Part("input", "source", {"plus": "in", "minus": "ground"},
                      {"voltage": self.voltage, "resistance": self.inner})  # fmt: skip
        resistors = (Part(f"R{number}", "resistor", {"a": one, "b": other}, {"resistance": ohms})
                     for number, (one, other, ohms) in enumerate(self.resistors, 1))  # fmt: skip
        return (source, *resistors)


@st.composite
def resistor_networks(draw: st.DrawFn, most_nets: int = 6) -> ResistorNetwork:
    """A tree from the input over every net to ground, and chords across it: nothing floats, whatever is drawn."""
    nets = ["in", *(f"n{number}" for number in range(draw(st.integers(1, most_nets - 1))))]
    ohms = st.integers(-10, 60).map(lambda step: 10.0 ** (step / 10.0))
    joined = [(draw(st.sampled_from(nets[:number])), nets[number], draw(ohms)) for number in range(1, len(nets))]
    to_ground = [(net, "ground", draw(ohms)) for net in nets[1:]]
    pairs = [(one, other) for number, one in enumerate(nets) for other in nets[:number]]
    chords = [(*pair, draw(ohms)) for pair in draw(st.lists(st.sampled_from(pairs), max_size=5))]
    return ResistorNetwork(draw(numbers(-30.0, 30.0)), draw(numbers(0.01, 2.0)), (*joined, *to_ground, *chords))
