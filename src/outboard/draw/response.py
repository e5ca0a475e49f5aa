"""Small signals over frequency: loop gain and its phase, output impedance, what comes through of ripple.

Loads are told apart by weight and dash; where the loop gain passes one there is a dot, and from it a hairline down to
half a turn: the phase margin.
"""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure

from outboard.analysis.response import FREQUENCIES, HALF_TURN, HIGHEST, LOWEST, MAINS_RIPPLE, Answer, Response
from outboard.draw.page import MARGIN, WIDE, page
from outboard.draw.panels import Curve, Panel, Place, Scale, Stroke, draw_across, draw_panel
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import HEAVY, INK, SOLID, Theme, ThemeName
from outboard.quantity import CURRENT, FREQUENCY, RESISTANCE, shown
from outboard.quantity.showing import MINUS

__all__ = ["response_figure", "write"]

LEFT, WORDS = MARGIN + 24.0, 112.0
HEIGHTS = (118.0, 104.0, 96.0, 76.0)
BETWEEN, FOOT = 28.0, 22.0

GAIN_STEP = 40.0
"""Between the numbers of the loop gain [dB]."""

FAINTEST = 1e-3
"""Loop gain below this is not drawn."""

CAPTION = (
    "Usual devices at usual input, ambient and bandwidth; temperatures held. Dot in the upper two: the loop gain "
    "passes one there; hairline from the lowest to half a turn: the least phase margin. Dashed the least load, thick "
    "the most."
)


def response_figure(
    answered: Response, title: str = "", theme: ThemeName = "light", smaller: float = 1.0
) -> Figure:
    """The figure, one curve for each load at the usual bandwidth; panels may be made lower."""
    heights = [smaller * height for height in HEIGHTS]
    shown_ = [one for one in answered.usual if one.is_solved]
    loops = [one for one in shown_ if len(one.loop)]
    with settings():
        high = sum(heights) + BETWEEN * len(heights) + FOOT
        sheet, y = page(title, lead(shown_), high, CAPTION, theme, "Small signals over frequency")
        across = Scale(LOWEST, HIGHEST, tuple((10.0**k, _decade(k)) for k in range(0, 9, 2)), ratios=True)
        made = (
            _gain(loops, sheet.theme), _phase(loops, sheet.theme), _impedance(shown_, sheet.theme),
            _ripple(shown_, sheet.theme),
        )  # fmt: skip
        place = Place(LEFT, y, WIDE - MARGIN - WORDS - LEFT, 0.0)
        for panel, height, name in zip(made, heights, ("gain", "phase", "impedance", "ripple"), strict=True):
            place = Place(LEFT, place.bottom - BETWEEN - height, place.width, height)
            draw_panel(sheet, place, panel, across, f"response-{name}")
            _draw_decades(sheet, place, across)
        draw_across(sheet, place, across, "frequency")
    return sheet.figure


def write(answered: Response, path: str | Path, title: str = "", theme: ThemeName = "light") -> None:
    """The figure into a file, .svg or .png; OSError where it cannot be written."""
    save(response_figure(answered, title, theme), path)


def lead(answers: Sequence[Answer]) -> str:
    """The least margin of these loads in a line."""
    grows = [one for one in answers if one.growing]
    if grows:
        return f"It swings by itself: {_hertz(grows[0].growing[0].frequency)} at {_ampere(grows[0].load)}"
    margins = [(one.margins.phase, one) for one in answers if one.margins.phase is not None]
    if not margins:
        return "How it answers small signals"
    margin, one = min(margins, key=lambda pair: pair[0])
    slow = f", at the usual bandwidth of {_hertz(one.bandwidth)}" if one.bandwidth else ""
    return f"It does not swing; least phase margin {margin:.0f}°, with {_ampere(one.load)}{slow}"


def strokes(count: int, theme: Theme) -> tuple[Stroke, ...]:
    """Least load thin and dashed, usual thin, most thick."""
    found = (Stroke(INK, (5.0, 2.0), theme.driver), Stroke(INK, SOLID, theme.ink),
             Stroke(HEAVY, SOLID, theme.pass_device))  # fmt: skip
    return {1: found[1:2], 2: (found[0], found[2])}.get(count, found)


def _curves(answers: Sequence[Answer], theme: Theme) -> list[tuple[Answer, Stroke]]:
    """The thickest first, so that what lies upon it stays visible."""
    return list(zip(answers, strokes(len(answers), theme), strict=True))[::-1]


