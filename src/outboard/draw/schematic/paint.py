"""The drawing as SVG: ribbons beneath, then ink, then symbols, then words; all with ids, titles and roles."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from outboard.analysis.operating import OperatingPoint
from outboard.draw.schematic.chains import Seat
from outboard.draw.schematic.css import hatches, stylesheet
from outboard.draw.schematic.labels import LINE, Word, slug, step, title_of, value_of
from outboard.draw.schematic.letters import BOLD, NET, PART, PIN, TYPE, width
from outboard.draw.schematic.levels import Levels
from outboard.draw.schematic.placing import (
    Box,
    Column,
    Words,
    label_box,
    meter_box,
    symbol_box,
)
from outboard.draw.schematic.ribbons import EDGE, Scale, corner, current_along, line_width, ribbons, rounded
from outboard.draw.schematic.shares import RATED, share
from outboard.draw.schematic.wires import Edge, Node, Wire, crossings, number
from outboard.network.part import GROUND
from outboard.quantity import VOLTAGE, shown

ASCENT, GROUND_LEAD, CLEAR_OF_RIBBON = 13.5, 13.0, 7.0
TOUCH = 52.0
"""Least size of what a finger may meet of a part."""
LEAST_VOLTAGE = 1e-6
"""Voltage below which a net is told to be at ground [V]."""

MUCH = 0.2
"""Share of the full load from which a net's direction of flow is marked."""

SIGNS = {"bipolar": "transistor", "mosfet": "field-effect transistor"}


@dataclass(frozen=True)
class Plate:
    """All that is drawn, in place."""

    title: str
    columns: Sequence[Column]
    levels: Levels
    wires: Sequence[Wire]
    words: Words
    point: OperatingPoint | None
    scale: Scale | None
    bars: float | None

    def seats(self) -> Iterator[tuple[Column, Seat, float]]:
        """Every part with its column and the height of its middle."""
        for column in self.columns:
            for seat in column.chain.seats:
                yield column, seat, self.levels.middles[seat.name]


def text(x: float, y: float, words: Sequence[Word], anchor: str = "", halo: bool = False) -> str:
    """Words on a base line, each in its own slot."""
    spans = "".join(f'<tspan class="{word.face.name}"{_slot(word)}>{escape(word.text)}</tspan>' for word in words)
    attributes = (f' text-anchor="{anchor}"' if anchor else "") + (' class="hal"' if halo else "")
    return f'<text x="{number(x)}" y="{number(y)}"{attributes}>{spans}</text>'


def _slot(word: Word) -> str:
    """The id of a slot, and apart from it of what it tells: several drawings on one page may share an id."""
    if word.slot is None:
        return ""
    return f' id="{word.slot}" data-slot="{word.slot.partition("-")[0]}"'


def painted(plate: Plate, box: Box, legend: str = "") -> str:
    """The whole drawing."""
    size = f"{number(box.left)} {number(box.top)} {number(box.right - box.left)} {number(box.bottom - box.top)}"
    paper = (f'<rect class="paper" x="{number(box.left)}" y="{number(box.top)}" '
             f'width="{number(box.right - box.left)}" height="{number(box.bottom - box.top)}"/>')  # fmt: skip
    bridges = "".join(_bridges(plate)) if plate.scale else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plate" data-theme="auto" viewBox="{size}" role="img" '
        f"aria-label={quoteattr(plate.title)}><title>{escape(plate.title)}</title>"
        f"<style>{stylesheet()}</style>{hatches()}"
        f'{paper}<g class="ribbons">{_ribbons(plate)}</g><g class="nets">{"".join(_nets(plate))}</g>'
        f'<g class="bridges">{bridges}</g><g class="marks">{"".join(_marks(plate))}</g>'
        f'<g class="parts">{"".join(_parts(plate))}</g><g class="words">{"".join(_net_names(plate))}</g>'
        f"{legend}</svg>\n"
    )


