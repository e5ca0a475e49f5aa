"""From a part to the devices that stand for it: inner nodes, junction temperature, slots of its numbers.

A resistance of zero makes no inner node: that is decided by the part's usual value, once, when the structure
is laid out.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from outboard.devices.bipolar import BIPOLAR
from outboard.devices.constant_gain import CONSTANT_GAIN, SATURATING_GAIN
from outboard.devices.device import Device
from outboard.devices.junction import BREAKDOWN, DIODE
from outboard.devices.mosfet import MOSFET
from outboard.devices.regulator import REGULATOR
from outboard.devices.resistive import (
    BATTERY,
    CURRENT_LOAD,
    LAMP,
    POWER_LOAD,
    RESISTOR,
    SOURCE,
    THERMAL_RESISTANCE,
    THRESHOLD,
)
from outboard.errors import RefusedNetwork
from outboard.network.fields import fields
from outboard.network.part import AMBIENT, Part

BODY_BANDGAP, BODY_EXPONENT = 1.11, 3.0
"""Bandgap [eV] and temperature exponent of a field-effect transistor's body diode and of a thyristor's gate."""

Node = tuple[str, ...]
"""("net", name), ("inner", part, place), ("branch", part, place), ("heat", name) or ("junction", part)."""


@dataclass(frozen=True, slots=True)
class Number:
    """Where a device parameter comes from: a part's field (or its reciprocal), or a fixed value."""

    part: str = ""
    field: str = ""
    value: float = 0.0
    inverse: bool = False


@dataclass(frozen=True, slots=True)
class Element:
    """One device in place: the node at each port, the origin of each parameter."""

    device: Device
    nodes: tuple[Node, ...]
    numbers: tuple[Number, ...]
    part: str


@dataclass(frozen=True, slots=True)
class Expansion:
    """A part's devices, and for each of its pins the element ports whose contributions make up its current."""

    elements: tuple[Element, ...]
    pins: Mapping[str, tuple[tuple[int, int], ...]]


def net(name: str) -> Node:
    """The node of a net."""
    return ("net", name)


def heat_node(name: str) -> Node:
    """The node of a named thermal place."""
    return ("heat", name)


def temperature_node(part: Part) -> Node:
    """The node at which a part's devices sit: its junction, or ambient when it has no heat path."""
    return ("junction", part.name) if part.heat is not None else heat_node(AMBIENT)


class _Builder:
    """Collects the elements of one part."""

    def __init__(self, part: Part) -> None:
        self.part = part
        self.fields = fields(part.kind, part.model)
        self.elements: list[Element] = []
        self.temperature = temperature_node(part)

    def value(self, field: str) -> float | None:
        """The part's number for a field, else the field's default."""
        return self.part.values.get(field, self.fields[field].default)

    def number(self, field: str, inverse: bool = False) -> Number:
        """The slot of a field; what is absent has the reciprocal zero."""
        value = self.value(field)
        if value is None:
            if inverse:
                return Number(self.part.name, field, 0.0, True)
            raise RefusedNetwork(
                self.part.name,
                f"'{self.part.name}' has no {field}",
                f"{field} of the {self.part.kind}",
                f"{field} = …",
            )
        return Number(self.part.name, field, 1.0 / value if inverse else value, inverse)

    def add(self, device: Device, nodes: tuple[Node, ...], **numbers: Number) -> int:
        """Places a device; parameters that are not given are fields of the same name, or inverse_… of one."""
        row = []
        for name in device.parameters:
            if name in numbers:
                row.append(numbers[name])
            elif name.startswith("inverse_"):
                row.append(self.number(name.removeprefix("inverse_"), inverse=True))
            else:
                row.append(self.number(name))
        self.elements.append(Element(device, nodes, tuple(row), self.part.name))
        return len(self.elements) - 1

    def behind(self, pin: str, field: str) -> tuple[Node, tuple[tuple[int, int], ...]]:
        """The inner node behind a series resistance, and what carries the pin's current if there is one."""
        outer = net(self.part.pins[pin])
        if not self.value(field):
            return outer, ()
        inner: Node = ("inner", self.part.name, pin)
        return inner, ((self.add_steady(outer, inner, field), 0),)

    def add_steady(self, first: Node, second: Node, field: str) -> int:
        """Places a resistor that does not change with temperature; its heat belongs to the part."""
        return self.add(
            RESISTOR,
            (first, second, self.temperature),
            resistance=self.number(field),
            temperature_coefficient=Number(value=0.0),
            reference_temperature=Number(value=1.0),
        )

    def add_silicon(self, nodes: tuple[Node, Node], field: str) -> int:
        """Places a plain junction of silicon from anode to cathode; the field is its saturation current."""
        fixed = {"emission_coefficient": 1.0, "bandgap_eV": BODY_BANDGAP, "temperature_exponent": BODY_EXPONENT}
        numbers = {name: Number(value=value) for name, value in fixed.items()}
        return self.add(DIODE, (*nodes, self.temperature), saturation_current=self.number(field), **numbers)


