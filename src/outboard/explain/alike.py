"""Devices side by side that are taken as one of a kind: same nets, same figures, same resistor in the emitter."""

from collections.abc import Mapping, Sequence

from outboard.arrangements.design import DesignPart


def alike(parts: Sequence[DesignPart]) -> Mapping[str, str]:
    """Part -> the part whose letters it shares: transistors in parallel, and the ballast in their emitters."""
    found = {part.name: part.name for part in parts}
    first: dict[object, str] = {}
    for part in parts:
        if part.part.kind == "bipolar":
            figures = tuple(sorted(part.part.values.items()))
            place = (part.part.pins["base"], part.part.pins["collector"])
            found[part.name] = first.setdefault((part.part.model, part.part.polarity, place, figures), part.name)
    emitters = {part.part.pins["emitter"]: found[part.name] for part in parts if part.part.kind == "bipolar"}
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
