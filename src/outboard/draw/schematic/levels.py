"""How high everything lies: nets as level lines, from the highest potential down, and symbols in the bands between.

A transistor may sit with its base or gate right on the level of that net, a regulator on that of its output, when the
net does not go on beyond it.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from outboard.draw.schematic.chains import Chain, Columns, Net, Seat
from outboard.network.part import GROUND

NEAR = 0.02
"""Nets this close in potential may share a level."""

LEAD = 16.0
"""Least length of a lead between a level and a symbol."""

OF_NAME = 22.0
"""How much more room a name needs above a level than anything else."""

BETWEEN = 8.0
"""Between two symbols of a column."""

LEAST_BAND = 44.0

Extent = Callable[[Seat], tuple[float, float]]
"""What a seat takes above and below its middle, words included."""


@dataclass(frozen=True, slots=True)
class Group:
    """Seats of one chain between two levels: in a band, or one of them right on a level."""

    chain: Chain
    seats: tuple[Seat, ...]
    upper: int | None
    lower: int
    band: int
    on_level: Seat | None = None


@dataclass(frozen=True)
class Levels:
    """Level of every net, height of every level [units down], middle of every seat."""

    of_net: Mapping[Net, int]
    groups: Sequence[Group]
    y: Sequence[float] = ()
    middles: Mapping[str, float] = field(default_factory=dict)

    def height(self, net: Net) -> float:
        """Where the level line of a net lies."""
        return self.y[self.of_net[net]]


def attached(chains: Sequence[Chain]) -> dict[Net, list[Chain]]:
    """Chains on every net that has a level, from left to right."""
    found: dict[Net, list[Chain]] = {}
    for chain in chains:
        for net in sorted(chain.levelled()):
            found.setdefault(net, []).append(chain)
    return found


def levels(drawn: Columns, extent: Extent, clearance: float) -> Levels:
    """The levels of these columns; `clearance` is kept above a level whose name stands there."""
    on = attached(drawn.chains)
    of_net = _levels_of_nets(drawn, on)
    groups = [group for chain in drawn.chains for group in _groups(chain, of_net, on)]
    owners = {net: chains[0] for net, chains in on.items()}
    y = _heights(groups, of_net, owners, extent, clearance)
    middles = {
        seat.name: middle for group in groups
        for seat, middle in _middles(group, y, of_net, owners, extent, clearance, drawn)
    }  # fmt: skip
    return Levels(of_net, groups, y, middles)


def _levels_of_nets(drawn: Columns, on: Mapping[Net, Sequence[Chain]]) -> dict[Net, int]:
    """A level for every net; neighbours in potential share one where neither is wanted above the other."""
    highest = sorted((net for net in on if net[1] == 0), key=lambda net: (-drawn.potentials[net[0]], net))
    second = sorted((net for net in on if net[1]), key=lambda net: (-drawn.potentials[net[0]], net))
    ground = [net for net in highest if net[0] == GROUND]
    order = [net for net in highest if net[0] != GROUND] + second + ground
    if any(drawn.potentials[net[0]] < 0 for net in highest):
        order = highest + second
    rows: list[list[Net]] = []
    for net in order:
        if rows and all(_may_share(net, other, on, drawn.potentials) for other in rows[-1]):
            rows[-1].append(net)
        else:
            rows.append([net])
    return {net: number for number, row in enumerate(rows) for net in row}


def _may_share(net: Net, other: Net, on: Mapping[Net, Sequence[Chain]], heights: Mapping[str, float]) -> bool:
    mine, its = [chain.place for chain in on[net]], [chain.place for chain in on[other]]
    apart = max(mine) < min(its) or max(its) < min(mine)
    near = abs(heights[net[0]] - heights[other[0]]) < NEAR and GROUND not in (net[0], other[0])
    return apart and near and net[1] == other[1]


def _groups(chain: Chain, of_net: Mapping[Net, int], on: Mapping[Net, Sequence[Chain]]) -> Iterator[Group]:
    """The seats of a chain, split where a net between them has a level."""
    seats: list[Seat] = []
    if not chain.seats:
        return
    upper = None if chain.nets[0] is None else of_net[chain.nets[0]]
    for seat, net in zip(chain.seats, chain.nets[1:], strict=True):
        seats.append(seat)
        if net is not None and net not in chain.hidden:
            yield _group(chain, tuple(seats), upper, of_net[net], of_net, on)
            seats, upper = [], of_net[net]


def _group(
    chain: Chain, seats: tuple[Seat, ...], upper: int | None, lower: int, of_net: Mapping[Net, int],
    on: Mapping[Net, Sequence[Chain]],
) -> Group:  # fmt: skip
    for seat in seats:
        for pin in seat.sides:
            net = (seat.part.part.pins[pin], chain.row)
            level = of_net[net]
            if seat.top is None and pin == "in":
                continue
            if seat.commands or seat.top is None:
                if (upper is None or upper < level) and level < lower and _ends_here(chain, seat, net, on):
                    return Group(chain, seats, upper, lower, level, seat)
                band = level - 1 if seat.top is None else level
                least = 0 if upper is None else upper
                return Group(chain, seats, upper, lower, min(max(band, least), max(lower - 1, least)))
    return Group(chain, seats, upper, lower, max(lower - 1, upper or 0))


def _ends_here(chain: Chain, seat: Seat, net: Net, on: Mapping[Net, Sequence[Chain]]) -> bool:
    """Whether a net comes to this seat's side pin and goes no further."""
    others = [other for other in on[net] if other is not chain]
    if net in chain.nets:
        return False
    if seat.top is None or seat.mirrored:
        return all(other.place > chain.place for other in others)
    twins = [other for other in others if (other.nets[0], other.nets[-1]) == (chain.nets[0], chain.nets[-1])
             and any(s.commands for s in other.seats)]  # fmt: skip
    return not twins and all(other.place < chain.place for other in others)


