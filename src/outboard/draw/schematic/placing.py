"""How far right everything lies: columns pushed together from the left until what they hold would touch.

Every column is a set of boxes – symbols, words, leads –, and two columns keep apart where their boxes are level with
each other. So a column may stand above another, and no box ever meets one of another column.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from outboard.draw.schematic.chains import Chain, Columns, Net, Seat
from outboard.draw.schematic.labels import Label, Word
from outboard.draw.schematic.letters import BOLD, NET, width
from outboard.draw.schematic.levels import Levels, attached
from outboard.network.part import GROUND

Segment = tuple[float, float, float, float]
SHORT = 5.0
"""By how much a lead's box ends before the level that it meets, so that leads from both sides may share a line."""

LABEL_GAP = 11.0
GAP = 16.0
DROP = 18.0
APART, FURTHEST = 28.0, 150.0
METER = 24.0
"""What the figure of a main current takes above or below its transistor."""

NET_NAME = 10.0
LONGEST_VOLTAGE = " 88.88 V"


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, y down."""

    left: float
    top: float
    right: float
    bottom: float

    def moved(self, x: float) -> "Box":
        """Further right."""
        return Box(self.left + x, self.top, self.right + x, self.bottom)

    def meets(self, other: "Box") -> bool:
        """Whether two boxes share anything."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


@dataclass(slots=True)
class Column:
    """A chain with its boxes, leads and attachments about its own line of current, x = 0; later its place.

    leads     per net: segments between pins and levels
    attached  per net: where its leads meet its level, and from where: −1 above, 1 below, 0 beside
    pins      per part and pin: where the pin is
    names     per net that is named here: where its name stands
    """

    chain: Chain
    boxes: list[Box] = field(default_factory=list)
    leads: list[tuple[Net, Segment, str, str]] = field(default_factory=list)
    attached: list[tuple[Net, float, int]] = field(default_factory=list)
    pins: dict[tuple[str, str], tuple[float, float]] = field(default_factory=dict)
    names: dict[Net, Box] = field(default_factory=dict)
    x: float = 0.0


@dataclass(frozen=True, slots=True)
class Words:
    """All words of a drawing by part, and of level nets."""

    labels: Mapping[str, Label]
    meters: Mapping[str, tuple[Word, str]]
    voltages: bool
    half_ribbon: float


def label_box(seat: Seat, words: Label, middle: float, line: float) -> Box:
    """Where the words of a part stand: right of it, left of a mirrored one, a regulator's below it."""
    height = line * len(words.lines)
    if seat.top is None:
        return Box(18.0, middle + 46.0, 18.0 + words.width, middle + 46.0 + height)
    top = middle - 0.5 * height
    if seat.mirrored:
        right = -seat.symbol.box[2] - LABEL_GAP
        return Box(right - words.width, top, right, top + height)
    left = max(seat.symbol.box[2] + LABEL_GAP, 22.0)
    return Box(left, top, left + words.width, top + height)


def symbol_box(seat: Seat, middle: float) -> Box:
    """What the symbol itself takes."""
    left, top, right, bottom = seat.symbol.box
    if seat.mirrored:
        left, right = -right, -left
    return Box(left, middle + top, right, middle + bottom)


def meter_box(seat: Seat, meter: tuple[Word, str], middle: float) -> Box:
    """Where a transistor's main current is written: beside the lead of that pin."""
    wide = width("8.88 mA", BOLD) + 4.0
    top = middle - seat.symbol.half - METER + 2.0 if meter[1] == seat.top else middle + seat.symbol.half + 2.0
    left = -22.0 - wide if seat.mirrored else 22.0
    return Box(left, top, left + wide, top + 20.0)


def columns_of(drawn: Columns, found: Levels, words: Words, line: float) -> list[Column]:
    """Every column, placed."""
    owners = {net: chains[0] for net, chains in attached(drawn.chains).items()}
    made = [_column(chain, found, words, line, owners) for chain in drawn.chains]
    straddled = {
        (group.chain.place, net) for group in found.groups if group.on_level is not None
        for seat, _, net in group.chain.side_nets() if seat is group.on_level and found.of_net[net] == group.band
    }  # fmt: skip
    ordered = {net for _, net in straddled}
    for number, column in enumerate(made):
        _place(column, made[:number], found, ordered, words)
    return made


