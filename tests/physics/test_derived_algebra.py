"""The algebra of `derive` against the solver with the transistor of constant gain, and against worked examples.

"second-hand": the worked example was read in a written-out copy of the printed book.
"""

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import pytest

from outboard.errors import RefusedNetwork
from outboard.explain.boundaries import with_letters
from outboard.explain.definitions import definition_value
from outboard.explain.expression import value
from outboard.explain.gap import reading
from outboard.explain.hand_figures import plain_part
from outboard.explain.ideal import Ideal, Quantity
from outboard.explain.idealised import idealised
from outboard.explain.regime import NoRegime, Point, regime_at
from outboard.explain.solving import Symbols
from outboard.network.circuit import laid_out
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved

AMBIENT = 298.15
WANTED = 200
READABLE = 40
"""Shorter results are also written out and read back."""

CLEAR = 1e-3
"""Networks whose conditions are kept by less than this share lie on a bend of the solver's soft corners."""


def ideal_of(parts: Sequence[Part], voltages: Mapping[str, float] | None = None) -> Ideal:
    plain = [plain_part(part) for part in parts]
    return idealised(plain, full_load=1.0, carried={}, voltages=voltages or {}, exact=True)


def transistor(name: str, polarity: str, c: str, b: str, e: str, **values: float) -> Part:
    return Part(name, "bipolar", {"collector": c, "base": b, "emitter": e}, values, polarity, "constant_gain")


def resistor(name: str, a: str, b: str, ohms: float) -> Part:
    return Part(name, "resistor", {"a": a, "b": b}, {"resistance": ohms})


