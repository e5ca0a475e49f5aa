"""A page of a notebook around rows of a given height: title and lead above them, how to read them below."""

from collections.abc import Sequence

from outboard.draw.sheet import Sheet
from outboard.draw.style import LEAD, SMALL, TITLE, Lettering, ThemeName, folded

WIDE = 504.0
"""A printed page between its margins [pt]."""

MARGIN, GAP = 24.0, 12.0


def page(title: str, lead: str, rows: float, caption: str, theme: ThemeName, name: str) -> tuple[Sheet, float]:
    """The sheet with its words, and where its rows begin [pt from below]; to be used within `settings`."""
    inner = WIDE - 2.0 * MARGIN
    titles, leads, captions = (
        folded(words, lettering, inner) for words, lettering in ((title, TITLE), (lead, LEAD), (caption, SMALL))
    )
    head = MARGIN + TITLE.line * len(titles) + LEAD.line * len(leads) + GAP
    high = head + rows + GAP + SMALL.line * len(captions) + MARGIN
    sheet = Sheet(WIDE, high, theme, title or name)
    y = lines(sheet, high - MARGIN, titles, TITLE)
    begin = lines(sheet, y, leads, LEAD) - GAP
    lines(sheet, begin - rows - GAP, captions, SMALL, sheet.theme.ink2)
    return sheet, begin


def lines(sheet: Sheet, y: float, words: Sequence[str], lettering: Lettering, colour: str | None = None) -> float:
    """Lines of words downward from the margin; where the next one would begin."""
    for line in words:
        sheet.letter(MARGIN, y - lettering.size, line, lettering, colour)
        y -= lettering.line
    return y
