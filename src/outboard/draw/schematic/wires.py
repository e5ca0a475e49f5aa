"""The conductors: every net as a tree of straight pieces, upright or level, with the current in each.

A dot marks where three pieces or more meet. Where two nets cross there is none.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise

from outboard.draw.schematic.levels import Levels
from outboard.draw.schematic.placing import Column, Segment

Node = tuple[float, float]
Edge = tuple[Node, Node]


def number(value: float) -> str:
    """A coordinate, to a hundredth."""
    return f"{round(value, 2) + 0.0:g}"


@dataclass(slots=True)
class Wire:
    """One net: its edges, the pins on it, the current along each edge from its first node to its second [A]."""

    net: str
    edges: list[Edge]
    pins: dict[Node, list[tuple[str, str]]]
    currents: dict[Edge, float] = field(default_factory=dict)

    def degree(self) -> dict[Node, int]:
        """How many edges meet at each node."""
        found: dict[Node, int] = {}
        for edge in self.edges:
            for node in edge:
                found[node] = found.get(node, 0) + 1
        return found

    def dots(self) -> list[Node]:
        """Where three pieces or more meet."""
        return sorted(node for node, count in self.degree().items() if count > 2)

    def lines(self) -> list[list[Node]]:
        """The edges joined to lines as long as can be, from ends or meetings to ends or meetings."""
        degree, left = self.degree(), list(self.edges)
        stops = {node for node, count in degree.items() if count != 2} | set(self.pins)
        found = []
        while left:
            start = next((edge for edge in left if edge[0] in stops or edge[1] in stops), left[0])
            left.remove(start)
            line = list(start) if start[0] in stops else [start[1], start[0]]
            while line[-1] not in stops:
                following = next((edge for edge in left if line[-1] in edge), None)
                if following is None:
                    break
                left.remove(following)
                line.append(following[1] if following[0] == line[-1] else following[0])
            found.append(line)
        return found


def wires(columns: Sequence[Column], found: Levels) -> list[Wire]:
    """Every net of a placed drawing, by name."""
    segments: dict[str, list[Segment]] = {}
    pins: dict[str, dict[Node, list[tuple[str, str]]]] = {}
    spans: dict[tuple[str, int], list[float]] = {}
    for column in columns:
        for (net, _), (x1, y1, x2, y2), _, _ in column.leads:
            segments.setdefault(net, []).append((x1 + column.x, y1, x2 + column.x, y2))
        for level_net, x, _ in column.attached:
            spans.setdefault(level_net, []).append(x + column.x)
        for seat in column.chain.seats:
            for pin, net in seat.part.part.pins.items():
                x, y = column.pins[seat.name, pin]
                pins.setdefault(net, {}).setdefault((x + column.x, y), []).append((seat.name, pin))
    for level_net, xs in spans.items():
        y = found.height(level_net)
        segments.setdefault(level_net[0], []).append((min(xs), y, max(xs), y))
    return [Wire(net, _edges(segments.get(net, []), pins[net]), pins[net]) for net in sorted(pins)]


def _edges(segments: Sequence[Segment], pins: Mapping[Node, object]) -> list[Edge]:
    """Segments cut where others end on them, each piece once."""
    nodes = {node for x1, y1, x2, y2 in segments for node in ((x1, y1), (x2, y2))} | set(pins)
    found: dict[Edge, None] = {}
    for x1, y1, x2, y2 in segments:
        on = sorted(
            (x, y) for x, y in nodes
            if min(x1, x2) <= x <= max(x1, x2) and min(y1, y2) <= y <= max(y1, y2)
        )  # fmt: skip
        for edge in pairwise(on):
            found[edge] = None
    return list(found)


def with_currents(wire: Wire, into_pins: Mapping[tuple[str, str], float]) -> Wire:
    """The wire with the current in every edge, from what its pins take [A]; by taking off ends, one after another."""
    taken: dict[Node, float] = {}
    for node, those in wire.pins.items():
        taken[node] = sum(into_pins.get(pin, 0.0) for pin in those)
    left, currents = list(wire.edges), {}
    while left:
        degree = Wire(wire.net, left, {}).degree()
        ends = [edge for edge in left if 1 in (degree[edge[0]], degree[edge[1]])]
        if not ends:
            break  # a ring: nothing says how the current divides
        edge = ends[0]
        end, other = edge if degree[edge[0]] == 1 else edge[::-1]
        flow = taken.get(end, 0.0)
        currents[edge] = flow if edge[1] == end else -flow
        taken[other] = taken.get(other, 0.0) + flow
        left.remove(edge)
    return Wire(wire.net, wire.edges, wire.pins, currents)


def crossings(found: Sequence[Wire]) -> Iterator[tuple[Node, Wire, Edge, Wire, Edge]]:
    """Where an upright edge of one net crosses a level edge of another: the place, then either net with its edge."""
    for one, other in combinations(found, 2):
        for mine in one.edges:
            for its in other.edges:
                place = _crossing(mine, its) or _crossing(its, mine)
                if place is not None:
                    yield place, one, mine, other, its


def _crossing(upright: Edge, level: Edge) -> Node | None:
    (x, y1), (x2, y2) = upright
    (left, y), (right, other) = level
    inside = x == x2 and y == other and min(left, right) < x < max(left, right) and min(y1, y2) < y < max(y1, y2)
    return (x, y) if inside else None