class Chance:
    """Invented values, drawn evenly on a logarithmic scale."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)

    def between(self, least: float, most: float) -> float:
        return least * (most / least) ** self.draw.random()

    def either(self, *choices: object) -> object:
        return self.draw.choice(choices)

    def bipolar(self, name: str, polarity: str, c: str, b: str, e: str, saturates: bool = True) -> Part:
        values = {"gain": self.between(2, 400), "base_emitter_voltage": self.between(0.5, 0.9)}
        if saturates:
            values["saturation_voltage"] = self.between(0.05, 0.4)
        return transistor(name, polarity, c, b, e, **values)


    def mosfet(self, name: str, polarity: str, d: str, g: str, s: str) -> Part:
        values = {"threshold_voltage": self.between(0.5, 4), "transconductance": self.between(0.02, 10)}
        return Part(name, "mosfet", {"drain": d, "gate": g, "source": s}, values, polarity)


def stage(chance: Chance) -> list[Part]:
    """A regulator with one or two transistors, ballast, sense transistor and bleed by chance, on a resistive load."""
    quiescent = chance.either(0.0, 5e-3)
    supply = chance.between(30, 45) if quiescent else chance.between(10, 40)
    held = chance.between(3, 0.97 * supply)
    pull = {"resistance": held / chance.between(0.02, 8.0)}
    regulator = {"set_voltage": held, "output_resistance": chance.between(1e-3, 0.05), "sharpness": 1e-6,
                 "quiescent_current": float(quiescent), "current_limit": chance.between(0.3, 3.0),
                 "dropout_voltage": chance.between(0.5, 2.0),
                 "dropout_resistance": chance.between(0.1, 1.0)}  # fmt: skip
    source = {"voltage": supply, "resistance": chance.between(0.01, 0.5)}
    parts = [
        Part("input", "source", {"plus": "in", "minus": "ground"}, source),
        resistor("R1", "in", "x", chance.between(0.1, 30)),
        Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"}, regulator),
        Part("load", "load", {"plus": "out", "minus": "ground"}, pull),
    ]
    kind = chance.either("bypass", "compound", "ballasted", "limited", "enhanced", "enhanced", "alike", "alike")
    if kind == "alike":
        return [*parts, *_side_by_side(chance)]
    if kind == "enhanced":
        return [*parts, *_enhanced(chance)]
    if kind == "bypass":
        return [*parts, chance.bipolar("Q1", "pnp", "out", "x", "in")]
    if kind == "limited":
        parts += [chance.bipolar("Q1", "pnp", "out", "x", "s"), chance.bipolar("Q2", "pnp", "x", "s", "in")]
        return [*parts, resistor("RS", "in", "s", chance.between(0.05, 1.0))]
    parts += [chance.bipolar("Q1", "pnp", "y", "x", "in"), resistor("R2", "y", "out", chance.between(5, 1000))]
    if kind == "compound":
        return [*parts, chance.bipolar("Q2", "npn", "in", "y", "out")]
    for k in (2, 3):
        parts.append(chance.bipolar(f"Q{k}", "npn", "in", "y", f"e{k}"))
        parts.append(resistor(f"R{k + 1}", f"e{k}", "out", chance.between(0.05, 1)))
    return parts


def _enhanced(chance: Chance) -> list[Part]:
    """A P-channel device past the regulator, its gate and its source each with or without a resistor.

    Or a PNP driver before an N-channel device.
    """
    if chance.either(True, False):
        return [chance.bipolar("Q1", "pnp", "y", "x", "in"), resistor("R2", "y", "out", chance.between(50, 5000)),
                chance.mosfet("Q2", "n-channel", "in", "y", "out")]  # fmt: skip
    gate, source = chance.either("x", "g"), chance.either("in", "s")
    found = [chance.mosfet("Q1", "p-channel", "out", str(gate), str(source))]
    if gate == "g":
        found.append(resistor("RG", "x", "g", chance.between(10, 1000)))
    if source == "s":
        found.append(resistor("RS", "in", "s", chance.between(0.05, 1.0)))
    return found


def _side_by_side(chance: Chance) -> list[Part]:
    """Two to four devices alike with like ballast: past the regulator, or behind a driver with or without a bleed."""
    count, ballast = chance.draw.randint(2, 4), chance.between(0.05, 1)
    behind = chance.either(True, False)
    place = ("in", "y", "out") if behind else ("out", "x", "in")
    first = chance.bipolar("Q2", "npn" if behind else "pnp", place[0], place[1], "e2")
    if not behind and chance.either(True, False):
        first = chance.mosfet("Q2", "p-channel", *place[:2], "e2")
    found = [chance.bipolar("Q1", "pnp", "y", "x", "in")] if behind else []
    if behind and chance.either(True, False):
        found.append(resistor("R2", "y", "out", chance.between(5, 1000)))
    for k in range(2, 2 + count):
        pins = {pin: f"e{k}" if at == "e2" else at for pin, at in first.pins.items()}
        found += [replace(first, name=f"Q{k}", pins=pins), resistor(f"R{k + 1}", f"e{k}", place[2], ballast)]
    return found


def open_circuit(chance: Chance) -> list[Part]:
    """Two sources, five to seven resistors and one to three transistors between four free nets and the supplies."""
    nets = ["a", "b", "c", "d"]
    parts = [
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": chance.between(3, 20)}),
        Part("drive", "source", {"plus": "g", "minus": "ground"}, {"voltage": chance.between(0.5, 8)}),
    ]
    ends = ["in", "ground", "g"]
    for k, at in enumerate(nets):
        parts.append(resistor(f"R{k + 1}", at, str(chance.either(*ends)), chance.between(20, 5000)))
    for k in range(chance.draw.randint(1, 3)):
        first, second = chance.draw.sample(nets, 2)
        parts.append(resistor(f"R{k + 5}", first, second, chance.between(20, 5000)))
    for k in range(chance.draw.randint(1, 3)):
        c, b, e = chance.draw.sample([*nets, "in", "ground"], 3)
        if chance.draw.random() < 0.3:
            gate = str(chance.either(b, "in", "ground"))
            parts.append(chance.mosfet(f"Q{k + 1}", str(chance.either("n-channel", "p-channel")), c, gate, e))
        else:
            parts.append(chance.bipolar(f"Q{k + 1}", str(chance.either("npn", "pnp")), c, b, e))
    return parts


def switch_circuit(chance: Chance) -> list[Part]:
    """A low-side N-channel switch whose gate stands at the supply, a load above it, a follower that taps its drain."""
    return [
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": chance.between(5, 20)}),
        resistor("R1", "in", "a", chance.between(1, 1000)),
        resistor("R2", "s", "ground", chance.between(0.01, 10)),
        resistor("R3", "in", "g", chance.between(10, 1000)),
        chance.mosfet("Q1", "n-channel", "a", "g", "s"),
        chance.bipolar("Q2", "pnp", "ground", "a", "e"),
        resistor("R4", "in", "e", chance.between(10, 1000)),
    ]


def mirrored(parts: Sequence[Part]) -> list[Part]:
    """The same circuit for a negative rail: every polarity and every source turned round."""
    turned = {"npn": "pnp", "pnp": "npn", "n-channel": "p-channel", "p-channel": "n-channel", "positive": "negative",
              None: None}  # fmt: skip
    found = []
    for part in parts:
        pins = dict(part.pins)
        if part.kind in ("source", "load"):
            pins = {"plus": part.pins["minus"], "minus": part.pins["plus"]}
        polarity = turned["positive" if part.kind == "regulator" else part.polarity]
        found.append(replace(part, pins=pins, polarity=polarity))
    return found


def networks() -> Iterator[list[Part]]:
    for seed in range(4000):
        chance = Chance(seed)
        kind = switch_circuit if seed % 12 == 5 else open_circuit if seed % 4 == 0 else stage
        parts = kind(chance)
        yield mirrored(parts) if seed % 7 == 0 else parts


def regime_of(ideal: Ideal, block: Block) -> dict[str, str]:
    """The states whose equations the solver's solution keeps best."""
    found = {}
    for switch in ideal.switches:
        part = block.part(switch.part)
        if part.kind != "bipolar":
            continue
        sign = 1.0 if part.polarity == "npn" else -1.0
        c, b, e = (sign * float(block.pin_voltage(part.name, pin)[0, 0]) for pin in ("collector", "base", "emitter"))
        if switch.name.endswith("base"):
            found[switch.name] = "on" if part.values["base_emitter_voltage"] - (b - e) < 1e-6 else "off"
        else:
            found[switch.name] = "saturated" if c - e - part.values["saturation_voltage"] < 1e-6 else "free"
    return found


