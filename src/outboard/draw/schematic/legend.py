"""The scale line under a drawing, as on a map: how wide an ampere is, how dark a share, how long a watt."""

from collections.abc import Callable, Iterator
from functools import partial

from outboard.draw.schematic.labels import Word
from outboard.draw.schematic.letters import NET, SMALL, width
from outboard.draw.schematic.paint import text
from outboard.draw.schematic.ribbons import Scale
from outboard.draw.schematic.wires import number
from outboard.quantity import CURRENT, POWER, shown

LINE_HEIGHT, FOOT = 60.0, 50.0
WEDGE, STEP, GAP = 180.0, 30.0, 40.0
SHORT_WEDGE, SHORT_GAP = 110.0, 22.0
MARKS, FEW_MARKS = (0.25, 0.5, 0.75, 1.0), (0.5, 1.0)
SHARES = ("0", "25", "50", "75", "90", "100")


def legend(left: float, right: float, y: float, scale: Scale, bars: float) -> tuple[str, float, float]:
    """The strip between left and right, its middle at y; where it ends to the right and below.

    Where it does not fit even with a short wedge, the currents have a line of their own, then each scale.
    """
    parts: list[str] = []
    rest: tuple[Callable[[list[str], float, float], float], ...] = (_share, partial(_heat, bars))
    lengths = [scale_of([], 0.0, y) for scale_of in rest]
    wedge, gap, alone = WEDGE, GAP, True
    for wide, apart in ((WEDGE, GAP), (SHORT_WEDGE, SHORT_GAP)):
        if _current(scale, wide, [], left, y) + sum(lengths) + 2.0 * apart <= right:
            wedge, gap, alone = wide, apart, False
            break
    widest = end = _current(scale, wedge, parts, left, y)
    for scale_of, length in zip(rest, lengths, strict=True):
        x = end + gap
        if alone or x + length > right:
            x, y, alone = left, y + LINE_HEIGHT, False
        end = scale_of(parts, x, y)
        widest = max(widest, end)
    return '<g class="legend">' + "".join(parts) + "</g>", widest, y + FOOT


def _rectangle(name: str, x: float, y: float, wide: float, high: float) -> str:
    return f'<rect class="{name}" x="{number(x)}" y="{number(y)}" width="{number(wide)}" height="{number(high)}"/>'


def _heading(parts: list[str], x: float, y: float, words: str) -> float:
    parts.append(text(x, y + 5.0, [Word(words, NET)]))
    return x + width(words, NET) + 14.0


def _current(scale: Scale, wedge: float, parts: list[str], x: float, y: float) -> float:
    """A wedge: its width at each mark is that of a ribbon with this current."""
    x = _heading(parts, x, y, "Current, in proportion")
    half = 0.5 * scale.width(scale.full_load)
    parts.append(f'<path class="sw" d="M{number(x)} {number(y)}L{number(x + wedge)} {number(y - half)}'
                 f'V{number(y + half)}Z"/>')  # fmt: skip
    for share in MARKS if wedge == WEDGE else FEW_MARKS:
        at = x + wedge * share
        parts.append(f'<path class="tick" d="M{number(at)} {number(y - half * share)}V{number(y + 18.0)}"/>')
        words = shown(share * scale.full_load, CURRENT, zeros=False)
        parts.append(text(at, y + 32.0, [Word(words, SMALL)], "middle"))
    return x + wedge + 20.0


def _share(parts: list[str], x: float, y: float) -> float:
    x = _heading(parts, x, y, "Share of limit, %")
    for step, words in enumerate(SHARES):
        at = x + STEP * step
        if step < 5:
            parts.append(_rectangle(f"sq t{step + 1}", at, y - 8.0, STEP, 16.0))
        parts.append(text(at, y + 32.0, [Word(words, SMALL)], "middle"))
    at = x + 5 * STEP + 24.0
    parts.append(_rectangle("sq tx", at, y - 8.0, STEP, 16.0))
    parts.append(text(at + 0.5 * STEP, y + 32.0, [Word("▲ over", SMALL)], "middle"))
    return at + STEP


def _heat(bars: float, parts: list[str], x: float, y: float) -> float:
    x = _heading(parts, x, y, "Heat")
    watts = _round_watts(62.0 / bars)
    parts.append(_rectangle("heat", x, y - 3.5, watts * bars, 7.0))
    parts.append(text(x + 0.5 * watts * bars, y + 32.0, [Word(shown(watts, POWER, zeros=False), SMALL)], "middle"))
    return x + max(watts * bars, 24.0)


def _round_watts(most: float) -> float:
    return max(_steps(most), default=most)


def _steps(most: float) -> Iterator[float]:
    for power in range(-4, 4):
        for mantissa in (1.0, 2.0, 5.0):
            if mantissa * 10.0**power <= most:
                yield mantissa * 10.0**power
