"""Parts one above the other: the columns of the drawing, before anything has a place.

Two parts that share a net with nobody else stand in one column, as do the halves of a divider. More than four pass
devices side by side go into two rows; the nets of the second row are then drawn twice, joined by a riser.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from outboard.arrangements.design import DesignPart
from outboard.brief import Feed
from outboard.draw.schematic.feed_symbol import feed_symbol, feed_words
from outboard.draw.schematic.order import COMMANDS, Joints, places, role_of
from outboard.draw.schematic.potentials import MAIN, is_electrical, is_turned, potentials
from outboard.draw.schematic.symbols import Point, Style, Symbol, symbol
from outboard.network.part import GROUND

Net = tuple[str, int]
"""A net and the row in which it is drawn."""

MOST_IN_ROW = 4
RISERS_BEFORE, RISERS_BEHIND = 58.0, 69.0
TIE = 1e-9
ASIDE = ("capacitor", "source", "regulator")


@dataclass(frozen=True, slots=True)
class Seat:
    """A part upright in its column; `sides` are pins at its left or right, `remarks` lines below its name."""

    part: DesignPart
    role: str
    symbol: Symbol
    top: str | None
    bottom: str
    sides: Mapping[str, Point]
    mirrored: bool = False
    remarks: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Its name in the circuit."""
        return self.part.name

    @property
    def commands(self) -> bool:
        """Whether it has a pin that commands the main current, at its side."""
        return self.part.part.kind in MAIN


@dataclass(frozen=True, slots=True)
class Chain:
    """Seats from top to bottom with the nets between them; a hidden net is a plain lead between two seats.

    nets has one entry more than seats; None where there is no pin (above a regulator).
    """

    place: float
    seats: tuple[Seat, ...]
    nets: tuple[Net | None, ...]
    hidden: frozenset[Net] = frozenset()
    row: int = 0

    def is_aside(self) -> bool:
        """Whether a divider goes past it: a capacitor, a source or a regulator's reference."""
        return len(self.seats) == 1 and self.seats[0].part.part.kind in ASIDE

    def side_nets(self) -> Iterator[tuple[Seat, str, Net]]:
        """Every pin at a side with its net."""
        for seat in self.seats:
            for pin in seat.sides:
                yield seat, pin, (seat.part.part.pins[pin], self.row)

    def levelled(self) -> set[Net]:
        """Nets that are drawn as level lines."""
        found = {net for net in self.nets if net is not None} | {net for _, _, net in self.side_nets()}
        return found - self.hidden


@dataclass(frozen=True, slots=True)
class Columns:
    """All columns, from left to right, and the guess of every net's potential."""

    chains: tuple[Chain, ...]
    potentials: Mapping[str, float]


def columns(parts: Sequence[DesignPart], style: Style = "iec", feed: Feed | None = None) -> Columns:
    """The columns of a drawing of these parts; the source is drawn as the feed that makes it, if there is one."""
    drawn = [part for part in parts if is_electrical(part.part)]
    heights = potentials([part.part for part in drawn])
    joints, at = Joints(drawn), places(drawn)
    seats = [_seat(part, role_of(part, joints), heights, style) for part in drawn]
    if feed is not None:
        seats = [_fed(seat, feed, style) if seat.name == "input" else seat for seat in seats]
    chains = _joined([_single(seat, at[seat.name]) for seat in seats], joints)
    chains = sorted(chains, key=lambda chain: chain.place)
    return Columns(tuple(sorted(_in_rows(chains), key=lambda chain: chain.place)), heights)


def _seat(part: DesignPart, role: str, heights: Mapping[str, float], style: Style) -> Seat:
    pins, kind = part.part.pins, part.part.kind
    names = list(pins)
    if kind == "regulator":
        shape = symbol(kind, part.part.polarity, "in", style)
        return Seat(part, role, shape, None, "ref", shape.sides)
    ends = (MAIN[kind][0], MAIN[kind][2]) if kind in MAIN else (names[0], names[-1 if len(names) < 2 else 1])
    if part.part.polarity in ("pnp", "p-channel"):
        ends = ends[::-1]
    top, bottom = ends if heights[pins[ends[0]]] >= heights[pins[ends[1]]] - TIE else ends[::-1]
    zener = "breakdown_voltage" in part.part.values or "zener" in part.role
    shape = symbol(kind, part.part.polarity, bottom if is_turned(part.part) else top, style, zener)
    mirrored = role in ("sense transistor", "limiter")
    others = [name for name in names if name not in (top, bottom)]
    x, y = shape.side or (shape.box[0], 0.0)
    sides = {name: (-x if mirrored else x, y + 14.0 * number) for number, name in enumerate(others)}
    return Seat(part, role, shape, top, bottom, sides, mirrored)


