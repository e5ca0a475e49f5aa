"""What happens to a supply from outside: a shorted output, a battery left on it, a reversed input …"""

from collections.abc import Iterator
from functools import partial

from outboard.arrangements.design import Design
from outboard.arrangements.rails import IN, OUT
from outboard.network import edits
from outboard.network.edits import Parts
from outboard.network.part import GROUND, Part
from outboard.whatif.fault import Fault

SHORTS = (0.0, 0.1, 0.3, 1.0)
"""Resistances between which an output is shorted [Ω]: a screwdriver to a long lead."""

BATTERY_RESISTANCE = 50e-3
"""Inner resistance of a charged battery or a large charged capacitor [Ω] (common practice, no source)."""

EVENT = "event"

SHORT = "short across the output"
"""Name of what shorts the output."""


def events(design: Design) -> Iterator[Fault]:
    """Every event that this design can meet; nothing without both an input and an output."""
    brief = design.brief
    names = {part.name for part in design.parts}
    if brief.input is None or brief.output is None or not {"input", "load"} <= names:
        return
    for resistance in SHORTS:
        across = edits.bridge(SHORT, OUT, GROUND, resistance or edits.SHORT)
        words = f"output shorted through {resistance:g} Ω"
        yield Fault("", EVENT, words, None, partial(edits.added, part=across), passes=True)
    across = edits.bridge(SHORT, OUT, GROUND)
    words = "a short taken off the output, into a load of constant current"
    yield Fault("", EVENT, words, None, partial(edits.added, part=across), lets_go=SHORT)
    yield Fault("", EVENT, "input reversed", None, _input_reversed)
    high = brief.output.voltage * (1.0 + brief.output.tolerance)
    held = _battery("held output", brief.output.voltage)
    yield Fault("", EVENT, "input shorted while the output stays charged", None, partial(_input_shorted, battery=held))
    yield Fault("", EVENT, "battery on the output, input off", None, partial(_input_off, battery=held))
    paralleled = partial(edits.added, part=_battery("other supply", high))
    yield Fault("", EVENT, "another supply of the upper limit on the output", None, paralleled)
    yield Fault("", EVENT, "hot restart into a load of constant current", None, tuple, restarts=True)
    yield Fault("", EVENT, "load taken off", None, partial(edits.left_out, name="load"))


def _battery(name: str, voltage: float) -> Part:
    pins = {"plus": OUT, "minus": GROUND} if voltage >= 0.0 else {"plus": GROUND, "minus": OUT}
    return Part(name, "load", pins, {"battery": abs(voltage), "resistance": BATTERY_RESISTANCE})


def _input_reversed(parts: Parts) -> Parts:
    return edits.reversed_pins(parts, "input", "plus", "minus")


def _input_shorted(parts: Parts, battery: Part) -> Parts:
    without = edits.left_out(edits.left_out(parts, "input"), "load")
    return (*without, edits.bridge("short across the input", IN, GROUND), battery)


def _input_off(parts: Parts, battery: Part) -> Parts:
    return (*edits.left_out(edits.left_out(parts, "input"), "load"), battery)
