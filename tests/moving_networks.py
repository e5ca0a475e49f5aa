"""Small networks that move, made by hand for the tests."""

from collections.abc import Mapping, Sequence

import numpy as np

from outboard.network.moving import Floats, MovingCircuit, moving_circuit, settled
from outboard.network.part import Part

AMBIENT = {("heat", "ambient"): 298.15}


def resistor(name: str, a: str, b: str, ohms: float) -> Part:
    return Part(name, "resistor", {"a": a, "b": b}, {"resistance": ohms})


def capacitor(name: str, a: str, b: str, farads: float, **more: float) -> Part:
    return Part(name, "capacitor", {"a": a, "b": b}, {"capacitance": farads, **more})


def inductor(name: str, a: str, b: str, henries: float, **more: float) -> Part:
    return Part(name, "inductor", {"a": a, "b": b}, {"inductance": henries, **more})


def source(volts: float, net: str = "in", ohms: float = 0.0) -> Part:
    return Part("input", "source", {"plus": net, "minus": "ground"}, {"voltage": volts, "resistance": ohms})


def load(amperes: float, net: str = "out") -> Part:
    return Part("load", "load", {"plus": net, "minus": "ground"}, {"draws": amperes})


def begun(parts: Sequence[Part], drives: Mapping = {}) -> tuple[MovingCircuit, Floats]:
    """The circuit, at rest at time 0."""
    circuit = moving_circuit(parts, AMBIENT)
    return circuit, settled(circuit, np.zeros(circuit.size), circuit.numbers(drives, 0.0))


def seen(circuit: MovingCircuit, xs: Floats, net: str) -> Floats:
    place = circuit.place(net)
    assert place is not None
    return xs[..., place]