def _gain(answers: Sequence[Answer], theme: Theme) -> Panel:
    curves, most = [], 20.0
    for one, stroke in _curves(answers, theme):
        size = np.abs(one.loop)
        ys = np.where(size > FAINTEST, 20.0 * np.log10(size), np.nan)
        most = max(most, float(np.nanmax(ys)))
        crossover = one.margins.crossover
        beneath = "never passes one" if crossover is None else f"crossover {_hertz(crossover)}"
        dots = () if crossover is None else ((crossover, 0.0),)
        curves.append(Curve(FREQUENCIES, ys, stroke, _ampere(one.load), "", beneath, dots))
    top = GAIN_STEP * np.ceil(most / GAIN_STEP)
    ticks = tuple((value, _number(value)) for value in np.arange(-GAIN_STEP, top + 1.0, GAIN_STEP))
    return Panel("loop gain, dB", Scale(-1.5 * GAIN_STEP, float(top), ticks), tuple(curves), (0.0,))


def _phase(answers: Sequence[Answer], theme: Theme) -> Panel:
    curves, least, most = [], -HALF_TURN, 0.0
    margins: list[tuple[float, float, float]] = []
    for one, stroke in _curves(answers, theme):
        ys = np.where(np.abs(one.loop) > FAINTEST, one.phase, np.nan)
        least, most = min(least, float(np.nanmin(ys))), max(most, float(np.nanmax(ys)))
        crossover, margin = one.margins.crossover, one.margins.phase
        if crossover is None or margin is None:
            curves.append(Curve(FREQUENCIES, ys, stroke, _ampere(one.load), "", "no margin to take"))
            continue
        there = float(np.interp(np.log(crossover), np.log(FREQUENCIES), one.phase))
        margins.append((margin, crossover, there))
        reading = f"{margin:.0f}°".replace("-", MINUS)
        curves.append(Curve(FREQUENCIES, ys, stroke, _ampere(one.load), reading, "phase margin",
                            ((crossover, there),)))  # fmt: skip
    first, last = 90.0 * np.floor(least / 90.0), 90.0 * np.ceil(most / 90.0)
    ticks = tuple((value, f"{_number(value)}°") for value in np.arange(first, last + 1.0, 90.0))
    return Panel("phase of the loop gain", Scale(float(first), float(last), ticks), tuple(curves), (-HALF_TURN,),
                 tuple((at, there, -HALF_TURN) for _, at, there in sorted(margins)[:1]))  # fmt: skip


def _impedance(answers: Sequence[Answer], theme: Theme) -> Panel:
    sizes = [np.abs(one.impedance) for one in answers]
    first = int(np.floor(np.log10(min(size.min() for size in sizes))))
    last = int(np.ceil(np.log10(max(size.max() for size in sizes))))
    every = 1 if last - first <= 5 else 2
    ticks = tuple((10.0**k, shown(10.0**k, RESISTANCE, 1)) for k in range(first, last + 1, every))
    curves = []
    for one, stroke in _curves(answers, theme):
        most, where = one.greatest_impedance
        curves.append(Curve(FREQUENCIES, np.abs(one.impedance), stroke, _ampere(one.load), shown(most, RESISTANCE, 3),
                            f"at {_hertz(where)}", ((where, most),)))  # fmt: skip
    return Panel("output impedance", Scale(10.0**first, 10.0**last, ticks, ratios=True), tuple(curves))


def _ripple(answers: Sequence[Answer], theme: Theme) -> Panel:
    curves, levels = [], [-20.0, 0.0]
    for one, stroke in _curves(answers, theme):
        ys = 20.0 * np.log10(np.abs(one.rejected))
        levels += [float(ys.min()), float(ys.max())]
        reading = f"{one.rejection_at(MAINS_RIPPLE[0]):.0f} dB".replace("-", MINUS)
        curves.append(Curve(FREQUENCIES, ys, stroke, _ampere(one.load), reading, f"less at {_hertz(MAINS_RIPPLE[0])}"))
    first, last = max(-160.0, 20.0 * np.floor(min(levels) / 20.0)), 20.0 * np.ceil(max(levels) / 20.0)
    step = 20.0 if last - first <= 80.0 else 40.0
    ticks = tuple((value, _number(value)) for value in np.arange(last, first - 1.0, -step))
    return Panel("ripple that comes through, dB", Scale(float(first), float(last), ticks), tuple(curves))


def _draw_decades(sheet: Sheet, place: Place, across: Scale) -> None:
    """Hairlines at every second decade, as the numbers stand."""
    for value, _ in across.ticks[1:-1]:
        x = place.left + float(across.share(value)) * place.width
        sheet.rule((x, x), (place.bottom, place.top), sheet.theme.hairline)


def _decade(power: int) -> str:
    return shown(10.0**power, FREQUENCY, 1)


def _number(value: float) -> str:
    return f"{value:.0f}".replace("-", MINUS)


def _hertz(value: float) -> str:
    return shown(value, FREQUENCY, 3)


def _ampere(value: float) -> str:
    return shown(value, CURRENT, 3, zeros=False)