def _ribbons(plate: Plate) -> str:
    if plate.scale is None:
        return ""
    edges, fills = [], []
    for wire in plate.wires:
        for ribbon in ribbons(wire, plate.scale):
            if ribbon.wide is None:
                edges.append(f'<path class="pc" d="{ribbon.path}"/>')
                fills.append(f'<path class="pf" d="{ribbon.path}"/>')
            else:
                edges.append(f'<path class="rc" d="{ribbon.path}" stroke-width="{number(ribbon.wide + 2 * EDGE)}"/>')
                fills.append(f'<path class="rf" d="{ribbon.path}" stroke-width="{number(ribbon.wide)}"/>')
    return "".join(edges + fills)


def _nets(plate: Plate) -> Iterator[str]:
    """Ink: a group for each net, with its title, its lines and its dots."""
    for wire in plate.wires:
        sharp = {ground_place(plate)} if wire.net == GROUND else set()
        title = f"net {wire.net}"
        if plate.point is not None:
            title += f": {shown(plate.point.nets.get(wire.net, 0.0), VOLTAGE, 4)}"
        lines = "".join(f'<path class="ln" d="{rounded(line, _radius(plate, line, wire), sharp)}"/>'
                        for line in wire.lines())  # fmt: skip
        dots = "".join(f'<circle class="dot" cx="{number(x)}" cy="{number(y)}" r="3"/>' for x, y in wire.dots())
        yield (f'<g id="net-{slug(wire.net)}" class="net-lines" data-role="net" data-net={quoteattr(wire.net)}>'
               f"<title>{escape(title)}</title>{lines}{dots}</g>")  # fmt: skip


def _radius(plate: Plate, line: Sequence[Node], wire: Wire) -> float:
    """Ink turns its corners as its ribbon does."""
    return corner(line_width(line, wire, plate.scale) if plate.scale is not None else 0.0)


def _bridges(plate: Plate) -> Iterator[str]:
    """Where two nets cross, the thinner one drawn over the wider, on a strip of paper."""
    assert plate.scale is not None
    for place, one, mine, other, its in crossings(plate.wires):
        wide, its_wide = (plate.scale.width(current_along(wire, *edge)) for wire, edge in ((one, mine), (other, its)))
        if wide or its_wide:
            thin = mine if wide <= its_wide else its
            yield _bridge(place, thin, min(wide, its_wide), max(wide, its_wide))


def _bridge(place: Node, edge: Edge, narrow: float, wide: float) -> str:
    (x, y), half = place, 0.5 * wide + EDGE + 2.0
    upright = edge[0][0] == edge[1][0]
    across, along = (0.0, half) if upright else (half, 0.0)
    path = f"M{number(x - across)} {number(y - along)}L{number(x + across)} {number(y + along)}"
    strokes = [("halo", narrow + 6.0)] + ([("rc", narrow + 2 * EDGE), ("rf", narrow)] if narrow else [])
    drawn = "".join(f'<path class="{name}" d="{path}" stroke-width="{number(stroke)}"/>' for name, stroke in strokes)
    return f'{drawn}<path class="ln over" d="{path}"/>'


def _marks(plate: Plate) -> Iterator[str]:
    """Arrows at figures of current, and the ground."""
    ground = next((wire for wire in plate.wires if wire.net == GROUND), None)
    if ground is not None:
        x, y = ground_place(plate)
        foot = y + ground_lead(plate)
        yield f'<path class="ln sign" d="M{number(x)} {number(y)}V{number(foot)}"/>'
        yield f'<path class="pl" d="M{number(x - 13)} {number(foot)}h26m-21 5h16m-11.5 5h7"/>'
    if plate.point is None:
        return
    if plate.scale is not None:
        yield from _flow(plate)
    for column, seat, middle in plate.seats():
        if seat.name in plate.words.meters:
            meter = plate.words.meters[seat.name]
            box = meter_box(seat, meter, middle)
            into = plate.point.parts[seat.name].currents[meter[1]]
            if abs(into) > 1e-6:
                down = (into > 0) == (meter[1] == seat.top)
                yield _arrow(column.x, 0.5 * (box.top + box.bottom), 90 if down else -90)


