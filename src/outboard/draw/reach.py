"""How far a design holds, as maps of load × input: one of all requirements at once, and one of each that is tight.

As on a map of heights: thin lines of equal margin, a heavy one where it is nothing. Where a requirement holds the
paper is tinted; where it fails it is hatched, where it is undecided it is dotted, where nothing settles it is
cross-hatched.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from outboard.checks.reach import Floats, Mapped, Reach
from outboard.draw.axis import Axis
from outboard.draw.page import GAP, MARGIN, WIDE, lines, page
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import (
    CURVE,
    DASHED,
    FIGURE,
    HAIRLINE,
    HEAVY,
    INK,
    SMALL,
    TEXT,
    ThemeName,
    folded,
)
from outboard.quantity import CURRENT, POWER, TEMPERATURE_DIFFERENCE, VOLTAGE, Dimension, shown

__all__ = ["reach_figure", "write"]

COLUMNS, BETWEEN, LETTERED = 2, 22.0, 26.0
"""Maps side by side, what lies between them, and what the numbers of the input take at the left of each [pt]."""

BROAD = (WIDE - 2.0 * MARGIN - BETWEEN) / COLUMNS
HIGH, FOOT = 104.0, 28.0
"""Of a map, and of the numbers and the word below it [pt]."""

MOST = 7
"""Requirements with a map of their own, those with an edge first; the others are named below them."""

LINES, FURTHER = 5, 3
"""Lines of equal margin within the promise at the most, and how many more on either side of what lies there."""

CLOSEST = 1.8
"""Lines of equal margin closer than this are left out [pt]."""

FLAT = 0.02
"""Margins within the promise that differ by no more than this share of the largest get no lines."""

Masked = np.ma.MaskedArray[tuple[int, ...], np.dtype[np.float64]]

UNITS: dict[str, Dimension] = {"V": VOLTAGE, "A": CURRENT, "W": POWER, "°C": TEMPERATURE_DIFFERENCE}
HATCHES = {"fails": "/////", "runs away": "xxxxx", "undecided": "....."}
CAPTION = (
    "Margins at the worst ambient and the worst tolerances. Heavy line: margin nothing. Thin lines: equal margins, "
    "save where they would run together. Tinted: holds. Hatched: fails. Dotted: undecided. Cross-hatched: thermal "
    "runaway. Dashed frame: what was promised; the mark in it: where the margin is least, a disc if it holds there, a "
    "square if it fails. Where something is started or released, the load is the one that it starts into or is "
    "released from."
)


def reach_figure(found: Reach, title: str = "", theme: ThemeName = "light") -> Figure:
    """The figure; as high as its maps and the names below them need."""
    chosen = sorted((one for one in found.ordered if found.least(one) is not None), key=lambda one: one.holds.all())
    chosen = chosen[:MOST]
    panels = [found.together, *chosen]
    rows = [panels[start : start + COLUMNS] for start in range(0, len(panels), COLUMNS)]
    named = [line for words in _others(found, chosen) for line in folded(words, TEXT, WIDE - 2.0 * MARGIN)]
    high = sum(_row_height(found, row) for row in rows) + TEXT.line * len(named)
    with settings():
        sheet, y = page(title, _lead(found), high, CAPTION, theme, "How far it holds")
        for row in rows:
            for column, one in enumerate(row):
                _draw_map(sheet, MARGIN + column * (BROAD + BETWEEN), y, _head(found, row), found, one)
            y -= _row_height(found, row)
        lines(sheet, y, named, TEXT)
    return sheet.figure


def write(found: Reach, path: str | Path, title: str = "", theme: ThemeName = "light") -> None:
    """Draw the maps into an .svg or .png."""
    save(reach_figure(found, title, theme), path)


def _lead(found: Reach) -> str:
    """How far everything holds."""
    together = found.together
    if together.missing:
        return "How far it holds: no requirement can be decided"
    most, span = found.most_load(together), found.input_span(together)
    if span is None:
        least = found.least(together)
        if least is None or least.margin >= 0.0:
            return "Not decided everywhere within what was promised"
        held = "" if most is None else f"; holds to {shown(most, CURRENT, 3)} at all promised inputs"
        return f"Fails within what was promised{held}"
    more = " or more" if most == found.loads[-1] else ""
    low = f"{_volts(span[0])}{' or less' if span[0] == found.inputs[0] else ''}"
    high = f"{_volts(span[1])}{' or more' if span[1] == found.inputs[-1] else ''}"
    return f"Holds to {shown(most or 0.0, CURRENT, 3)}{more} at all promised inputs, at {low} to {high} at all loads"


def _volts(value: float) -> str:
    return shown(value, VOLTAGE, 3)


def _others(found: Reach, chosen: Sequence[Mapped]) -> Iterator[str]:
    """Those without a map of their own, by name."""
    others = [one for one in found.ordered if one not in chosen and found.least(one) is not None]
    everywhere = [one.title for one in others if one.holds.all()]
    partly = [one.title for one in others if not one.holds.all()]
    silent = [one.title for one in found.ordered if found.least(one) is None]
    if everywhere:
        yield f"Hold everywhere on the map: {'; '.join(everywhere)}."
    if partly:
        yield f"Have an edge on the map too: {'; '.join(partly)}."
    if silent:
        yield f"Undecided, so without a map: {'; '.join(silent)}."


def _titles(one: Mapped) -> list[str]:
    return folded(one.title, FIGURE, BROAD)


def _words(found: Reach, one: Mapped) -> list[str]:
    """What is least and where, and how far the lines are apart."""
    least, step = found.least(one), _step(found, one)
    if least is None:
        return folded("undecided within what was promised", SMALL, BROAD)
    at = f"at {_volts(least.input_voltage)} in · {shown(least.load, CURRENT, 3)}".replace(" ", "\u00a0")
    if not one.unit:
        weakest = found.weakest(least)
        return folded(f"weakest {at}: {weakest.title if weakest else ''}", SMALL, BROAD)
    told = f"least {_margin(one, least.margin)}".replace(" ", "\u00a0")
    every = f"; a\u00a0line\u00a0every\u00a0{_margin(one, step)}".replace(" ", "\u00a0") if step else ""
    return folded(f"{told} {at}{every}".replace(";\u00a0", "; "), SMALL, BROAD)


def _margin(one: Mapped, value: float) -> str:
    return shown(value, UNITS[one.unit], 3) if one.unit in UNITS else f"{value:.3g} {one.unit}".replace("-", "−")


def _head(found: Reach, row: Sequence[Mapped]) -> float:
    return max(FIGURE.line * len(_titles(one)) + SMALL.line * len(_words(found, one)) for one in row) + 4.0


def _row_height(found: Reach, row: Sequence[Mapped]) -> float:
    return _head(found, row) + HIGH + FOOT + GAP


def _step(found: Reach, one: Mapped) -> float | None:
    """A round distance of equal margins that makes no more than LINES of them within the promise; None where nothing
    slopes, and for all requirements at once, which have no unit."""
    inside = one.margins[found.promised]
    known = inside[np.isfinite(inside)]
    wide = float(np.ptp(known)) if known.size else 0.0
    if not one.unit or not wide or wide <= FLAT * float(np.abs(known).max()):
        return None
    exponent = int(np.floor(np.log10(wide / LINES)))
    sizes = (float(f"{size}e{exponent}") for size in (1, 2, 5, 10))
    return next(size for size in sizes if size * LINES >= wide)


def _draw_map(sheet: Sheet, left: float, y: float, head: float, found: Reach, one: Mapped) -> None:
    """Title, words, the map with its numbers."""
    base = y - FIGURE.size
    for line in _titles(one):
        sheet.letter(left, base, line, FIGURE)
        base -= FIGURE.line
    for line in _words(found, one):
        sheet.letter(left, base, line, SMALL, sheet.theme.ink2)
        base -= SMALL.line
    across, up = Axis(float(found.loads[0]), float(found.loads[-1]), "A", False), _upwards(found)
    corner, wide = (left + LETTERED, y - head - HIGH), BROAD - LETTERED
    axes = sheet.panel(*corner, wide, HIGH)
    across.lay(axes, "x")
    up.lay(axes, "y")
    _lay_grounds(axes, sheet, found, one)
    _lay_lines(axes, sheet, found, one)
    _lay_promise(axes, sheet, found, one)
    _letter_axes(sheet, corner, wide, across, up)


def _upwards(found: Reach) -> Axis:
    return Axis(float(found.inputs[0]), float(found.inputs[-1]), "V", False)


def _lay_grounds(axes: Axes, sheet: Sheet, found: Reach, one: Mapped) -> None:
    """What is undecided, above it what runs away, above that what is known: each covers what is not its own."""
    theme, whole = sheet.theme, (float("-inf"), float("inf"))
    held, failed, open_ = theme.verdicts[0], theme.verdicts[1], theme.verdicts[2]
    name = "reach-" + "-".join(one.title.replace(",", "").split())
    frame = Rectangle((0.0, 0.0), 1.0, 1.0, transform=axes.transAxes, facecolor=theme.paper, edgecolor=open_,
                      hatch=HATCHES["undecided"], linewidth=0.0, zorder=0.0)  # fmt: skip
    axes.add_patch(frame)
    decided = np.where(found.undecided(one), np.nan, 0.0)
    _fill(axes, found, decided, whole, theme.paper, (theme.heat, HATCHES["runs away"]), 1.0, None)
    _fill(axes, found, one.margins, whole, theme.paper, None, 2.0, None)
    _fill(axes, found, one.margins, (0.0, float("inf")), (held, theme.wash), None, 3.0, f"{name}-holds")
    _fill(axes, found, one.margins, (float("-inf"), 0.0), theme.paper, (failed, HATCHES["fails"]), 3.0, f"{name}-fails")


def _fill(
    axes: Axes, found: Reach, field: Floats, between: tuple[float, float],
    colour: str | tuple[str, float], hatch: tuple[str, str] | None, above: float, name: str | None,
) -> None:  # fmt: skip
    """Fills where a field lies between two numbers, with a colour and perhaps a hatch of another."""
    known = field[np.isfinite(field)]
    if not known.size or min(field.shape) < 2:
        return
    low, high = max(between[0], float(known.min()) - 1.0), min(between[1], float(known.max()) + 1.0)
    if low >= high:
        return
    with matplotlib.rc_context({"hatch.color": hatch[0] if hatch else "none"}):
        filled = axes.contourf(found.loads, found.inputs, np.ma.masked_invalid(field), levels=[low, high],
                               colors=[colour], hatches=[hatch[1] if hatch else None], zorder=above)  # fmt: skip
    filled.set_linewidth(0.0)
    if hatch:
        filled.set_edgecolor(hatch[0])
    filled.set_gid(name)


def _lay_lines(axes: Axes, sheet: Sheet, found: Reach, one: Mapped) -> None:
    """Lines of equal margin, and the heavy one where it is nothing."""
    known = one.margins[np.isfinite(one.margins)]
    if not known.size or min(one.margins.shape) < 2:
        return
    field = np.ma.masked_invalid(one.margins)
    step = _step(found, one)
    if step is not None:
        inside = one.margins[found.promised]
        low, high = float(np.nanmin(inside)), float(np.nanmax(inside))
        first = int(np.ceil(max(float(known.min()), low - FURTHER * step) / step))
        last = int(np.floor(min(float(known.max()), high + FURTHER * step) / step))
        levels = [number * step for number in range(first, last + 1) if number]
        if levels:
            axes.contour(found.loads, found.inputs, _sloping(field, step), levels=levels, colors=[sheet.theme.ink2],
                         linewidths=HAIRLINE, linestyles="solid", zorder=4.0)  # fmt: skip
    if known.min() < 0.0 <= known.max():
        edge = axes.contour(found.loads, found.inputs, field, levels=[0.0], colors=[sheet.theme.ink],
                            linewidths=HEAVY, linestyles="solid", zorder=5.0)  # fmt: skip
        edge.set_gid("edge-" + "-".join(one.title.replace(",", "").split()))


def _sloping(field: Masked, step: float) -> Masked:
    """The field without its cliffs, where lines of equal margin would lie too close to be told apart."""
    steep = np.zeros(field.shape, dtype=bool)
    for axis, length in ((0, HIGH), (1, BROAD - LETTERED)):
        between = np.nan_to_num(np.abs(np.diff(field.filled(np.nan), axis=axis))) / step
        cliff = between * CLOSEST > length / (field.shape[axis] - 1)
        near = np.zeros((1, field.shape[1]) if axis == 0 else (field.shape[0], 1), dtype=bool)
        steep |= np.concatenate((near, cliff), axis=axis) | np.concatenate((cliff, near), axis=axis)
    return np.ma.masked_where(steep, field)


def _lay_promise(axes: Axes, sheet: Sheet, found: Reach, one: Mapped) -> None:
    """The frame of what was promised, and the place of the least margin within it."""
    (low, high), (least, most) = found.promised_inputs, found.promised_load
    (frame,) = axes.plot([least, most, most, least, least], [low, low, high, high, low], color=sheet.theme.ink,
                         linewidth=INK, clip_on=False, zorder=6.0)  # fmt: skip
    frame.set_linestyle((0.0, DASHED))
    place = found.least(one)
    if place is not None:
        holds = place.margin >= 0.0
        axes.plot([place.load], [place.input_voltage], "o" if holds else "s", markersize=6.5, clip_on=False, zorder=7.0,
                  markerfacecolor=sheet.theme.verdicts[0 if holds else 1], markeredgecolor=sheet.theme.paper,
                  markeredgewidth=1.2)  # fmt: skip


def _letter_axes(sheet: Sheet, corner: tuple[float, float], wide: float, across: Axis, up: Axis) -> None:
    """Numbers along both sides, and what they are."""
    left, bottom = corner
    ink2 = sheet.theme.ink2
    sheet.rule((left, left, left + wide), (bottom + HIGH, bottom, bottom), ink2)
    for tick in across.ticks(wide, 30.0):
        x = left + float(across.share(tick)) * wide
        sheet.rule((x, x), (bottom, bottom - 3.5), ink2)
        sheet.letter(x, bottom - 11.5, across.number(tick), SMALL, ink2, "center")
    for tick in up.ticks(HIGH - 14.0, 20.0):
        level = bottom + float(up.share(tick)) * HIGH
        if level < bottom + HIGH - 12.0:
            sheet.rule((left, left - 3.5), (level, level), ink2)
            sheet.letter(left - 5.5, level - 2.5, up.number(tick), SMALL, ink2, "right")
    sheet.letter(left - 5.5, bottom + HIGH - 6.0, "in, V", CURVE, ink2, "right")
    sheet.letter(left + wide, bottom - 24.0, "load, A", CURVE, ink2, "right")
