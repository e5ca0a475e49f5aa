"""Writes the evaluation kernels: every device's equations with all derivatives, as one loop over circuit tables.

The text depends on the devices only, never on a circuit.  It is joined with the solver in `kernels.py` into one
file, because a compiled cache does not notice edits in functions that it calls in other files.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from types import SimpleNamespace

from outboard.devices.catalogue import DEVICES
from outboard.devices.device import Device
from outboard.network.tracer import Expression, Graph, Tracing, derivative, straight_line


@dataclass(frozen=True, slots=True)
class Traced:
    """One device's equations as expressions, with the places where derivatives are not always zero."""

    device: Device
    contributions: tuple[Expression, ...]
    slopes: tuple[tuple[int, int, Expression], ...]
    parameter_slopes: tuple[tuple[int, int, Expression], ...]
    valid: tuple[Expression, ...]
    corners: tuple[Expression, ...]


@cache
def traced(device: Device) -> Traced:
    """The device's equations traced and differentiated by every port and every parameter."""
    graph = Graph()
    ports = [graph.variable(f"v{k}") for k in range(len(device.ports))]
    numbers = [graph.variable(f"p{j}") for j in range(len(device.parameters))]
    parameters = SimpleNamespace(**dict(zip(device.parameters, numbers, strict=True)))
    mathematics = Tracing(graph)
    contributions = tuple(device.equations(ports, parameters, mathematics))
    valid = tuple(device.valid(ports, parameters, mathematics)) if device.valid else ()
    corners = tuple(device.corners(ports, parameters, mathematics)) if device.corners else ()
    return Traced(
        device,
        contributions,
        _slopes(contributions, ports),
        _slopes(contributions, numbers),
        valid,
        corners,
    )


def _slopes(
    contributions: Sequence[Expression], variables: Sequence[Expression]
) -> tuple[tuple[int, int, Expression], ...]:
    return tuple(
        (k, j, slope)
        for k, contribution in enumerate(contributions)
        for j, variable in enumerate(variables)
        if (slope := derivative(contribution, variable)).number() != 0.0
    )


def slope_places(device: Device) -> tuple[tuple[int, int], ...]:
    """(contribution, port) pairs of the derivatives that a kernel writes, in its order."""
    return tuple((k, j) for k, j, _ in traced(device).slopes)


def parameter_slope_places(device: Device) -> tuple[tuple[int, int], ...]:
    """(contribution, parameter) pairs of the parameter derivatives that a kernel writes, in its order."""
    return tuple((k, j) for k, j, _ in traced(device).parameter_slopes)


def _body(wanted: Sequence[Expression], write: Callable[[Sequence[str]], list[str]]) -> list[str]:
    """Loads, assignments and stores of one device in one kernel."""
    lines, names = straight_line(wanted)
    text = "\n".join(lines + list(names))
    tokens = set(text.replace("(", " ").replace(")", " ").replace("-", " ").split())
    loads = [f"v{k} = x[port[o + {k}]]" for k in range(64) if f"v{k}" in tokens]
    loads += [f"p{j} = p[parameter[q + {j}]]" for j in range(64) if f"p{j}" in tokens]
    return loads + lines + write(names)


def _assembled(device: Device) -> list[str]:
    found = traced(device)
    count = len(found.contributions)

    def write(names: Sequence[str]) -> list[str]:
        stores = [f"residual[row[o + {k}]] += {names[k]}" for k in range(count)]
        return stores + [f"jacobian[place[s + {m}]] += {name}" for m, name in enumerate(names[count:])]

    return _body([*found.contributions, *(slope for _, _, slope in found.slopes)], write)


def _contributed(device: Device) -> list[str]:
    return _body(
        traced(device).contributions,
        lambda names: [f"flow[o + {k}] = {name}" for k, name in enumerate(names)],
    )


def _by_parameter(device: Device) -> list[str]:
    return _body(
        [slope for _, _, slope in traced(device).parameter_slopes],
        lambda names: [f"slope[g + {m}] = {name}" for m, name in enumerate(names)],
    )


def _cornered(device: Device) -> list[str]:
    return _body(
        traced(device).corners,
        lambda names: [f"corner[c + {k}] = {name}" for k, name in enumerate(names)],
    )


def corner_count(device: Device) -> int:
    """How many sharp bends a device declares."""
    return len(traced(device).corners)


def _ranged(device: Device) -> list[str]:
    return _body(
        traced(device).valid,
        lambda names: [line for name in names for line in (f"if {name} < least:", f"    least = {name}")],
    )


BOUND = (
    "device",
    "port_start",
    "parameter_start",
    "place_start",
    "parameter_slope_start",
    "corner_start",
    "port",
    "row",
    "parameter",
    "place",
)
"""Tables that a kernel takes hold of once: reaching into a tuple for an array costs more than the arithmetic."""


def _kernel(
    decorator: str, head: str, opening: Sequence[str], body: Callable[[Device], list[str]], closing: Sequence[str]
) -> str:
    lines = [decorator, head, *(f"    {name} = tables.{name}" for name in BOUND), *(f"    {line}" for line in opening)]
    lines += ["    for e in range(device.size):", "        o = port_start[e]"]
    lines += ["        q = parameter_start[e]", "        s = place_start[e]"]
    lines += ["        g = parameter_slope_start[e]", "        c = corner_start[e]"]
    lines += ["        number = device[e]"]
    word = "if"
    for number, device in enumerate(DEVICES):
        inside = body(device)
        if inside:
            lines.append(f"        {word} number == {number}:  # {device.name}")
            lines += [f"            {line}" for line in inside]
            word = "elif"
    return "\n".join([*lines, *(f"    {line}" for line in closing)])


def evaluation_kernels() -> str:
    """The text of the kernels that evaluate a network: balance and slopes, flows, parameter slopes, range."""
    return "\n\n\n".join(
        [
            _kernel(
                "@inlined",
                "def assemble(x, p, tables, residual, jacobian):",
                ["residual[:] = 0.0", "jacobian[:] = 0.0"],
                _assembled,
                [],
            ),
            _kernel("@compiled", "def evaluate_flows(x, p, tables, flow):", [], _contributed, []),
            _kernel("@compiled", "def evaluate_parameter_slopes(x, p, tables, slope):", [], _by_parameter, []),
            _kernel("@inlined", "def evaluate_corners(x, p, tables, corner):", [], _cornered, []),
            _kernel("@compiled", "def least_range(x, p, tables):", ["least = 1.0"], _ranged, ["return least"]),
        ]
    )
