"""How the load current divides, as a page of a notebook: current, heat and junctions over one axis of the load."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from matplotlib.figure import Figure

from outboard.analysis.curves import Division
from outboard.draw.axis import Axis
from outboard.draw.division_curves import draw_panel
from outboard.draw.division_layout import (
    ABOVE,
    MARGIN,
    NUMBERS,
    Layout,
    columns,
    foot_height,
    head_height,
    laid_out,
)
from outboard.draw.division_limits import draw_guaranteed
from outboard.draw.division_panels import panels
from outboard.draw.division_words import Mark, amperes, caption, lead, marks, promise
from outboard.draw.placing import Flag, flags
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import CURVE, INK, LEAD, RULE, SMALL, TITLE, ThemeName, folded, width

__all__ = ["PAGE", "SCREEN", "division_figure", "save", "write"]

PAGE = (504.0, 590.0)
"""A printed page between its margins [pt]."""

SCREEN = (760.0, 620.0)

TICK, TICKS_APART = 4.0, 24.0

NO_TYPES: Mapping[str, str] = MappingProxyType({})
NO_LIMITS: Mapping[str, float] = MappingProxyType({})


def division_figure(
    division: Division,
    title: str = "",
    types: Mapping[str, str] = NO_TYPES,
    guaranteed: Mapping[str, float] = NO_LIMITS,
    theme: ThemeName = "light",
    size: tuple[float, float] = PAGE,
) -> Figure:
    """The figure, at least of a size [pt].

    `types` (“2N3055”) and what a regulator is `guaranteed` to deliver [A] go by the names of the devices.
    """
    shown = panels(division, types)
    loads = division.curve("usual").load
    load = Axis(0.0, float(loads[-1]), "A", rooted=True)
    happenings = marks(division)
    edges = columns(shown, size[0])
    placed = _flags(happenings, load, edges[0], edges[1])
    tiers = 1 + max(flag.tier for flag in placed)
    titles, leads, how_to_read = (
        folded(words, lettering, edges[2] - 2.0 * MARGIN)
        for words, lettering in ((title, TITLE), (lead(division), LEAD), (caption(division), SMALL))
    )
    head = head_height(len(titles), len(leads), tiers)
    layout = laid_out(shown, edges, size[1], head, foot_height(len(how_to_read)))
    with settings():
        sheet = Sheet(*layout.sheet, theme, title or "How the load current divides")
        _draw_head(sheet, layout, titles, leads)
        _draw_marks(sheet, layout, load, happenings, placed)
        _draw_readings_head(sheet, layout, division)
        for number, panel in enumerate(shown):
            draw_panel(sheet, layout, number, panel, division, load)
        draw_guaranteed(sheet, layout, load, loads, shown[0], guaranteed, [flag.x for flag in placed])
        _draw_load(sheet, layout, load, division)
        for number, line in enumerate(reversed(how_to_read)):
            sheet.letter(MARGIN, MARGIN + SMALL.line * number, line, SMALL, sheet.theme.ink2)
    return sheet.figure


def write(
    division: Division,
    path: str | Path,
    title: str = "",
    types: Mapping[str, str] = NO_TYPES,
    guaranteed: Mapping[str, float] = NO_LIMITS,
    theme: ThemeName = "light",
) -> None:
    """The figure into a file, .svg or .png; OSError where it cannot be written."""
    save(division_figure(division, title, types, guaranteed, theme), path)


def _flags(happenings: list[Mark], load: Axis, left: float, right: float) -> list[Flag]:
    xs = [left + float(load.share(mark.load)) * (right - left) for mark in happenings]
    return flags(xs, [width(mark.words, SMALL) for mark in happenings], left, right, 3.5)


def _draw_head(sheet: Sheet, layout: Layout, titles: list[str], leads: list[str]) -> None:
    base = layout.sheet[1] - MARGIN + 7.0
    for lines, lettering, colour in ((titles, TITLE, sheet.theme.ink), (leads, LEAD, sheet.theme.ink2)):
        for line in lines:
            base -= lettering.line
            sheet.letter(MARGIN, base, line, lettering, colour)
        base -= 1.0


def _draw_marks(sheet: Sheet, layout: Layout, load: Axis, happenings: list[Mark], placed: list[Flag]) -> None:
    """Hairlines through all panels, words on top, and from the coldest to the hottest load a short rule."""
    for mark, flag in zip(happenings, placed, strict=True):
        base = layout.top + ABOVE + SMALL.line * flag.tier
        through_words = flag.left < flag.x < flag.right
        top = base - 2.5 if through_words else base + 5.5
        sheet.rule((flag.x, flag.x), (layout.bottom, top))
        sheet.letter(flag.left, base, mark.words, SMALL, backed=True)
        ends = [layout.left + float(load.share(end)) * layout.width for end in mark.cold_to_hot]
        if ends[1] > ends[0]:
            sheet.rule(ends, (layout.top, layout.top), weight=INK)


def _draw_readings_head(sheet: Sheet, layout: Layout, division: Division) -> None:
    """At which load the readings beside the curves are taken."""
    words = f"● at {amperes(division.promised.most)}"
    sheet.letter(layout.words, layout.top + ABOVE, words, SMALL, sheet.theme.ink2)


def _draw_load(sheet: Sheet, layout: Layout, load: Axis, division: Division) -> None:
    """The axis of the load: numbers, a thick rule over what was promised with a notch at the usual load, caption."""
    base = layout.bottom - NUMBERS
    sheet.letter(MARGIN, base, f"load, {load.written_unit}", CURVE)
    for value in load.ticks(layout.width, TICKS_APART):
        x = layout.left + float(load.share(value)) * layout.width
        sheet.rule((x, x), (layout.bottom, layout.bottom - TICK))
        sheet.letter(x, base, load.number(value), SMALL, sheet.theme.ink2, "center")
    promised = division.promised
    least, usual, most = (layout.left + float(load.share(value)) * layout.width for value in promised)
    y = layout.bottom - 0.5 * RULE
    sheet.rule((least, most), (y, y), sheet.theme.ink, RULE)
    sheet.rule((usual, usual), (layout.bottom, layout.bottom - 2.0 * RULE), sheet.theme.ink, RULE)
    words = promise(promised)
    x = min(least, layout.sheet[0] - MARGIN - width(words, SMALL))
    sheet.letter(x, base - SMALL.line - 2.0, words, SMALL)
