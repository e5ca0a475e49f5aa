"""One cycle of the mains: winding, reservoir with valley and peak, what the stage needs, charging current.

Where the reservoir is below what the stage needs, the place between them is hatched.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, degrees, pi
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from outboard.analysis.charging import Floats
from outboard.analysis.feed import Cycle, FeedReport, Wave
from outboard.checks.feed import in_words
from outboard.draw.axis import Axis
from outboard.draw.page import MARGIN, WIDE, page
from outboard.draw.placing import spread
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import (
    CURVE,
    DASHED,
    DOTTED,
    FIGURE,
    HAIRLINE,
    HEAVY,
    INK,
    SMALL,
    SOLID,
    THIN,
    Dash,
    ThemeName,
    width,
)
from outboard.quantity import CURRENT, VOLTAGE, shown

__all__ = ["feed_figure", "write"]

LEFT, WORDS = MARGIN + 24.0, 104.0
"""What numbers take at the left, and words at the right [pt]."""

VOLTS, AMPERES, BETWEEN, HEAD, FOOT = 190.0, 78.0, 30.0, 14.0, 26.0
"""Heights of the panels, between them, over them, under them [pt]."""

STROKES = 3.0
"""Between strokes where the stage drops out [pt]."""

LEADER, LINE = 14.0, 23.0
"""From a panel to the words beside it; what a name with a remark beneath takes [pt]."""

TOP = 1.06
CAPTION = (
    "Heavy: the reservoir at its terminals. Thin: the winding, rectified, without load; while diodes conduct, windings "
    "and diodes take the difference. Dashed: the least input at which the stage holds its output at this load, usual "
    "parts, worst ambient; hatched: where the reservoir falls below it and ripple reaches the output. Dotted: means."
)


@dataclass(frozen=True, slots=True)
class Level:
    """A value at the right of a panel: name, reading, a remark beneath, and how it is drawn across."""

    value: float
    name: str
    reading: str
    remark: str = ""
    dash: Dash | None = None


def feed_figure(report: FeedReport, place: int, title: str = "", theme: ThemeName = "light") -> Figure:
    """The figure of one cycle of a report, by its place."""
    cycle, wave = report.cycles[place], report.waves[place]
    lead = in_words(cycle).replace(", ", " · ")
    with settings():
        high = HEAD + VOLTS + BETWEEN + AMPERES + FOOT
        sheet, y = page(title, lead, high, CAPTION, theme, "A cycle of the mains")
        time = Axis(0.0, 1e3 / report.feed.frequency, "ms", rooted=False)
        bottom = y - HEAD - VOLTS
        _draw_voltages(sheet, bottom, time, cycle, wave)
        low = bottom - BETWEEN - AMPERES
        _draw_currents(sheet, low, time, cycle, wave)
        _letter_time(sheet, low, time)
    return sheet.figure


def write(report: FeedReport, place: int, path: str | Path, title: str = "", theme: ThemeName = "light") -> None:
    """Draw one cycle into an .svg or .png."""
    save(feed_figure(report, place, title, theme), path)


def _right() -> float:
    return WIDE - MARGIN - WORDS


def _twice(values: Floats) -> Floats:
    """A half cycle and the next, which is the same."""
    return np.concatenate([values, values[1:]])


def _times(time: Axis, wave: Wave) -> Floats:
    return np.linspace(0.0, time.most, 2 * len(wave.angle) - 1)


def _draw_voltages(sheet: Sheet, bottom: float, time: Axis, cycle: Cycle, wave: Wave) -> None:
    needed = cycle.case.need.voltage
    most = max(float(wave.rectified.max()), needed or 0.0, cycle.peak)
    axis = Axis(0.0, TOP * most, "V", rooted=False)
    axes = _panel(sheet, bottom, VOLTS, time, axis, "voltage, V")
    at, volts = _times(time, wave), _twice(wave.reservoir)
    if needed is not None and cycle.dropped_out:
        _hatch(axes, sheet, at, volts, needed)
    axes.plot(at, _twice(wave.rectified), color=sheet.theme.driver, linewidth=THIN, gid="winding", zorder=2.0)
    axes.plot(at, volts, color=sheet.theme.ink, linewidth=HEAVY, gid="reservoir", zorder=4.0)
    levels = [Level(cycle.valley, "valley", shown(cycle.valley, VOLTAGE, 3)),
              Level(cycle.mean, "mean", shown(cycle.mean, VOLTAGE, 3), "what a meter shows", DOTTED),
              Level(cycle.peak, "peak", shown(cycle.peak, VOLTAGE, 3))]  # fmt: skip
    if needed is not None:
        levels.append(Level(needed, "the stage needs", shown(needed, VOLTAGE, 3), _share(cycle), DASHED))
    _letter_levels(sheet, axes, bottom, VOLTS, axis, levels)
    _letter_curves(sheet, bottom, axis, cycle, wave)


def _hatch(axes: Axes, sheet: Sheet, at: Floats, volts: Floats, needed: float) -> None:
    """A wash where the reservoir is below what is needed, and upright strokes, which every printer shows."""
    colour = sheet.theme.pass_device
    axes.fill_between(at, volts, needed, where=(volts < needed).tolist(), interpolate=True, linewidth=0.0,
                      facecolor=(colour, sheet.theme.wash), gid="drop-out", zorder=1.0)  # fmt: skip
    strokes = np.arange(at[0], at[-1], STROKES / (_right() - LEFT) * (at[-1] - at[0]))
    feet = np.interp(strokes, at, volts)
    below = feet < needed
    axes.vlines(strokes[below], feet[below], needed, color=colour, linewidth=THIN, zorder=1.5)


def _share(cycle: Cycle) -> str:
    share = cycle.dropped_out or 0.0
    return f"drops out {100.0 * share:.2g} % of the time" if share else "never below it"


def _draw_currents(sheet: Sheet, bottom: float, time: Axis, cycle: Cycle, wave: Wave) -> None:
    axis = Axis(0.0, TOP * max(cycle.diode_peak, 1e-3), "A", rooted=False)
    axes = _panel(sheet, bottom, AMPERES, time, axis, "charging current, A")
    axes.plot(_times(time, wave), _twice(wave.charging), color=sheet.theme.ink, linewidth=INK, gid="charging",
              zorder=3.0)  # fmt: skip
    mean = 2.0 * cycle.diode_mean
    _letter_levels(sheet, axes, bottom, AMPERES, axis, [
        Level(cycle.diode_peak, "peak", shown(cycle.diode_peak, CURRENT, 3),
              f"conducts {degrees(cycle.conduction):.0f}° of 180°"),
        Level(mean, "mean", shown(mean, CURRENT, 3), "what is drawn", DOTTED),
    ])  # fmt: skip


def _panel(sheet: Sheet, bottom: float, high: float, time: Axis, axis: Axis, heading: str) -> Axes:
    """Bare axes with numbers at the left and a name over them."""
    ink2, right = sheet.theme.ink2, _right()
    sheet.letter(LEFT, bottom + high + 4.0, heading, CURVE, ink2)
    sheet.rule((LEFT, LEFT), (bottom, bottom + high), ink2)
    sheet.rule((LEFT, right), (bottom, bottom), ink2)
    for tick in axis.ticks(high, 22.0):
        level = bottom + float(axis.share(tick)) * high
        sheet.rule((LEFT, LEFT - 3.5), (level, level), ink2)
        sheet.letter(LEFT - 5.5, level - 2.5, axis.number(tick), SMALL, ink2, "right")
    axes = sheet.panel(LEFT, bottom, right - LEFT, high)
    time.lay(axes, "x")
    axis.lay(axes, "y")
    return axes


def _letter_levels(sheet: Sheet, axes: Axes, bottom: float, high: float, axis: Axis, levels: Sequence[Level]) -> None:
    """Lines across where a level has one, and names with readings at the right, none on another."""
    right, theme = _right(), sheet.theme
    rising = sorted(levels, key=lambda level: level.value)
    heights = [bottom + float(axis.share(level.value)) * high for level in rising]
    rooms = [LINE if level.remark else LINE / 2.0 + 1.0 for level in rising]
    middles = spread(heights, rooms, bottom - 6.0, bottom + high + 8.0)
    for level, height, middle, room in zip(rising, heights, middles, rooms, strict=True):
        if level.dash is not None:
            (line,) = axes.plot([axes.get_xlim()[0], axes.get_xlim()[1]], [level.value] * 2, color=theme.ink,
                                linewidth=THIN if level.dash == DOTTED else INK, zorder=3.0)  # fmt: skip
            line.set_linestyle((0.0, level.dash))
            line.set_gid(f"level-{level.name.replace(' ', '-')}")
        base = middle + room / 2.0 - 8.5
        sheet.rule((right + 1.0, right + 5.0, right + LEADER - 4.0, right + LEADER - 1.0),
                   (height, height, base + 3.0, base + 3.0), theme.ink2, HAIRLINE, SOLID)  # fmt: skip
        sheet.letter(right + LEADER, base, level.name, CURVE)
        sheet.letter(right + LEADER + width(level.name, CURVE) + 4.0, base, level.reading, FIGURE)
        if level.remark:
            sheet.letter(right + LEADER, base - 9.5, level.remark, SMALL, theme.ink2)


def _letter_curves(sheet: Sheet, bottom: float, axis: Axis, cycle: Cycle, wave: Wave) -> None:
    """The names of winding and reservoir at their curves."""
    crest, across = float(wave.rectified.max()), (_right() - LEFT) / (2.0 * pi)
    level = 0.3 * crest
    x = LEFT + asin(0.3) * across + 5.0
    sheet.letter(x, bottom + float(axis.share(level)) * VOLTS - 3.0, "the winding", CURVE, sheet.theme.driver)
    after = wave.angle[(wave.angle > pi / 2.0) & (wave.rectified < wave.reservoir)]
    start = float(after[0]) if after.size else pi / 2.0
    volts = float(np.interp(start, wave.angle, wave.reservoir))
    x = LEFT + start * across + 6.0
    sheet.letter(x, bottom + float(axis.share(volts)) * VOLTS + 5.0, "the reservoir", CURVE)


def _letter_time(sheet: Sheet, bottom: float, time: Axis) -> None:
    """Numbers of the time under the lower panel."""
    ink2, wide = sheet.theme.ink2, _right() - LEFT
    for tick in time.ticks(wide, 40.0):
        x = LEFT + float(time.share(tick)) * wide
        sheet.rule((x, x), (bottom, bottom - 3.5), ink2)
        sheet.letter(x, bottom - 11.5, time.number(tick), SMALL, ink2, "center")
    sheet.letter(_right(), bottom - 23.0, "time, ms", CURVE, ink2, "right")
