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
BETWEEN, FOOT = 24.0, 22.0

FAINTEST = 1e-3
"""Loop gain below this is not drawn."""

CAPTION = (
    "Usual devices at usual input, ambient and bandwidth; temperatures held. Dot: the loop gain passes one; hairline from "
    "it to half a turn: phase margin. Thin and dashed the least load, thick the most."
)


def response_figure(answered: Response, title: str = "", theme: ThemeName = "light") -> Figure:
    """The figure, one curve for each load at the usual bandwidth."""
    shown_ = [one for one in answered.usual if one.is_solved]
    loops = [one for one in shown_ if len(one.loop)]
    with settings():
        high = sum(HEIGHTS) + BETWEEN * len(HEIGHTS) + FOOT
        sheet, y = page(title, lead(shown_), high, CAPTION, theme, "Small signals over frequency")
        across = Scale(LOWEST, HIGHEST, tuple((10.0**k, _decade(k)) for k in range(0, 9, 2)), ratios=True)
        made = (
            _gain(loops, sheet.theme), _phase(loops, sheet.theme), _impedance(shown_, sheet.theme),
            _ripple(shown_, sheet.theme),
        )  # fmt: skip
        place = Place(LEFT, y, WIDE - MARGIN - WORDS - LEFT, 0.0)
        for panel, height, name in zip(made, HEIGHTS, ("gain", "phase", "impedance", "ripple"), strict=True):
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
    at = f"{_ampere(one.load)}, crossover {_hertz(one.margins.crossover or 0.0)}"
    return f"It does not swing; least phase margin {margin:.0f}° at {at}"


def strokes(count: int, theme: Theme) -> tuple[Stroke, ...]:
    """Least load thin and dashed, usual thin, most thick."""
    found = (Stroke(INK, (5.0, 2.0), theme.driver), Stroke(INK, SOLID, theme.ink),
             Stroke(HEAVY, SOLID, theme.pass_device))  # fmt: skip
    return {1: found[1:2], 2: (found[0], found[2])}.get(count, found)


def _curves(answers: Sequence[Answer], theme: Theme) -> list[tuple[Answer, Stroke]]:
    return list(zip(answers, strokes(len(answers), theme), strict=True))


def _gain(answers: Sequence[Answer], theme: Theme) -> Panel:
    curves, most, drops = [], 20.0, []
    for one, stroke in _curves(answers, theme):
        size = np.abs(one.loop)
        ys = np.where(size > FAINTEST, 20.0 * np.log10(size), np.nan)
        most = max(most, float(np.nanmax(ys)))
        crossover = one.margins.crossover
        beneath = "never passes one" if crossover is None else f"crossover {_hertz(crossover)}"
        dots = () if crossover is None else ((crossover, 0.0),)
        curves.append(Curve(FREQUENCIES, ys, stroke, _ampere(one.load), "", beneath, dots))
        drops += [] if crossover is None else [(crossover, 0.0, -60.0)]
    top = 20.0 * np.ceil(most / 20.0)
    ticks = tuple((value, _number(value)) for value in np.arange(-60.0, top + 1.0, 40.0 if top > 60.0 else 20.0))
    return Panel("loop gain, dB", Scale(-60.0, float(top), _with_nothing(ticks)), tuple(curves), (0.0,), tuple(drops))


def _with_nothing(ticks: tuple[tuple[float, str], ...]) -> tuple[tuple[float, str], ...]:
    """The ticks, 0 among them and its nearest neighbours left out where they would touch it."""
    far = [one for one in ticks if abs(one[0]) >= 30.0 or one[0] == 0.0]
    return tuple(sorted({*far, (0.0, "0")}))


def _phase(answers: Sequence[Answer], theme: Theme) -> Panel:
    curves, least, most, drops = [], -HALF_TURN, 0.0, []
    for one, stroke in _curves(answers, theme):
        ys = np.where(np.abs(one.loop) > FAINTEST, one.phase, np.nan)
        least, most = min(least, float(np.nanmin(ys))), max(most, float(np.nanmax(ys)))
        crossover, margin = one.margins.crossover, one.margins.phase
        if crossover is None or margin is None:
            curves.append(Curve(FREQUENCIES, ys, stroke, _ampere(one.load), "", "no margin to take"))
            continue
        there = float(np.interp(np.log(crossover), np.log(FREQUENCIES), one.phase))
        drops.append((crossover, there, -HALF_TURN))
        reading = f"{margin:.0f}°".replace("-", MINUS)
        curves.append(Curve(FREQUENCIES, ys, stroke, _ampere(one.load), reading, "phase margin",
                            ((crossover, there),)))  # fmt: skip
    first, last = 90.0 * np.floor(least / 90.0 - 1e-6), 90.0 * np.ceil(most / 90.0)
    ticks = tuple((value, f"{_number(value)}°") for value in np.arange(first, last + 1.0, 90.0))
    return Panel("phase of the loop gain", Scale(float(first), float(last), ticks), tuple(curves), (-HALF_TURN,),
                 tuple(drops))  # fmt: skip


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
