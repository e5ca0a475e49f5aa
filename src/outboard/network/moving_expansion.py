"""From a part to the devices that stand for it while voltages change: those at rest, with what they store.

Inner nodes of capacitors, currents of inductors, the control of a regulator and the filament of a lamp exist here only;
the network at rest knows none of them.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from outboard.devices.bipolar import BIPOLAR
from outboard.devices.charges.junctions import BIPOLAR_CHARGE, DIODE_CHARGE
from outboard.devices.charges.plain import CAPACITANCE, GLOWING_LAMP, INDUCTANCE
from outboard.devices.charges.regulator import DELAYED_REGULATOR
from outboard.devices.charges.store import Store
from outboard.devices.device import Device
from outboard.devices.junction import DIODE
from outboard.devices.mosfet import MOSFET
from outboard.devices.regulator import REGULATOR
from outboard.devices.resistive import LAMP, RESISTOR, SOURCE
from outboard.network.expansion import Element, Node, Number, expanded, heat_node, net
from outboard.network.fields import fields
from outboard.network.part import AMBIENT, Part

TURN = 6.283185307179586
"""2π."""

AMBIENT_NODE = heat_node(AMBIENT)


@dataclass(frozen=True, slots=True)
class Piece:
    """One device or store in place: the node at each port, the origin of each parameter."""

    device: Device | Store
    nodes: tuple[Node, ...]
    numbers: tuple[Number, ...]
    part: str


def moving(part: Part) -> tuple[Piece, ...]:
    """Everything that stands for a part while voltages change; heat paths are left out, temperatures are held."""
    special = SPECIAL.get(part.kind)
    if special is not None:
        return special(part)
    pieces: list[Piece] = []
    for element in expanded(part).elements:
        if not all(node[0] in ("heat", "junction") for node in element.nodes):
            pieces += _element(part, element)
    return tuple(pieces)


def control_node(part: str) -> Node:
    """The unknown of what a regulator's control wants [A]."""
    return ("control", part)


def _element(part: Part, element: Element) -> list[Piece]:
    """A device at rest, with its charge beside it."""
    plain = Piece(element.device, element.nodes, element.numbers, part.name)
    if element.device is LAMP and part.values.get("time_constant"):
        return [_stored(part, GLOWING_LAMP, (*element.nodes, ("control", part.name)))]
    if element.device is REGULATOR and part.values.get("bandwidth"):
        time = Number(value=1.0 / (TURN * part.values["bandwidth"]))
        nodes = (*element.nodes, control_node(part.name))
        return [Piece(DELAYED_REGULATOR, nodes, (*element.numbers, time), part.name)]
    if element.device is BIPOLAR and _any(part, "transit_time", "emitter_capacitance", "collector_capacitance"):
        return [plain, _stored(part, BIPOLAR_CHARGE, element.nodes, element)]
    if element.device is DIODE and part.kind == "diode" and _any(part, "transit_time", "junction_capacitance"):
        return [plain, _stored(part, DIODE_CHARGE, element.nodes, element)]
    if element.device is MOSFET:
        return [plain, *_gate(part, element.nodes)]
    return [plain]


def _any(part: Part, *endings: str) -> bool:
    return any(value and name.endswith(endings) for name, value in part.values.items())


def _number(part: Part, field: str) -> Number:
    """The number of a field, or of its reciprocal; what is absent has the reciprocal zero."""
    inverse = field.startswith("inverse_")
    name = field.removeprefix("inverse_")
    value = part.values.get(name, fields(part.kind, part.model)[name].default)
    if inverse:
        return Number(part.name, name, 1.0 / value if value else 0.0, True)
    assert value is not None, f"{name} of {part.name}"
    return Number(part.name, name, value)


def _stored(part: Part, store: Store, nodes: tuple[Node, ...], beside: Element | None = None) -> Piece:
    """A store whose parameters are the device's own beside it, else the part's fields."""
    given = {} if beside is None else dict(zip(beside.device.parameters, beside.numbers, strict=True))
    numbers = tuple(given[name] if name in given else _number(part, name) for name in store.parameters)
    return Piece(store, nodes, numbers, part.name)


def _gate(part: Part, nodes: tuple[Node, ...]) -> list[Piece]:
    """The three capacitances of a field-effect transistor, inside its drain resistance."""
    drain, gate, source, _ = nodes
    ends = {"gate_source": (gate, source), "gate_drain": (gate, drain), "drain_source": (drain, source)}
    return [
        Piece(CAPACITANCE, pair, (_number(part, f"{name}_capacitance"),), part.name)
        for name, pair in ends.items() if part.values.get(f"{name}_capacitance")
    ]  # fmt: skip


def _series(part: Part, first: Node, last: Node) -> Piece:
    """The series resistance of a part, which does not change with temperature."""
    steady = (_number(part, "series_resistance"), Number(value=0.0), Number(value=1.0))
    return Piece(RESISTOR, (first, last, AMBIENT_NODE), steady, part.name)


def _coil(part: Part, first: Node, last: Node, field: str, resistance: Number) -> tuple[Piece, Piece]:
    """An inductance with a resistance in series, its current an unknown of its own."""
    current: Node = ("branch", part.name, "current")
    return (
        Piece(SOURCE, (first, last, current), (Number(value=0.0), resistance), part.name),
        Piece(INDUCTANCE, (current,), (_number(part, field),), part.name),
    )


def _capacitor(part: Part) -> tuple[Piece, ...]:
    """Capacitance behind its series resistance and inductance, as far as there are such."""
    here, last = net(part.pins["a"]), net(part.pins["b"])
    pieces: list[Piece] = []
    if part.values.get("series_inductance"):
        behind: Node = ("inner", part.name, "inductance")
        pieces += _coil(part, here, behind, "series_inductance", _number(part, "series_resistance"))
        here = behind
    elif part.values.get("series_resistance"):
        behind = ("inner", part.name, "resistance")
        pieces.append(_series(part, here, behind))
        here = behind
    pieces.append(Piece(CAPACITANCE, (here, last), (_number(part, "capacitance"),), part.name))
    return tuple(pieces)


def _inductor(part: Part) -> tuple[Piece, ...]:
    ends = net(part.pins["a"]), net(part.pins["b"])
    return _coil(part, *ends, "inductance", _number(part, "series_resistance"))


def _nothing(part: Part) -> tuple[Piece, ...]:
    """Temperatures are held, so nothing thermal moves."""
    return ()


SPECIAL: Mapping[str, Callable[[Part], tuple[Piece, ...]]] = {
    "capacitor": _capacitor,
    "inductor": _inductor,
    "thermal_resistance": _nothing,
    "thermal_capacitance": _nothing,
}
