"""Which part stands left of which: by what it is for, as the file says or as the way it is joined shows.

The places are those of a textbook: source, input capacitor, base resistor, regulator, driver, bleed, pass devices,
output capacitor, load. What serves one device stands just before it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from outboard.arrangements.design import DesignPart
from outboard.draw.schematic.potentials import MAIN
from outboard.network.part import GROUND, Part

PLACES: Mapping[str, float] = {
    "input": 0, "feed": 0, "source": 0, "transformer": 1, "rectifier": 2, "reservoir": 3, "fuse": 4,
    "input capacitor": 10, "sharing diode": 14, "sharing": 14, "base resistor": 20, "regulator": 30, "divider": 34,
    "reference diode": 35, "compensating diode": 35, "sense transistor": 36, "limiter": 36, "driver": 40,
    "foldback divider": 46, "sense resistor": 48, "bleed": 52, "pass device": 60, "reverse diode": 72,
    "protection diode": 73, "output diode": 73, "crowbar trigger": 75.5,
    "crowbar gate resistor": 75.6, "crowbar": 76, "output capacitor": 84, "standing load": 88,
    "load": 100,
}  # fmt: skip
ELSEWHERE = 54.0
BESIDE = 0.4
"""How far before its device a part that serves it stands."""

TWO_PINS = ("resistor", "capacitor", "inductor", "diode", "load", "source")
COMMANDS = ("base", "gate")


@dataclass(frozen=True)
class Joints:
    """Who meets whom on which net."""

    parts: Sequence[DesignPart]

    @cached_property
    def on_net(self) -> Mapping[str, list[tuple[Part, str]]]:
        """Part and pin of everything on a net."""
        found: dict[str, list[tuple[Part, str]]] = {}
        for part in self.parts:
            for pin, net in part.part.pins.items():
                found.setdefault(net, []).append((part.part, pin))
        return found

    @cached_property
    def supply(self) -> frozenset[str]:
        """Nets that a source holds up; of a source that floats, what its rectifier lifts."""
        sources = [part.part for part in self.parts if part.part.kind == "source"]
        held = {net for source in sources for net in source.pins.values() if GROUND in source.pins.values()} - {GROUND}
        floating = {net for source in sources for net in source.pins.values()} - held
        lifted = {part.part.pins["cathode"] for part in self.parts
                  if part.part.kind == "diode" and part.part.pins["anode"] in floating - {GROUND}}  # fmt: skip
        return frozenset(held or lifted)

    @cached_property
    def out(self) -> frozenset[str]:
        """Nets that feed a load; without one, what regulators deliver to."""
        loads = {net for part in self.parts if part.part.kind == "load" for net in part.part.pins.values()} - {GROUND}
        return frozenset(loads or {part.part.pins["out"] for part in self.parts if part.part.kind == "regulator"})

    def across(self, net: str) -> set[str]:
        """Nets behind the two-pin parts on a net, and the net itself."""
        found = {net}
        for part, _ in self.on_net[net]:
            if part.kind in ("resistor", "diode", "inductor"):
                found |= set(part.pins.values())
        return found

    def pins_of_kind(self, net: str, *pins: str) -> list[Part]:
        """Parts that have one of these pins on a net."""
        return [part for part, pin in self.on_net[net] if pin in pins]


def role_of(part: DesignPart, joints: Joints) -> str:
    """What a part is for: its role where the file or a stage gives one, else what its joints show."""
    if part.role in PLACES and part.role not in ("regulator", "source", "load"):
        return part.role
    kind = part.part.kind
    if kind in ("regulator", "load"):
        return kind
    if kind == "source":
        return "input"
    if kind in MAIN:
        return _transistor(part.part, joints)
    if kind in TWO_PINS:
        return _two_pins(part.part, joints)
    return part.role


def _transistor(part: Part, joints: Joints) -> str:
    first, _, last = (part.pins[pin] for pin in MAIN[part.kind])
    others = [other for net in (first, last) for other in joints.pins_of_kind(net, *COMMANDS) if other != part]
    if _is_sense(part, joints):
        return "sense transistor"
    if others:
        return "driver"
    ends = joints.across(first) | joints.across(last)
    return "pass device" if ends & joints.out and ends & joints.supply else "transistor"


def _is_sense(part: Part, joints: Joints) -> bool:
    """Its base hangs on a line that carries another's main current, its collector on what drives that other."""
    first, command, last = (part.pins[pin] for pin in MAIN[part.kind])
    mains = ("collector", "emitter", "drain", "source")
    behind = joints.across(command) - {last, GROUND}
    carriers = [
        other for net in behind for other, pin in joints.on_net[net]
        if other.kind in MAIN and pin in mains and other != part
    ]  # fmt: skip
    driven = joints.pins_of_kind(first, *COMMANDS)
    direct = [other for other, pin in joints.on_net[command] if other.kind in MAIN and pin in mains and other != part]
    tapped = not joints.pins_of_kind(command, "in", "out") and not direct and bool(carriers)
    return bool(driven) and (bool(direct) or tapped)


def _two_pins(part: Part, joints: Joints) -> str:
    nets = set(part.pins.values())
    if GROUND in nets:
        (other,) = (nets - {GROUND}) or {GROUND}
        if other in joints.supply:
            return "input capacitor"
        if other in joints.out:
            ends = {"capacitor": "output capacitor", "diode": "protection diode"}
            return ends.get(part.kind, "standing load")
    if any(joints.pins_of_kind(net, "ref") for net in nets - {GROUND}):
        return "divider"
    if nets & joints.supply and nets & joints.out:
        return "reverse diode"
    feeds = [net for net in nets - joints.supply if joints.pins_of_kind(net, "in")]
    if feeds and not nets & joints.out and not any(_commands_alone(net, joints) for net in nets):
        return "base resistor"
    return part.kind


def _commands_alone(net: str, joints: Joints) -> bool:
    """Whether a net is the gate or base of one device, and no regulator's."""
    return len(joints.pins_of_kind(net, *COMMANDS)) == 1 and not joints.pins_of_kind(net, "in", "out", "ref")


def places(parts: Sequence[DesignPart]) -> dict[str, float]:
    """For every part a number that grows from left to right."""
    joints = Joints(parts)
    found = {part.name: PLACES.get(role_of(part, joints), ELSEWHERE) for part in parts}
    for number, part in enumerate(parts):
        found[part.name] += 1e-3 * number
    for name, at in list(_beside(parts, joints, found)):
        found[name] = at
    return found


def _beside(
    parts: Sequence[DesignPart], joints: Joints, found: Mapping[str, float]
) -> Iterator[tuple[str, float]]:
    """Places of two-pin parts that serve the gate or base of one device alone, or one regulator's output."""
    for part in parts:
        if part.part.kind == "resistor" and (part.role == "resistor" or "ballast" in part.role):
            for net in part.part.pins.values():
                regulators = joints.pins_of_kind(net, "out")
                if len(regulators) == 1 and len(joints.on_net[net]) == 2:
                    yield part.name, found[regulators[0].name] + BESIDE * 1e-3
        if part.part.kind not in TWO_PINS or PLACES.get(part.role, ELSEWHERE) != ELSEWHERE:
            continue
        for net in part.part.pins.values():
            served = joints.pins_of_kind(net, *COMMANDS)
            if len(served) == 1 and net not in joints.supply | joints.out and role_of(part, joints) == part.part.kind:
                resistor_first = BESIDE + (0.1 if part.part.kind == "resistor" else 0.0)
                yield part.name, found[served[0].name] - resistor_first * 1e-3
                break
