"""Where the parts of the picture of a division lie: columns as wide as their words, panels as high as theirs."""

from collections.abc import Sequence
from dataclasses import dataclass

from outboard.draw.division_panels import Block, Panel
from outboard.draw.style import CURVE, FIGURE, LEAD, SMALL, TITLE, width

MARGIN = 14.0
GAP = 25.0
"""Between panels, with room for a heading."""

COLUMN_GAP = 6.0
LEADER = 17.0
"""From the panel to the words beside it."""

WORD_GAP = 4.0
ABOVE = 7.0
"""From a panel's upper edge to the base line of what stands over it."""

BENEATH = 11.0
"""From the base line of a name to that of the remark beneath it."""

AIR = 2.5
"""Between blocks of words."""

NUMBERS = 14.0
"""From the axis of the load down to its numbers."""

SHARES = (1.6, 1.0, 1.15)
"""How the panels divide the height."""

NARROWEST = 150.0
"""A panel gets no narrower than this; the sheet gets wider instead."""


@dataclass(frozen=True, slots=True)
class Layout:
    """Where things are on the sheet [pt], from its lower left corner; panels from the top down."""

    sheet: tuple[float, float]
    left: float
    right: float
    bottoms: tuple[float, ...]
    heights: tuple[float, ...]

    @property
    def width(self) -> float:
        """Of every panel."""
        return self.right - self.left

    @property
    def top(self) -> float:
        """Of the uppermost panel."""
        return self.bottoms[0] + self.heights[0]

    @property
    def bottom(self) -> float:
        """Of the lowest panel."""
        return self.bottoms[-1]

    @property
    def words(self) -> float:
        """Where words beside the panels begin."""
        return self.right + LEADER


def block_height(block: Block) -> float:
    """What the words of one block take, with air."""
    return CURVE.line + (BENEATH if block.beneath else 0.0) + AIR


def columns(shown: Sequence[Panel], wide: float) -> tuple[float, float, float]:
    """Left and right edge of the panels, and the width of the sheet, at least `wide`."""
    left = MARGIN + COLUMN_GAP + max(width(panel.heading, CURVE) for panel in shown)
    words = LEADER + MARGIN + max(_block_width(block) for panel in shown for block in panel.blocks)
    wide = max(wide, left + NARROWEST + words)
    return left, wide - words, wide


def laid_out(
    shown: Sequence[Panel], edges: tuple[float, float, float], high: float, head: float, foot: float
) -> Layout:
    """Panels between a head and a foot of given height; higher than `high` where the words beside them need it."""
    left, right, wide = edges
    free = high - head - foot - GAP * (len(shown) - 1)
    heights = [
        max(free * share / sum(SHARES), sum(map(block_height, panel.blocks)))
        for share, panel in zip(SHARES, shown, strict=True)
    ]
    bottoms = []
    bottom = foot
    for height in reversed(heights):
        bottoms.append(bottom)
        bottom += height + GAP
    return Layout((wide, bottom - GAP + head), left, right, tuple(reversed(bottoms)), tuple(heights))


def head_height(titles: int, leads: int, tiers: int) -> float:
    """Lines of the title and of the conditions, and the tiers of words over the panels."""
    return MARGIN + TITLE.line * titles + LEAD.line * leads + ABOVE + SMALL.line * tiers + 3.0


def foot_height(lines: int) -> float:
    """Numbers, promise, and the lines of the caption."""
    return NUMBERS + SMALL.line + 2.0 + 2.0 * AIR + SMALL.line * lines + MARGIN


def _block_width(block: Block) -> float:
    first = width(block.name, CURVE) + WORD_GAP + width(block.reading, FIGURE)
    return max(first, width(block.beneath, SMALL))
