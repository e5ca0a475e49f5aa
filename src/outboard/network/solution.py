"""Solutions of a table of cases, and the plain figures that a meter would read off them."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from outboard.network.circuit import Circuit
from outboard.network.compile import solver
from outboard.network.expansion import Node
from outboard.network.outcome import SOLVED
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.working_arrays import lanes_for

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Block:
    """Solved cases: corners (rows) along a sweep (points).

    xs        [corner, point, unknown + 2]: all unknowns, then ground and ambient
    outcomes  [corner, point], numbers of `outcome`
    notes     [corner, point, 3]: iterations, share of the way that could be followed, 1 where the circuit jumped
    Figures of lanes without a solution are numbers without meaning: mask them with `is_solved`.
    """

    circuit: Circuit
    corners: Overrides
    sweep: Overrides
    xs: Floats
    outcomes: NDArray[np.int8]
    notes: Floats

    @property
    def is_solved(self) -> NDArray[np.bool_]:
        """True where the lane has a solution, shape [corner, point]."""
        return np.asarray(self.outcomes == SOLVED)

    @cached_property
    def flows(self) -> Floats:
        """Current (or heat) into every element port, [corner, point, port]."""
        circuit, shape = self.circuit, (len(self.circuit.tables.port), *self.outcomes.shape)
        flows: Floats = np.empty(shape)
        cases = (*self.corners.stored(circuit), *self.sweep.stored(circuit))
        solver().measure_flows(circuit.base, circuit.tables, lanes_for(circuit), *cases, self.xs, flows)
        return np.moveaxis(flows, 0, 2)

    @property
    def stored_numbers(self) -> Floats:
        """The parameter vector of every lane as the circuit stores it, [lane, slot]."""
        slots, overrides = self._lane_overrides()
        rows = np.tile(self.circuit.base, (len(overrides), 1))
        rows[:, slots] = overrides
        return rows

    def _lane_overrides(self) -> tuple[NDArray[np.uint32], Floats]:
        corner_slots, corner_values = self.corners.stored(self.circuit)
        sweep_slots, sweep_values = self.sweep.stored(self.circuit)
        rows, points = self.outcomes.shape
        values = np.hstack([np.repeat(corner_values, points, axis=0), np.tile(sweep_values, (rows, 1))])
        return np.concatenate([corner_slots, sweep_slots]), np.ascontiguousarray(values)

    def number(self, part: str, field: str) -> Floats:
        """A part's number in every lane, [corner, point] or broadcastable to it; infinite where an effect is absent.

        KeyError when the part has no such number.
        """
        for overrides, shape in ((self.sweep, (1, -1)), (self.corners, (-1, 1))):
            if (part, field) in overrides.fields:
                return overrides.values[:, overrides.fields.index((part, field))].reshape(shape)
        slot, inverse = self.circuit.slots[part, field][0]
        stored = float(self.circuit.base[slot])
        if inverse:
            stored = 1.0 / stored if stored else np.inf
        return np.full((1, 1), stored)

    def at(self, node: Node) -> Floats:
        """Voltage of a net [V] or temperature of a thermal place [K], [corner, point]."""
        return self.xs[:, :, self.circuit.index[node]]

    def net_voltage(self, name: str) -> Floats:
        """Voltage of a net against ground [V]."""
        return self.at(("net", name))

    def part(self, name: str) -> Part:
        """The part of this name; KeyError when there is none."""
        return self.parts[name]

    @cached_property
    def parts(self) -> Mapping[str, Part]:
        """Parts by name."""
        return {part.name: part for part in self.circuit.parts}

    def pin_current(self, part: str, pin: str) -> Floats:
        """Current into a pin [A], [corner, point]; heat flow [W] at a thermal part."""
        places = list(self.circuit.pins[part][pin])
        current: Floats = self.flows[:, :, places].sum(axis=2)
        return current

    def pin_voltage(self, part: str, pin: str) -> Floats:
        """Voltage of the net at a pin [V]."""
        return self.net_voltage(self.part(part).pins[pin])

    def power(self, part: str) -> Floats:
        """Power that a part takes up at its terminals, Σ v·i [W]; negative where it delivers."""
        pins = self.circuit.pins[part]
        total = np.zeros(self.outcomes.shape)
        for pin in pins:  # not added in place: what carries slopes could not go on in a plain array
            total = total + self.pin_voltage(part, pin) * self.pin_current(part, pin)
        return total

    def has_junction(self, part: str) -> bool:
        """True where the part's heat has a path of its own."""
        return ("junction", part) in self.circuit.index

    def junction_temperature(self, part: str) -> Floats:
        """Junction temperature [K]; ambient for a part without a heat path."""
        if self.has_junction(part):
            return self.at(("junction", part))
        return self.xs[:, :, -1]

    @cached_property
    def electrical_parts(self) -> tuple[str, ...]:
        """Names of the parts that carry current."""
        return tuple(part.name for part in self.circuit.parts if not part.kind.startswith("thermal"))

    @cached_property
    def worst_imbalance(self) -> Floats:
        """Largest sum of currents at any net or inner node [A], [corner, point]: Kirchhoff's residual."""
        nodes = [i for i, node in enumerate(self.circuit.unknowns) if node[0] in ("net", "inner")]
        joined = (self.circuit.tables.row[:, None] == np.array(nodes)[None, :]).astype(float)
        sums: Floats = self.flows @ joined
        return np.asarray(np.abs(sums).max(axis=2, initial=0.0))

    @cached_property
    def power_balance(self) -> tuple[Floats, Floats]:
        """Power delivered and power taken up [W], [corner, point] each; equal in a solution."""
        powers = np.array([self.power(part) for part in self.electrical_parts])
        return -np.minimum(powers, 0.0).sum(axis=0), np.maximum(powers, 0.0).sum(axis=0)
