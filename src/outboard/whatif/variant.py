"""A design in which something is otherwise: its parts replaced by edited ones, islands taken away."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from outboard.arrangements.catalogued import AS_WRITTEN, device
from outboard.arrangements.design import Design, DesignPart
from outboard.network import edits
from outboard.network.edits import Parts
from outboard.network.part import Part
from outboard.parts import PartType, catalogue, ratings
from outboard.parts.preferred import series_values
from outboard.quantity import RESISTANCE, shown

STEPS = 2
"""How many preferred values up and down are tried."""

SERIES = "E12"
"""The series of a resistor whose design names none."""

LEFT_OUT, SHORTED = "left out", "shorted"

NEITHER_END = 1e-6

MAIN_RATING = {"bipolar": ("I_C", "V_CEO"), "regulator": ("I_O", "V_I"), "diode": ("I_F", "V_RRM"),
               "mosfet": ("I_D", "V_DS"), "thyristor": ("I_T", "V_DRM")}  # fmt: skip
"""The ratings by which types of one kind are told to be next to each other."""


@dataclass(frozen=True, slots=True)
class Variant:
    """One way in which a part could be otherwise; `what` is "left out", "shorted", a value or a type."""

    part: str
    what: str
    design: Design


def with_parts(design: Design, parts: Parts) -> Design:
    """The design whose network consists of these parts; what hangs in the air is gone."""
    now = edits.pruned(parts).parts
    known = {part.name: part for part in design.parts}
    return replace(
        design,
        parts=tuple(
            replace(known[part.name], part=part) if part.name in known else _fitted_by_nobody(part) for part in now
        ),
    )


def _fitted_by_nobody(part: Part) -> DesignPart:
    """A bridge: it is what it is, exactly."""
    return DesignPart(part, "short", tolerance=0.0, tolerance_origin=AS_WRITTEN)


def variants(design: Design, name: str, like: Sequence[str] = ()) -> Iterator[Variant]:
    """Left out; shorted where it has two pins; preferred values beside its own; the next type of its kind.

    Values and types are those of all parts `like` it together: nobody fits one of four ballasts otherwise.
    """
    part, every = design.part(name), like or (name,)
    yield Variant(name, LEFT_OUT, with_parts(design, edits.left_out(design.components, name)))
    pins = tuple(part.part.pins)
    if len(pins) == 2 and part.part.kind in ("resistor", "diode"):
        first, second = (part.part.pins[pin] for pin in pins)
        bridge = edits.bridge(f"in place of {name}", first, second)
        bridged = edits.added(edits.left_out(design.components, name), bridge)
        yield Variant(name, SHORTED, with_parts(design, bridged))
    if part.part.kind == "resistor":
        for value in neighbours(part.part.values["resistance"], _series(design)):
            yield Variant(name, shown(value, RESISTANCE, 3, zeros=False), with_value(design, every, value))
    if part.type is not None and (other := next_type(part.type)) is not None:
        swapped = design
        for one in every:
            swapped = _with_type(swapped, design.part(one), other)
        if _differs(swapped.part(name), part):
            yield Variant(name, other.name, swapped)


def left_hanging(design: Design, name: str) -> frozenset[str]:
    """Parts that nothing flows through any more without this one: they shared a net with it alone."""
    mine = set(design.part(name).part.pins.values())
    on = {net: [part.name for part in design.parts if net in part.part.pins.values()] for net in mine}
    return frozenset(part for parts in on.values() if len(parts) == 2 for part in parts if part != name)


def with_value(design: Design, names: Sequence[str], resistance: float) -> Design:
    """The design with another value of a resistor, or of several together [Ω]."""
    parts = design.components
    for name in names:
        parts = edits.changed(parts, name, {"resistance": resistance})
    return with_parts(design, parts)


def _differs(one: DesignPart, other: DesignPart) -> bool:
    """Whether there is a number in which two types differ."""
    return (one.part.values, one.part.heat, one.ratings) != (other.part.values, other.part.heat, other.ratings)


def neighbours(value: float, series: str) -> tuple[float, ...]:
    """Preferred values beside a value, `STEPS` on each side, rising."""
    around = series_values(series, value / 10.0, value * 10.0)
    below = [one for one in around if one < value * (1.0 - NEITHER_END)][-STEPS:]
    above = [one for one in around if one > value * (1.0 + NEITHER_END)][:STEPS]
    return (*below, *above)


def _series(design: Design) -> str:
    return design.brief.stage.series if design.brief.stage is not None else SERIES


def next_type(part_type: PartType) -> PartType | None:
    """The type of the same kind, polarity and voltage whose main ratings lie nearest; None when there is no other."""
    symbols = MAIN_RATING.get(part_type.kind, ())
    own = ratings(part_type)

    def distance(other: PartType) -> float:
        theirs = ratings(other)
        total = 0.0
        for symbol in symbols:
            mine, his = own.get(symbol), theirs.get(symbol)
            if mine is None or his is None or not mine.value > 0.0 or not his.value > 0.0:
                return float("inf")
            total += abs(his.value / mine.value - 1.0) if his.value > mine.value else mine.value / his.value - 1.0
        return total

    alike = [
        other for other in catalogue().values()
        if other.name != part_type.name and (other.kind, other.polarity) == (part_type.kind, part_type.polarity)
        and _holds_the_same(part_type, other)
    ]  # fmt: skip
    best = min(alike, key=distance, default=None)
    return best if best is not None and distance(best) < float("inf") else None


def _holds_the_same(one: PartType, other: PartType) -> bool:
    """Regulators of one voltage; everything else always."""
    if one.kind != "regulator":
        return True
    first, second = (ratings(part).get("V_O_most") for part in (one, other))
    return first is not None and second is not None and abs(first.value / second.value - 1.0) < 0.02


def _with_type(design: Design, part: DesignPart, other: PartType) -> Design:
    """The design with another type in this place, its junction-to-case resistance with it."""
    swapped = device(part.name, part.role, other, part.part.pins, part.part.heat, part.pad)
    heat, rated = part.part.heat, ratings(other)
    if heat is not None:
        symbol = "R_thJA" if part.pad is None else "R_thJC"
        if symbol in rated:
            resistance = rated[symbol].value + (part.pad or 0.0)
            swapped = replace(swapped, part=replace(swapped.part, heat=replace(heat, resistance=resistance)))
    return replace(design, parts=tuple(swapped if one.name == part.name else one for one in design.parts))
