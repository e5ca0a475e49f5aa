"""Curves over one axis: panels with hairlines at round values, and words led to from where curves end."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from outboard.draw.placing import spread
from outboard.draw.sheet import Sheet
from outboard.draw.style import CURVE, FIGURE, SMALL, THIN, Dash, width
from outboard.quantity.showing import MINUS

Floats = NDArray[np.float64]

NUMBERS = 6.0
"""From a panel's left edge to the numbers of its scale [pt]."""

LEADER = 13.0
BENEATH = 11.0
AIR = 2.5
UNDER = 12.0
"""What the last number of the axis may reach beyond the words' edge [pt]."""

WORD_GAP = 4.0


@dataclass(frozen=True, slots=True)
class Scale:
    """From least to most, even steps or even ratios; ticks with their numbers."""

    least: float
    most: float
    ticks: tuple[tuple[float, str], ...]
    ratios: bool = False

    def share(self, value: Floats | float) -> Floats:
        """How far along a value lies, 0 to 1."""
        if self.ratios:
            first, last = np.log(self.least), np.log(self.most)
            return np.asarray((np.log(value) - first) / (last - first))
        return np.asarray((np.asarray(value) - self.least) / (self.most - self.least))


@dataclass(frozen=True, slots=True)
class Stroke:
    """Weight, dash and colour of a curve; the first two tell curves apart."""

    weight: float
    dash: Dash
    colour: str


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve with the words at its end: name in italics, reading, a remark beneath; no words where the name is empty.

    dots   points of it that are marked
    """

    xs: Floats
    ys: Floats
    stroke: Stroke
    name: str = ""
    reading: str = ""
    beneath: str = ""
    dots: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Panel:
    """One quantity: its heading and scale, curves, and levels that are marked by a darker hairline."""

    heading: str
    scale: Scale
    curves: tuple[Curve, ...]
    levels: tuple[float, ...] = ()
    drops: tuple[tuple[float, float, float], ...] = field(default=())
    """Upright hairlines: x, and from which to which value."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a panel lies on the sheet [pt]."""

    left: float
    bottom: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width

    @property
    def top(self) -> float:
        """Its upper edge."""
        return self.bottom + self.height


def round_scale(least: float, most: float, length: float, apart: float, unit: float = 1.0) -> Scale:
    """Even steps with ticks at ones, twos and fives whose numbers, in `unit`, stand so far apart [pt]."""
    step = (most - least) * apart / length / unit
    size = 10.0 ** np.floor(np.log10(step))
    step = float(next(size * one for one in (1.0, 2.0, 5.0, 10.0) if size * one >= step * (1.0 - 1e-9)))
    first, last = int(np.ceil(least / unit / step - 1e-9)), int(np.floor(most / unit / step + 1e-9))
    decimals = max(0, -int(np.floor(np.log10(step) + 1e-9)))
    ticks = tuple((k * step * unit, f"{k * step:.{decimals}f}".replace("-", MINUS)) for k in range(first, last + 1))
    return Scale(least, most, ticks)


def draw_panel(sheet: Sheet, place: Place, panel: Panel, across: Scale, name: str, words: bool = True) -> None:
    """A panel with its scale, levels, curves and the words beside them; `name` begins the ids of its curves."""
    axes = sheet.panel(place.left, place.bottom, place.width, place.height)
    axes.set_xlim(0.0, 1.0)
    axes.set_ylim(0.0, 1.0)
    theme = sheet.theme
    if panel.heading:
        sheet.letter(place.left - NUMBERS - 18.0, place.top + 9.0, panel.heading, CURVE)
    for value, number in panel.scale.ticks:
        y = place.bottom + float(panel.scale.share(value)) * place.height
        sheet.rule((place.left, place.right), (y, y), theme.hairline)
        sheet.letter(place.left - NUMBERS, y - 2.6, number, SMALL, theme.ink2, "right")
    for value in panel.levels:
        share = float(panel.scale.share(value))
        if 0.0 <= share <= 1.0:
            y = place.bottom + share * place.height
            sheet.rule((place.left, place.right), (y, y), theme.ink2, THIN)
    sheet.rule((place.left, place.right), (place.bottom, place.bottom), weight=THIN)
    for x, first, last in panel.drops:
        at = place.left + float(across.share(x)) * place.width
        ends = [place.bottom + float(panel.scale.share(value)) * place.height for value in (first, last)]
        sheet.rule((at, at), ends, theme.ink2, THIN)
    for place_of, curve in enumerate(panel.curves):
        axes.plot(across.share(curve.xs), panel.scale.share(curve.ys), color=curve.stroke.colour,
                  linewidth=curve.stroke.weight, gid=f"{name}-{place_of}",
                  linestyle=(0, curve.stroke.dash) if curve.stroke.dash else "solid")  # fmt: skip
        for x, y in curve.dots:
            axes.plot([float(across.share(x))], [float(panel.scale.share(y))], "o", markersize=4.2,
                      color=curve.stroke.colour, markeredgecolor=theme.paper, markeredgewidth=0.7,
                      clip_on=False)  # fmt: skip
    if words:
        _draw_words(sheet, place, panel, across)


def _end(curve: Curve, across: Scale, scale: Scale) -> tuple[float, float]:
    """Where a curve leaves the panel or ends, as shares."""
    xs, ys = across.share(curve.xs), scale.share(curve.ys)
    seen = np.flatnonzero(np.isfinite(ys) & (xs >= -1e-9) & (xs <= 1.0 + 1e-9) & (ys >= 0.0) & (ys <= 1.0))
    if not len(seen):
        return 1.0, 0.5
    return float(xs[seen[-1]]), float(ys[seen[-1]])


def _draw_words(sheet: Sheet, place: Place, panel: Panel, across: Scale) -> None:
    """Names and readings, each led to from where its curve ends, none on another."""
    named = sorted((curve for curve in panel.curves if curve.name), key=lambda one: _end(one, across, panel.scale)[1])
    if not named:
        return
    ends = [_end(curve, across, panel.scale) for curve in named]
    heights = [CURVE.line + (BENEATH if curve.beneath else 0.0) + AIR for curve in named]
    middles = spread([place.bottom + y * place.height for _, y in ends], heights, place.bottom - 2.0, place.top + 4.0)
    at = place.right + LEADER
    for curve, (x, y), middle, high in zip(named, ends, middles, heights, strict=True):
        base = middle + 0.5 * high - CURVE.size
        end, level = place.left + x * place.width, place.bottom + y * place.height
        sheet.rule((end, place.right + 2.0, at - 3.0), (level, level, base + 2.8))
        sheet.letter(at, base, curve.name, CURVE)
        if curve.reading:
            sheet.letter(at + width(curve.name, CURVE) + WORD_GAP, base, curve.reading, FIGURE)
        if curve.beneath:
            sheet.letter(at, base - BENEATH, curve.beneath, SMALL, sheet.theme.ink2)


def draw_across(sheet: Sheet, place: Place, across: Scale, heading: str) -> None:
    """The axis that panels share, beneath the lowest: ticks, numbers, what it is."""
    for value, number in across.ticks:
        x = place.left + float(across.share(value)) * place.width
        sheet.rule((x, x), (place.bottom, place.bottom - 3.5), weight=THIN)
        sheet.letter(x, place.bottom - 12.0, number, SMALL, sheet.theme.ink2, "center")
    if heading:
        sheet.letter(place.right + LEADER + UNDER, place.bottom - 12.0, heading, CURVE)