def _flow(plate: Plate) -> Iterator[str]:
    """An arrow on the longest level piece of every net that carries much."""
    assert plate.scale is not None
    for wire in plate.wires:
        most = max((abs(current) for current in wire.currents.values()), default=0.0)
        strong = [edge for edge, current in wire.currents.items() if abs(current) > 0.5 * most]
        level = [edge for edge in strong if edge[0][1] == edge[1][1]]
        if not level or most < MUCH * plate.scale.full_load:
            continue
        edge = max(level, key=lambda edge: (abs(edge[1][0] - edge[0][0]), -edge[0][0]))
        forward = (edge[1][0] > edge[0][0]) == (wire.currents[edge] > 0)
        yield _arrow(0.5 * (edge[0][0] + edge[1][0]), edge[0][1], 0 if forward else 180)


def _arrow(x: float, y: float, turn: int) -> str:
    return f'<path class="ar" d="M-5-4.2L5 0L-5 4.2Z" transform="translate({number(x)} {number(y)}) rotate({turn})"/>'


def ground_place(plate: Plate) -> Node:
    """Where the sign of ground hangs: below a regulator's reference, else below another part, where there is room.

    The ends of the level of ground come last, for there the conductor turns.
    """
    row = (GROUND, 0)
    y = plate.levels.height(row)
    found = [(any(seat.top is None for seat in column.chain.seats), column.x + x)
             for column in plate.columns for net, x, _ in column.attached if net == row]  # fmt: skip
    ends = (min(x for _, x in found), max(x for _, x in found))
    ranked = sorted(found, key=lambda one: (one[1] in ends, not one[0], one[1]))
    taken = [box.moved(column.x) for column in plate.columns for box in column.boxes]
    free = [x for _, x in ranked if not any(_ground_box(plate, x, y).meets(box) for box in taken)]
    return (free or [ranked[0][1]])[0], y


def _ground_box(plate: Plate, x: float, y: float) -> Box:
    """What the sign of ground and its name take."""
    foot = y + ground_lead(plate)
    wide = sum(width(word.text, word.face) for word in _net_words(plate, GROUND))
    return Box(x - 15.0, y + 1.0, x + 22.0 + wide, foot + 24.0)


def ground_lead(plate: Plate) -> float:
    """How far below its level the sign of ground hangs: clear of the ribbon, if there is one."""
    return GROUND_LEAD + (CLEAR_OF_RIBBON if plate.scale is not None else 0.0)


def _touched(plate: Plate, column: Column, seat: Seat, middle: float) -> str:
    """What belongs to a part for a finger or a pointer: its symbol, never too small, and its words."""
    box = symbol_box(seat, middle).moved(column.x)
    wide, high = (max(0.0, 0.5 * (TOUCH - size)) for size in (box.right - box.left, box.bottom - box.top))
    boxes = [Box(box.left - wide, box.top - high, box.right + wide, box.bottom + high)]
    if plate.words.labels[seat.name].lines:
        boxes.append(label_box(seat, plate.words.labels[seat.name], middle, LINE).moved(column.x))
    return "".join(
        f'<rect class="hit" x="{number(box.left)}" y="{number(box.top)}" width="{number(box.right - box.left)}" '
        f'height="{number(box.bottom - box.top)}"/>' for box in boxes
    )  # fmt: skip


def _parts(plate: Plate) -> Iterator[str]:
    for column, seat, middle in plate.seats():
        name, part = slug(seat.name), seat.part
        used = share(part, plate.point) if plate.point is not None else None
        tint = step(used) if plate.bars is not None and part.part.kind in RATED else "t0"
        title = title_of(part, SIGNS.get(seat.role, seat.role))
        if used is not None:
            title += f", {100 * used:.0f} % of its limit"
        at = {pin: column.pins[seat.name, pin] for pin in part.part.pins}
        pins = " ".join(f"{pin}:{number(x + column.x)},{number(y)}" for pin, (x, y) in at.items())
        place = f"translate({number(column.x)} {number(middle)})" + (" scale(-1 1)" if seat.mirrored else "")
        drawn = f'<g class="sym" transform="{place}">{seat.symbol.drawing}</g>'
        yield (f'<g id="part-{name}" class="part {tint}" data-role={quoteattr(seat.role)} data-pins={quoteattr(pins)} '
               f'tabindex="0" aria-label={quoteattr(title)}><title>{escape(title)}</title>'
               f'{_touched(plate, column, seat, middle)}{drawn}'
               f"{_inside(seat, column.x, middle)}</g>")  # fmt: skip
        yield from _label(plate, column, seat, middle)


