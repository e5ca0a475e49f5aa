"""Steps over time: what the output does, and what load and devices carry meanwhile.

Each step has its own time: it begins at nothing and is shown until the output has settled. Dip and overshoot are dots,
named above; two stronger hairlines are what was promised of the output.
"""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure

from outboard.analysis.step import OFF, START, Step, Steps
from outboard.arrangements.design import Design
from outboard.checks.responding import band, in_words
from outboard.draw.page import MARGIN, WIDE, page
from outboard.draw.panels import Curve, Panel, Place, Scale, Stroke, draw_across, draw_panel, round_scale
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import CURVE, DASHED, DASHES, DOTTED, HEAVY, INK, SMALL, SOLID, THIN, Theme, ThemeName
from outboard.quantity import CURRENT, TIME, VOLTAGE, shown

__all__ = ["steps_figure", "write"]

VOLTS_LEFT, VOLTS_WIDE = MARGIN + 26.0, 176.0
AMPERES_LEFT = VOLTS_LEFT + VOLTS_WIDE + 40.0
WORDS = 84.0
HIGH, HEAD, FOOT = 74.0, 44.0, 20.0

SHOWN = 1.6
"""Until the output has settled so many times over."""

BEFORE = 0.08
"""Share of the shown time that lies before the step."""

WIDEST = 4.0
"""The promised band is shown while it is no wider than so many times what the output does."""

SEEN = 1e-4
"""A dip or an overshoot below this is not named [V]."""

LEAST_AMPERES = 0.2
"""Below this currents are written in milliamperes."""

TRIFLING = 0.05
"""A dip this share of the overshoot, or the other way round, is not named."""

CARRIES = 0.01
"""A device that never carries this share of the greatest current is not drawn."""

CAPTION = (
    "Usual devices at usual ambient and bandwidth; temperatures as before each step. Stronger hairlines: the promised "
    "tolerance of the output, where it is near. Dots: lowest and highest output of a step. Currents beside their "
    "devices: the greatest on the way."
)


def steps_figure(
    design: Design, found: Steps, title: str = "", theme: ThemeName = "light", most: int | None = None
) -> Figure:
    """The figure, a row for each step at the usual bandwidth, so many at most."""
    rows = [one for one in found.steps if one.end == "usual"][:most]
    with settings():
        sheet, y = page(title, "What steps do", len(rows) * (HEAD + HIGH + FOOT), CAPTION, theme, "Steps")
        strokes = _strokes(design, sheet.theme)
        for number, one in enumerate(rows):
            _draw_row(sheet, y, design, one, strokes, number)
            y -= HEAD + HIGH + FOOT
    return sheet.figure


def write(design: Design, found: Steps, path: str | Path, title: str = "", theme: ThemeName = "light") -> None:
    """The figure into a file, .svg or .png; OSError where it cannot be written."""
    save(steps_figure(design, found, title, theme), path)


def _draw_row(sheet: Sheet, y: float, design: Design, one: Step, strokes: Mapping[str, Stroke], number: int) -> None:
    sheet.letter(MARGIN, y - 12.0, f"{in_words(one)} in {shown(one.change.edge, TIME, 3)}", CURVE)
    sheet.letter(MARGIN, y - 23.0, _readings(design, one), SMALL, sheet.theme.ink2)
    across, unit = _time(one)
    bottom = y - HEAD - HIGH
    here = _inside(one, across)
    volts = Place(VOLTS_LEFT, bottom, VOLTS_WIDE, HIGH)
    amperes = Place(AMPERES_LEFT, bottom, WIDE - MARGIN - WORDS - AMPERES_LEFT, HIGH)
    draw_panel(sheet, volts, _voltage(design, one, here, sheet.theme), across, f"step-{number}-volts", words=False)
    draw_panel(sheet, amperes, _currents(one, here, strokes), across, f"step-{number}-amperes")
    draw_across(sheet, volts, across, "")
    draw_across(sheet, amperes, across, unit)
    sheet.letter(volts.left - 6.0, volts.top + 9.0, "V", CURVE, align="right")
    sheet.letter(amperes.left - 6.0, amperes.top + 9.0, _unit(one, here)[1], CURVE, align="right")