def _column(chain: Chain, found: Levels, words: Words, line: float, owners: Mapping[Net, Chain]) -> Column:
    column, clear = Column(chain), max(5.0, words.half_ribbon + 2.0)
    for seat in chain.seats:
        middle = found.middles[seat.name]
        box = symbol_box(seat, middle)
        column.boxes.append(box)
        if words.labels[seat.name].lines:
            column.boxes.append(label_box(seat, words.labels[seat.name], middle, line))
        if seat.name in words.meters:
            column.boxes.append(meter_box(seat, words.meters[seat.name], middle))
    _add_leads(column, found)
    _add_side_leads(column, found, words, line)
    for net, (x1, y1, x2, y2), _, _ in column.leads:
        top, bottom, level = min(y1, y2), max(y1, y2), None if net in chain.hidden else found.height(net)
        inset = [SHORT if x1 == x2 and y == level else 0.0 for y in (top, bottom)]
        column.boxes.append(Box(min(x1, x2) - clear, top + inset[0], max(x1, x2) + clear, bottom - inset[1]))
    for net, x in first_met(column).items():
        if owners[net] is chain and is_named(net):
            column.names[net] = _clear_of_leads(net_box(net, found.height(net), words).moved(x), column, clear)
            column.boxes.append(column.names[net])
    return column


def _clear_of_leads(name: Box, column: Column, clear: float) -> Box:
    """A name moved right until no upright lead of its own column runs through it."""
    for x in sorted(x1 for _, (x1, y1, x2, y2), _, _ in column.leads
                    if x1 == x2 and min(y1, y2) < name.bottom and name.top < max(y1, y2)):  # fmt: skip
        if name.left - clear < x < name.right + clear:
            name = name.moved(x + clear + 4.0 - name.left)
    return name


def first_met(column: Column) -> dict[Net, float]:
    """Where a column's leads first meet the level of each net."""
    return {net: x for net, x, _ in reversed(column.attached)}


def is_named(net: Net) -> bool:
    """Whether the name of a net stands above its level; ground has its symbol, a second row says nothing twice."""
    return net[0] != GROUND and net[1] == 0


def net_box(net: Net, y: float, words: Words) -> Box:
    """Where the name of a net stands, from where it is first met."""
    wide = width(net[0], NET) + (width(LONGEST_VOLTAGE, BOLD) if words.voltages else 0.0)
    lift, left = words.half_ribbon + 4.0, max(NET_NAME, words.half_ribbon + 5.0)
    return Box(left, y - lift - 18.0, left + wide + 4.0, y - lift)


def _add_leads(column: Column, found: Levels) -> None:
    """Leads along the line of current: pins to levels, and between seats."""
    chain = column.chain
    if not chain.seats:  # a riser
        upper, lower = chain.nets
        assert upper is not None and lower is not None
        column.leads.append((upper, (0.0, found.height(upper), 0.0, found.height(lower)), "", ""))
        column.attached += [(upper, 0.0, 1), (lower, 0.0, -1)]
        return
    for number, seat in enumerate(chain.seats):
        middle, half = found.middles[seat.name], seat.symbol.half
        above, below = chain.nets[number], chain.nets[number + 1]
        if seat.top is not None and above is not None:
            column.pins[seat.name, seat.top] = (0.0, middle - half)
            if above not in chain.hidden:
                _lead(column, found, above, (0.0, middle - half), True, seat.name, seat.top)
        column.pins[seat.name, seat.bottom] = (0.0, middle + half)
        if below is not None:
            if below in chain.hidden:
                following = chain.seats[number + 1]
                end = found.middles[following.name] - following.symbol.half
                column.leads.append((below, (0.0, middle + half, 0.0, end), seat.name, seat.bottom))
            else:
                _lead(column, found, below, (0.0, middle + half), False, seat.name, seat.bottom)


def _lead(
    column: Column, found: Levels, net: Net, pin: tuple[float, float], up: bool, name: str, pin_name: str
) -> None:
    """A straight lead from a pin to its level, or one around the part when the level lies behind it."""
    x, y = pin
    level = found.height(net)
    if (level <= y) == up:
        column.leads.append((net, (x, y, x, level), name, pin_name))
        column.attached.append((net, x, 1 if up else -1))
        return
    turn = y - 10.0 if up else y + 10.0
    right = max([box.right for box in column.boxes] + [x]) + GAP
    for segment in ((x, y, x, turn), (x, turn, right, turn), (right, turn, right, level)):
        column.leads.append((net, segment, name, pin_name))
    column.attached.append((net, right, -1 if up else 1))


