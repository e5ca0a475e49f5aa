"""Writes the evaluation kernels once more, for vectors of lanes: the same equations on eight numbers at a time.

Arrays hold [number, lane] flat, parameters in the order of elements.  What a device gives is added where it belongs
as soon as it is computed: nothing but registers lies between.
"""

import re
from collections.abc import Callable, Sequence

from outboard.devices.catalogue import DEVICES
from outboard.devices.device import Device
from outboard.network.generate import traced
from outboard.network.tables import WIDTH
from outboard.network.tracer import WRITTEN_FOR_LANES, Expression, straight_line

BOUND = ("device", "port_start", "parameter_start", "place_start", "corner_start", "port", "row", "place")


def _computed(wanted: Sequence[Expression], used: Callable[[int, str], list[str]]) -> list[str]:
    """Computes the wanted expressions of one element in all lanes, and what is done with number m of them."""
    lines, names = straight_line(wanted, WRITTEN_FOR_LANES)
    text = "\n".join([*lines, *names])
    ports = sorted({int(found) for found in re.findall(r"\bv(\d+)\b", text)})
    numbers = sorted({int(found) for found in re.findall(r"\bp(\d+)\b", text)})
    loads = [f"v{k} = load(x, port[first + U{k}] * LANES)" for k in ports]
    loads += [f"p{j} = load(p, b + U{WIDTH * j})" for j in numbers]
    given = [f"spread({name})" if re.fullmatch(r"-?[0-9.e+-]+|inf", name) else name for name in names]
    return [*loads, *lines, *(line for m, name in enumerate(given) for line in used(m, name))]


def _added(array: str, place: str, value: str) -> list[str]:
    return [f"a = {place} * LANES", f"store({array}, a, load({array}, a) + {value})"]


def _assembled(device: Device) -> list[str]:
    found = traced(device)
    rows = len(found.contributions)

    def used(m: int, value: str) -> list[str]:
        if m < rows:
            return _added("residual", f"row[first + U{m}]", value)
        return _added("jacobian", f"place[places + U{m - rows}]", value)

    return _computed([*found.contributions, *(slope for _, _, slope in found.slopes)], used)


def _cornered(device: Device) -> list[str]:
    corners = traced(device).corners
    put = [f"store(corner, (corner_start[e] + U{m}) * LANES, {{}})" for m in range(len(corners))]
    return _computed(corners, lambda m, value: [put[m].format(value)]) if corners else []


def _ranged(device: Device) -> list[str]:
    valid = traced(device).valid
    return _computed(valid, lambda m, value: [f"lowest = smaller(lowest, {value})"]) if valid else []


WALKING = """
    for e in range(np.uint64(device.size)):
        first, places, b = port_start[e], place_start[e], parameter_start[e] * LANES
        number = device[e]
"""


def _kernel(head: str, opening: Sequence[str], body: Callable[[Device], list[str]], closing: str) -> str:
    lines = ["@compiled", head, *(f"    {name} = tables.{name}" for name in BOUND)]
    lines += [f"    {line}" for line in opening]
    lines.append(WALKING.strip("\n"))
    word = "if"
    for number, device in enumerate(DEVICES):
        inside = body(device)
        if inside:
            lines.append(f"        {word} number == {number}:  # {device.name}")
            lines += [f"            {line}" for line in inside]
            word = "elif"
    return "\n".join([*lines, closing.strip("\n")])


CLEARED = [
    f"for a in range(np.uint64(0), np.uint64({array}.size), LANES):\n        store({array}, a, spread(0.0))"
    for array in ("residual", "jacobian")
]


def lane_kernels() -> str:
    """The text of the kernels that evaluate a network for several lanes at a time."""
    kernels = [
        _kernel("def assemble_lanes(x, p, tables, residual, jacobian):", CLEARED, _assembled, ""),
        _kernel("def evaluate_corners_lanes(x, p, tables, corner):", [], _cornered, ""),
        _kernel("def least_range_lanes(x, p, tables):", ["lowest = spread(1.0)"], _ranged, "    return lowest"),
    ]
    text = "\n\n\n".join(kernels)
    offsets = sorted({int(found) for found in re.findall(r"\bU(\d+)\b", text)})
    constants = [*(f"U{offset} = np.uint64({offset})" for offset in offsets), f"LANES = np.uint64({WIDTH})"]
    return "\n".join([*constants, "", "", text])
