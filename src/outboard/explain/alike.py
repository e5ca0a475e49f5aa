"""Devices side by side that are taken as one of a kind: same nets, same figures, same resistor in the emitter."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from outboard.arrangements.design import DesignPart
from outboard.explain.letters import index_of

CONTROL = {"bipolar": ("base", "collector", "emitter", "b"), "mosfet": ("gate", "drain", "source", "d")}
"""Pins of a device: what controls it, what carries, what a ballast sits at; and what its unknown begins with."""


def alike(parts: Sequence[DesignPart]) -> Mapping[str, str]:
    """Part -> the part whose letters it shares: transistors in parallel, and the ballast in their emitters."""
    found = {part.name: part.name for part in parts}
    first: dict[object, str] = {}
    for part in parts:
        if part.part.kind in CONTROL:
            figures = tuple(sorted(part.part.values.items()))
            place = tuple(part.part.pins[pin] for pin in CONTROL[part.part.kind][:2])
            found[part.name] = first.setdefault((part.part.model, part.part.polarity, place, figures), part.name)
    emitters = {part.part.pins[CONTROL[part.part.kind][2]]: found[part.name]
                for part in parts if part.part.kind in CONTROL}  # fmt: skip
    for part in parts:
        ends = set(part.part.pins.values()) if part.part.kind == "resistor" else set()
        inner, outer = ends & emitters.keys(), ends - emitters.keys()
        if len(inner) == len(outer) == 1:
            figure = (part.part.values["resistance"], part.tolerance)
            found[part.name] = first.setdefault((emitters[inner.pop()], outer.pop(), figure), part.name)
    return found


def twin_of(part: DesignPart, parts: Sequence[DesignPart], groups: Mapping[str, str]) -> str | None:
    """The first transistor that sits on the very same nets as this one, before it; None for the first itself."""
    for other in parts:
        if other.name == part.name:
            return None
        if groups[other.name] == groups[part.name] and other.part.pins == part.part.pins:
            return other.name
    return None


@dataclass(frozen=True, slots=True)
class Twins:
    """Unknowns that are what the first of their kind is, and the parts and nets whose laws then say nothing new.

    devices  each device that is left out, and the first of its kind
    counts   the letter that says how many there are, by the unknowns of the first
    sizes    that letter, with the first device and how many there are
    """

    same: Mapping[str, str]
    devices: Mapping[str, str]
    parts: frozenset[str]
    nets: frozenset[str]
    counts: Mapping[str, str]
    sizes: Mapping[str, tuple[str, int]]


ALONE = Twins({}, {}, frozenset(), frozenset(), {}, {})


def twins(parts: Sequence[DesignPart], groups: Mapping[str, str]) -> Twins:
    """Transistors alike, each with a ballast alike in an emitter net of its own."""
    joined: dict[str, list[tuple[str, str]]] = {}
    for part in parts:
        for pin, at in part.part.pins.items():
            joined.setdefault(at, []).append((part.name, pin))
    same: dict[str, str] = {}
    followers: set[str] = set()
    nets: set[str] = set()
    devices: dict[str, str] = {}
    firsts: dict[str, tuple[str, ...]] = {}
    by_name = {part.name: part.part for part in parts}
    for part in parts:
        first = groups[part.name]
        if part.part.kind not in CONTROL or first == part.name:
            continue
        *_, pin_of_ballast, begins = CONTROL[part.part.kind]
        own, other = part.part.pins[pin_of_ballast], by_name[first].pins[pin_of_ballast]
        mine = [(groups[name], pin) for name, pin in joined[own] if name != part.name]
        theirs = [(groups[name], pin) for name, pin in joined[other] if name != first]
        if own == other or len(mine) != 1 or mine != theirs:
            continue
        (ballast,), (model,) = ([name for name, _ in joined[at] if name not in (part.name, first)]
                                for at in (own, other))  # fmt: skip
        here = {f"{begins}:{part.name}": f"{begins}:{first}", f"lost:{part.name}": f"lost:{first}",
                f"i:{ballast}": f"i:{model}", f"v:{own}": f"v:{other}"}  # fmt: skip
        same |= here
        devices[part.name] = first
        firsts.setdefault(first, tuple(here.values()))
        followers |= {part.name, ballast}
        nets.add(own)
    letters = {first: "n" if len(firsts) == 1 else f"n_{index_of(first)}" for first in firsts}
    counts = {unknown: letters[first] for first, unknowns in firsts.items() for unknown in unknowns}
    sizes = {letter: (first, list(devices.values()).count(first) + 1) for first, letter in letters.items()}
    return Twins(same, devices, frozenset(followers), frozenset(nets), counts, sizes)
