"""At which load what begins: the events of the hand algebra along one axis of the load, each with its words."""

from collections.abc import Sequence
from pathlib import Path

from matplotlib.figure import Figure

from outboard.draw.axis import Axis
from outboard.draw.page import GAP, MARGIN, WIDE, page
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import CURVE, FIGURE, HEAVY, INK, SMALL, TEXT, ThemeName, folded, width
from outboard.explain.asked import Derivation
from outboard.explain.boundaries import Boundary
from outboard.quantity import CURRENT, shown

__all__ = ["boundaries_figure", "write"]

LEFT, RIGHT = MARGIN, WIDE - MARGIN - 12.0
ROW, FOOT = 15.0, 40.0
CAPTION = (
    "From the hand algebra: each transistor a constant V_BE and gain, usual values. The axis follows the square root, "
    "so that small loads stay visible. Ring: the load at which the derivation stands."
)


def boundaries_figure(derivation: Derivation, title: str = "", theme: ThemeName = "light") -> Figure:
    """The figure; one line of words for every event."""
    events = derivation.loads
    end = max([derivation.load or 0.0, *(event.at for event in events)]) * 1.15 or 1.0
    axis = Axis(0.0, end, "A", rooted=True)
    lead = "At which load what begins" if events else "Nothing changes over the load, in this model"
    rows = ROW * len(events) + GAP + FOOT
    with settings():
        sheet, y = page(title, lead, rows, CAPTION, theme, "Boundaries over the load")
        line = y - ROW * len(events) - GAP
        _draw_axis(sheet, line, axis)
        for number, event in enumerate(_stacked(events, axis)):
            x, base = _x(axis, event.at), y - ROW * number - TEXT.size
            sheet.rule((x, x), (line, base + 3.0), sheet.theme.ink2)
            sheet.mark(x, line, "o", 4.0, sheet.theme.driver)
            _flag(sheet, x, base, shown(event.at, CURRENT, 3), event.event)
        if derivation.load is not None:
            sheet.mark(_x(axis, derivation.load), line, "o", 7.0, sheet.theme.ink, hollow=True)
    return sheet.figure


def write(derivation: Derivation, path: str | Path, title: str = "", theme: ThemeName = "light") -> None:
    """Draw the boundaries into an .svg or .png."""
    save(boundaries_figure(derivation, title, theme), path)


def _x(axis: Axis, value: float) -> float:
    return LEFT + float(axis.share(value)) * (RIGHT - LEFT)


def _stacked(events: Sequence[Boundary], axis: Axis) -> list[Boundary]:
    """From the top down, so that no words lie on another's hairline: those with words at their right as they come,
    those with words at their left from the far end."""
    rightwards = [event for event in events if _fits(_x(axis, event.at), shown(event.at, CURRENT, 3), event.event)]
    return rightwards + [event for event in reversed(events) if event not in rightwards]


def _whole(number: str, words: str) -> float:
    return width(number, FIGURE) + 6.0 + width(words, CURVE)


def _fits(x: float, number: str, words: str) -> bool:
    """Whether there is room at the right of its hairline."""
    return x + 5.0 + _whole(number, words) <= WIDE - MARGIN


def _flag(sheet: Sheet, x: float, base: float, number: str, words: str) -> None:
    """Words at the right of their hairline while they fit on the page, else at its left."""
    start = x + 5.0 if _fits(x, number, words) else x - 5.0 - _whole(number, words)
    (line,) = folded(words.replace(" ", "\N{NO-BREAK SPACE}"), CURVE, WIDE)
    sheet.letter(start, base, number, FIGURE, backed=True)
    sheet.letter(start + width(number, FIGURE) + 6.0, base, line, CURVE, backed=True)


def _draw_axis(sheet: Sheet, y: float, axis: Axis) -> None:
    sheet.rule((LEFT, RIGHT), (y, y), sheet.theme.ink, HEAVY, name="load")
    for tick in axis.ticks(RIGHT - LEFT, 26.0):
        x = _x(axis, tick)
        sheet.rule((x, x), (y, y - 5.0), sheet.theme.ink2, INK)
        sheet.letter(x, y - 15.0, axis.number(tick), SMALL, sheet.theme.ink2, "left" if x == LEFT else "center")
    sheet.letter(RIGHT, y - 28.0, f"load, {axis.written_unit}", CURVE, sheet.theme.ink2, "right")