def _add_side_leads(column: Column, found: Levels, words: Words, line: float) -> None:
    """Leads of pins at a side: straight along the level, or a little way out, clear of words, and up or down to it."""
    for seat, pin, net in column.chain.side_nets():
        x, dy = seat.sides[pin]
        y, level = found.middles[seat.name] + dy, found.height(net)
        column.pins[seat.name, pin] = (x, y)
        if y == level:
            column.attached.append((net, x, 0))
            continue
        out = x + DROP if x > 0 else x - DROP
        if seat.top is None and x > 0 and level > y:
            box = label_box(seat, words.labels[seat.name], found.middles[seat.name], line)
            out = max(out, box.right + words.half_ribbon + 6.0)
        column.leads += [(net, (x, y, out, y), seat.name, pin), (net, (out, y, out, level), seat.name, pin)]
        column.attached.append((net, out, 1 if y > level else -1))


def _place(column: Column, before: Sequence[Column], found: Levels, ordered: set[Net], words: Words) -> None:
    """As far left as its boxes, and the order on its levels, allow."""
    least, apart = [0.0], APART + words.half_ribbon
    for other in before:
        for box in column.boxes:
            for its in other.boxes:
                if box.top < its.bottom + 4.0 and its.top < box.bottom + 4.0:
                    least.append(other.x + its.right + GAP - box.left)
        least += _in_order(column, other, found, ordered)
        if other.chain.row == column.chain.row:
            least.append(other.x + apart)
    column.x = float(round(max(least)))
    for _ in before:
        aside = max((column.x + by for by in _beside_others(column, before, apart)), default=column.x)
        if aside == column.x:
            break
        column.x = aside
    _align(column, before, found, ordered)


def _beside_others(column: Column, before: Sequence[Column], apart: float) -> Iterator[float]:
    """How much further right, so that no two leads meet a level at one point from both sides, save at its beginning."""
    for net, x, side in column.attached:
        at_net = [(other.x + at, its_side) for other in before for its, at, its_side in other.attached if its == net]
        for number, (at, its_side) in enumerate(at_net):
            gap = column.x + x - at
            begins = number == 0 and side * its_side < 0 and gap == 0.0
            if abs(gap) < apart and not (begins and len(at_net) == 1):
                yield apart - gap


def _align(column: Column, before: Sequence[Column], found: Levels, ordered: set[Net]) -> None:
    """What stands over this column's lead is moved right above it, where nothing is in the way."""
    for net, x, side in column.attached:
        met = [(other, at, its_side) for other in before for its, at, its_side in other.attached if its == net]
        if len(met) != 1 or net not in ordered or side * met[0][2] >= 0:
            continue
        other, at, _ = met[0]
        old, other.x = other.x, column.x + x - at
        rest = [*(one for one in before if one is not other), column]
        if not 0.0 < other.x - old < FURTHEST or any(_touch(other, one, found) for one in rest):
            other.x = old


def _touch(column: Column, other: Column, found: Levels) -> bool:
    """Whether two columns come too near each other, in whatever order."""
    for box in column.boxes:
        for its in other.boxes:
            near = box.top < its.bottom + 4.0 and its.top < box.bottom + 4.0
            by = other.x - column.x
            if near and box.left < its.right + by + GAP and its.left + by < box.right + GAP:
                return True
    return any(
        its != net and found.of_net[its] == found.of_net[net] and abs(column.x + x - other.x - at) < 2.0 * DROP
        for net, x, _ in column.attached for its, at, _ in other.attached
    )  # fmt: skip


def _in_order(column: Column, other: Column, found: Levels, ordered: set[Net]) -> Iterator[float]:
    """Attachments to one level keep the order of the columns where order matters, and nets on one level stay apart."""
    for net, x, side in column.attached:
        for its, at, its_side in other.attached:
            if its == net and net in ordered:
                yield other.x + at - x + (0.0 if side * its_side < 0 else DROP)
            elif its != net and found.of_net[its] == found.of_net[net]:
                yield other.x + at - x + 2.0 * DROP