def _fed(seat: Seat, feed: Feed, style: Style) -> Seat:
    """The source drawn as transformer, rectifier and reservoir."""
    part = seat.part.part
    if part.kind != "source":
        return seat
    shape = feed_symbol(feed, (seat.top == "plus") != is_turned(part), style)
    return replace(seat, symbol=shape, remarks=feed_words(feed))


def _single(seat: Seat, place: float) -> Chain:
    pins = seat.part.part.pins
    top = None if seat.top is None else (pins[seat.top], 0)
    return Chain(place, (seat,), (top, (pins[seat.bottom], 0)))


def _joined(chains: list[Chain], joints: Joints) -> list[Chain]:
    """Chains that meet end to end on a net of their own, or as a divider does, made one."""
    rails = joints.supply | joints.out | {GROUND}
    for net in sorted(joints.on_net):
        if net in rails:
            continue
        ends = [chain for chain in chains if len(joints.on_net[net]) == 2 or not chain.is_aside()]
        above = [chain for chain in ends if chain.nets[-1] == (net, 0)]
        below = [chain for chain in ends if chain.nets[0] == (net, 0)]
        if len(above) != 1 or len(below) != 1 or above[0] is below[0]:
            continue
        upper, lower, pins = above[0], below[0], joints.on_net[net]
        alone = len(pins) == 2
        divides = not any(seat.commands or seat.top is None for seat in (*upper.seats, *lower.seats))
        tapped = all(pin in (*COMMANDS, "ref") or part.kind in ASIDE for part, pin in pins
                     if part.name not in (upper.seats[-1].name, lower.seats[0].name))  # fmt: skip
        if alone or (divides and tapped):
            hidden = upper.hidden | lower.hidden | ({(net, 0)} if alone else set())
            leads = max((upper, lower), key=lambda chain: (any(seat.commands for seat in chain.seats), -chain.place))
            place = leads.place if alone else min(upper.place, lower.place)
            joined = Chain(place, upper.seats + lower.seats, upper.nets[:-1] + lower.nets, frozenset(hidden))
            chains = [chain for chain in chains if chain is not upper and chain is not lower] + [joined]
    return chains


def _in_rows(chains: Sequence[Chain]) -> list[Chain]:
    """The chains, with a second row of pass devices where there are too many for one."""
    passing = [chain for chain in chains if any(seat.role == "pass device" for seat in chain.seats)]
    groups: dict[tuple[Net | None, Net | None], list[Chain]] = {}
    for chain in passing:
        groups.setdefault((chain.nets[0], chain.nets[-1]), []).append(chain)
    crowd = max(groups.values(), key=len, default=[])
    if len(crowd) <= MOST_IN_ROW:
        return list(chains)
    second = crowd[(len(crowd) + 1) // 2 :]
    width = second[0].place - crowd[0].place
    edge = crowd[(len(crowd) + 1) // 2 - 1].place
    moved = [chain for chain in chains if edge < chain.place <= second[-1].place and _serves(chain, second)]
    ends = (second[0].nets[0], second[0].nets[-1])
    below = [_second_row(chain, chain.place - width + 1e-5) for chain in moved]
    kept = [chain for chain in chains if chain not in moved]
    used = {net for chain in kept for net in chain.levelled()}
    risers: list[Chain] = []
    for net in sorted({net for chain in below for net in chain.levelled()}):
        upper = (net[0], 0)
        if upper in used:
            place = RISERS_BEHIND if upper == ends[1] else RISERS_BEFORE + 0.01 * len(risers)
            risers.append(Chain(place, (), (upper, net)))
    return kept + below + risers


def _serves(chain: Chain, second: Sequence[Chain]) -> bool:
    """Whether a chain is in the second row, or serves a device there."""
    nets = {net for other in second for _, _, net in other.side_nets()}
    return chain in second or bool(chain.levelled() & nets)


def _second_row(chain: Chain, place: float) -> Chain:
    nets = tuple(None if net is None else (net[0], 1) for net in chain.nets)
    return replace(chain, place=place, nets=nets, hidden=frozenset((net, 1) for net, _ in chain.hidden), row=1)
