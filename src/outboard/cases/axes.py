"""Along what a design can differ from its usual self, as independent axes with named ends.

Devices of one type in parallel come from one batch or not: either all lie at the same end, or one of them lies
apart from the rest.  That covers what sharing can suffer without trying every mixture.  Of devices that are alike the
first stands for any of them; those that are not are set apart in turn.

Some options are for a second look only: they are tried with what was worst without them.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from outboard.arrangements.design import Design, DesignPart
from outboard.cases.alike import Group, apart, ballast, parallel_groups
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.identify import Spread
from outboard.parts.records import Origin

Address = tuple[str, str]
"""(part, field)"""


@dataclass(frozen=True, slots=True)
class Option:
    """One place on an axis: its word, the numbers that belong to it, and where they come from.

    second_look   it is not combined with everything, only tried with the corners that were worst (WORST), or with
                  those where something was short (SHORT)
    """

    word: str
    values: Mapping[Address, float]
    origins: tuple[Origin, ...] = ()
    second_look: str = ""


@dataclass(frozen=True, slots=True)
class Axis:
    """One way to differ: "gain Q2" with its options; `parts` are those that it moves."""

    name: str
    options: tuple[Option, ...]
    parts: tuple[str, ...]


WORST, SHORT = "worst", "short"
"""Which corners get a second look with an option."""

BLOCKING = ("reverse diode", "output diode", "crowbar trigger")
"""Roles of diodes that block in every case that is judged: how they differ moves nothing."""

SENSE = "sense transistor"
"""Role of the transistor of a limiter: V_BE says when it starts; it carries nothing that its gain could matter for."""

OPPOSED = ("divider", "foldback divider")
"""Roles of resistors that work as a ratio: one of a pair is tried high while the other is low."""

WEAK = ("drop-out", "limit", "quiescent current")
"""Axes of a regulator that move together: a weak one drops out early, limits early and draws much.

