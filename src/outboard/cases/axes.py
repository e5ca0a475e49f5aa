"""Along what a design can differ from its usual self, as independent axes with named ends.

Devices of one type in parallel come from one batch or not: either all lie at the same end, or one of them lies
apart from the rest.  That covers what sharing can suffer without trying every mixture.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from outboard.arrangements.design import Design, DesignPart
from outboard.identify import Spread

Address = tuple[str, str]
"""(part, field)"""


@dataclass(frozen=True, slots=True)
class Option:
    """One place on an axis: its word and the numbers that belong to it."""

    word: str
    values: Mapping[Address, float]


@dataclass(frozen=True, slots=True)
class Axis:
    """One way to differ: "gain Q2" with its options; `parts` are those that it moves."""

    name: str
    options: tuple[Option, ...]
    parts: tuple[str, ...]


WEAK = ("drop-out", "limit", "quiescent current")
"""Axes of a regulator that move together: a weak one drops out early, limits early and draws much."""


def axes(design: Design) -> tuple[Axis, ...]:
    """All axes of a design: gain and V_BE of each group of devices, leakage, resistors, regulators."""
    found: list[Axis] = []
    for group in parallel_groups(design.parts):
        found += [axis for name in ("gain", "V_BE") if (axis := _device_axis(name, group)) is not None]
    found += _leakage(design.parts)
    found += _resistors(design.parts)
    for part in design.parts:
        if part.part.kind == "regulator":
            found += _regulator(part)
    found += [axis for part in design.parts if part.part.kind == "diode" for axis in _diode(part)]
    return tuple(found)


def parallel_groups(parts: Iterable[DesignPart]) -> list[tuple[DesignPart, ...]]:
    """Transistors that share type, base net and collector net, together; every other one alone."""
    groups: dict[tuple[str, ...], list[DesignPart]] = {}
    for part in parts:
        if part.part.kind == "bipolar" and part.identified is not None:
            kind = part.type.name if part.type else part.name
            pins = part.part.pins
            groups.setdefault((kind, pins["base"], pins["collector"]), []).append(part)
    return [tuple(group) for group in groups.values()]


def _end(part: DesignPart, spread: Spread, end: str) -> dict[Address, float]:
    """The numbers of one part at one end of one of its spreads."""
    numbers = spread.least if end == "least" else spread.most
    return {(part.name, field): number for field, number in zip(spread.fields, numbers, strict=True)}


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

    def together(first: str, others: str) -> Mapping[Address, float]:
        numbers: dict[Address, float] = {}
        for index, (part, spread) in enumerate(zip(group, spreads, strict=True)):
            numbers |= _end(part, spread, first if index == 0 else others)
        return numbers

    options = [Option("least", together("least", "least")), Option("most", together("most", "most"))]
    if len(group) > 1:
        first = group[0].name
        options.append(Option(f"least for {first} only", together("least", "most")))
        options.append(Option(f"most for {first} only", together("most", "least")))
    return Axis(_name(axis, group), tuple(options), tuple(part.name for part in group))


def _leakage(parts: Sequence[DesignPart]) -> Iterator[Axis]:
    """All leakages together: none, or all at their guaranteed most."""
    leaky = [(part, spread) for part in parts if (spread := _spread(part, "leakage")) is not None]
    if leaky:
        ends = {
            end: {address: number for part, spread in leaky for address, number in _end(part, spread, end).items()}
            for end in ("least", "most")
        }
        options = tuple(Option(end, numbers) for end, numbers in ends.items())
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
                              for part in group if (tolerance := part.tolerance)})
                for word, sign in (("least", -1.0), ("most", 1.0))
            )  # fmt: skip
            yield Axis(name, options, tuple(part.name for part in group))


def _regulator(part: DesignPart) -> Iterator[Axis]:
    """Set voltage; and a weak or a strong regulator: drop-out, limit and quiescent current together."""
    setting, regulation = _spread(part, "set voltage"), _spread(part, "regulation")
    if setting is not None:
        options = [Option(end, _end(part, setting, end)) for end in ("least", "most")]
        if regulation is not None:
            soft = _end(part, regulation, "most")
            if "regulation" in setting.apart_from or "set voltage" in regulation.apart_from:
                options.append(Option("usual, with the most change over line and load", soft))
            else:
                options = [Option(option.word, {**option.values, **soft}) for option in options]
        yield Axis(f"set voltage {part.name}", tuple(options), (part.name,))
    present = [spread for axis in WEAK if (spread := _spread(part, axis)) is not None]
    if present:
        weak: dict[Address, float] = {}
        strong: dict[Address, float] = {}
        for spread in present:
            weak |= _end(part, spread, "least" if spread.axis == "limit" else "most")
            strong |= _end(part, spread, "most" if spread.axis == "limit" else "least")
        yield Axis(f"strength {part.name}", (Option("weak", weak), Option("strong", strong)), (part.name,))


def _diode(part: DesignPart) -> Iterator[Axis]:
    spread = _spread(part, "forward voltage")
    if spread is not None:
        options = tuple(Option(end, _end(part, spread, end)) for end in ("least", "most"))
        yield Axis(f"forward voltage {part.name}", options, (part.name,))
