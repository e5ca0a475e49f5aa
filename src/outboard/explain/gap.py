"""The gap between hand algebra and the full solution, as a staircase: one effect after another is switched on.

Every step is a solved circuit.  What has no meaning yet (a fall of gain while V_BE is still constant) changes nothing,
so that any set of effects is a circuit, and the order-free shares (Shapley) are defined too.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations
from math import factorial

from outboard.arrangements.design import Design
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.errors import OutboardError
from outboard.explain.hand_figures import HandFigure, full_load, transistor_figures
from outboard.explain.ideal import Quantity
from outboard.explain.mosfet_figures import mosfet_figures
from outboard.network.circuit import laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved

EFFECTS: Mapping[str, str] = {
    "quiescent": "the regulator draws its quiescent current",
    "junction": "V_BE, V_GS follow the current",
    "gain": "gain falls at low and at high current",
    "early": "gain rises with V_CE (Early)",
    "bulk": "base, emitter and collector resistances",
    "leakage": "leakage currents",
    "regulation": "the regulator's output moves with load and input",
    "temperature": "everything warms up, from the ambient on",
}
"""Every effect in the order in which the staircase switches it on."""

GAIN = ("forward_knee_current", "reverse_knee_current", "emitter_leakage_current")
EARLY = ("forward_early_voltage", "reverse_early_voltage")
BULK = ("base_resistance", "emitter_resistance", "collector_resistance")
LEAKAGE = ("cutoff_current", "collector_leakage_current")
STEEP = 1e-3
"""Slope of a MOSFET that stands for a constant V_GS: its gate takes part in 0.03 mV per e-fold of current."""
NEARLY_IDEAL = 1e-6
"""Output resistance of a regulator that does not give way [Ω]."""


class NoStep(OutboardError):
    """One of the circuits of the staircase has no operating point."""


@dataclass(frozen=True, slots=True)
class Step:
    """An effect, what it adds to the quantity in the staircase's order, and where that leads."""

    effect: str
    words: str
    change: float
    value: float


@dataclass(frozen=True, slots=True)
class Gap:
    """From the hand value to the solved one; `shares` are the order-free contributions, when they were asked for."""

    quantity: str
    unit: str
    hand: float
    solved: float
    steps: tuple[Step, ...]
    shares: Mapping[str, float] | None

    @property
    def idle(self) -> frozenset[str]:
        """Effects that change nothing at all: no part has them."""
        return frozenset(step.effect for step in self.steps
                         if step.change == 0.0 and not (self.shares or {}).get(step.effect))  # fmt: skip


Reading = Callable[[frozenset[str]], float]


def gaps(
    design: Design, quantities: Sequence[Quantity], carried: Mapping[str, float], conditions: Overrides, ambient: float,
    order_free: bool = False,
) -> tuple[Gap, ...]:  # fmt: skip
    """The staircase of each quantity that is a current at a pin or the voltage of a net, at the same conditions.

    Raises NoStep.
    """
    rules = {"bipolar": transistor_figures, "mosfet": mosfet_figures}
    chosen = {
        part.name: rules[part.part.kind](part, full_load(design), carried.get(part.name, 0.0))
        for part in design.parts
        if part.part.kind in rules
    }

    @cache
    def block(on: frozenset[str]) -> Block:
        parts = [_with_effects(part.part, on, chosen.get(part.name, {})) for part in design.parts]
        heat = "temperature" in on
        kept = [part for part in parts if heat or not part.kind.startswith("thermal")]
        circuit = laid_out(kept, ambient if heat else REFERENCE_TEMPERATURE)
        fields = [j for j, field in enumerate(conditions.fields) if field in circuit.slots and (heat or field[0])]
        found = solved(circuit, Overrides(tuple(conditions.fields[j] for j in fields), conditions.values[:, fields]))
        if not found.is_solved[0, 0]:
            words = ", ".join(EFFECTS[name] for name in EFFECTS if name in on) or "constant V_BE and gain"
            raise NoStep(f"a circuit between hand algebra and full solution has no operating point: {words}")
        return found

    return tuple(_gap(quantity, lambda on, q=quantity: reading(block(on), q), order_free)  # type: ignore[misc]
                 for quantity in quantities)  # fmt: skip


