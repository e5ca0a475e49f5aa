"""Conductors as ribbons: as wide as their current, and widths add where conductors meet.

Full load is 26 units wide, for good, so that widths may be compared between states of one design. Below half a unit
ink alone remains; beyond 34 units the figure alone speaks. Where a branch leaves, the rail narrows gently, over the
width of the branch at least.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from outboard.draw.schematic.wires import Edge, Node, Wire, number

FULL, MOST, LEAST = 26.0, 34.0, 0.5
EDGE = 0.9
CORNER, OVERLAP, EASE = 8.0, 1.5, 0.9
CORNER_LEAST, CORNER_MOST = 5.0, 16.0


@dataclass(frozen=True, slots=True)
class Scale:
    """Units of width per ampere."""

    full_load: float

    def width(self, current: float) -> float:
        """How wide a current is drawn; nothing where ink alone remains."""
        wide = FULL * abs(current) / self.full_load
        return 0.0 if wide < LEAST else min(wide, MOST)


@dataclass(frozen=True, slots=True)
class Ribbon:
    """A stroke of one width, or an outline where widths change."""

    path: str
    wide: float | None


def corner(wide: float) -> float:
    """The radius with which a ribbon of a width turns; nothing wide still turns softly."""
    return min(0.5 * wide + CORNER_LEAST, CORNER_MOST)


def rounded(line: Sequence[Node], radius: float, sharp: Collection[Node] = ()) -> str:
    """A line as a path, its corners rounded as far as the pieces beside them allow, save sharp ones; all are in it."""
    path = f"M{_spot(*line[0])}"
    for before, at, after in zip(line, line[1:], line[2:], strict=False):
        (ax, ay), (bx, by) = _direction(at, before), _direction(at, after)
        room = 0.5 * min(abs(at[0] - end[0]) + abs(at[1] - end[1]) for end in (before, after))
        turn = round(min(radius, room), 2) if (ax, ay) != (-bx, -by) and at not in sharp else 0.0
        x, y = at
        if turn:
            path += f"L{_spot(x + ax * turn, y + ay * turn)}Q{_spot(x, y)} {_spot(x + bx * turn, y + by * turn)}"
        else:
            path += f"L{_spot(x, y)}"
    return f"{path}L{_spot(*line[-1])}"


def _spot(x: float, y: float) -> str:
    return f"{number(x)} {number(y)}"


def line_width(line: Sequence[Node], wire: Wire, scale: Scale) -> float:
    """How wide a line is at its beginning."""
    return scale.width(current_along(wire, line[0], line[1]))


def current_along(wire: Wire, start: Node, end: Node) -> float:
    """The current from one node to the next [A]; 0 where it is not known."""
    if (start, end) in wire.currents:
        return wire.currents[start, end]
    return -wire.currents.get((end, start), 0.0)


UNDER = 26.0
"""How far a ribbon reaches under the symbol at whose pin it ends: to the middle of a resistor, if not further."""


def ribbons(wire: Wire, scale: Scale) -> Iterator[Ribbon]:
    """All ribbons of a net; at pins they go on under the symbol."""
    widths = {edge: scale.width(current) for edge, current in wire.currents.items()}
    reach = {node: _reach(node, wire, widths) for node in wire.dots()}
    for node in wire.dots():
        yield from _tapers(node, wire, widths, reach[node])
    for line in wire.lines():
        wide = line_width(line, wire, scale)
        if wide:
            start = _shortened(line[0], line[1], reach, wire)
            end = _shortened(line[-1], line[-2], reach, wire)
            points = [start, *line[1:-1], end]
            points[0] = _under(points[0], points[1], wire)
            points[-1] = _under(points[-1], points[-2], wire)
            yield Ribbon(rounded(points, corner(wide)), wide)


def _under(node: Node, following: Node, wire: Wire) -> Node:
    """An end on a pin goes on under the symbol."""
    if node not in wire.pins or node[0] != following[0]:
        return node
    return node[0], node[1] + UNDER * _direction(following, node)[1]


def _at(node: Node, wire: Wire) -> list[Edge]:
    return [edge for edge in wire.edges if node in edge]


def _far(edge: Edge, node: Node) -> Node:
    return edge[1] if edge[0] == node else edge[0]


def _direction(node: Node, other: Node) -> tuple[int, int]:
    return (other[0] > node[0]) - (other[0] < node[0]), (other[1] > node[1]) - (other[1] < node[1])


def _reach(node: Node, wire: Wire, widths: Mapping[Edge, float]) -> dict[tuple[int, int], float]:
    """How far a change of width reaches from a meeting, in each direction in which a conductor goes straight on."""
    by = {_direction(node, _far(edge, node)): edge for edge in _at(node, wire)}
    found = {}
    for (dx, dy), edge in by.items():
        if (-dx, -dy) not in by:
            continue
        branches = [other for way, other in by.items() if way[0] * dx + way[1] * dy == 0]
        across = max((widths.get(other, 0.0) for other in branches), default=0.0)
        change = abs(widths.get(edge, 0.0) - widths.get(by[-dx, -dy], 0.0))
        far = _far(edge, node)
        length = abs(far[0] - node[0]) + abs(far[1] - node[1])
        found[dx, dy] = min(max(CORNER, 0.5 * across + 4.0, EASE * change), 0.45 * length)
    return found


def _tapers(
    node: Node, wire: Wire, widths: Mapping[Edge, float], reach: Mapping[tuple[int, int], float]
) -> Iterator[Ribbon]:
    """Where a conductor goes straight through a meeting: an outline from one width to the other."""
    by = {_direction(node, _far(edge, node)): widths.get(edge, 0.0) for edge in _at(node, wire)}
    for dx, dy in ((1, 0), (0, 1)):
        if (dx, dy) not in reach:
            continue
        after, before = 0.5 * by[dx, dy], 0.5 * by[-dx, -dy]
        if not after and not before:
            continue
        ahead, behind = reach[dx, dy], reach[-dx, -dy]
        half = 0.5 * (ahead - behind)

        def spot(along: float, across: float, node: Node = node, dx: int = dx, dy: int = dy) -> str:
            return _spot(node[0] + along * dx + across * dy, node[1] + along * dy + across * dx)

        path = f"M{spot(-behind, -before)}C{spot(half, -before)} {spot(half, -after)} {spot(ahead, -after)}"
        path += f"L{spot(ahead, after)}C{spot(half, after)} {spot(half, before)} {spot(-behind, before)}Z"
        yield Ribbon(path, None)


def _shortened(
    node: Node, following: Node, reach: Mapping[Node, Mapping[tuple[int, int], float]], wire: Wire
) -> Node:
    way = _direction(node, following)
    by = max(0.0, reach.get(node, {}).get(way, 0.0) - OVERLAP)
    return node[0] + way[0] * by, node[1] + way[1] * by
