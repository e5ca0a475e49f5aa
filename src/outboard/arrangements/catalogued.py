"""Devices of the catalogue as parts of a design: usual values, ratings, and what the file states instead."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from outboard.arrangements.design import DesignPart
from outboard.identify import Identified, identified
from outboard.network.part import Heat, Part
from outboard.parts import PartType, ratings
from outboard.parts.records import Origin

COUNTS_AS_OFF = 1e-3
"""Collector current [A] that counts as off (common practice, no source)."""

NOTHING: Mapping[str, float] = MappingProxyType({})


AS_WRITTEN = Origin("stated", "", "as written in the file")
"""The origin of a value that the file gives."""


def device(
    name: str,
    role: str,
    part_type: PartType,
    pins: Mapping[str, str],
    heat: Heat | None = None,
    pad: float | None = None,
    values: Mapping[str, float] = NOTHING,
) -> DesignPart:
    """A device of the catalogue with its usual values; `values` are those that the file states instead."""
    known = with_stated(identified(part_type), values)
    part = Part(name, part_type.kind, pins, known.values, part_type.polarity, known.model, heat)
    return DesignPart(part, role, part_type, ratings(part_type), known, pad=pad)


def with_stated(known: Identified, values: Mapping[str, float]) -> Identified:
    """What the sheet says, with some values as the file states them.

    A spread that concerns one of these values is the sheet's no more and is left out.
    """
    if not values:
        return known
    return replace(
        known,
        values=MappingProxyType({**known.values, **values}),
        origins=MappingProxyType({**known.origins, **dict.fromkeys(values, AS_WRITTEN)}),
        spreads=tuple(spread for spread in known.spreads if not set(spread.fields) & values.keys()),
    )


def respread(part: DesignPart, working_current: float) -> DesignPart:
    """The same transistor, with its spread as it is at the collector current [A] that it really carries.

    Usual values stay as they are; so does the spread of a transistor that is off.  A spread that the part has lost,
    because the file states the value, stays lost; one that cannot be told at this current is undecided.
    """
    known = part.identified
    if working_current < COUNTS_AS_OFF or part.type is None or known is None or part.part.kind != "bipolar":
        return part
    axes = {spread.axis for spread in known.spreads}
    try:
        there = identified(part.type, working_current)
    except ValueError as refused:
        why = f"at {working_current:.3g} A: {refused}"
        undecided = MappingProxyType({**known.undecided, **dict.fromkeys(axes, why)})
        return replace(part, identified=replace(known, spreads=(), undecided=undecided))
    spreads = tuple(spread for spread in there.spreads if spread.axis in axes)
    return replace(part, identified=replace(known, spreads=spreads, notes=there.notes))


def stated_values(part: DesignPart) -> Mapping[str, float]:
    """The values of a catalogued part that the file states instead of the sheet."""
    known = part.identified
    if known is None:
        return NOTHING
    return {field: known.values[field] for field, origin in known.origins.items() if origin.kind == "stated"}
