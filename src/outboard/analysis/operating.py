"""One operating point: every net voltage, terminal current, power and junction temperature."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from outboard.analysis.conditions import INPUT_FIELD, LOAD_FIELD, conditions
from outboard.arrangements.design import Design, DesignPart
from outboard.constants import ZERO_CELSIUS
from outboard.network.circuit import laid_out
from outboard.network.outcome import RUNAWAY, SOLVED, WORDS
from outboard.network.part import AMBIENT
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities.regulation import regulation
from outboard.quantity import VOLTAGE, shown

RUNS_AWAY = ZERO_CELSIUS + 400.0
"""A junction or thermal node that passes this on the way to a runaway is named with it [K]."""

FLOATS = 1.01
"""An idle regulator's output above this share of the set voltage has floated up, and is worth a word."""


@dataclass(frozen=True, slots=True)
class PartPoint:
    """One part at an operating point: currents into its pins [A], power [W], junction [K] if it has a heat path.

    A thermal resistance has a heat flow from a to b [W] instead.
    """

    currents: Mapping[str, float] = field(default_factory=dict)
    power: float | None = None
    junction: float | None = None
    heat_flow: float | None = None


@dataclass(frozen=True, slots=True)
class Conditions:
    """Voltage of the source `input` [V] and current of `load` [A], None when there is none; ambient [K]."""

    input_voltage: float | None
    load: float | None
    ambient: float


@dataclass(frozen=True, slots=True)
class Balance:
    """Largest sum of currents at any node [A]; power delivered and power taken up [W]."""

    worst_imbalance: float
    power_in: float
    power_out: float


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """A solved point, or in `outcome` the word for what became of it; then there are no figures.

    jumped     on the way up the circuit could not be followed all the way and was left to settle
    runs_away  names of the parts and thermal nodes that run away
    warnings   what a person should know about this point
    """

    outcome: str
    conditions: Conditions
    nets: Mapping[str, float] = field(default_factory=dict)
    thermal_nodes: Mapping[str, float] = field(default_factory=dict)
    parts: Mapping[str, PartPoint] = field(default_factory=dict)
    balance: Balance | None = None
    jumped: bool = False
    runs_away: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def is_solved(self) -> bool:
        """Whether there is an operating point."""
        return self.outcome == WORDS[SOLVED]


def operating_point(
    design: Design, *, input_voltage: float | None = None, load: float | None = None, ambient: float | None = None
) -> OperatingPoint:
    """The stable point that is reached when the sources come up, at usual values unless others are given [V, A, K].

    Raises RefusedNetwork when the parts make no solvable network, or have no `input` or `load` to set.
    """
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual)
    block = solved(circuit, conditions(circuit, input_voltage, load, ambient))
    outcome = int(block.outcomes[0, 0])
    jumped = bool(block.notes[0, 0, 2])
    if outcome != SOLVED:
        asked = Conditions(_number(block, INPUT_FIELD), _number(block, LOAD_FIELD), float(block.xs[0, 0, -1]))
        hot = tuple(_running_away(block)) if outcome == RUNAWAY else ()
        return OperatingPoint(WORDS[outcome], asked, jumped=jumped, runs_away=hot)
    delivered, taken = block.power_balance
    return OperatingPoint(
        outcome=WORDS[outcome],
        conditions=_conditions(block),
        nets={node[1]: float(block.at(node)[0, 0]) for node in circuit.unknowns if node[0] == "net"},
        thermal_nodes={node[1]: float(block.at(node)[0, 0]) for node in circuit.unknowns if node[0] == "heat"},
        parts={part.name: _part_point(block, part) for part in design.parts},
        balance=Balance(float(block.worst_imbalance[0, 0]), float(delivered[0, 0]), float(taken[0, 0])),
        jumped=jumped,
        warnings=tuple(_warnings(block, design)),
    )


def _number(block: Block, address: tuple[str, str]) -> float | None:
    return float(block.number(*address).flat[0]) if address in block.circuit.slots else None


def _conditions(block: Block) -> Conditions:
    load = block.parts.get("load")
    current = float(block.pin_current("load", "plus")[0, 0]) if load is not None and load.kind == "load" else None
    return Conditions(_number(block, INPUT_FIELD), current, float(block.xs[0, 0, -1]))


def _part_point(block: Block, part: DesignPart) -> PartPoint:
    name = part.name
    if part.part.kind == "thermal_resistance":
        return PartPoint(heat_flow=float(block.pin_current(name, "a")[0, 0]))
    if part.part.kind.startswith("thermal"):
        return PartPoint()
    junction = float(block.junction_temperature(name)[0, 0]) if block.has_junction(name) else None
    currents = {pin: float(block.pin_current(name, pin)[0, 0]) for pin in part.part.pins}
    return PartPoint(currents, float(block.power(name)[0, 0]), junction)


def _running_away(block: Block) -> Iterator[str]:
    """Junctions and thermal nodes beyond 400 °C where the point was given up, the hottest first."""
    places = [node for node in block.circuit.unknowns if node[0] in ("heat", "junction") and node[1] != AMBIENT]
    by_heat = sorted(places, key=lambda node: -float(block.at(node)[0, 0]))
    hot = [node for node in by_heat if float(block.at(node)[0, 0]) > RUNS_AWAY]
    yield from (node[1] for node in hot or by_heat[:1])


def _warnings(block: Block, design: Design) -> Iterator[str]:
    """Regulators that do not hold their voltage."""
    for part in design.parts:
        if part.part.kind != "regulator":
            continue
        state, name = regulation(block, part.name), part.name
        net = part.part.pins["out"]
        output = abs(float((block.pin_voltage(name, "out") - block.pin_voltage(name, "ref"))[0, 0]))
        if state.idle[0, 0] and output > FLOATS * float(block.number(name, "set_voltage").flat[0]):
            yield f"{net} floats up to {shown(output, VOLTAGE, 4)} by leakage: {name} cannot sink current; load it"
        elif state.dropped_out[0, 0]:
            yield f"{name} has dropped out: too little voltage is left across it"
        elif state.limiting[0, 0]:
            yield f"{name} limits its current, or is shut down by its heat"
