"""What a check must know before it may decide: ratings, parameters, branches of the models."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from outboard.arrangements.design import Design, DesignPart
from outboard.network.part import AMBIENT
from outboard.parts import Rating
from outboard.parts.records import Origin, printed

WEAK_KINDS = ("typical", "recalled", "default")
"""Kinds of figures that a verdict may rest on only when it says so."""


REGULATOR_ENDS = (
    ("set voltage", "least"), ("set voltage", "most"), ("regulation", "most"), ("drop-out", "most"), ("limit", "least"),
)  # fmt: skip
"""Ends of a regulator's spreads that decide how it holds its output."""


CONDUCTING = ("sharing diode", "compensating diode")
"""Roles of diodes that carry current in normal service, and so decide where the circuit works."""


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that a check rests on: where it comes from, or why it is missing."""

    origin: Origin | None
    missing: str = ""


def rating(part: DesignPart, symbol: str) -> Need:
    """A rating of the part's type."""
    found = part.rating(symbol)
    if found is None:
        return Need(None, f"{symbol} of {titled(part)} is not known")
    return Need(found.origin)


def parameter(part: DesignPart, field: str) -> Need:
    """A number of the part's model, with the figure that it came from; of a part without a type, as the file has it."""
    if part.identified is None and field in part.part.values:
        return Need(Origin("stated", "", f"{field} of {part.name} as the file states it"))
    if part.identified is None or field not in part.identified.origins:
        return Need(None, f"{field} of {titled(part)} is not known")
    return Need(part.identified.origins[field])


def spread(part: DesignPart, axis: str, end: str) -> Need:
    """How far devices of this type differ along an axis, at one end."""
    known = part.identified
    found = known.spread(axis) if known is not None else None
    if found is not None:
        return Need(found.origins[0 if end == "least" else 1])
    reason = known.undecided.get(axis) if known is not None else None
    return Need(None, f"the spread of {axis} of {titled(part)} is not known" + (f": {reason}" if reason else ""))


def decided(part: DesignPart, *subjects: str) -> Iterator[Need]:
    """Subjects that the part's sheet leaves open, such as hot leakage; nothing where it leaves none open."""
    open_points = part.identified.undecided if part.identified is not None else {}
    for subject in subjects:
        if subject in open_points:
            yield Need(None, f"{subject} of {titled(part)}: {open_points[subject]}")


def heat_path(part: DesignPart) -> Need:
    """A way for the part's heat to the surroundings."""
    if part.part.heat is None:
        return Need(None, f"no heat path of {titled(part)} is given")
    return Need(Origin("stated", "", f"heat path of {part.name}"))


def thermal_resistance(part: DesignPart) -> Need:
    """The rating that a heat path rests on: R_thJC beneath a pad, R_thJA in the air; else what the file states."""
    heat = part.part.heat
    if part.type is not None and part.pad is not None:
        return rating(part, "R_thJC")
    in_air = part.rating("R_thJA")
    if heat is not None and in_air is not None and (heat.to, heat.resistance) == (AMBIENT, in_air.value):
        return Need(in_air.origin)
    return heat_path(part)


def tolerance(part: DesignPart) -> Need:
    """How far a resistor may be off."""
    if part.tolerance is None or part.tolerance_origin is None:
        return Need(None, f"the tolerance of {part.name} is not known")
    return Need(part.tolerance_origin)


def operating_point(design: Design) -> tuple[Need, ...]:
    """What decides where the circuit works: how the current divides, and at which voltage the output is held.

    Gain, V_BE and warming of every transistor, tolerance of every resistor; of every regulator its set voltage, how
    that moves with line, load and temperature, and when it gives up: drop-out at most, current limit at least.
    """
    return tuple(need for part in design.parts for need in _of_operation(part))


def held_voltage(design: Design) -> tuple[Need, ...]:
    """What the output rests on beside the operating point: how far a divider's resistors drift with temperature."""
    return tuple(drift(part) for part in design.parts if part.role == "divider")


