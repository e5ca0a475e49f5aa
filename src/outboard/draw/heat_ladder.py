"""Where each kelvin goes: for every hot part a ladder from the surroundings over sink and case to the junction."""

from dataclasses import dataclass

from outboard.analysis.operating import OperatingPoint
from outboard.arrangements.design import Design
from outboard.constants import ZERO_CELSIUS
from outboard.draw.axis import Axis
from outboard.draw.page import GAP, MARGIN, WIDE
from outboard.draw.sheet import Sheet
from outboard.draw.style import CURVE, FIGURE, SMALL, TEXT, folded, width
from outboard.network.part import AMBIENT
from outboard.quantity import CURRENT, POWER, VOLTAGE, shown

__all__ = ["Ladder", "draw_ladders", "ladder_height", "ladders"]

LEFT, RIGHT = 110.0, WIDE - MARGIN - 34.0
"""Where the axis of temperatures begins and ends [pt]."""

HEAD, ROW, FOOT = 44.0, 32.0, 14.0
HIGH = 7.0
FEWEST = 0.5
"""A step below so many kelvin has no word of its own."""


@dataclass(frozen=True, slots=True)
class Ladder:
    """One part's way of heat: its power [W], and temperatures [°C] rising from the surroundings, each with its name."""

    part: str
    power: float
    rungs: tuple[tuple[str, float], ...]
    limit: float | None


def ladders(design: Design, point: OperatingPoint) -> tuple[Ladder, ...]:
    """The ladders of all parts that hand over heat, hottest first."""
    found = []
    for part in design.parts:
        at = point.parts.get(part.name)
        if at is None or at.junction is None or at.power is None or part.part.heat is None:
            continue
        heat, rungs = part.part.heat, [("ambient", point.conditions.ambient - ZERO_CELSIUS)]
        if heat.to != AMBIENT and heat.to in point.thermal_nodes:
            rungs.append((f"sink {heat.to}", point.thermal_nodes[heat.to] - ZERO_CELSIUS))
            if part.pad is not None:
                rungs.append(("case", at.junction - at.power * (heat.resistance - part.pad) - ZERO_CELSIUS))
        rungs.append(("junction", at.junction - ZERO_CELSIUS))
        rated = part.rating("T_J")
        found.append(
            Ladder(part.name, at.power, tuple(rungs), None if rated is None else rated.value - ZERO_CELSIUS)
        )
    return tuple(sorted(found, key=lambda ladder: -ladder.rungs[-1][1]))


def ladder_height(climbs: tuple[Ladder, ...]) -> float:
    """What they take on the page [pt]."""
    return HEAD + ROW * len(climbs) + FOOT if climbs else 0.0


def draw_ladders(sheet: Sheet, y: float, climbs: tuple[Ladder, ...], point: OperatingPoint) -> None:
    """Steps of heat over one axis of temperatures, a tick where the junction's rating is."""
    if not climbs:
        return
    reached = [value for ladder in climbs for _, value in ladder.rungs]
    limits = [ladder.limit for ladder in climbs if ladder.limit is not None]
    axis = Axis(min(reached) - 2.0, max(reached + limits) + 2.0, "°C", rooted=False)
    sheet.letter(MARGIN, y - GAP - FIGURE.size, "Where each kelvin goes", FIGURE)
    (words,) = folded(_conditions(point), SMALL, WIDE)
    sheet.letter(MARGIN, y - GAP - FIGURE.size - FIGURE.line, words, SMALL, sheet.theme.ink2)
    bottom = y - HEAD - ROW * len(climbs)
    for tick in axis.ticks(RIGHT - LEFT, 40.0):
        x = _x(axis, tick)
        sheet.rule((x, x), (bottom, y - HEAD), sheet.theme.hairline)
        sheet.letter(x, bottom - 10.0, f"{axis.number(tick)} °C", SMALL, sheet.theme.ink2, "center")
    for number, ladder in enumerate(climbs):
        _draw(sheet, y - HEAD - ROW * (number + 0.5), axis, ladder)


def _conditions(point: OperatingPoint) -> str:
    at = point.conditions
    known = [
        None if at.input_voltage is None else f"{shown(at.input_voltage, VOLTAGE, 3)} in",
        None if at.load is None else f"{shown(at.load, CURRENT, 3)} load",
        f"{at.ambient - ZERO_CELSIUS:.0f} °C around",
    ]
    return "usual devices at " + " · ".join(filter(None, known)) + "; the tick is the rating of the junction"


def _x(axis: Axis, value: float) -> float:
    return LEFT + float(axis.share(value)) * (RIGHT - LEFT)


def _draw(sheet: Sheet, middle: float, axis: Axis, ladder: Ladder) -> None:
    """Step after step, each weightier than the one before, with its kelvins beneath where they have room."""
    theme = sheet.theme
    sheet.letter(MARGIN, middle - 1.0, ladder.part, FIGURE)
    sheet.letter(LEFT - 8.0, middle - 1.0, shown(ladder.power, POWER, 3), TEXT, align="right")
    free = LEFT
    for number, ((_, lower), (name, upper)) in enumerate(zip(ladder.rungs, ladder.rungs[1:], strict=False)):
        left, right = _x(axis, lower), _x(axis, upper)
        weight = HIGH * (0.4 + 0.6 * number / max(len(ladder.rungs) - 2, 1))
        sheet.rule((left, right), (middle + 2.0,) * 2, theme.heat, weight, name=f"heat-{ladder.part}-{name}")
        sheet.rule((right, right), (middle - 3.0, middle + 7.0), theme.ink)
        words = f"{name} +{upper - lower:.0f}"
        start = max(free, (left + right - width(words, CURVE)) / 2.0)
        if upper - lower >= FEWEST and start + width(words, CURVE) <= right + 26.0:
            sheet.letter(start, middle - 12.5, words, CURVE, theme.ink2)
            free = start + width(words, CURVE) + 6.0
    top = ladder.rungs[-1][1]
    words, start = f"{top:.0f} °C", _x(axis, top) + 4.0
    if ladder.limit is not None:
        x = _x(axis, ladder.limit)
        if start - 4.0 <= x <= start + width(words, FIGURE) + 3.0:
            start = x + 4.0  # the tick stands between bar and number
        sheet.rule((x, x), (middle - 5.0, middle + 9.0), theme.ink, 1.6, name=f"limit-{ladder.part}")
    sheet.letter(start, middle - 0.5, words, FIGURE)
