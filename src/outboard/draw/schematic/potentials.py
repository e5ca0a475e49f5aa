"""Which net lies above which: a rough guess of every potential, from how parts join nets and nothing else.

Every part becomes a conductance, a base and an emitter a small fixed drop; the source lifts the supply to one and
ground is nothing. The guess serves only to draw higher nets higher, so that it needs no values and works for any parts.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np

from outboard.network.part import GROUND, Part

LEAK = 1e-6
"""Holds nets that nothing else holds."""

WEIGHTS: Mapping[str, float] = {"resistor": 1.0, "inductor": 50.0, "load": 1.0, "capacitor": 1e-4, "diode": 2e-3}
SOURCE_WEIGHT = 1e4
DROP = 0.04
"""Between base and emitter, where the supply is one."""

OPPOSED = ("pnp", "p-channel")
MAIN = {"bipolar": ("collector", "base", "emitter"), "mosfet": ("drain", "gate", "source")}
"""Where the main current enters, the pin that commands, where the main current leaves."""


def is_electrical(part: Part) -> bool:
    """Whether a part belongs on a circuit drawing; heat paths do not."""
    return not part.kind.startswith("thermal")


def is_negative(parts: Sequence[Part]) -> bool:
    """Whether every source holds its net below ground; such a circuit is drawn like its positive twin."""
    sources = [part for part in parts if part.kind == "source"]
    return bool(sources) and all(
        part.pins.get("plus") == GROUND or (part.pins.get("minus") == GROUND and is_turned(part)) for part in sources
    )


def is_turned(part: Part) -> bool:
    """Whether it is a source whose plus lies below its minus."""
    return part.kind == "source" and part.values.get("voltage", 0.0) < 0.0


def potentials(parts: Sequence[Part]) -> dict[str, float]:
    """A potential for every net; ground is 0, and in a negative circuit all signs are turned."""
    nets = sorted({net for part in parts for net in part.pins.values()} - {GROUND})
    index = {net: number for number, net in enumerate(nets)}
    matrix, right = np.zeros((len(nets) + 1, len(nets) + 1)), np.zeros(len(nets) + 1)
    last = len(nets)

    def join(one: str, other: str, weight: float, lift: float = 0.0) -> None:
        """A conductance between two nets that would hold the first above the second by `lift`."""
        a, b = index.get(one, last), index.get(other, last)
        matrix[[a, b, a, b], [a, b, b, a]] += np.array([weight, weight, -weight, -weight]) if a != b else 0.0
        if a != b:
            right[a] += weight * lift
            right[b] -= weight * lift

    for number in range(last):
        matrix[number, number] += LEAK
    sign = -1.0 if is_negative(parts) else 1.0
    floating = [part for part in parts if part.kind == "source" and GROUND not in part.pins.values()]
    raw = {net for part in floating for net in part.pins.values()}
    for part in parts:
        if part.kind == "diode" and raw & set(part.pins.values()):
            join(part.pins["cathode"], part.pins["anode"], 1.0, 1.0)  # of a rectifier, half the diodes always block
        else:
            _join(part, sign, join)
    solved = np.linalg.solve(matrix[:last, :last], right[:last]) if nets else np.zeros(0)
    found = {net: float(solved[number]) for net, number in index.items()} | {GROUND: 0.0}
    return found | dict(_taps(parts, found))


def _taps(parts: Sequence[Part], found: Mapping[str, float]) -> Iterator[tuple[str, float]]:
    """The tap of a divider that commands a transistor lies between the divider's ends, whatever the drop says."""
    for net in sorted(set(found) - {GROUND}):
        on = [part for part in parts if net in part.pins.values() and part.kind != "capacitor"]
        resistors = [part for part in on if part.kind == "resistor"]
        bases = [part for part in on if part.kind == "bipolar" and part.pins["base"] == net]
        if len(resistors) != 2 or len(bases) != 1 or len(on) != 3:
            continue
        ends = [found[end] for part in resistors for end in part.pins.values() if end != net]
        if len(ends) == 2:
            low, high = min(ends), max(ends)
            margin = 0.01 * (high - low)
            yield net, min(max(found[net], low + margin), high - margin)


def _join(part: Part, sign: float, join: Callable[..., None]) -> None:
    pins = part.pins
    if part.kind == "source":
        join(pins["plus"], pins["minus"], SOURCE_WEIGHT, -sign if is_turned(part) else sign)
    elif part.kind in MAIN:
        first, command, last = (pins[pin] for pin in MAIN[part.kind])
        join(first, last, 0.05)
        weight, drop = (20.0, DROP) if part.kind == "bipolar" else (0.01, 10.0 * DROP)
        opposed = (part.polarity in OPPOSED) != (sign < 0)
        join(command, last, weight, -drop if opposed else drop)
    elif part.kind == "regulator":
        join(pins["in"], pins["out"], 0.3)
        join(pins["out"], pins["ref"], 0.02)
    else:
        nets = list(pins.values())
        for net in nets[1:]:
            join(nets[0], net, WEIGHTS.get(part.kind, 0.05))
