"""The arrays that one thread reuses while it solves a circuit."""

from typing import Any

import numpy as np

from outboard.network.circuit import Circuit
from outboard.network.compile import solver
from outboard.network.tables import Lanes, Scratch


def scratch_for(circuit: Circuit) -> Scratch:
    """Working arrays of one thread."""
    n, places, slots = len(circuit.unknowns), len(circuit.tables.entry_row), len(circuit.base)
    corners = int(circuit.tables.corner_start[-1])
    return Scratch(
        residual=np.zeros(n + 1),
        jacobian=np.zeros(places + 1),
        step=np.zeros(n + 2),
        trial=np.zeros(n + 2),
        earlier=np.zeros(n + 2),
        kept_residual=np.zeros(n + 1),
        kept_jacobian=np.zeros(places + 1),
        anchor=np.zeros(n + 2),
        parameters=np.zeros(slots),
        parameters_from=np.zeros(slots),
        parameters_to=np.zeros(slots),
        matrix=np.zeros((n + 1, n + 1)),
        right=np.zeros(n + 1),
        inverse=np.zeros(n),
        held=np.zeros(n, dtype=np.bool_),
        corner=np.zeros(corners),
        corner_ahead=np.zeros(corners),
        ahead=np.zeros(n + 2),
        here=np.zeros(n + 2),
        last=np.zeros(n + 2),
        earliest=np.zeros(n + 2),
        guess=np.zeros(n + 2),
        kept=np.zeros(n + 2),
        beyond=np.zeros(n + 2),
        stopped=np.zeros(n + 2),
        along=np.zeros(n + 1),
        along_next=np.zeros(n + 1),
        found=np.zeros(n + 2),
    )


def lanes_for(circuit: Circuit) -> Lanes:
    """Arrays in which one thread solves several lanes together, each beginning where a vector may."""
    width = solver().WIDTH
    n, places, slots = len(circuit.unknowns), len(circuit.tables.entry_row), len(circuit.base)
    corners, parameters = int(circuit.tables.corner_start[-1]), len(circuit.tables.parameter)
    flat = dict.fromkeys(("x", "step", "ahead", "here", "earlier", "earliest", "oldest", "kept"), n + 2)
    flat |= {"p": parameters, "residual": n + 1, "jacobian": places + 1, "inverse": n}
    flat |= {"corner": corners, "corner_ahead": corners, "flow": len(circuit.tables.port)}
    others: dict[str, Any] = {name: np.zeros(parameters, dtype=np.uint32) for name in ("raised", "swept")}
    others |= {"all": np.arange(parameters, dtype=np.uint32)}
    others |= {"rows": np.zeros((width, slots)), "notes": np.zeros((width, 3))}
    flat |= {name: 1 for name in Lanes._fields if name not in flat and name not in others}
    room = np.zeros(width * (sum(flat.values()) + 1))
    start = -(room.ctypes.data // room.itemsize) % width
    ends = start + width * np.cumsum(list(flat.values()))
    arrays = {name: room[end - width * count : end] for (name, count), end in zip(flat.items(), ends, strict=True)}
    return Lanes(**arrays, **others)