A weak one that comes into its limit drops out no further: its output gives way instead.  So where something is short,
one that drops out early but limits late is tried too: it carries on, with less left for it than any other."""


TRANSISTOR = {"bipolar": ("gain", "V_BE"), "mosfet": ("threshold", "on-resistance")}
"""Axes along which transistors of each kind differ one by one; leakage goes together."""


def axes(design: Design) -> tuple[Axis, ...]:
    """All axes of a design: those of each group of transistors, leakage, resistors, regulators."""
    found: list[Axis] = []
    for group in parallel_groups(design.parts):
        names = TRANSISTOR[group[0].part.kind] if group[0].role != SENSE else ("V_BE",)
        found += [axis for name in names if (axis := _device_axis(name, group, design.parts)) is not None]
    found += _leakage(design.parts)
    found += _resistors(design.parts)
    found += _ratios(design)
    for part in design.parts:
        if part.part.kind == "regulator":
            found += _regulator(part)
    diodes = [part for part in design.parts if part.part.kind == "diode" and part.role not in BLOCKING]
    found += [axis for part in diodes for axis in _diode(part)]
    return tuple(found)


def _end(part: DesignPart, spread: Spread, end: str) -> dict[Address, float]:
    """The numbers of one part at one end of one of its spreads."""
    numbers = spread.least if end == "least" else spread.most
    return {(part.name, field): number for field, number in zip(spread.fields, numbers, strict=True)}


def _option(word: str, *ends: tuple[DesignPart, Spread, str]) -> Option:
    """Parts at the ends of their spreads, together under one word."""
    values = {address: number for part, spread, end in ends for address, number in _end(part, spread, end).items()}
    origins = (spread.origins[0 if end == "least" else 1] for _, spread, end in ends)
    return Option(word, values, tuple(dict.fromkeys(origins)))


def _spread(part: DesignPart, axis: str) -> Spread | None:
    return part.identified.spread(axis) if part.identified is not None else None


def _name(axis: str, parts: Sequence[DesignPart]) -> str:
    names = [part.name for part in parts]
    return f"{axis} {names[0]}" if len(names) == 1 else f"{axis} {names[0]}…{names[-1]}"


def _device_axis(axis: str, group: Group, parts: Sequence[DesignPart]) -> Axis | None:
    """Least and most of a group; for several devices also one of each kind apart from the rest."""
    spreads = [spread for part in group if (spread := _spread(part, axis)) is not None]
    if len(spreads) != len(group):
        return None

    def option(word: str, end: str, others: str, alone: DesignPart | None = None) -> Option:
        ends = (end if alone is None or part is alone else others for part in group)
        return _option(word, *zip(group, spreads, ends, strict=True))

    options = [option("least", "least", "least"), option("most", "most", "most")]
    for device in apart(group, parts):
        options.append(option(f"least for {device.name} only", "least", "most", device))
        options.append(option(f"most for {device.name} only", "most", "least", device))
    return Axis(_name(axis, group), tuple(options), tuple(part.name for part in group))


def _leakage(parts: Sequence[DesignPart]) -> Iterator[Axis]:
    """All leakages together: none, or all at their guaranteed most."""
    leaky = [(part, spread) for part in parts if (spread := _spread(part, "leakage")) is not None]
    if leaky:
        options = tuple(_option(end, *((part, spread, end) for part, spread in leaky)) for end in ("least", "most"))
        yield Axis("leakage", options, tuple(part.name for part, _ in leaky))


def _resistors(parts: Sequence[DesignPart]) -> Iterator[Axis]:
    """The base resistor by itself, all other resistors together; the ballast of a device apart at its other end."""
    # a resistor of 0 Ω is a wire, whatever its tolerance
    tolerant = [part for part in parts if part.part.kind == "resistor" and part.tolerance]
    spread = [part for part in tolerant if part.role not in OPPOSED and part.part.values["resistance"] > 0.0]
    bases = [part for part in spread if part.role == "base resistor"]
    others = [part for part in spread if part.role != "base resistor"]
    for name, group in ((bases[0].name if bases else "", bases), ("other resistors" if bases else "resistors", others)):
        if group:
            options = [_resistances(word, group, sign) for word, sign in (("least", -1.0), ("most", 1.0))]
            options += _ballast_apart(group, parts)
            yield Axis(name, tuple(options), tuple(part.name for part in group))


def _resistances(
    word: str, group: Sequence[DesignPart], sign: float, opposed: frozenset[str] = frozenset(), second_look: str = ""
) -> Option:
    """Resistors at one end of their tolerances, those that are `opposed` at the other."""
    values = {
        (part.name, "resistance"): part.part.values["resistance"]
        * (1.0 + (-sign if part.name in opposed else sign) * (part.tolerance or 0.0))
        for part in group
    }
    origins = (part.tolerance_origin for part in group if part.tolerance_origin is not None)
    return Option(word, values, tuple(origins), second_look)


def _ballast_apart(resistors: Sequence[DesignPart], parts: Sequence[DesignPart]) -> Iterator[Option]:
    """Each device that is set apart with its ballast at one end, the ballasts beside it at the other, and all other
    resistors at either."""
    names = {part.name for part in resistors}
    for group in parallel_groups(parts):
        ballasts = [found.name for device in group if (found := ballast(device, parts)) and found.name in names]
        for device in apart(group, parts):
            own = ballast(device, parts)
            if own is None or own.name not in ballasts:
                continue
            beside = frozenset(ballasts) - {own.name}
            for word, other, sign in (("least", "most", -1.0), ("most", "least", 1.0)):
                yield _resistances(f"{other} but for {word} {own.name}", resistors, -sign, frozenset({own.name}), WORST)
                if names - set(ballasts):
                    yield _resistances(f"{word} but for {other} beside {own.name}", resistors, sign, beside, WORST)


def _ratios(design: Design) -> Iterator[Axis]:
    """Every divider by its ratio, tolerance and drift over the ambient temperatures together."""
    ambient = design.brief.surroundings.ambient
    away = max(abs(ambient.least - REFERENCE_TEMPERATURE), abs(ambient.most - REFERENCE_TEMPERATURE))
    for role in OPPOSED:
        group = [part for part in design.parts if part.role == role and part.part.kind == "resistor"]
        if not group:
            continue
        options = []
        for word, sign in (("least", -1.0), ("most", 1.0)):
            signs = (sign if place % 2 == 0 else -sign for place in range(len(group)))
            off = {
                (part.name, "resistance"): part.part.values["resistance"]
                * (1.0 + side * ((part.tolerance or 0.0) + (part.drift or 0.0) * away))
                for part, side in zip(group, signs, strict=True)
            }
            origins = tuple(part.tolerance_origin for part in group if part.tolerance_origin is not None)
            options.append(Option(f"{group[0].name} {word}", off, origins))
        yield Axis(_name(role, group), tuple(options), tuple(part.name for part in group))


def _regulator(part: DesignPart) -> Iterator[Axis]:
    """Set voltage; and a weak or a strong regulator: drop-out, limit and quiescent current together."""
    setting, regulation = _spread(part, "set voltage"), _spread(part, "regulation")
    if setting is not None:
        ends = [(part, setting, "least"), (part, setting, "most")]
        soft = [(part, regulation, "most")] if regulation is not None else []
        apart = regulation is not None and (
            "regulation" in setting.apart_from or "set voltage" in regulation.apart_from
        )
        options = [_option(end[2], end, *([] if apart else soft)) for end in ends]
        if apart:
            options.append(_option("usual, with the most change over line and load", *soft))
        yield Axis(f"set voltage {part.name}", tuple(options), (part.name,))
    present = [spread for axis in WEAK if (spread := _spread(part, axis)) is not None]
    if present:
        weak = [(part, spread, "least" if spread.axis == "limit" else "most") for spread in present]
        strong = [(part, spread, "most" if spread.axis == "limit" else "least") for spread in present]
        together = [_option("weak", *weak), _option("strong", *strong)]
        if {"drop-out", "limit"} <= {spread.axis for spread in present}:
            late = _option("weak but late to limit", *((part, spread, "most") for spread in present))
            together.append(replace(late, second_look=SHORT))
        yield Axis(f"strength {part.name}", tuple(together), (part.name,))


def _diode(part: DesignPart) -> Iterator[Axis]:
    for axis in ("forward voltage", "breakdown voltage"):
        spread = _spread(part, axis)
        if spread is not None:
            options = tuple(_option(end, (part, spread, end)) for end in ("least", "most"))
            yield Axis(f"{axis} {part.name}", options, (part.name,))