def _readings(design: Design, one: Step) -> str:
    """Dip, overshoot, and since when it is back."""
    words = []
    if one.change.name == OFF:
        words.append("the output goes with the input")
    elif one.change.name == START:
        words += [f"rises to {shown(one.ended, VOLTAGE, 4)}"]
    elif one.dip > max(SEEN, TRIFLING * one.overshoot):
        words.append(f"dip {shown(one.dip, VOLTAGE, 3)} at {shown(one.lowest[1], TIME, 2)}")
    if one.overshoot > max(SEEN, TRIFLING * one.dip) and one.change.name != OFF:
        words.append(f"overshoot {shown(one.overshoot, VOLTAGE, 3)} at {shown(one.highest[1], TIME, 2)}")
    if one.broken:
        return " · ".join([*words, one.broken])
    words.append(f"settled from {shown(one.settled, TIME, 3)}")
    back = one.outside(*band(design))
    if one.change.name != OFF and back > 0.0:
        words.append(f"in its tolerance from {shown(back, TIME, 3)}")
    return " · ".join(words)


def _time(one: Step) -> tuple[Scale, str]:
    """From a little before the step until the output has settled; the unit of its numbers."""
    end = min(float(one.times[-1]), max(SHOWN * one.settled, 1.5 * one.change.edge))
    begin = max(float(one.times[0]), -BEFORE * end)
    units = ((1e-9, "ns"), (1e-6, "µs"), (1e-3, "ms"))
    factor, unit = next((pair for pair in units if end < 1000.0 * pair[0]), (1.0, "s"))
    return round_scale(begin, end, VOLTS_WIDE, 26.0, factor), unit


def _inside(one: Step, across: Scale) -> slice:
    """The points that are shown, one beyond at either side."""
    first = max(0, int(np.searchsorted(one.times, across.least)) - 1)
    last = int(np.searchsorted(one.times, across.most)) + 1
    return slice(first, min(last + 1, len(one.times)))


def _voltage(design: Design, one: Step, here: slice, theme: Theme) -> Panel:
    ys = one.output[here]
    low, high = float(ys.min()), float(ys.max())
    limits = band(design)
    levels: tuple[float, ...] = ()
    if np.isfinite(limits[0]) and limits[1] - limits[0] <= WIDEST * max(high - low, 1e-9):
        low, high, levels = min(low, limits[0]), max(high, limits[1]), limits
    room = 0.08 * max(high - low, 1e-3)
    scale = round_scale(low - room, high + room, HIGH, 15.0)
    named = [(one.lowest, one.dip, one.overshoot), (one.highest, one.overshoot, one.dip)]
    dots = tuple((time, value) for (value, time), size, other in named
                 if size > max(SEEN, TRIFLING * other) and one.change.name not in (START, OFF))  # fmt: skip
    dots = tuple((time, value) for time, value in dots if time <= one.times[here][-1])
    return Panel("", scale, (Curve(one.times[here], ys, Stroke(INK, SOLID, theme.ink), dots=dots),), levels)


def _currents(one: Step, here: slice, strokes: Mapping[str, Stroke]) -> Panel:
    most = max(float(values[here].max()) for values in one.currents.values()) or 1.0
    curves = []
    for name, values in one.currents.items():
        peak = float(values[here].max())
        if peak >= CARRIES * most:
            curves.append(Curve(one.times[here], values[here], strokes[name], name, shown(peak, CURRENT, 3)))
    return Panel("", round_scale(0.0, 1.08 * most, HIGH, 15.0, _unit(one, here)[0]), tuple(curves))


def _unit(one: Step, here: slice) -> tuple[float, str]:
    """In what currents are written."""
    most = max(float(values[here].max()) for values in one.currents.values())
    return (1.0, "A") if most >= LEAST_AMPERES else (1e-3, "mA")


def _strokes(design: Design, theme: Theme) -> Mapping[str, Stroke]:
    """The load dotted, regulators thin, drivers dashed, pass devices heavy, all others thin and dashed."""
    found = {"load": Stroke(THIN, DOTTED, theme.ink2)}
    counted: dict[str, int] = {}
    for part in design.parts:
        number = counted.get(part.role, 0)
        counted[part.role] = number + 1
        dash = DASHES[number % len(DASHES)]
        if part.part.kind == "regulator":
            found[part.name] = Stroke(INK, dash, theme.regulator)
        elif part.role == "driver":
            found[part.name] = Stroke(INK, DASHED, theme.driver)
        elif part.part.kind in ("bipolar", "mosfet"):
            found[part.name] = Stroke(HEAVY, dash, theme.pass_device)
        else:
            found[part.name] = Stroke(THIN, DASHED, theme.ink2)
    return found
