"""The scale line under a drawing, as on a map: how wide an ampere is, how dark a share, how long a watt."""

from collections.abc import Iterator

from outboard.draw.schematic.labels import Word
from outboard.draw.schematic.letters import NET, SMALL, width
from outboard.draw.schematic.paint import number, text
from outboard.draw.schematic.ribbons import Scale
from outboard.quantity import CURRENT, POWER, shown

HEIGHT = 76.0
WEDGE, STEP, GAP = 200.0, 34.0, 56.0
SHARES = ("0", "25", "50", "75", "90", "100")


def legend(x: float, y: float, scale: Scale, bars: float) -> tuple[str, float]:
    """The strip with its middle at y, from x on; and where it ends."""
    parts: list[str] = []
    x = _current(parts, x, y, scale)
    x = _share(parts, x + GAP, y)
    x = _heat(parts, x + GAP, y, bars)
    return '<g class="legend">' + "".join(parts) + "</g>", x


def _heading(parts: list[str], x: float, y: float, words: str) -> float:
    parts.append(text(x, y + 5.0, [Word(words, NET)]))
    return x + width(words, NET) + 14.0


def _current(parts: list[str], x: float, y: float, scale: Scale) -> float:
    """A wedge: its width at each mark is that of a ribbon with this current."""
    x = _heading(parts, x, y, "Current, width in proportion")
    half = 0.5 * scale.width(scale.full_load)
    parts.append(f'<path class="sw" d="M{number(x)} {number(y)}L{number(x + WEDGE)} {number(y - half)}'
                 f'V{number(y + half)}Z"/>')  # fmt: skip
    for share in (0.25, 0.5, 0.75, 1.0):
        at = x + WEDGE * share
        parts.append(f'<path class="tick" d="M{number(at)} {number(y - half * share)}V{number(y + 18.0)}"/>')
        words = shown(share * scale.full_load, CURRENT, zeros=False)
        parts.append(text(at, y + 32.0, [Word(words, SMALL)], "middle"))
    return x + WEDGE + 20.0


def _share(parts: list[str], x: float, y: float) -> float:
    x = _heading(parts, x, y, "Share of limit, %")
    for step, words in enumerate(SHARES):
        at = x + STEP * step
        if step < 5:
            parts.append(f'<rect class="sq t{step + 1}" x="{number(at)}" y="{number(y - 8)}" width="{STEP:g}" height="16"/>')
        parts.append(text(at, y + 32.0, [Word(words, SMALL)], "middle"))
    at = x + 5 * STEP + 28.0
    parts.append(f'<rect class="sq tx" x="{number(at)}" y="{number(y - 8)}" width="{STEP:g}" height="16"/>')
    parts.append(text(at + 0.5 * STEP, y + 32.0, [Word("▲ over", SMALL)], "middle"))
    return at + STEP


def _heat(parts: list[str], x: float, y: float, bars: float) -> float:
    x = _heading(parts, x, y, "Heat")
    watts = _round_watts(62.0 / bars)
    parts.append(f'<rect class="heat" x="{number(x)}" y="{number(y - 3.5)}" width="{number(watts * bars)}" height="7"/>')
    parts.append(text(x + 0.5 * watts * bars, y + 32.0, [Word(shown(watts, POWER, zeros=False), SMALL)], "middle"))
    return x + max(watts * bars, 24.0)


def _round_watts(most: float) -> float:
    return max(_steps(most), default=most)


def _steps(most: float) -> Iterator[float]:
    for power in range(-4, 4):
        for mantissa in (1.0, 2.0, 5.0):
            if mantissa * 10.0**power <= most:
                yield mantissa * 10.0**power
