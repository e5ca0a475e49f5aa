"""What a stage asks of its input: the current that it draws, and the least voltage at which its output still holds."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.conditions import INPUT_FIELD, LOAD_FIELD, settable
from outboard.arrangements.design import Design
from outboard.network.circuit import AMBIENT_FIELD, Circuit, laid_out
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities.regulation import regulation
from outboard.span import Span

PLACES = 60
"""Inputs that are solved from above downwards, and once more where the output gives way."""

LOWEST = 0.3
"""The search ends at this share of the output: no stage holds it from less than all of it."""


@dataclass(frozen=True, slots=True)
class Need:
    """What the stage asks at one load.

    word      "no load", "usual load", "full load"
    load      at the output [A], None for a load that is not a current
    current   drawn from the input at the usual input and ambient [A]; None where there is no operating point
    voltage   least size of the input at which the output holds, at the worst ambient [V]; None where none does
    ambient   that ambient [K]
    """

    word: str
    load: float | None
    current: float | None
    voltage: float | None
    ambient: float | None


def stage_needs(design: Design, most_input: float) -> tuple[Need, ...]:
    """What the design's stage asks at least, usual and most load; usual parts, inputs up to `most_input` [V] tried.

    Raises RefusedNetwork when the parts make no solvable network, or have no `input` to set.
    """
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual)
    settable(circuit, INPUT_FIELD)
    return tuple(_need(circuit, design, word, load, most_input) for word, load in _loads(circuit, design))


def _loads(circuit: Circuit, design: Design) -> list[tuple[str, float | None]]:
    output = design.brief.output
    if LOAD_FIELD not in circuit.slots:
        return [("load", None)]
    drawn = float(circuit.base[circuit.slots[LOAD_FIELD][0][0]])
    span = output.load if output is not None else Span.exactly(drawn)
    found = [("no load" if span.least == 0.0 else "least load", span.least), ("usual load", span.usual),
             ("full load", span.most)]  # fmt: skip
    return [pair for n, pair in enumerate(found) if pair[1] not in [load for _, load in found[n + 1 :]]]


def _need(circuit: Circuit, design: Design, word: str, load: float | None, most: float) -> Need:
    ambient, output, source = design.brief.surroundings.ambient, design.brief.output, design.brief.input
    sign = -1.0 if output is not None and output.voltage < 0.0 else 1.0
    rows = np.array(list(dict.fromkeys(ambient)))
    corners = Overrides((AMBIENT_FIELD,), rows[:, None])
    if load is not None:
        corners = Overrides((AMBIENT_FIELD, LOAD_FIELD), np.column_stack([rows, np.full(len(rows), load)]))
    least = LOWEST * abs(output.voltage) if output is not None else 0.0
    coarse = np.linspace(max(most, 1.01 * least), least, PLACES)
    where = _gives_way(_holds(_along(circuit, corners, sign * coarse), design))
    usual = abs(source.voltage.usual) if source is not None else most
    current = _drawn(circuit, corners, sign * usual, rows == ambient.usual)
    if where is None:
        return Need(word, load, current, None, None)
    first, last = min(where), max(where)
    fine = np.linspace(coarse[first], coarse[min(last + 1, PLACES - 1)], PLACES * (last - first + 1))
    again = _gives_way(_holds(_along(circuit, corners, sign * fine), design))
    held = where if again is None else again
    values = coarse if again is None else fine
    worst = int(np.argmin(held))
    return Need(word, load, current, float(values[held[worst]]), float(rows[worst]))


def _along(circuit: Circuit, corners: Overrides, inputs: NDArray[np.float64]) -> Block:
    return solved(circuit, corners, Overrides.column(*INPUT_FIELD, inputs))


def _holds(block: Block, design: Design) -> NDArray[np.bool_]:
    """Where no regulator has dropped out or limits, and the output is in its tolerance."""
    holds = np.array(block.is_solved)
    for part in design.parts:
        if part.part.kind == "regulator":
            state = regulation(block, part.name)
            holds &= ~state.dropped_out & ~state.limiting
    output = design.brief.output
    if output is not None and "load" in block.parts:
        voltage = block.pin_voltage("load", "plus") - block.pin_voltage("load", "minus")
        holds &= np.abs(voltage) >= abs(output.voltage) * (1.0 - output.tolerance)
    return holds


def _gives_way(holds: NDArray[np.bool_]) -> list[int] | None:
    """For each row the last place from above at which it still holds; None where one does not hold at the first."""
    if not holds[:, 0].all():
        return None
    return [int(np.argmin(row)) - 1 if not row.all() else len(row) - 1 for row in holds]


def _drawn(circuit: Circuit, corners: Overrides, voltage: float, usual: NDArray[np.bool_]) -> float | None:
    """Current from the input at the usual ambient [A]."""
    block = _along(circuit, corners.rows(usual), np.array([voltage]))
    if not block.is_solved[0, 0]:
        return None
    return abs(float(block.pin_current("input", "plus")[0, 0]))