def drift(part: DesignPart) -> Need:
    """How far a resistor moves with temperature."""
    if part.drift is None:
        return Need(None, f"the temperature coefficient of {part.name} is not known")
    return Need(Origin("stated", "", f"temperature coefficient of {part.name} as written in the file"))


def _of_operation(part: DesignPart) -> Iterator[Need]:
    if part.part.kind == "bipolar":
        yield from (spread(part, axis, end) for axis in ("gain", "V_BE") for end in ("least", "most"))
        yield parameter(part, "gain_temperature_exponent")
        yield heat_path(part)
    elif part.part.kind == "mosfet":
        yield from (spread(part, axis, end) for axis in ("threshold", "on-resistance") for end in ("least", "most"))
        yield from (parameter(part, field) for field in ("slope", "threshold_tempco"))
        yield heat_path(part)
    elif part.part.kind == "regulator":
        for axis, end in REGULATOR_ENDS:
            yield spread(part, axis, end)
        yield from (parameter(part, field) for field in ("output_resistance", "line_coefficient", "set_voltage_tempco"))
        yield heat_path(part)
    elif part.part.kind == "diode" and part.role in CONDUCTING:
        yield from (spread(part, "forward voltage", end) for end in ("least", "most"))
        yield heat_path(part)
    elif part.part.kind == "resistor":
        yield tolerance(part)


def leakage(design: Design) -> tuple[Need, ...]:
    """What every transistor leaks at most, hot as well as cold."""
    found: list[Need] = []
    for part in design.parts:
        if part.part.kind == "bipolar":
            found += [spread(part, "leakage", "most"), *decided(part, "hot leakage")]
        elif part.part.kind == "mosfet":
            found += [spread(part, "leakage", "most"), *decided(part, "hot leakage"), *_cold_leakage(part, design)]
    return tuple(found)


DRAWN_AWAY = 10.0
"""A load that always draws so many times what may leak keeps the output, however the leak goes with temperature."""


def _standing_current(design: Design) -> float:
    """What resistors across the output draw at least [A], at the least promised voltage."""
    output, load = design.brief.output, next((part.part.pins for part in design.parts if part.name == "load"), None)
    if output is None or load is None:
        return 0.0
    least = abs(output.voltage) * (1.0 - output.tolerance)
    return sum(
        least / (part.part.values["resistance"] * (1.0 + (part.tolerance or 0.0)))
        for part in design.parts
        if part.part.kind == "resistor" and set(part.part.pins.values()) == set(load.values())
        and part.part.values["resistance"] > 0.0
    )


def _cold_leakage(part: DesignPart, design: Design) -> Iterator[Need]:
    """Leakage in the cold, which a body diode's law does not give; it is settled where the load is always far more."""
    rows = [row for row in part.type.rows("IDSS") if row.most is not None] if part.type is not None else []
    alike = sum(other.type == part.type for other in design.parts)
    output = design.brief.output
    if rows and output is not None:
        row = max(rows, key=lambda row: row.most or 0.0)
        if output.load.least + _standing_current(design) >= DRAWN_AWAY * alike * (row.most or 0.0):
            yield Need(printed(row, "most", typed(part)))
            return
    yield from decided(part, "cold leakage")


def value(found: Rating | None) -> float:
    """The number of a rating; not a number where it is missing, so that nothing can pass on it."""
    return found.value if found is not None else float("nan")


def titled(part: DesignPart) -> str:
    """Name and type: "Q2 (2N3055)"."""
    return f"{part.name} ({part.type.name})" if part.type is not None else part.name


def typed(part: DesignPart) -> str:
    """The type, or the name where there is no type."""
    return part.type.name if part.type is not None else part.name


def missing(needs: Iterable[Need]) -> tuple[str, ...]:
    """What is missing, in words, each once."""
    return tuple(dict.fromkeys(need.missing for need in needs if need.missing))


def weak(needs: Iterable[Need]) -> tuple[str, ...]:
    """Typical, recalled and default figures among the needs, in words, each once."""
    return tuple(
        dict.fromkeys(need.origin.words for need in needs if need.origin and need.origin.kind in WEAK_KINDS)
    )
