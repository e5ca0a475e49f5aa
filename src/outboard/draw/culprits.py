"""What drives each margin, as a page of a notebook: for every requirement a bar for each axis behind it.

The broad bar is the axis's share of the extreme, the thin one beneath it its share of the variance, both from the same
zero on one scale; beside them stands the margin with the axis tightened.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from matplotlib.figure import Figure

from outboard.checks.culprits import Culprit
from outboard.checks.draw_verdict import DrawFinding, DrawVerdict
from outboard.draw.page import MARGIN, WIDE, page
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import CURVE, FIGURE, SMALL, TEXT, ThemeName, width
from outboard.quantity import CURRENT, POWER, TEMPERATURE_DIFFERENCE, VOLTAGE, Dimension, shown

__all__ = ["culprits_figure", "write"]

BROAD, THIN = 7.0, 2.2
"""Heights of the bars [pt]."""

ROW, HEAD, BLOCK_GAP = 21.0, 17.0, 11.0
BARS = (176.0, 340.0)
"""Where nothing and all of a margin lie [pt from the left]."""

MOST = 8
"""Requirements on a page; the tightest come first."""

NOTABLE = 0.03
"""Shares below this are left out, but for the strongest."""

DIMENSIONS: dict[str, Dimension] = {"V": VOLTAGE, "A": CURRENT, "W": POWER, "°C": TEMPERATURE_DIFFERENCE}
CAPTION = (
    "Broad bar: share of the extreme, from the worst corner with each axis in turn put back to usual. Thin bar: share "
    "of the variance, by linear regression over the units drawn. Right: the margin of the worst corner with that axis "
    "tightened, where three digits show it."
)


@dataclass(frozen=True, slots=True)
class Group:
    """One requirement with its bars, and what stands at its right."""

    title: str
    reading: str
    unit: str
    culprits: tuple[Culprit, ...]

    @property
    def height(self) -> float:
        """What it takes on the page [pt]."""
        return HEAD + ROW * len(self.culprits) + BLOCK_GAP


def culprits_figure(found: DrawVerdict, title: str = "", theme: ThemeName = "light", most: int = MOST) -> Figure:
    """The figure, of so many requirements at the most; as high as these need."""
    groups = tuple(_groups(found, most))
    rows = sum(group.height for group in groups)
    with settings():
        sheet, y = page(title, _lead(found, groups), rows, CAPTION, theme, "What drives each margin")
        for group in groups:
            _draw_group(sheet, y, group)
            y -= group.height
    return sheet.figure


def write(found: DrawVerdict, path: str | Path, title: str = "", theme: ThemeName = "light") -> None:
    """Draw what drives the margins into an .svg or .png."""
    save(culprits_figure(found, title, theme), path)


def _lead(found: DrawVerdict, groups: Sequence[Group]) -> str:
    what = (
        "What drives the margins, of those alike the tightest"
        if groups
        else "Nothing drives a margin here: none has a culprit"
    )
    partial = f" of {found.wanted} wanted" if found.stopped else ""
    return f"{what}; {found.draws} units drawn{partial}, seed {found.seed}"


def _groups(found: DrawVerdict, most: int) -> Iterator[Group]:
    for finding in found.telling(most):
        assert finding.drivers is not None
        told = [one for one in finding.drivers.culprits if _largest(one) > NOTABLE] or finding.drivers.culprits[:1]
        yield Group(finding.title, f"margin {_margin(finding.bound, finding)}", finding.unit, tuple(told))


def _largest(one: Culprit) -> float:
    return max(one.extreme_share or 0.0, one.variance_share or 0.0)


def _margin(value: float | None, finding: DrawFinding) -> str:
    return _shown(value, finding.unit)


def _shown(value: float | None, unit: str) -> str:
    if value is None:
        return "–"
    return shown(value, DIMENSIONS[unit], 3, zeros=True) if unit in DIMENSIONS else f"{value:.3g} {unit}"


def _draw_group(sheet: Sheet, y: float, group: Group) -> None:
    """A heading, a zero line, and its bars."""
    base = y - TEXT.size
    sheet.letter(MARGIN, base, group.title, FIGURE)
    sheet.letter(WIDE - MARGIN, base, group.reading, FIGURE, align="right")
    sheet.rule((MARGIN, WIDE - MARGIN), (base - 4.5,) * 2, sheet.theme.hairline)
    bottom = y - HEAD - ROW * len(group.culprits)
    sheet.rule((BARS[0],) * 2, (bottom + 2.0, y - HEAD + 1.0), sheet.theme.ink2)
    for place, one in enumerate(group.culprits):
        _draw_bars(sheet, y - HEAD - ROW * (place + 0.5), one, group.reading, group.unit)


def _draw_bars(sheet: Sheet, middle: float, one: Culprit, reading: str, unit: str) -> None:
    """The name of an axis, its two bars with their numbers, and the margin with it tightened."""
    base = middle - 3.0
    name = _fitting(one.axis, BARS[0] - MARGIN - 8.0)
    sheet.letter(BARS[0] - 6.0, base, name, CURVE, align="right")
    theme = sheet.theme
    for share, height, at, colour in (
        (one.extreme_share, BROAD, middle + 2.0, theme.pass_device),
        (one.variance_share, THIN, middle - 5.0, theme.driver),
    ):
        if share is not None and share > 0.0:
            end = BARS[0] + min(share, 1.0) * (BARS[1] - BARS[0])
            sheet.rule((BARS[0], end), (at, at), colour, height)
    numbers = " · ".join(_percent(share) for share in (one.extreme_share, one.variance_share))
    sheet.letter(BARS[1] + 6.0, base, numbers, TEXT)
    if one.tightened is not None:
        closer = _shown(one.tightened, unit)
        told = "no gain" if f"margin {closer}" == reading else closer
        sheet.letter(WIDE - MARGIN, base, f"{one.grade}: {told}", SMALL, theme.ink2, "right")


def _percent(share: float | None) -> str:
    return "–" if share is None else f"{100.0 * share:.0f} %".replace("-0 %", "0 %").replace("-", "−")


def _fitting(words: str, wide: float) -> str:
    """Words that must not run into the bars; a long name loses its end, never its beginning."""
    while width(words, CURVE) > wide and len(words) > 4:
        words = words.rstrip("…")[:-1] + "…"
    return words