def reading(block: Block, quantity: Quantity) -> float:
    """A quantity read off a solution, counted as its letter counts it."""
    if not quantity.part:
        return float(block.net_voltage(quantity.pin)[0, 0])
    part = block.part(quantity.part)
    current = float(block.pin_current(quantity.part, quantity.pin)[0, 0])
    mirrored = part.polarity in ("pnp", "p-channel", "negative")
    outward = (part.kind == "regulator") or quantity.pin == "emitter"
    return -current if mirrored != outward else current


def _gap(quantity: Quantity, read: Reading, order_free: bool) -> Gap:
    on: frozenset[str] = frozenset()
    hand = before = read(on)
    steps = []
    for effect, words in EFFECTS.items():
        on = on | {effect}
        now = read(on)
        steps.append(Step(effect, words, now - before, now))
        before = now
    shares = _shares(read) if order_free else None
    return Gap(quantity.name, quantity.unit, hand, before, tuple(steps), shares)


def _shares(read: Reading) -> Mapping[str, float]:
    """Shapley: each effect's change, averaged over all orders in which the effects could be switched on."""
    count = len(EFFECTS)
    found = {}
    for effect in EFFECTS:
        others = [name for name in EFFECTS if name != effect]
        total = 0.0
        for size in range(count):
            weight = factorial(size) * factorial(count - 1 - size) / factorial(count)
            for chosen in combinations(others, size):
                on = effective(frozenset(chosen))
                total += weight * (read(effective(frozenset(chosen) | {effect})) - read(on))
        found[effect] = total
    return found


def effective(on: frozenset[str]) -> frozenset[str]:
    """Without those effects that have no meaning while V_BE is constant."""
    return on if "junction" in on else on - {"gain", "early", "bulk", "leakage"}


def _with_effects(part: Part, on: frozenset[str], figures: Mapping[str, HandFigure]) -> Part:
    """A part with some of its effects; where heat is off it stands at the temperature of its figures."""
    heat = part.heat if "temperature" in on else None
    if part.kind == "bipolar" and part.model is None:
        return _transistor(replace(part, heat=heat), on, figures)
    if part.kind == "mosfet" and "junction" not in on:
        return replace(part, heat=heat, values=_switch_like(figures))
    if part.kind == "regulator":
        return replace(part, heat=heat, values=_regulator(part, on))
    return part if part.kind.startswith("thermal") else replace(part, heat=heat)


def _transistor(part: Part, on: frozenset[str], figures: Mapping[str, HandFigure]) -> Part:
    if "junction" not in on:
        values = {name: figure.value for name, figure in figures.items()}
        return replace(part, values=values, model="constant_gain")
    off = {name for effect, fields in (("gain", GAIN), ("early", EARLY), ("bulk", BULK), ("leakage", LEAKAGE))
           if effect not in on for name in fields}  # fmt: skip
    return replace(part, values={name: value for name, value in part.values.items() if name not in off})


def _switch_like(figures: Mapping[str, HandFigure]) -> Mapping[str, float]:
    """A MOSFET so steep that microvolts at its gate carry any current: constant V_GS, behind it R_DS(on)."""
    return {
        "threshold_voltage": figures["gate_source_voltage"].value, "slope": STEEP, "transconductance": 1.0 / STEEP**2,
        "drain_resistance": figures["on_resistance"].value,
    }  # fmt: skip


def _regulator(part: Part, on: frozenset[str]) -> Mapping[str, float]:
    values = dict(part.values)
    if "quiescent" not in on:
        values |= {"quiescent_current": 0.0, "quiescent_load_coefficient": 0.0, "quiescent_line_coefficient": 0.0}
    if "regulation" not in on:
        values |= {"output_resistance": NEARLY_IDEAL, "line_coefficient": 0.0}
    return values
