"""A small circuit that touches every compiled entry, so that the first real run need not compile."""

import numpy as np

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.network.circuit import laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solve import released, solved


def solve_small_circuit() -> None:
    """Solves, sweeps, releases and measures a divider, alone and with its like."""
    parts = (
        Part("supply", "source", {"plus": "a", "minus": "ground"}, {"voltage": 1.0}),
        Part("upper", "resistor", {"a": "a", "b": "b"}, {"resistance": 1.0}),
        Part("lower", "resistor", {"a": "b", "b": "ground"}, {"resistance": 1.0}),
        Part("load", "load", {"plus": "b", "minus": "ground"}, {"draws": 0.0}),
    )
    circuit = laid_out(parts, REFERENCE_TEMPERATURE)
    load = Overrides.column("load", "draws", np.array([0.0, 0.01]))
    uppers = Overrides.column("upper", "resistance", np.array([0.9, 1.0, 1.1]))
    for corners in (Overrides.none(), uppers):
        block = solved(circuit, corners, load)
        assert block.is_solved.all() and block.worst_imbalance.max() < 1e-9
    for count in (2, 3):
        most = Overrides.column("load", "draws", np.full(count, 0.01))
        after = released(circuit, uppers.rows(slice(count)), most, most, block.xs[:count, 1])
        assert after.is_solved.all()