def _inside(seat: Seat, x: float, middle: float) -> str:
    """Name and pins of a regulator stand in it."""
    if seat.top is not None:
        return ""
    name = slug(seat.name)
    return (
        text(x, middle - 13.0, [Word(seat.name, PART, f"name-{name}")], "middle", True)
        + text(x, middle + 4.0, [Word(value_of(seat.part), TYPE, f"value-{name}")], "middle", True)
        + text(x - 53.0, middle + 4.0, [Word("in", PIN)], "", True)
        + text(x + 53.0, middle + 4.0, [Word("out", PIN)], "end", True)
        + text(x, middle + 29.0, [Word("ref", PIN)], "middle", True)
    )


def _label(plate: Plate, column: Column, seat: Seat, middle: float) -> Iterator[str]:
    label = plate.words.labels[seat.name]
    box = label_box(seat, label, middle, LINE).moved(column.x)
    left, anchor = (box.right, "end") if seat.mirrored else (box.left, "")
    with_bar = 0 if seat.top is None else 1
    for row, words in enumerate(label.lines):
        y, x = box.top + LINE * row + ASCENT, left
        if row == with_bar and label.bar is not None:
            bar = left - label.bar if seat.mirrored else left
            yield (f'<rect class="heat" id="heat-{slug(seat.name)}" data-slot="heat" '
                   f'x="{number(bar)}" y="{number(y - 8.5)}" width="{number(label.bar)}" height="7"/>')  # fmt: skip
            x += (-1 if seat.mirrored else 1) * (label.bar + 6.0 if label.bar else 0.0)
        yield text(x, y, words, anchor)
    if seat.name in plate.words.meters:
        meter = plate.words.meters[seat.name]
        at = meter_box(seat, meter, middle).moved(column.x)
        yield text(at.right if seat.mirrored else at.left, at.top + 15.0, [meter[0]], anchor)


def _net_names(plate: Plate) -> Iterator[str]:
    """Names of nets above their levels, and that of ground beside its sign."""
    for column in plate.columns:
        for net, name in column.names.items():
            yield text(name.left + column.x, name.bottom - 4.0, _net_words(plate, net[0]))
    if any(wire.net == GROUND for wire in plate.wires):
        x, y = ground_place(plate)
        yield text(x + 20.0, y + ground_lead(plate) + 18.0, _net_words(plate, GROUND))


def _net_words(plate: Plate, net: str) -> list[Word]:
    words = [Word(net, NET)]
    if plate.point is not None:
        volts = 0.0 if net == GROUND else plate.point.nets[net]
        volts = volts if abs(volts) >= LEAST_VOLTAGE else 0.0
        words.append(Word(" " + shown(volts, VOLTAGE, 4 if volts else 1), BOLD, f"voltage-{slug(net)}"))
    return words


def extent(plate: Plate, margin: float = 24.0) -> Box:
    """The sheet: all boxes, and a margin."""
    boxes = [box.moved(column.x) for column in plate.columns for box in column.boxes]
    boxes += [symbol_box(seat, middle).moved(column.x) for column, seat, middle in plate.seats()]
    bottom = max(box.bottom for box in boxes)
    if any(wire.net == GROUND for wire in plate.wires):
        _, y = ground_place(plate)
        bottom = max(bottom, y + plate.words.half_ribbon, y + ground_lead(plate) + 21.0)
    half = plate.words.half_ribbon
    return Box(min(box.left for box in boxes) - margin - half, min(box.top for box in boxes) - margin - half,
               max(box.right for box in boxes) + margin, bottom + margin)  # fmt: skip
