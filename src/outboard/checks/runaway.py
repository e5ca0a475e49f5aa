"""How far the worst corners are from having no equilibrium: by what factor thermal resistances may grow, or how many
kelvins ambient may rise.

The solved network gives the answer; the loop gain of each transistor by hand says why.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements.design import DesignPart
from outboard.cases.alike import ballast
from outboard.checks.check import Check
from outboard.checks.hottest import Lanes, largest, least_margins
from outboard.checks.requirements import output_checks
from outboard.checks.sink_needed import JUNCTION
from outboard.constants import ZERO_CELSIUS, thermal_voltage
from outboard.formulas import Worked
from outboard.formulas.junction import voltage_tempco
from outboard.formulas.thermal_stability import thermal_loop_gain
from outboard.network.expansion import HEAT_RESISTANCE
from outboard.network.solution import Block
from outboard.quantities import figures

Floats = NDArray[np.float64]

MOST_FACTOR, LEAST_WARMER, MOST_WARMER = 30.0, 0.1, 400.0
"""How far is searched: times all thermal resistances [1], kelvins of ambient [K]."""

ONLY_HOT = ZERO_CELSIUS + 420.0
"""A junction beyond this at the last equilibrium was on its way to 500 °C, where the search gives up [K]."""

CARRIES = 1e-3
"""Below this a transistor's loop gain is not worth a word [A]."""


@dataclass(frozen=True, slots=True)
class Loop:
    """The loop gain of one transistor at fixed V_BE, with its working."""

    part: str
    gain: Worked


@dataclass(frozen=True, slots=True)
class Runaway:
    """How far it is to where no equilibrium is left.

    factor    times all thermal resistances; None where there is none even as written; `at_end` where it holds to the
              end of the search
    warmer    kelvins of ambient; the same
    part      the hottest junction at the last equilibrium [K]
    folds     whether that junction was still cool enough for the end to be a fold and not mere heat
    output    times all thermal resistances up to which the output keeps its tolerance, as when a regulator shuts down
              by its heat; None where it does not as written, or where nothing is promised
    """

    factor: float | None
    factor_at_end: bool
    warmer: float | None
    warmer_at_end: bool
    part: str
    junction: float | None
    folds: bool
    output: float | None
    loops: tuple[Loop, ...]


def runaway(lanes: Lanes, checks: Sequence[Check]) -> Runaway:
    """Searches both ways to the last equilibrium of the worst lanes of all junctions."""
    addresses, base = _resistances(lanes)

    def stands(factors: Floats) -> NDArray[np.bool_]:
        return _solved(lanes.solved(addresses, factors[:, None] * base[None, :]), len(factors))

    def stands_warmer(kelvins: Floats) -> NDArray[np.bool_]:
        return _solved(lanes.solved(warmer=kelvins), len(kelvins))

    promised = list(output_checks(lanes.setting.design))

    def holds(factors: Floats) -> NDArray[np.bool_]:
        block = lanes.solved(addresses, factors[:, None] * base[None, :])
        return least_margins(block, promised, len(factors)) >= 0.0

    factor = largest(stands, 1.0, MOST_FACTOR)
    output = largest(holds, 1.0, MOST_FACTOR) if promised else None
    kelvins = None if factor is None else largest(stands_warmer, LEAST_WARMER, MOST_WARMER)
    part, junction = "", None
    if factor is not None:
        block = lanes.solved(addresses, factor * base[None, :])
        part, junction = _hottest(block, [check.part or "" for check in checks if check.requirement == JUNCTION])
    return Runaway(
        factor, factor == MOST_FACTOR, kelvins, kelvins == MOST_WARMER, part, junction,
        factor != MOST_FACTOR and junction is not None and junction < ONLY_HOT, output, tuple(_loops(lanes)),
    )  # fmt: skip


def _solved(block: Block, trials: int) -> NDArray[np.bool_]:
    return np.asarray(block.is_solved[:, 0].reshape(trials, -1).all(axis=1))


def _resistances(lanes: Lanes) -> tuple[list[tuple[str, str]], Floats]:
    """Every thermal resistance with its number as written."""
    addresses, numbers = [], []
    for part in lanes.setting.design.parts:
        if part.part.kind == "thermal_resistance":
            addresses.append((part.name, "resistance"))
            numbers.append(part.part.values["resistance"])
        elif part.part.heat is not None and (part.name, HEAT_RESISTANCE) in lanes.setting.circuit.slots:
            addresses.append((part.name, HEAT_RESISTANCE))
            numbers.append(part.part.heat.resistance)
    return addresses, np.array(numbers)


def _hottest(block: Block, names: Sequence[str]) -> tuple[str, float | None]:
    if not block.is_solved.all() or not names:
        return "", None
    by_name = {name: float(block.junction_temperature(name).max()) for name in names}
    part = max(by_name, key=lambda name: by_name[name])
    return part, by_name[part]


def _loops(lanes: Lanes) -> Iterator[Loop]:
    """The loop gain of every bipolar transistor that carries current, in the lane where it is greatest."""
    block = lanes.solved()
    parts = lanes.setting.design.parts
    for part in parts:
        if part.part.kind != "bipolar" or part.part.heat is None or part.part.model:
            continue
        worked = [_loop(block, part, parts, row) for row in range(len(block.outcomes)) if block.is_solved[row, 0]]
        carried = [one for one in worked if one is not None]
        if carried:
            yield Loop(part.name, max(carried, key=lambda one: one.value))


def _loop(block: Block, part: DesignPart, parts: Sequence[DesignPart], row: int) -> Worked | None:
    name, heat = part.name, part.part.heat
    current = float(figures.collector_current(block, name)[row, 0])
    voltage = float(figures.collector_emitter_voltage(block, name)[row, 0])
    if current < CARRIES or voltage <= 0.0 or heat is None:
        return None
    temperature = float(block.junction_temperature(name)[row, 0])
    fall = voltage_tempco(
        bandgap_voltage=_number(block, name, "bandgap_eV", row), thermal_voltage=thermal_voltage(temperature),
        base_emitter_voltage=float(figures.voltage_between(block, name, "base", "emitter")[row, 0]),
        exponent=_number(block, name, "current_temperature_exponent", row), temperature=temperature,
    )  # fmt: skip
    resistor = ballast(part, parts)
    outside = 0.0 if resistor is None else _number(block, resistor.name, "resistance", row)
    return thermal_loop_gain.evaluated(
        collector_emitter_voltage=voltage, thermal_resistance=heat.resistance, voltage_fall=abs(fall),
        thermal_voltage=thermal_voltage(temperature), collector_current=current,
        emitter_resistance=outside + _number(block, name, "emitter_resistance", row),
        base_resistance=_number(block, name, "base_resistance", row),
        current_gain=current / float(figures.base_current(block, name)[row, 0]),
    )  # fmt: skip


def _number(block: Block, part: str, field: str, row: int) -> float:
    """A part's number in one lane; nothing where the circuit has none."""
    if (part, field) not in block.circuit.slots:
        return 0.0
    numbers = np.broadcast_to(block.number(part, field), (len(block.outcomes), 1))
    return float(numbers[row, 0])
