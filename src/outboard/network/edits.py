"""Edits of a network: a part left out, a pin open, two pins shorted, a value drifted.

Each takes the parts and gives the parts as they are then; a part that is not there leaves everything as it is.
What an edit cuts off from ground is pruned before the network is laid out again.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from outboard.network.circuit import Circuit, laid_out
from outboard.network.expansion import expanded
from outboard.network.part import AMBIENT, GROUND, Heat, Part
from outboard.network.refusal import THERMAL_KINDS, floating_nets

SHORT = 1e-3
"""Resistance of a short [Ω]."""

LOST_REFERENCE = 1.0
"""Resistance through which a regulator's open reference pin is drawn to its input [Ω]: the quiescent current, which no
longer finds a way to ground, lifts the pin until nothing regulates any more; the value is our own choice."""

METER = 10e6
"""What a meter across the output takes [Ω] (common practice, no source)."""

Parts = tuple[Part, ...]


def left_out(parts: Sequence[Part], name: str) -> Parts:
    """Without this part."""
    return tuple(part for part in parts if part.name != name)


def opened(parts: Sequence[Part], name: str, pin: str) -> Parts:
    """With this pin cut from its net: it hangs on a net of its own."""
    return _with_pins(parts, name, lambda part: {**part.pins, pin: f"{name} {pin}"})


def reversed_pins(parts: Sequence[Part], name: str, first: str, second: str) -> Parts:
    """With two pins of a part exchanged."""
    return _with_pins(parts, name, lambda part: {**part.pins, first: part.pins[second], second: part.pins[first]})


def shorted(parts: Sequence[Part], name: str, first: str, second: str, resistance: float = SHORT) -> Parts:
    """With two pins of a part joined through a resistance [Ω]; nothing where they lie on one net already."""
    part = _found(parts, name)
    if part is None or part.pins[first] == part.pins[second]:
        return tuple(parts)
    return added(parts, bridge(f"{name} {first} to {second}", part.pins[first], part.pins[second], resistance))


def bridge(name: str, a: str, b: str, resistance: float = SHORT) -> Part:
    """A resistance between two nets that nobody fitted."""
    return Part(name, "resistor", {"a": a, "b": b}, {"resistance": resistance})


def metered(parts: Sequence[Part], plus: str, minus: str = GROUND) -> Parts:
    """With a meter between two nets: where nothing else is left, its resistance says what the voltage is."""
    return added(parts, bridge("meter", plus, minus, METER))


def burnt_through(parts: Sequence[Part], name: str, first: str, second: str) -> Parts:
    """With nothing left of a part but a short between two of its pins."""
    part = _found(parts, name)
    if part is None:
        return tuple(parts)
    return left_out(shorted(parts, name, first, second), name)


def drifted(parts: Sequence[Part], name: str, field: str, factor: float) -> Parts:
    """With one number of a part multiplied; KeyError when the part does not give that number."""
    part = _found(parts, name)
    return tuple(parts) if part is None else changed(parts, name, {field: part.values[field] * factor})


def changed(parts: Sequence[Part], name: str, values: Mapping[str, float]) -> Parts:
    """With other numbers in a part."""
    return tuple(replace(part, values={**part.values, **values}) if part.name == name else part for part in parts)


def heated_through(parts: Sequence[Part], name: str, to: str, resistance: float) -> Parts:
    """With another way for a part's heat, to thermal place `to` through a resistance [K/W]."""
    return tuple(replace(part, heat=Heat(to, resistance)) if part.name == name else part for part in parts)


def added(parts: Sequence[Part], part: Part) -> Parts:
    """With one more part; ValueError when its name is taken."""
    if _found(parts, part.name) is not None:
        raise ValueError(f"there is a part {part.name} already")
    return (*parts, part)


@dataclass(frozen=True, slots=True)
class Pruned:
    """What still hangs together with ground; the nets that float, and the names of the parts that went with them."""

    parts: Parts
    floating: tuple[str, ...]
    lost: tuple[str, ...]


def pruned(parts: Sequence[Part]) -> Pruned:
    """The parts without islands: what has no path for direct current to ground is taken away, and said."""
    kept, floating, lost = tuple(parts), list[str](), list[str]()
    while True:
        kept = _regulators_left_hanging(kept)
        elements = [element for part in kept for element in expanded(part).elements]
        nets = [net for part in kept if part.kind not in THERMAL_KINDS for net in part.pins.values()]
        adrift = set(floating_nets(nets, elements)) if GROUND in nets else set(nets)
        away = {part.name for part in kept if part.kind not in THERMAL_KINDS and adrift & set(part.pins.values())}
        if not away:
            return Pruned(_cooled(kept), tuple(floating), tuple(lost))
        floating += [net for net in dict.fromkeys(nets) if net in adrift]
        lost += [part.name for part in kept if part.name in away]
        kept = tuple(part for part in kept if part.name not in away)


def _regulators_left_hanging(parts: Parts) -> Parts:
    """Without regulators that nothing feeds; a reference that leads nowhere is drawn to the input.

    A regulator's model drives its quiescent current from input to reference whatever these are tied to: with one of
    them open there would be no equilibrium.  The real one falls silent without input, and without reference passes its
    input on, less its drop-out [NEC-G12702] section 5.2, p. 22.
    """
    kept = parts
    for part in parts:
        if part.kind != "regulator":
            continue
        others = {net for other in kept if other is not part and other.kind not in (*THERMAL_KINDS, "capacitor")
                  for net in other.pins.values()} | {GROUND}  # fmt: skip
        if part.pins["in"] not in others:
            kept = left_out(kept, part.name)
        elif part.pins["ref"] not in others:
            kept = added(kept, bridge(f"{part.name} ref, open", part.pins["ref"], part.pins["in"], LOST_REFERENCE))
    return kept


def _cooled(parts: Parts) -> Parts:
    """Without thermal resistances that lead nowhere any more: from a place that nothing heats and nobody cools."""
    kept = parts
    while True:
        ends: dict[str, int] = {AMBIENT: 2}
        for part in kept:
            for place in part.pins.values() if part.kind in THERMAL_KINDS else (part.heat.to,) if part.heat else ():
                ends[place] = ends.get(place, 0) + 1
        away = {
            part.name for part in kept
            if part.kind in THERMAL_KINDS and any(ends[place] < 2 for place in part.pins.values())
        }  # fmt: skip
        if not away:
            return kept
        kept = tuple(part for part in kept if part.name not in away)


def edited(parts: Sequence[Part], ambient: float) -> tuple[Circuit, Pruned]:
    """The circuit of edited parts at an ambient temperature [K], with what had to be taken away.

    Raises RefusedNetwork for what pruning cannot mend, such as a loop of ideal sources.
    """
    whole = pruned(parts)
    return laid_out(whole.parts, ambient, dangling=True), whole


def _found(parts: Sequence[Part], name: str) -> Part | None:
    return next((part for part in parts if part.name == name), None)


def _with_pins(parts: Sequence[Part], name: str, pins: Callable[[Part], Mapping[str, str]]) -> Parts:
    return tuple(replace(part, pins=pins(part)) if part.name == name else part for part in parts)