def _side_offset(seat: Seat) -> float:
    """How far below its middle a seat's pins at the side are; above it, less than nothing."""
    return next((dy for _, dy in seat.sides.values()), 0.0)


def _stack(group: Group, extent: Extent) -> tuple[float, float]:
    """What a group takes above and below its level, or in all within its band (then the first is nothing)."""
    up = down = 0.0
    seen = group.on_level is None
    for seat in group.seats:
        above, below = extent(seat)
        if seat is group.on_level:
            offset = _side_offset(seat)
            up, down, seen = up + above + offset, below - offset, True
        elif seen:
            down += above + below + (BETWEEN if down else 0.0)
        else:
            up += above + below + BETWEEN
    return up, down


def lead(clearance: float) -> float:
    """Least length of a lead: longer where ribbons need the room beside a level."""
    return max(LEAD, clearance - OF_NAME)


def _below(group: Group, owners: Mapping[Net, Chain], of_net: Mapping[Net, int], clearance: float) -> float:
    """Clearance that a group keeps above its lower level: more where the name of that net stands beside it."""
    named = any(owners.get(net) is group.chain and of_net[net] == group.lower and net[0] != GROUND and net[1] == 0
                for net in group.chain.levelled())  # fmt: skip
    return clearance if named else lead(clearance)


def _heights(
    groups: Sequence[Group], of_net: Mapping[Net, int], owners: Mapping[Net, Chain], extent: Extent, clearance: float
) -> list[float]:
    count = max(of_net.values(), default=0) + 1
    least = max(LEAST_BAND, clearance + 14.0)
    wanted: list[tuple[int, int, float]] = [(level, level + 1, least) for level in range(count - 1)]
    for group in groups:
        up, down = _stack(group, extent)
        foot = _below(group, owners, of_net, clearance)
        if group.on_level is None:
            wanted.append((group.band, group.band + 1, lead(clearance) + down + foot))
            continue
        if group.upper is not None:
            wanted.append((group.band - 1, group.band, up + lead(clearance)))
        wanted.append((group.band, group.band + 1, down + (foot if group.lower == group.band + 1 else lead(clearance))))
    y = [0.0] * (count + 1)
    for level in range(1, count + 1):
        reached = [y[upper] + need for upper, lower, need in wanted if lower == level]
        y[level] = 4.0 * math.ceil(max(reached, default=0.0) / 4.0)
    return y


def _middles(
    group: Group, y: Sequence[float], of_net: Mapping[Net, int], owners: Mapping[Net, Chain], extent: Extent,
    clearance: float, drawn: Columns,
) -> Iterator[tuple[Seat, float]]:  # fmt: skip
    """The middle of every seat of a group."""
    up, down = _stack(group, extent)
    if group.on_level is not None:
        at = y[group.band] - up
    else:
        foot = _below(group, owners, of_net, clearance)
        band = group.band
        if group.chain is drawn.chains[0] and group.upper is not None:
            band = _middle_band(group.upper, group.lower, y, lead(clearance) + down + foot, band)
        at = 0.5 * (y[band] + lead(clearance) + y[band + 1] - foot) - 0.5 * down
    for number, seat in enumerate(group.seats):
        above, below = extent(seat)
        at += above
        yield seat, float(round(at))
        at += below + (BETWEEN if number + 1 < len(group.seats) else 0.0)


def _middle_band(upper: int, lower: int, y: Sequence[float], need: float, otherwise: int) -> int:
    """The band nearest the middle between two levels, among those that are high enough."""
    middle = 0.5 * (y[upper] + y[lower])
    fitting = [band for band in range(upper, lower) if y[band + 1] - y[band] >= need]
    return min(fitting, key=lambda band: abs(0.5 * (y[band] + y[band + 1]) - middle), default=otherwise)
