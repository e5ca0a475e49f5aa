"""Where the watts go, true to scale: volts by amperes, rectangles tile, areas are watts."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from matplotlib.figure import Figure

from outboard.analysis.watts import FEED, Tile, Tiling
from outboard.draw.axis import Axis
from outboard.draw.page import MARGIN, WIDE, page
from outboard.draw.placing import Box, spread
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import CURVE, SMALL, TEXT, THIN, Lettering, ThemeName, folded, width
from outboard.quantity import CURRENT, POWER, RATIO, VOLTAGE, shown

__all__ = ["watts_figure", "write"]

PART = Lettering("SourceSerif4-Semibold.ttf", 9.5, 12.0)
LEFT, RIGHT = MARGIN + 68.0, WIDE - MARGIN - 104.0
"""Where the rectangle of the source begins and ends [pt]."""

HIGH, ABOVE, FOOT = 250.0, 8.0, 34.0
AIR, APART, LINE = 3.0, 4.0, 12.5
LEADER, ELBOW = 10.0, 8.0
SHARES = (0.5, 0.3, 0.7, 0.15, 0.85)
"""How high in a rectangle its leader may begin."""

NAMED = 0.02
"""Share of the whole height that a net is away from any other to be named at the axis."""

LEAST = 1e-6
"""Power below which nothing is said of it [W]."""

USEFUL_WASH, HEAT_WASH, PRINTED_WASH = 0.30, 0.24, 0.14


@dataclass(frozen=True, slots=True)
class Lettered:
    """Words within a rectangle: lines with their faces, and the box that they take."""

    lines: tuple[tuple[str, Lettering], ...]
    box: Box


@dataclass(frozen=True, slots=True)
class Lead:
    """Words beside the rectangles, with the spot in one to which they belong."""

    words: tuple[str, str]
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Layout:
    """Boxes of all rectangles, words within, words beside with their heights, and what is only listed."""

    boxes: tuple[tuple[Tile, Box], ...]
    within: tuple[Lettered, ...]
    beside: tuple[tuple[Lead, float], ...]
    listed: tuple[str, ...]


def laid_out(tiling: Tiling, bottom: float) -> Layout:
    """Everything in its place; the lower edge of the picture lies at `bottom` [pt]."""
    boxes = tuple((tile, _box(tiling, tile, bottom)) for tile in tiling.tiles)
    within: list[Lettered] = []
    outside: list[str] = []
    for part in dict.fromkeys(tile.part for tile in tiling.tiles):
        own = [box for tile, box in boxes if tile.part == part]
        found = next((found for box in sorted(own, key=_area, reverse=True) if (found := _within(tiling, part, box))),
                     None)  # fmt: skip
        if found is None and tiling.of(part) >= LEAST:
            outside.append(part)
        elif found is None:
            continue
        else:
            within.append(found)
    leads, listed = _leads(tiling, boxes, within, sorted(outside, key=lambda part: -tiling.of(part)))
    wanted = [lead.y for lead in leads]
    middles = spread(wanted, [LINE] * len(leads), bottom - 4.0, bottom + HIGH + 4.0)
    return Layout(boxes, tuple(within), tuple(zip(leads, middles, strict=True)), tuple(listed))


def _box(tiling: Tiling, tile: Tile, bottom: float) -> Box:
    across, up = (RIGHT - LEFT) / tiling.current, HIGH / (tiling.top - tiling.bottom)
    return Box(LEFT + across * tile.left, bottom + up * (tile.low - tiling.bottom),
               LEFT + across * tile.right, bottom + up * (tile.high - tiling.bottom))  # fmt: skip


def _area(box: Box) -> float:
    return (box.right - box.left) * (box.top - box.bottom)


def _words(tiling: Tiling, part: str) -> tuple[str, str]:
    name = part.capitalize() if part in (*tiling.useful, FEED) else part
    return name, shown(tiling.of(part), POWER, 3)


def _within(tiling: Tiling, part: str, box: Box) -> Lettered | None:
    """Name and power in two lines, or in one, where the rectangle has the room."""
    name, power = _words(tiling, part)
    two = max(width(name, PART), width(power, TEXT)), PART.line + TEXT.line
    one = width(f"{name} ", PART) + width(power, TEXT), PART.line
    for (wide, high), lines in ((two, ((name, PART), (power, TEXT))), (one, ((f"{name} ", PART), (power, TEXT)))):
        if wide + 2.0 * AIR <= box.right - box.left and high + 2.0 <= box.top - box.bottom:
            x, y = 0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top)
            return Lettered(lines, Box(x - 0.5 * wide, y - 0.5 * high, x + 0.5 * wide, y + 0.5 * high))
    return None


def _leads(
    tiling: Tiling, boxes: Sequence[tuple[Tile, Box]], within: Sequence[Lettered], parts: Sequence[str]
) -> tuple[list[Lead], list[str]]:  # fmt: skip
    """Leaders of what has no room inside, the greatest first, as many as the height holds; the rest is listed."""
    found: list[Lead] = []
    listed: list[str] = []
    for part in parts:
        box = max((box for tile, box in boxes if tile.part == part), key=_area)
        name, power = _words(tiling, part)
        x = max(0.5 * (box.left + box.right), box.right - 0.5 * LINE)
        heights = (box.bottom + share * (box.top - box.bottom) for share in SHARES)
        y = next((y for y in heights if _is_free(x, y, within, found)), None)
        if y is None or len(found) >= int(HIGH / LINE):
            listed.append(f"{name} {power}".replace(" ", "\u00a0"))
        else:
            found.append(Lead((name, power), x, y))
    return sorted(found, key=lambda lead: lead.y), listed


def _is_free(x: float, y: float, within: Sequence[Lettered], found: Sequence[Lead]) -> bool:
    """Whether a level line from here to the right edge meets no words and no other leader."""
    line = Box(x - 2.0, y - 1.0, RIGHT, y + 1.0)
    return not any(line.meets(words.box) for words in within) and all(abs(y - other.y) >= APART for other in found)


def reaches_the_load(tiling: Tiling) -> str:
    """“66 % reach the load”."""
    useful = sum(tiling.of(part) for part in tiling.useful)
    return f"{shown(useful / tiling.power, RATIO, 2)} reach the load"


def watts_figure(
    tiling: Tiling, at: str, title: str = "", theme: ThemeName = "light", bare: bool = False
) -> Figure:  # fmt: skip
    """The figure; `at` says in words at which point. A bare one leaves to a page what is no part of the drawing."""
    whole, listed = shown(tiling.power, POWER, 3), laid_out(tiling, 0.0).listed
    lead = f"Where {whole} go: volts by amperes, areas are watts; {reaches_the_load(tiling)}"
    caption = f"{at}. Every watt that the source gives is in one rectangle. "
    lead, caption = ("", "") if bare else (lead, caption)
    caption += f"Too small to be lettered: {', '.join(listed)}." if listed else ""
    with settings():
        sheet, y = page(title, lead, ABOVE + HIGH + FOOT, caption, theme, "Where the watts go")
        bottom = y - ABOVE - HIGH
        _draw(sheet, tiling, laid_out(tiling, bottom), bottom, theme)
    return sheet.figure


def write(tiling: Tiling, at: str, path: str | Path, title: str = "", theme: ThemeName = "light") -> None:
    """Draw it into an .svg or .png."""
    save(watts_figure(tiling, at, title, theme), path)


def _draw(sheet: Sheet, tiling: Tiling, layout: Layout, bottom: float, theme: ThemeName) -> None:
    colours = sheet.theme
    for tile, box in layout.boxes:
        useful = tile.part in tiling.useful
        wash = USEFUL_WASH if useful else HEAT_WASH
        if theme == "print":
            wash = 0.0 if useful else PRINTED_WASH
        sheet.block(box, colours.driver if useful else colours.pass_device, wash, name=f"watts-{tile.part}")
    for words in layout.within:
        _letter(sheet, words)
    for lead, middle in layout.beside:
        name, power = lead.words
        sheet.mark(lead.x, lead.y, "o", 2.6, colours.ink)
        start = RIGHT + LEADER + ELBOW
        sheet.rule((lead.x, RIGHT + 2.0, RIGHT + LEADER, start - 2.0), (lead.y, lead.y, middle, middle), colours.ink,
                   THIN, above=True)  # fmt: skip
        sheet.letter(start, middle - 3.0, f"{name} ", PART)
        sheet.letter(start + width(f"{name} ", PART), middle - 3.0, power, TEXT)
    _draw_volts(sheet, tiling, bottom)
    _draw_amperes(sheet, tiling, bottom)


def _letter(sheet: Sheet, words: Lettered) -> None:
    """Two lines centred, or one."""
    box, ((name, face), (power, plain)) = words.box, words.lines
    middle = 0.5 * (box.left + box.right)
    if name.endswith(" "):
        sheet.letter(box.left, box.bottom + 3.0, name, face)
        sheet.letter(box.left + width(name, face), box.bottom + 3.0, power, plain)
        return
    sheet.letter(middle, box.top - face.size, name, face, align="center")
    sheet.letter(middle, box.bottom + 3.0, power, plain, align="center")


def named_levels(tiling: Tiling) -> list[tuple[str, float]]:
    """Nets at the axis of volts, from below: both ends of what is drawn, and those that stand apart from all others."""
    height = tiling.top - tiling.bottom
    edges = {value for tile in tiling.tiles for value in (tile.high, tile.low)}
    first = ("in", "out", "ground")
    names = sorted((net for net, value in tiling.nets.items() if value in edges),
                   key=lambda net: (first.index(net) if net in first else len(first), net))  # fmt: skip
    found: list[tuple[str, float]] = []
    for net in names:
        if all(abs(tiling.nets[net] - value) > NAMED * height for _, value in found):
            found.append((net, tiling.nets[net]))
    return sorted(found, key=lambda one: one[1])


def _draw_volts(sheet: Sheet, tiling: Tiling, bottom: float) -> None:
    """Nets with their voltages at the left, each at its height, moved apart where they would touch."""
    levels = named_levels(tiling)
    up = HIGH / (tiling.top - tiling.bottom)
    wanted = [bottom + up * (value - tiling.bottom) for _, value in levels]
    middles = spread(wanted, [LINE] * len(levels), bottom - 6.0, bottom + HIGH + 6.0)
    for (net, value), at, middle in zip(levels, wanted, middles, strict=True):
        sheet.rule((LEFT, LEFT - 4.0, LEFT - 10.0), (at, at, middle), sheet.theme.ink2)
        volts = shown(value, VOLTAGE, 3) if value else "0 V"
        sheet.letter(LEFT - 12.0, middle - 3.0, volts, TEXT, sheet.theme.ink2, "right")
        sheet.letter(LEFT - 12.0 - width(f" {volts}", TEXT), middle - 3.0, net, CURVE, align="right")


def _draw_amperes(sheet: Sheet, tiling: Tiling, bottom: float) -> None:
    axis = Axis(0.0, tiling.current, "A", rooted=False)
    for tick in axis.ticks(RIGHT - LEFT, 40.0):
        x = LEFT + float(axis.share(tick)) * (RIGHT - LEFT)
        sheet.rule((x, x), (bottom, bottom - 4.0), sheet.theme.ink2)
        sheet.letter(x, bottom - 14.0, shown(tick, CURRENT, 3, zeros=False) if tick else "0", SMALL, sheet.theme.ink2,
                     "center")  # fmt: skip
    words = folded(f"{shown(tiling.current, CURRENT, 3)} from the source", SMALL, WIDE)[0]
    sheet.letter(RIGHT, bottom - 26.0, words, SMALL, sheet.theme.ink2, "right")
