"""What a person may set for one run: the input's voltage, the load's current, the temperature of the surroundings."""

import numpy as np

from outboard.errors import RefusedNetwork
from outboard.network.circuit import AMBIENT_FIELD, Circuit
from outboard.network.overrides import Overrides
from outboard.network.part import Part

INPUT_FIELD = ("input", "voltage")
LOAD_FIELD = ("load", "draws")


def conditions(
    circuit: Circuit, input_voltage: float | None = None, load: float | None = None, ambient: float | None = None
) -> Overrides:
    """One row that sets what is given [V, A, K]; RefusedNetwork when the circuit has nothing to set it on."""
    wanted = {}
    if input_voltage is not None:
        wanted[settable(circuit, INPUT_FIELD)] = input_voltage
    if load is not None:
        wanted[settable(circuit, LOAD_FIELD)] = load
    if ambient is not None:
        wanted[AMBIENT_FIELD] = ambient
    return Overrides(tuple(wanted), np.array([list(wanted.values())], dtype=np.float64))


def settable(circuit: Circuit, address: tuple[str, str]) -> tuple[str, str]:
    """The address of a number, when the circuit has it; RefusedNetwork says what is in the way when it has not."""
    if address in circuit.slots:
        return address
    name, field = address
    kind = "source" if name == "input" else "load"
    example = f'{field} = "12 V"' if name == "input" else f'{field} = "1 A"'
    part = next((part for part in circuit.parts if part.name == name), None)
    what = f"no part is named '{name}'" if part is None else f"'{name}' is {_described(part)}; it has no {field} to set"
    raise RefusedNetwork(name, what, f"a {kind} named {name} with {field}", example)


def _described(part: Part) -> str:
    if part.kind == "load":
        return "a load with " + " and ".join(part.values)
    return f"a {part.kind.replace('_', ' ')}"
