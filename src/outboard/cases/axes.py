"""Along what a design can differ from its usual self, as independent axes with named ends.

Devices of one type in parallel come from one batch or not: either all lie at the same end, or one of them lies
apart from the rest.  That covers what sharing can suffer without trying every mixture.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from outboard.arrangements.design import Design, DesignPart
from outboard.identify import Spread
from outboard.parts.records import Origin

Address = tuple[str, str]
"""(part, field)"""


@dataclass(frozen=True, slots=True)
class Option:
    """One place on an axis: its word, the numbers that belong to it, and where they come from."""

    word: str
    values: Mapping[Address, float]
    origins: tuple[Origin, ...] = ()


@dataclass(frozen=True, slots=True)
class Axis:
    """One way to differ: "gain Q2" with its options; `parts` are those that it moves."""

    name: str
    options: tuple[Option, ...]
    parts: tuple[str, ...]


WEAK = ("drop-out", "limit", "quiescent current")
"""Axes of a regulator that move together: a weak one drops out early, limits early and draws much."""


TRANSISTOR = {"bipolar": ("gain", "V_BE"), "mosfet": ("threshold", "on-resistance")}
"""Axes along which transistors of each kind differ one by one; leakage goes together."""

SHARED_PINS = {"bipolar": ("base", "collector"), "mosfet": ("gate", "drain")}
"""Pins whose nets transistors in parallel have in common."""


def axes(design: Design) -> tuple[Axis, ...]:
    """All axes of a design: those of each group of transistors, leakage, resistors, regulators."""
    found: list[Axis] = []
    for group in parallel_groups(design.parts):
        found += [axis for name in TRANSISTOR[group[0].part.kind] if (axis := _device_axis(name, group)) is not None]
    found += _leakage(design.parts)
    found += _resistors(design.parts)
    for part in design.parts:
        if part.part.kind == "regulator":
            found += _regulator(part)
    found += [axis for part in design.parts if part.part.kind == "diode" for axis in _diode(part)]
    return tuple(found)


def parallel_groups(parts: Iterable[DesignPart]) -> list[tuple[DesignPart, ...]]:
    """Transistors that share type and the nets of base and collector, or gate and drain; every other one alone."""
    groups: dict[tuple[str, ...], list[DesignPart]] = {}
    for part in parts:
        if part.part.kind in TRANSISTOR and part.identified is not None:
            kind = part.type.name if part.type else part.name
            nets = (part.part.pins[pin] for pin in SHARED_PINS[part.part.kind])
            groups.setdefault((kind, *nets), []).append(part)
    return [tuple(group) for group in groups.values()]


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


def _device_axis(axis: str, group: tuple[DesignPart, ...]) -> Axis | None:
    """Least and most of a group; for several devices also the first one apart from the rest."""
    spreads = [spread for part in group if (spread := _spread(part, axis)) is not None]
    if len(spreads) != len(group):
        return None

    def option(word: str, first: str, others: str) -> Option:
        ends = (first, *(others for _ in group[1:]))
        return _option(word, *zip(group, spreads, ends, strict=True))

    options = [option("least", "least", "least"), option("most", "most", "most")]
    if len(group) > 1:
        first = group[0].name
        options.append(option(f"least for {first} only", "least", "most"))
        options.append(option(f"most for {first} only", "most", "least"))
    return Axis(_name(axis, group), tuple(options), tuple(part.name for part in group))


def _leakage(parts: Sequence[DesignPart]) -> Iterator[Axis]:
    """All leakages together: none, or all at their guaranteed most."""
    leaky = [(part, spread) for part in parts if (spread := _spread(part, "leakage")) is not None]
    if leaky:
        options = tuple(_option(end, *((part, spread, end) for part, spread in leaky)) for end in ("least", "most"))
        yield Axis("leakage", options, tuple(part.name for part, _ in leaky))


def _resistors(parts: Sequence[DesignPart]) -> Iterator[Axis]:
    """The base resistor by itself, all other resistors together."""
    spread = [part for part in parts if part.part.kind == "resistor" and part.tolerance]
    bases = [part for part in spread if part.role == "base resistor"]
    others = [part for part in spread if part.role != "base resistor"]
    for name, group in ((bases[0].name if bases else "", bases), ("other resistors" if bases else "resistors", others)):
        if group:
            options = tuple(
                Option(word, {(part.name, "resistance"): part.part.values["resistance"] * (1.0 + sign * tolerance)
                              for part in group if (tolerance := part.tolerance)},
                       tuple(part.tolerance_origin for part in group if part.tolerance_origin is not None))
                for word, sign in (("least", -1.0), ("most", 1.0))
            )  # fmt: skip
            yield Axis(name, options, tuple(part.name for part in group))


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
        yield Axis(f"strength {part.name}", (_option("weak", *weak), _option("strong", *strong)), (part.name,))


def _diode(part: DesignPart) -> Iterator[Axis]:
    for axis in ("forward voltage", "breakdown voltage"):
        spread = _spread(part, axis)
        if spread is not None:
            options = tuple(_option(end, (part, spread, end)) for end in ("least", "most"))
            yield Axis(f"{axis} {part.name}", options, (part.name,))