def _polarity(part: Part) -> Number:
    return Number(value=-1.0 if part.polarity in ("pnp", "p-channel", "negative") else 1.0)


def _wire(b: _Builder, first: Node, second: Node) -> int:
    """A connection without resistance, whose current is an unknown of its own."""
    return b.add(
        SOURCE,
        (first, second, ("branch", b.part.name, "current")),
        voltage=Number(value=0.0),
        resistance=Number(value=0.0),
    )


def _resistor(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    a, z = net(b.part.pins["a"]), net(b.part.pins["b"])
    index = _wire(b, a, z) if b.value("resistance") == 0.0 else b.add(RESISTOR, (a, z, b.temperature))
    return {"a": ((index, 0),), "b": ((index, 1),)}


def _capacitor(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    """At rest a capacitor carries nothing."""
    return {"a": (), "b": ()}


def _inductor(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    """At rest an inductor is its winding's resistance."""
    a, z = net(b.part.pins["a"]), net(b.part.pins["b"])
    index = b.add_steady(a, z, "series_resistance") if b.value("series_resistance") else _wire(b, a, z)
    return {"a": ((index, 0),), "b": ((index, 1),)}


def _diode(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    cathode = net(b.part.pins["cathode"])
    anode, carried = b.behind("anode", "series_resistance")
    index = b.add(DIODE, (anode, cathode, b.temperature))
    into_anode = list(carried or ((index, 0),))
    into_cathode = [(index, 1)]
    if b.value("breakdown_voltage") is not None:
        outer = net(b.part.pins["anode"])
        behind = outer
        lead: tuple[tuple[int, int], ...] = ()
        if b.value("breakdown_resistance"):
            behind = ("inner", b.part.name, "breakdown")
            series = b.add_steady(outer, behind, "breakdown_resistance")
            lead = ((series, 0),)
        branch = b.add(BREAKDOWN, (behind, cathode, b.temperature))
        into_anode += lead or ((branch, 0),)
        into_cathode.append((branch, 1))
    return {"anode": tuple(into_anode), "cathode": tuple(into_cathode)}


def _bipolar(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    if b.part.model == "constant_gain":
        return _constant_gain(b)
    if b.part.model == "darlington":
        return _darlington(b)
    collector, into_collector = b.behind("collector", "collector_resistance")
    base, into_base = b.behind("base", "base_resistance")
    emitter, into_emitter = b.behind("emitter", "emitter_resistance")
    index = b.add(BIPOLAR, (collector, base, emitter, b.temperature), polarity=_polarity(b.part))
    at_base: tuple[tuple[int, int], ...] = ((index, 1),)
    at_emitter: tuple[tuple[int, int], ...] = ((index, 2),)
    if b.value("emitter_breakdown_voltage") is not None:
        ends = (emitter, base) if b.part.polarity == "npn" else (base, emitter)
        branch = b.add(
            THRESHOLD,
            (*ends, b.temperature),
            threshold=b.number("emitter_breakdown_voltage"),
            resistance=b.number("emitter_breakdown_resistance"),
            width=Number(value=1e-6),
        )
        port = 0 if b.part.polarity == "npn" else 1
        at_emitter += ((branch, port),)
        at_base += ((branch, 1 - port),)
    return {
        "collector": into_collector or ((index, 0),),
        "base": into_base or at_base,
        "emitter": into_emitter or at_emitter,
    }


def _mosfet(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    gate, source = net(b.part.pins["gate"]), net(b.part.pins["source"])
    drain, into_drain = b.behind("drain", "drain_resistance")
    index = b.add(MOSFET, (drain, gate, source, b.temperature), polarity=_polarity(b.part))
    at_drain: tuple[tuple[int, int], ...] = ((index, 0),)
    at_source: tuple[tuple[int, int], ...] = ((index, 2),)
    if b.value("body_saturation_current"):
        # forward from source to inner drain in an N-channel device
        port = 1 if b.part.polarity == "p-channel" else 0
        body = b.add_silicon((drain, source) if port else (source, drain), "body_saturation_current")
        at_source += ((body, port),)
        at_drain += ((body, 1 - port),)
    return {"drain": into_drain or at_drain, "gate": ((index, 1),), "source": at_source}


def _darlington(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    """Driver and output transistor with their built-in resistors, all at one junction temperature."""
    collector, into_collector = b.behind("collector", "collector_resistance")
    base, into_base = b.behind("base", "base_resistance")
    emitter, into_emitter = b.behind("emitter", "emitter_resistance")
    middle: Node = ("inner", b.part.name, "output base")
    none = Number(value=0.0)
    plain = {"polarity": _polarity(b.part), "emitter_leakage_current": none, "inverse_emitter_leakage_emission": none}
    driver = {
        "saturation_current": b.number("driver_saturation_current"),
        "forward_gain": b.number("driver_forward_gain"),
        "inverse_forward_knee_current": b.number("driver_forward_knee_current", inverse=True),
        "cutoff_current": none,
    }
    first = b.add(BIPOLAR, (collector, base, middle, b.temperature), **plain, **driver)
    second = b.add(BIPOLAR, (collector, middle, emitter, b.temperature), **plain)
    at_base, at_emitter = [(first, 1)], [(second, 2)]
    if b.value("driver_base_resistor") is not None:
        at_base.append((b.add_steady(base, middle, "driver_base_resistor"), 0))
    if b.value("output_base_resistor") is not None:
        at_emitter.append((b.add_steady(middle, emitter, "output_base_resistor"), 1))
    return {
        "collector": into_collector or ((first, 0), (second, 0)),
        "base": into_base or tuple(at_base),
        "emitter": into_emitter or tuple(at_emitter),
    }


def _constant_gain(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    pins = tuple(net(b.part.pins[pin]) for pin in ("collector", "base", "emitter"))
    own: Node = ("branch", b.part.name, "base current")
    if b.value("saturation_voltage") is None:
        index = b.add(CONSTANT_GAIN, (*pins, own), polarity=_polarity(b.part))
    else:
        lost: Node = ("branch", b.part.name, "lost current")
        index = b.add(SATURATING_GAIN, (*pins, own, lost), polarity=_polarity(b.part))
    return {"collector": ((index, 0),), "base": ((index, 1),), "emitter": ((index, 2),)}


def _regulator(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    nodes = tuple(net(b.part.pins[pin]) for pin in ("in", "out", "ref"))
    short = b.part.values.get("short_circuit_current")
    numbers = {} if short is not None else {"short_circuit_current": b.number("current_limit")}
    index = b.add(REGULATOR, (*nodes, b.temperature), polarity=_polarity(b.part), **numbers)
    pins = {pin: [(index, port)] for port, pin in enumerate(("in", "out", "ref"))}
    positive = b.part.polarity != "negative"
    if b.value("divider_resistance") is not None:
        divider = b.add_steady(nodes[1], nodes[2], "divider_resistance")
        pins["out"].append((divider, 0))
        pins["ref"].append((divider, 1))
    if b.value("reverse_voltage") is not None:
        ends = (nodes[1], nodes[0]) if positive else (nodes[0], nodes[1])
        reverse = b.add(
            THRESHOLD,
            (*ends, b.temperature),
            threshold=b.number("reverse_voltage"),
            resistance=b.number("reverse_resistance"),
            width=b.number("sharpness"),
        )
        pins["out"].append((reverse, 0 if positive else 1))
        pins["in"].append((reverse, 1 if positive else 0))
    return {pin: tuple(ports) for pin, ports in pins.items()}


def _thyristor(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    """Leakage from anode to cathode and the gate's junction; fired, a threshold with its slope across both."""
    anode, cathode, gate = (net(b.part.pins[pin]) for pin in ("anode", "cathode", "gate"))
    leak = b.add_steady(anode, cathode, "off_state_resistance")
    junction = b.add_silicon((gate, cathode), "gate_saturation_current")
    main = [leak]
    if b.value("fired"):
        main.append(b.add(THRESHOLD, (anode, cathode, b.temperature), threshold=b.number("on_voltage"),
                          resistance=b.number("on_resistance"), width=Number(value=1e-3)))  # fmt: skip
    return {"anode": tuple((index, 0) for index in main), "gate": ((junction, 0),),
            "cathode": (*((index, 1) for index in main), (junction, 1))}  # fmt: skip


def _source(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    plus, minus = net(b.part.pins["plus"]), net(b.part.pins["minus"])
    index = b.add(SOURCE, (plus, minus, ("branch", b.part.name, "current")))
    return {"plus": ((index, 0),), "minus": ((index, 1),)}


def _load(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    nodes = (net(b.part.pins["plus"]), net(b.part.pins["minus"]))
    given = b.part.values
    if "draws" in given:
        index = b.add(CURRENT_LOAD, nodes)
    elif "power" in given:
        index = b.add(POWER_LOAD, nodes)
    elif "battery" in given:
        index = b.add(BATTERY, nodes)
    elif "lamp_voltage" in given:
        index = b.add(LAMP, nodes)
    elif "resistance" in given:
        fixed = {"temperature_coefficient": Number(value=0.0), "reference_temperature": Number(value=1.0)}
        index = b.add(RESISTOR, (*nodes, heat_node(AMBIENT)), **fixed)
    else:
        raise RefusedNetwork(
            b.part.name,
            f"load '{b.part.name}' does not say what it draws",
            "draws, resistance, power, battery or lamp_voltage",
            'draws = "1 A"',
        )
    return {"plus": ((index, 0),), "minus": ((index, 1),)}


def _thermal_resistance(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    a, z = heat_node(b.part.pins["a"]), heat_node(b.part.pins["b"])
    if b.value("resistance") == 0.0:
        raise RefusedNetwork(
            b.part.name,
            f"thermal resistance '{b.part.name}' is 0 K/W",
            "more than nothing, or one node instead of two",
            'resistance = "0.01 K/W"',
        )
    index = b.add(THERMAL_RESISTANCE, (a, z))
    return {"a": ((index, 0),), "b": ((index, 1),)}


def _thermal_capacitance(b: _Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    """At rest a heat capacity takes nothing up."""
    return {"a": (), "b": ()}


EXPANSIONS: Mapping[str, Callable[[_Builder], dict[str, tuple[tuple[int, int], ...]]]] = {
    "resistor": _resistor,
    "capacitor": _capacitor,
    "inductor": _inductor,
    "diode": _diode,
    "bipolar": _bipolar,
    "mosfet": _mosfet,
    "regulator": _regulator,
    "thyristor": _thyristor,
    "source": _source,
    "load": _load,
    "thermal_resistance": _thermal_resistance,
    "thermal_capacitance": _thermal_capacitance,
}


def expanded(part: Part) -> Expansion:
    """The devices of one part, its heat path included."""
    builder = _Builder(part)
    pins = EXPANSIONS[part.kind](builder)
    if part.heat is not None and part.kind not in ("thermal_resistance", "thermal_capacitance", "load", "source"):
        builder.elements.append(
            Element(
                THERMAL_RESISTANCE,
                (("junction", part.name), heat_node(part.heat.to)),
                (Number(part.name, HEAT_RESISTANCE, part.heat.resistance),),
                part.name,
            )
        )
    return Expansion(tuple(builder.elements), pins)


HEAT_RESISTANCE = "heat.resistance"
"""The field by which a case addresses the thermal resistance from a part's junction."""
