"""Windows of part values: for every resistor the values with which all passes, on a logarithmic scale with E-series."""

from collections.abc import Sequence
from math import log
from pathlib import Path

from matplotlib.figure import Figure

from outboard.draw.page import MARGIN, WIDE, page
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import DOTTED, FIGURE, INK, SMALL, TEXT, ThemeName, folded, width
from outboard.parts.preferred import series_values
from outboard.quantity import RESISTANCE, shown
from outboard.whatif.value_window import ValueWindow

__all__ = ["windows_figure", "write"]

LEFT, RIGHT = MARGIN + 76.0, WIDE - MARGIN - 10.0
"""Where the scale of a row begins and ends [pt]."""

HEAD, FOOT = 37.0, 12.0
BEYOND = 2.2
"""How far a scale goes beyond what it shows, as a factor."""

CAPTION = (
    "Broad bar: marked values with which all requirements pass, tolerance counted; dotted where no end was found "
    "within a factor of a thousand. Triangle: the value as it is. Ticks: preferred values, as they have room."
)


def windows_figure(
    windows: Sequence[ValueWindow], series: str, title: str = "", theme: ThemeName = "light"
) -> Figure:  # fmt: skip
    """The figure; as high as its resistors need."""
    rows = sum(_height(window) for window in windows)
    lead = "Between which values everything passes" if windows else "No window: the design does not pass as it is"
    with settings():
        sheet, y = page(title, f"{lead}; {series}", rows, CAPTION, theme, "Windows of values")
        for window in windows:
            _draw(sheet, y, window, series)
            y -= _height(window)
    return sheet.figure


def write(
    windows: Sequence[ValueWindow], series: str, path: str | Path, title: str = "", theme: ThemeName = "light"
) -> None:  # fmt: skip
    """Draw the windows into an .svg or .png."""
    save(windows_figure(windows, series, title, theme), path)


def _ends(window: ValueWindow) -> tuple[str, ...]:
    """What fails beyond each end, in lines."""
    told = [f"fails {side}: {why}" for side, why in (("below", window.below), ("above", window.above)) if why]
    return tuple(line for words in told for line in folded(words, SMALL, RIGHT - LEFT))


def _height(window: ValueWindow) -> float:
    return HEAD + SMALL.line * len(_ends(window)) + FOOT


def _draw(sheet: Sheet, y: float, window: ValueWindow, series: str) -> None:
    """One scale with its bar, its ticks and numbers, and what fails beyond."""
    known = [value for value in (window.least, window.value, window.most) if value is not None]
    least, most = min(known) / BEYOND, max(known) * BEYOND

    def x(value: float) -> float:
        return LEFT + log(value / least) / log(most / least) * (RIGHT - LEFT)

    theme, scale = sheet.theme, y - 18.0
    name = f"{window.alike[0]}…{window.alike[-1]}" if window.alike else window.name
    sheet.letter(MARGIN, scale - 3.0, name, FIGURE)
    sheet.letter(MARGIN + (34.0 if window.alike else 24.0), scale - 3.0, shown(window.value, RESISTANCE, 2), TEXT)
    sheet.rule((LEFT, RIGHT), (scale, scale), theme.ink2)
    left, right = x(window.least or least), x(window.most or most)
    sheet.rule((left, right), (scale, scale), theme.driver, 5.0, name=f"window-{window.name}")
    for value, edge, end in ((window.least, LEFT, left), (window.most, RIGHT, right)):
        if value is None:
            sheet.rule((edge - 8.0 if edge == LEFT else edge, edge if edge == LEFT else edge + 8.0), (scale,) * 2,
                       theme.driver, INK, DOTTED)  # fmt: skip
        else:
            sheet.rule((end, end), (scale - 6.0, scale + 6.0), theme.ink, INK)
    free = LEFT - 20.0
    for value in series_values(series, least, most):
        place = x(value)
        sheet.rule((place, place), (scale - 5.0, scale - 2.0), theme.ink2)
        words = shown(value, RESISTANCE, 2)
        half = width(words, SMALL) / 2.0
        if place - half > free and place + half <= RIGHT + 10.0:
            sheet.letter(place, scale - 14.0, words, SMALL, theme.ink2, "center")
            free = place + half + 7.0
    sheet.mark(x(window.value), scale + 8.0, "v", 6.0, theme.ink)
    base = y - HEAD - SMALL.size
    for line in _ends(window):
        sheet.letter(LEFT, base, line, SMALL, theme.ink2)
        base -= SMALL.line
