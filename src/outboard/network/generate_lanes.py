"""Writes the evaluation kernels once more, for several lanes at a time: the same equations as vector instructions.

Arrays hold [number, lane] flat, parameters in the order of elements.  A device's port values are first taken together,
then computed in one loop over the lanes without a call or a branch, then handed out: that is the shape which compilers
turn into vector code.  `width` stays an argument: a loop of known length would be unrolled before it is vectorised.
"""

import re
from collections.abc import Callable, Sequence

from outboard.devices.catalogue import DEVICES
from outboard.devices.device import Device
from outboard.network.generate import traced
from outboard.network.tracer import Expression, straight_line

WIDTH = 8
"""Lanes that are solved together: one vector of the widest processors."""

FUNCTIONS = re.compile(r"\b(exp|log1p|log|tanh)\(")
BOUND = ("device", "port_start", "parameter_start", "place_start", "corner_start", "port", "row", "place")


def _computed(wanted: Sequence[Expression]) -> list[str]:
    """Computes the wanted expressions of all lanes from `taken` and the parameters into `given`."""
    lines, names = straight_line(wanted)
    text = "\n".join([*lines, *names])
    ports = sorted({int(found) for found in re.findall(r"\bv(\d+)\b", text)})
    numbers = sorted({int(found) for found in re.findall(r"\bp(\d+)\b", text)})
    loads = [f"v{k} = taken[U{WIDTH * k} + w]" for k in ports]
    loads += [f"p{j} = p[b + U{WIDTH * j} + w]" for j in numbers]
    stores = [f"given[U{WIDTH * m} + w] = {name}" for m, name in enumerate(names)]
    inside = [*loads, *(FUNCTIONS.sub(r"lane_\1(", line) for line in lines), *stores]
    return ["for w in range(width):", *(f"    {line}" for line in inside)]


def _assembled(device: Device) -> list[str]:
    found = traced(device)
    return _computed([*found.contributions, *(slope for _, _, slope in found.slopes)])


def _cornered(device: Device) -> list[str]:
    corners = traced(device).corners
    return _computed(corners) if corners else []


def _ranged(device: Device) -> list[str]:
    valid = traced(device).valid
    if not valid:
        return []
    lines = _computed(valid)
    for k in range(len(valid)):
        lines += ["for w in range(width):", f"    least[w] = min(least[w], given[U{WIDTH * k} + w])"]
    return lines


TAKING = """
    for e in range(device.size):
        ports = port_start[e + 1] - port_start[e]
        for j in range(ports):
            a = port[port_start[e] + j] * width
            for w in range(width):
                taken[j * U8 + w] = x[a + w]
        b = parameter_start[e] * width
        number = device[e]
"""
HANDING_OUT = """
        for j in range(ports):
            a = row[port_start[e] + j] * width
            for w in range(width):
                residual[a + w] += given[j * U8 + w]
        for j in range(place_start[e + 1] - place_start[e]):
            a = place[place_start[e] + j] * width
            for w in range(width):
                jacobian[a + w] += given[(ports + j) * U8 + w]
"""
HANDING_OUT_CORNERS = """
        for j in range(corner_start[e + 1] - corner_start[e]):
            a = (corner_start[e] + j) * width
            for w in range(width):
                corner[a + w] = given[j * U8 + w]
"""


def _kernel(head: str, opening: Sequence[str], body: Callable[[Device], list[str]], closing: str) -> str:
    lines = ["@compiled", head, *(f"    {name} = tables.{name}" for name in BOUND)]
    lines += [f"    {line}" for line in opening]
    lines.append(TAKING.strip("\n"))
    word = "if"
    for number, device in enumerate(DEVICES):
        inside = body(device)
        if inside:
            lines.append(f"        {word} number == {number}:  # {device.name}")
            lines += [f"            {line}" for line in inside]
            word = "elif"
    return "\n".join([*lines, closing.strip("\n")])


def lane_kernels() -> str:
    """The text of the kernels that evaluate a network for several lanes at a time."""
    kernels = [
        _kernel(
            "def assemble_lanes(x, p, tables, taken, given, residual, jacobian, width):",
            ["residual[:] = 0.0", "jacobian[:] = 0.0"],
            _assembled,
            HANDING_OUT,
        ),
        _kernel(
            "def evaluate_corners_lanes(x, p, tables, taken, given, corner, width):", [], _cornered, HANDING_OUT_CORNERS
        ),
        _kernel("def least_range_lanes(x, p, tables, taken, given, least, width):", ["least[:] = 1.0"], _ranged, ""),
    ]
    text = "\n\n\n".join(kernels)
    offsets = sorted({int(found) for found in re.findall(r"\bU(\d+)\b", text)})
    return "\n".join([*(f"U{offset} = np.uint64({offset})" for offset in offsets), "", "", text])
