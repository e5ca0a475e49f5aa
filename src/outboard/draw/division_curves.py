"""Inside one panel of a division: scale, curves, the wash between cold and hot, and the words beside them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from outboard.analysis.curves import Device, Division
from outboard.draw.axis import Axis
from outboard.draw.division_layout import ABOVE, BENEATH, COLUMN_GAP, MARGIN, WORD_GAP, Layout, block_height
from outboard.draw.division_panels import Panel
from outboard.draw.placing import spread
from outboard.draw.sheet import Sheet
from outboard.draw.style import (
    CURVE,
    DASHED,
    DASHES,
    DOTTED,
    FIGURE,
    HAIRLINE,
    HEAVY,
    INK,
    SMALL,
    THIN,
    Dash,
    Theme,
    width,
)

APART = 12.5
"""Between the numbers of a scale [pt]."""

DOT = 3.8
EDGED = 0.1
"""A wash wider than this share of the axis gets edges; beside a narrow one they would only blur the curve.

Wide washes lie over each other, so each is the thinner the more there are.
"""

HATCH = "////"
LIMITING = ("sense transistor", "limiter")


@dataclass(frozen=True, slots=True)
class Stroke:
    """How the curve of a device is drawn; weight and dash alone tell devices apart, colour comes on top."""

    weight: float
    dash: Dash
    colour: str


def strokes(devices: Sequence[Device], theme: Theme) -> Mapping[str, Stroke]:
    """Regulators thin, drivers dashed, pass devices heavy, what limits them dash and dot; a second one of its role
    in another dash."""
    found: dict[str, Stroke] = {}
    counted: dict[str, int] = {}
    for device in devices:
        number = counted.setdefault(device.role, 0)
        counted[device.role] += 1
        dash = DASHES[number % len(DASHES)]
        if device.kind == "regulator":
            found[device.name] = Stroke(INK, dash, theme.regulator)
        elif device.role == "driver":
            found[device.name] = Stroke(INK, DASHED if number == 0 else dash, theme.driver)
        elif device.role in LIMITING:
            found[device.name] = Stroke(INK, DASHES[(number + 2) % len(DASHES)], theme.pass_device)
        else:
            found[device.name] = Stroke(HEAVY, dash, theme.pass_device)
    return found


def draw_panel(sheet: Sheet, layout: Layout, number: int, panel: Panel, division: Division, load: Axis) -> None:
    """Everything that belongs to one panel."""
    axes = sheet.panel(layout.left, layout.bottoms[number], layout.width, layout.heights[number])
    load.lay(axes, "x")
    panel.axis.lay(axes, "y")
    _draw_scale(sheet, layout, number, panel)
    _draw_gaps(sheet, axes, division)
    if panel.key == "current":
        loads = division.curve("usual").load
        axes.plot(loads, loads, color=sheet.theme.ink2, linewidth=THIN, linestyle=(0, DOTTED), gid="division-load")
    for name, stroke in strokes(division.devices, sheet.theme).items():
        _draw_device(sheet, axes, division, panel, name, stroke)
    _draw_blocks(sheet, layout, number, panel, load)


def _draw_scale(sheet: Sheet, layout: Layout, number: int, panel: Panel) -> None:
    """Heading, hairlines at round values, and their numbers."""
    bottom, height = layout.bottoms[number], layout.heights[number]
    sheet.letter(MARGIN, bottom + height + ABOVE + 2.0, panel.heading, CURVE)
    for value in panel.axis.ticks(height, APART):
        y = bottom + float(panel.axis.share(value)) * height
        sheet.rule((layout.left, layout.right), (y, y), sheet.theme.hairline)
        sheet.letter(layout.left - COLUMN_GAP, y - 2.6, panel.axis.number(value), SMALL, sheet.theme.ink2, "right")
    sheet.rule((layout.left, layout.right), (bottom, bottom), weight=THIN)


def _draw_gaps(sheet: Sheet, axes: Axes, division: Division) -> None:
    """Hatching over loads at which some condition has no operating point."""
    curves = [division.curve(word) for word in division.conditions]
    load = curves[0].load
    missing = ~np.all([curve.solved for curve in curves], axis=0)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], missing, [False]]).astype(int))).reshape(-1, 2)
    for first, after in edges:
        start, end = load[max(first - 1, 0)], load[min(after, len(load) - 1)]
        axes.axvspan(start, end, facecolor="none", edgecolor=sheet.theme.hairline, hatch=HATCH, linewidth=0.0)


def _draw_device(sheet: Sheet, axes: Axes, division: Division, panel: Panel, name: str, stroke: Stroke) -> None:
    """Wash between the extremes with thin edges, the usual curve over it, a dot at full load."""
    words = division.conditions
    load = division.curve("usual").load
    first, last = (panel.curves[name, word] for word in (words[0], words[-1]))
    apart = np.abs(panel.axis.share(first) - panel.axis.share(last))
    wide = bool(np.any(apart > EDGED))
    wash = sheet.theme.wash * (min(1.0, 1.5 / len(division.devices)) if wide else 1.0)
    if len(words) > 1:
        axes.fill_between(load, first, last, color=stroke.colour, alpha=wash, linewidth=0.0)
    for word in words:
        if word != "usual" and wide:
            axes.plot(load, panel.curves[name, word], color=stroke.colour, linewidth=HAIRLINE,
                      gid=f"division-{panel.key}-{name}-{word}")  # fmt: skip
    usual = panel.curves[name, "usual"]
    axes.plot(load, usual, color=stroke.colour, linewidth=stroke.weight, gid=f"division-{panel.key}-{name}-usual",
              linestyle=(0, stroke.dash) if stroke.dash else "solid")  # fmt: skip
    for word, down in ((word, down) for (device, word), down in panel.ways_down.items() if device == name):
        axes.plot(load, down, color=stroke.colour, linewidth=THIN, linestyle=(0, DOTTED),
                  gid=f"division-{panel.key}-{name}-{word}-down")  # fmt: skip
    full = int(np.argmin(np.abs(load - division.promised.most)))
    axes.plot(load[full : full + 1], usual[full : full + 1], "o", markersize=DOT, color=stroke.colour,
              markeredgecolor=sheet.theme.paper, markeredgewidth=0.7, clip_on=False)  # fmt: skip


def _draw_blocks(sheet: Sheet, layout: Layout, number: int, panel: Panel, load: Axis) -> None:
    """Names with readings at full load, each led to from where its curve ends."""
    bottom, height = layout.bottoms[number], layout.heights[number]
    heights = [block_height(block) for block in panel.blocks]
    middles = spread([bottom + block.at * height for block in panel.blocks], heights, bottom, bottom + height)
    for block, middle, high in zip(panel.blocks, middles, heights, strict=True):
        base = middle + 0.5 * high - CURVE.size
        if block.ends is not None:
            y = bottom + block.at * height
            end = layout.left + float(load.share(block.ends)) * layout.width
            sheet.rule((end, layout.right + 3.0, layout.words - 3.0), (y, y, base + 2.8))
        sheet.letter(layout.words, base, block.name, CURVE)
        sheet.letter(layout.words + width(block.name, CURVE) + WORD_GAP, base, block.reading, FIGURE)
        if block.beneath:
            sheet.letter(layout.words, base - BENEATH, block.beneath, SMALL, sheet.theme.ink2)
