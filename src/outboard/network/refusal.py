"""Networks that have no solution, refused with the name of the net at fault."""

from collections.abc import Sequence

from outboard.errors import RefusedNetwork
from outboard.network.expansion import Element, Node
from outboard.network.part import AMBIENT, GROUND, Part

GROUND_NODE: Node = ("net", GROUND)
AMBIENT_NODE: Node = ("heat", AMBIENT)
THERMAL_KINDS = ("thermal_resistance", "thermal_capacitance")


class _Groups:
    """Nodes that hang together."""

    def __init__(self) -> None:
        self.parent: dict[Node, Node] = {}

    def find(self, node: Node) -> Node:
        root = node
        while self.parent.setdefault(root, root) != root:
            root = self.parent[root]
        while self.parent[node] != root:
            self.parent[node], node = root, self.parent[node]
        return root

    def join(self, first: Node, second: Node) -> bool:
        """Joins two nodes; False if they hung together already."""
        a, b = self.find(first), self.find(second)
        self.parent[a] = b
        return a != b


def refuse_unsolvable(parts: Sequence[Part], elements: Sequence[Element], dangling: bool = False) -> None:
    """Raises RefusedNetwork for the first reason why these parts cannot be solved; `dangling` lets open pins pass."""
    _refuse_doubles(parts)
    nets = [name for part in parts if part.kind not in THERMAL_KINDS for name in part.pins.values()]
    if nets and GROUND not in nets:
        raise RefusedNetwork(
            GROUND, f"no pin is connected to net '{GROUND}'", "one net named ground as the reference", '"ground"'
        )
    if not dangling:
        _refuse_dangling(parts)
    _refuse_floating(nets, elements)
    _refuse_ideal_loops(elements)
    _refuse_uncooled(elements)


def _refuse_doubles(parts: Sequence[Part]) -> None:
    seen: set[str] = set()
    for part in parts:
        if part.name in seen:
            raise RefusedNetwork(part.name, f"two parts are named '{part.name}'", "one name a part")
        seen.add(part.name)


def _refuse_dangling(parts: Sequence[Part]) -> None:
    pins: dict[str, list[str]] = {}
    for part in parts:
        if part.kind not in THERMAL_KINDS:
            for pin, name in part.pins.items():
                pins.setdefault(name, []).append(f"{part.name} {pin}")
    for name, ends in pins.items():
        if len(ends) == 1 and name != GROUND:
            raise RefusedNetwork(
                name, f"only one pin, {ends[0]}, is connected to net '{name}'", "at least two pins on a net"
            )


OWN_PORTS = ("temperature", "current", "base_current", "lost_current", "gate")
"""Ports that are no pins, or that nothing flows into: a device conducts at rest between all others."""


def floating_nets(nets: Sequence[str], elements: Sequence[Element]) -> tuple[str, ...]:
    """Nets from which no path for direct current leads to ground, each once, in order."""
    groups = _Groups()
    for element in elements:
        if element.device.name == "thermal_resistance":
            continue
        pins = [node for port, node in zip(element.device.ports, element.nodes, strict=True) if port not in OWN_PORTS]
        for node in pins[1:]:
            groups.join(pins[0], node)
    return tuple(name for name in dict.fromkeys(nets) if groups.find(("net", name)) != groups.find(GROUND_NODE))


def _refuse_floating(nets: Sequence[str], elements: Sequence[Element]) -> None:
    for name in floating_nets(nets, elements):
        raise RefusedNetwork(
            name,
            f"net '{name}' floats: no path for direct current leads from it to ground",
            "a resistor, a junction or a source towards ground",
        )


def _refuse_ideal_loops(elements: Sequence[Element]) -> None:
    groups = _Groups()
    for element in elements:
        if element.device.name == "source" and element.numbers[1].value == 0.0:
            first, second, _ = element.nodes
            if not groups.join(first, second):
                raise RefusedNetwork(
                    second[1],
                    f"'{element.part}' closes a loop of ideal sources or wires at net '{second[1]}'",
                    "a resistance in the loop",
                    'resistance = "1 mΩ"',
                )


def _refuse_uncooled(elements: Sequence[Element]) -> None:
    groups = _Groups()
    places = []
    for element in elements:
        if element.device.name == "thermal_resistance":
            groups.join(*element.nodes)
            places += [(node, element.part) for node in element.nodes]
    # a named place says more than the junction of a part that leads to it
    for node, part in sorted(places, key=lambda place: place[0][0] == "junction"):
        if groups.find(node) != groups.find(AMBIENT_NODE):
            raise RefusedNetwork(
                node[1],
                f"thermal node '{node[1]}' (at '{part}') has no way to '{AMBIENT}'",
                "a thermal resistance that leads to ambient",
                'pins = { a = "' + node[1] + '", b = "ambient" }',
            )
