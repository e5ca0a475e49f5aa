"""All requirements as a ledger with bars: mark, margin, worst case, and a bar from a common zero.

To the right is what is spare, to the left what is short, as a share of the way from rest to limit. Below stand the
ladders of temperature where there is an operating point to take them from.
"""

from pathlib import Path

from matplotlib.figure import Figure

from outboard.analysis.operating import OperatingPoint
from outboard.arrangements.design import Design
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding, Verdict
from outboard.draw.heat_ladder import draw_ladders, ladder_height, ladders
from outboard.draw.page import GAP, MARGIN, WIDE, page
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import DOTTED, FIGURE, INK, SMALL, TEXT, ThemeName, folded, width
from outboard.quantity import CURRENT, POWER, TEMPERATURE_DIFFERENCE, VOLTAGE, Dimension, shown

__all__ = ["margins_figure", "write"]

HIGH = 7.0
"""Of a bar [pt]."""

WORDS_LEFT, WORDS_RIGHT, READING = 96.0, 322.0, 374.0
ZERO, END = 398.0, WIDE - MARGIN
"""Where words begin and end, where margins end, where bars begin and end [pt from the left]."""

UNITS: dict[str, Dimension] = {"V": VOLTAGE, "A": CURRENT, "W": POWER, "°C": TEMPERATURE_DIFFERENCE}
WORDS = (PASS, FAIL, UNDECIDED)
SHAPES = {PASS: "o", FAIL: "s", UNDECIDED: ""}
LEADS = {PASS: "Passes", FAIL: "Fails", UNDECIDED: "Undecided"}
CAPTION = (
    "Bar: margin as a share of the way from rest (ambient, or nothing) to the limit; right of the rule is spare, left "
    "of it short. Dotted: no number. † rests on figures that no sheet guarantees."
)


def margins_figure(
    verdict: Verdict, title: str = "", design: Design | None = None, point: OperatingPoint | None = None,
    theme: ThemeName = "light",
) -> Figure:  # fmt: skip
    """The figure; as high as its requirements need. Ladders are drawn from the point, if it is one."""
    rows = [(finding, _details(finding)) for finding in verdict.ordered]
    climbs = ladders(design, point) if design is not None and point is not None and point.is_solved else ()
    high = sum(_height(finding, details) for finding, details in rows)
    with settings():
        sheet, y = page(title, _lead(verdict), high + ladder_height(climbs), CAPTION, theme, "Margins")
        for finding, details in rows:
            _draw_row(sheet, y, finding, details)
            y -= _height(finding, details)
        if point is not None:
            draw_ladders(sheet, y, climbs, point)
    return sheet.figure


def write(
    verdict: Verdict, path: str | Path, title: str = "", design: Design | None = None,
    point: OperatingPoint | None = None, theme: ThemeName = "light",
) -> None:  # fmt: skip
    """Draw all margins into an .svg or .png."""
    save(margins_figure(verdict, title, design, point, theme), path)


def _lead(verdict: Verdict) -> str:
    verbs = {PASS: "pass", FAIL: "fail", UNDECIDED: "undecided"}
    counted = [f"{verdict.counts[word]} {verbs[word]}" for word in (FAIL, UNDECIDED, PASS) if verdict.counts[word]]
    return f"{LEADS[verdict.verdict]}: {', '.join(counted)}; tightest first"


def _title(finding: Finding) -> list[str]:
    words = f"{finding.title} †" if finding.rests_on else finding.title
    return folded(words, TEXT, WORDS_RIGHT - WORDS_LEFT)


def _details(finding: Finding) -> list[str]:
    """What is missing, or where the worst is; each condition stays whole, the dots behind them at the ends of lines."""
    whole = [words.replace(" ", "\N{NO-BREAK SPACE}") for words in finding.in_words.split(", ")]
    words = "; ".join(finding.missing) if finding.missing else "\N{NO-BREAK SPACE}· ".join(whole)
    return folded(words, SMALL, WORDS_RIGHT - WORDS_LEFT)


def _height(finding: Finding, details: list[str]) -> float:
    return TEXT.line * len(_title(finding)) + SMALL.line * len(details) + GAP / 2.0


def _draw_row(sheet: Sheet, y: float, finding: Finding, details: list[str]) -> None:
    colour, base = sheet.theme.verdicts[WORDS.index(finding.verdict)], y - TEXT.size
    middle = base + 2.8
    if finding.verdict == UNDECIDED:
        sheet.rule((MARGIN, MARGIN + 6.0), (middle, middle), colour, INK, DOTTED)
    else:
        sheet.mark(MARGIN + 3.0, middle, SHAPES[finding.verdict], 5.4, colour)
    sheet.letter(MARGIN + 11.0, base, finding.verdict, FIGURE, colour)
    for words in _title(finding):
        sheet.letter(WORDS_LEFT, base, words, TEXT)
        base -= TEXT.line
    for words in details:
        sheet.letter(WORDS_LEFT, base, words, SMALL, sheet.theme.ink2)
        base -= SMALL.line
    _draw_bar(sheet, middle, finding, colour)
    sheet.rule((MARGIN, END), (y - _height(finding, details) + 4.5,) * 2, sheet.theme.hairline)


def _draw_bar(sheet: Sheet, middle: float, finding: Finding, colour: str) -> None:
    """The zero, the margin in its unit, and its bar; a margin beyond the paper ends in a lighter stub."""
    name = "margin-" + "-".join(finding.title.replace(",", "").split())
    sheet.rule((ZERO, ZERO), (middle - 6.0, middle + 6.0), sheet.theme.ink2)
    if finding.verdict == UNDECIDED or finding.margin is None:
        if finding.verdict == UNDECIDED:
            sheet.rule((ZERO - 20.0, END), (middle, middle), colour, INK, DOTTED, name)
        return
    share = max(-1.0, min(1.0, finding.share_left))
    reach = END - ZERO if share > 0.0 else ZERO - READING - 4.0
    sheet.rule((ZERO, ZERO + share * reach), (middle, middle), colour, HIGH, name=name)
    words = _shown(finding.margin, finding.unit)
    sheet.letter(READING - width(words, FIGURE), middle - 2.8, words, FIGURE)


def _shown(value: float, unit: str) -> str:
    return shown(value, UNITS[unit], 3, zeros=True) if unit in UNITS else f"{value:.3g} {unit}".replace("-", "−")
