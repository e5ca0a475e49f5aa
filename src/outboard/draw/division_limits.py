"""Hairlines at what regulators are guaranteed to deliver, with words where no curve runs."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from outboard.draw.axis import Axis, Floats
from outboard.draw.division_layout import WORD_GAP, Layout
from outboard.draw.division_panels import Panel
from outboard.draw.division_words import amperes
from outboard.draw.placing import Box
from outboard.draw.sheet import Sheet
from outboard.draw.style import DASHES, SMALL, THIN, width

STEP = 6.0
"""Between places that are tried [pt]."""

OVER, UNDER = 4.0, 9.0
ASCENT, DESCENT = 8.0, 2.2
TOGETHER = 12.5
"""From the hairline to the base line of words over and under it; what they take over and under their base line;
and the distance below which hairlines share their words."""

ON_WORDS, ON_CURVE, ON_HAIRLINE = 100.0, 10.0, 1.0
"""How bad it is to lie on something."""


def draw_guaranteed(
    sheet: Sheet, layout: Layout, load: Axis, loads: Floats, panel: Panel, guaranteed: Mapping[str, float],
    hairlines: Sequence[float],
) -> None:  # fmt: skip
    """A hairline over the panel of the currents for each guaranteed current that is on its axis."""
    curves = [layout.bottoms[0] + panel.axis.share(curve) * layout.heights[0] for curve in panel.curves.values()]
    curves.append(layout.bottoms[0] + panel.axis.share(loads) * layout.heights[0])
    xs = layout.left + load.share(loads) * layout.width
    written: list[Box] = []
    for ys, words in _lines(layout, panel.axis, guaranteed):
        for y in ys:
            sheet.rule((layout.left, layout.right), (y, y), sheet.theme.regulator, THIN, DASHES[-1])
        box, cost = min(
            ((box, _cost(box, written, xs, curves, hairlines)) for box in _places(layout, ys, width(words, SMALL))),
            key=lambda place: place[1],
        )
        sheet.letter(box.left, box.bottom + DESCENT, words, SMALL, backed=ON_HAIRLINE <= cost < ON_CURVE)
        written.append(box)


def _lines(layout: Layout, axis: Axis, guaranteed: Mapping[str, float]) -> Iterator[tuple[list[float], str]]:
    """Heights of hairlines with their words; hairlines between which no words fit share theirs."""
    ys: list[float] = []
    words = ""
    for current in sorted({current for current in guaranteed.values() if 0.0 < current < axis.most}):
        y = layout.bottoms[0] + float(axis.share(current)) * layout.heights[0]
        names = ", ".join(name for name, limit in guaranteed.items() if limit == current)
        if ys and y - ys[-1] < TOGETHER:
            ys, words = [*ys, y], f"{words}, {names} to {amperes(current)}"
        else:
            if ys:
                yield ys, words
            ys, words = [y], f"{names} guaranteed to {amperes(current)}"
    if ys:
        yield ys, words


def _places(layout: Layout, ys: Sequence[float], wide: float) -> Iterator[Box]:
    """Over the hairlines and under them, from the left to the right, within the panel."""
    bottom, top = layout.bottoms[0], layout.top
    for base in (ys[-1] + OVER, ys[0] - UNDER):
        if bottom < base - DESCENT and base + ASCENT < top:
            first = layout.left + WORD_GAP
            for left in np.arange(first, max(layout.right - wide, first + STEP), STEP):
                yield Box(float(left), base - DESCENT, float(left) + wide, base + ASCENT)


def _cost(box: Box, written: Sequence[Box], xs: Floats, curves: Sequence[Floats], hairlines: Sequence[float]) -> float:
    """How much of what is there already lies within a box, or just beside it."""
    near = box.grown(2.5)
    within = np.linspace(near.left, near.right, 30)
    cost = ON_WORDS * sum(box.meets(other) for other in written)
    for curve in curves:
        heights = np.interp(within, xs, curve)
        heights = heights[np.isfinite(heights)]
        if len(heights) and heights.min() <= near.top and heights.max() >= near.bottom:
            cost += ON_CURVE
    return cost + ON_HAIRLINE * sum(near.left < x < near.right for x in hairlines)