FLOWS = 1e-4
"""Largest current from which a network can be judged [A]: what is off in the solver still carries some 1e-14 A."""

LEAKS, OPEN = 1e-12, 0.2
"""Share of the largest current below which a MOSFET is off; share of the pinch-off voltage below which it is open."""


def with_mosfets(ideal: Ideal, block: Block, largest: float) -> tuple[Ideal, dict[str, str]] | None:
    """The constants of each MOSFET as the solver has them at its point, and its state; None where it leaks.

    The law of the device is the solver's alone.  `derive` says what follows from its V_GS, or from its R_DS(on): with
    the solver's V_GS (or R_DS) for the letter everything else must come out the same.
    """
    values, states = {}, {}
    for switch in (switch for switch in ideal.switches if switch.name.endswith(" channel")):
        part = block.part(switch.part)
        sign, k = (1.0 if part.polarity == "n-channel" else -1.0), switch.part.lstrip("Q")
        drain, gate, source = (sign * float(block.pin_voltage(part.name, pin)[0, 0])
                               for pin in ("drain", "gate", "source"))  # fmt: skip
        current = sign * float(block.pin_current(part.name, "drain")[0, 0])
        if abs(current) < LEAKS * largest:
            states[switch.name] = "off"
        elif current < 1e-4 * largest or drain <= source:
            return None
        elif drain - source < OPEN * (gate - source - part.values["threshold_voltage"]):
            states[switch.name] = "full"
            values |= {f"R_DS{k}": (drain - source) / current, f"V_GS{k}": 0.9 * (gate - source)}
        else:
            states[switch.name] = "on"
            values |= {f"R_DS{k}": 0.5 * (drain - source) / current, f"V_GS{k}": gate - source}
    return with_letters(ideal, values), states


def wanted_of(ideal: Ideal, parts: Sequence[Part]) -> list[Quantity]:
    """Five of the quantities, others in every network."""
    known = list(ideal.quantities.values())
    return random.Random(len(parts)).sample(known, min(5, len(known)))


def is_clear(ideal: Ideal, point: Point) -> bool:
    """Whether every condition is kept by a clear margin."""
    for switch in ideal.switches:
        for margin in switch.states[point.regime[switch.name]].margins:
            if abs(point.read(margin.row)) < CLEAR * point.size(margin.row):
                return False
    return True


def compared(parts: Sequence[Part]) -> tuple[Point, float] | None:
    """The point, and the largest relative difference between formulas and solver; None where neither can judge."""
    try:
        block = solved(laid_out(parts, AMBIENT))
    except RefusedNetwork:  # a net with one pin
        return None
    if not block.is_solved[0, 0]:
        return None
    ideal = ideal_of(parts)
    largest = max(abs(reading(block, q)) for q in ideal.quantities.values() if q.unit == "A")
    highest = max(abs(reading(block, q)) for q in ideal.quantities.values() if q.unit == "V")
    found = with_mosfets(ideal, block, largest)
    if found is None or largest < FLOWS:
        return None
    ideal, channels = found
    try:
        point = regime_at(ideal, ideal.values, regime_of(ideal, block) | channels)
    except NoRegime:
        return None
    if not is_clear(ideal, point):
        return None
    symbols = Symbols(ideal, point.regime)
    worst = 0.0
    for quantity in wanted_of(ideal, parts):
        result = symbols.solved(quantity.row, quantity.name)
        numbers = dict(ideal.values)
        for entry in result.definitions:
            numbers[entry.name] = value(definition_value(entry), numbers)
        ours, theirs = result.worth(numbers), reading(block, quantity)
        if len(result.over) + len(result.under) < READABLE:
            assert float(value(result.expression, numbers)) == pytest.approx(ours, rel=1e-9, abs=1e-12 * largest)
        worst = max(worst, abs(ours - theirs) / (largest if quantity.unit == "A" else highest))
    return point, worst


@pytest.mark.slow
def test_two_hundred_random_networks_equal_the_solver_in_every_regime() -> None:
    """Formulas with numbers put in against the solver: 1e-9 of the largest current, 1e-9 of the highest voltage."""
    judged, seen, with_mosfet = 0, set(), 0
    for parts in networks():
        found = compared(parts)
        if found is None:
            continue
        point, worst = found
        assert worst < 1e-9, (worst, point.regime, parts)
        judged += 1
        with_mosfet += any(part.kind == "mosfet" for part in parts)
        seen |= {(name.split()[-1], state) for name, state in point.regime.items()}
        if judged >= WANTED:
            break
    assert judged >= WANTED and with_mosfet >= WANTED // 4
    wanted = {("channel", "on"), ("channel", "off"), ("channel", "full"),
              ("base", "on"), ("base", "off"), ("collector", "saturated"), ("collector", "free"),
              ("output", "holding"), ("output", "limiting"), ("output", "dropped out")}  # fmt: skip
    assert wanted <= seen
