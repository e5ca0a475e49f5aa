"""The safe operating area of a type as its sheet tells it: greatest current, power line, second breakdown, voltage.

A figure of second breakdown that a sheet prints for a pulse is no figure for lasting current: it bounds the line for
lasting current from above and cannot stand for it.  Where a sheet prints no such line at all, nothing is made up.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import exp, log

from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from outboard.parts.ratings import Rating, ratings
from outboard.parts.records import Figure, Origin, PartType, printed
from outboard.quantity import CURRENT, POWER, TEMPERATURE, TIME, VOLTAGE, shown

SYMBOLS = {"bipolar": ("I_C", "V_CEO"), "mosfet": ("I_D", "V_DSS")}
"""Letter symbols of the greatest current and voltage, by kind."""

LASTING = {"bipolar": "IC_dc", "mosfet": "ID_dc"}
"""The figure that is the line for lasting current, by kind."""


@dataclass(frozen=True, slots=True)
class LinePoint:
    """One point of a line: voltage [V], current [A]; how long it may last [s], None for lasting or not printed.

    case   temperature of the case that the point is printed for [K]; 25 °C where nothing is printed
    """

    voltage: float
    current: float
    duration: float | None
    case: float
    origin: Origin
    note: str = ""


@dataclass(frozen=True, slots=True)
class SafeArea:
    """What bounds current and voltage of a transistor; None is a figure that no sheet prints.

    lasting  points of the line for lasting current, as the sheet draws it; empty where it is not known
    brief    points of second breakdown that hold for a pulse, or for a time that is not printed
    derated  whether the line for lasting current falls at a hotter case as the power line does; so it is taken unless
             the sheet says otherwise
    """

    part: str
    kind: str
    most_current: Rating | None
    most_voltage: Rating | None
    power: Rating | None
    junction: Rating | None
    to_case: Rating | None
    lasting: tuple[LinePoint, ...]
    brief: tuple[LinePoint, ...]
    derated: bool = True


@dataclass(frozen=True, slots=True)
class AreaCorner:
    """A corner of the area at a case of 25 °C: voltage [V], current [A], what meets there."""

    voltage: float
    current: float
    words: str


def safe_area(part_type: PartType) -> SafeArea | None:
    """The safe area of a transistor; None for what has none."""
    if part_type.kind not in SYMBOLS:
        return None
    rated = ratings(part_type)
    current, voltage = SYMBOLS[part_type.kind]
    return SafeArea(
        part_type.name, part_type.kind, rated.get(current), rated.get(voltage), rated.get("P_tot"), rated.get("T_J"),
        rated.get("R_thJC"), tuple(_points(part_type, LASTING[part_type.kind])), tuple(_points(part_type, "IS_b")),
    )  # fmt: skip


def _points(part_type: PartType, name: str) -> Iterator[LinePoint]:
    """The points of one figure by rising voltage; a limit is the least that is warranted, or the most that is allowed.
    """
    rows = [row for row in part_type.rows(name) if _voltage(row) is not None]
    for row in sorted(rows, key=lambda row: _voltage(row) or 0.0):
        given = row.conditions
        side = "least" if row.least is not None else "most" if row.most is not None else "typical"
        case = REFERENCE_TEMPERATURE if given.case_temperature is None else given.case_temperature
        yield LinePoint(_voltage(row) or 0.0, getattr(row, side), given.pulse_duration, case,
                        printed(row, side, part_type.name), given.text)  # fmt: skip


def _voltage(row: Figure) -> float | None:
    given = row.conditions
    return given.drain_source_voltage if given.collector_emitter_voltage is None else given.collector_emitter_voltage


def corners_at_25(area: SafeArea) -> tuple[AreaCorner, ...]:
    """The corners at a case of 25 °C that follow from the figures, by rising voltage; derived, none of them printed.

    Where the greatest current meets the power line, each known point of second breakdown, the end at the greatest
    voltage.  Beyond several points the line is drawn on to it straight on logarithmic scales, and says so.
    """
    current, voltage, power = area.most_current, area.most_voltage, area.power
    if current is None or voltage is None or power is None:
        return ()
    found = [AreaCorner(power.value / current.value, current.value, "greatest current and P_tot")]
    points = area.lasting or area.brief
    for point in points:
        found.append(AreaCorner(point.voltage, point.current, f"second breakdown, {lasts(point, area)}"))
    if not points:
        missing = "second-breakdown data" if area.kind == "bipolar" else "line for lasting current"
        found.append(AreaCorner(voltage.value, power.value / voltage.value, f"P_tot; no {missing}"))
    elif len(points) > 1 and points[-1].voltage < voltage.value:
        end = line_at(points[-2], points[-1], voltage.value)
        found.append(AreaCorner(voltage.value, end, "drawn on beyond the last point"))
    return tuple(found)


def line_at(one: LinePoint, other: LinePoint, voltage: float) -> float:
    """Current of the straight line on logarithmic scales through two points [A]."""
    slope = log(other.current / one.current) / log(other.voltage / one.voltage)
    return one.current * exp(slope * log(voltage / one.voltage))


def lasts(point: LinePoint, area: SafeArea) -> str:
    """How long a point may last, in words."""
    if point in area.lasting:
        return "lasting"
    return "how long is not printed" if point.duration is None else f"for {shown(point.duration, TIME, zeros=False)}"


def area_in_words(area: SafeArea) -> tuple[str, ...]:
    """The area in sentences: what bounds it at a case of 25 °C, and what the sheet does not tell."""
    return tuple(_sentences(area))


def _sentences(area: SafeArea) -> Iterator[str]:
    corners = corners_at_25(area)
    if corners:
        pieces = [f"{shown(one.current, CURRENT, zeros=False)} at {shown(one.voltage, VOLTAGE, zeros=False)} "
                  f"({one.words})" for one in corners]  # fmt: skip
        yield f"corners at a case of 25 °C, derived from the figures above: {', '.join(pieces)}"
    yield from _hot(area)
    if area.lasting:
        last = area.lasting[-1].voltage
        if area.most_voltage is not None and last < area.most_voltage.value:
            yield f"beyond {shown(last, VOLTAGE, zeros=False)} the line for lasting current is not known"
    elif area.brief:
        told = (f"{point.current:g} A at {point.voltage:g} V, {lasts(point, area)}" for point in area.brief)
        yield f"no line for lasting current (DC): of second breakdown only {'; '.join(told)}"
    elif area.kind == "mosfet":
        yield (
            "no line for lasting current (DC): a MOSFET that is made for switching may fail in linear use well inside "
            "these corners"
        )
    else:
        yield "no second-breakdown data: the corners are those of heat and ratings alone, too generous at high voltage"


def _hot(area: SafeArea) -> Iterator[str]:
    if area.junction is None or area.power is None:
        return
    most, half = area.junction.value, 0.5 * (area.junction.value + REFERENCE_TEMPERATURE)
    yield (
        f"hotter cases: currents of the power line and of second breakdown fall to nothing at "
        f"{shown(most, TEMPERATURE, zeros=False)}; at {half - ZERO_CELSIUS:.0f} °C "
        f"{shown(0.5 * area.power.value, POWER, zeros=False)} are left"
    )
