"""Writes the evaluation kernels once more, for several lanes at a time: the same equations over lane numbers.

Arrays hold [number, lane] flat, parameters in the order of elements, so that a lane's are beside its neighbours'.
"""

import re
from collections.abc import Callable, Sequence

from outboard.devices.catalogue import DEVICES
from outboard.devices.device import Device
from outboard.network.generate import traced
from outboard.network.tracer import WRITTEN, Expression, straight_line

IN_LANES = {
    **WRITTEN,
    **{name: f"lane_{name}({{0}})" for name in ("exp", "log", "log1p", "sqrt", "tanh")},
    "choose": "choose({0}, {1}, {2})",
}
BOUND = ("device", "port_start", "parameter_start", "place_start", "corner_start", "port", "row", "place")

Write = Callable[[Sequence[str]], list[str]]


def _body(wanted: Sequence[Expression], write: Write) -> list[str]:
    """Loads, assignments and stores of one device in one kernel."""
    if not wanted:
        return []
    lines, names = straight_line(wanted, IN_LANES)
    text = "\n".join([*lines, *names])
    ports = sorted({int(found) for found in re.findall(r"\bv(\d+)\b", text)})
    numbers = sorted({int(found) for found in re.findall(r"\bp(\d+)\b", text)})
    loads = [f"v{k} = lane(x, port[o + U{k}])" for k in ports]
    loads += [f"p{j} = lane(p, q + U{j})" for j in numbers]
    return loads + lines + write(names)


def _assembled(device: Device) -> list[str]:
    found = traced(device)
    count = len(found.contributions)

    def write(names: Sequence[str]) -> list[str]:
        lines = []
        for k, name in enumerate(names):
            array, place = ("residual", f"row[o + U{k}]") if k < count else ("jacobian", f"place[s + U{k - count}]")
            lines += [f"a = {place}", f"put({array}, a, lane({array}, a) + {name})"]
        return lines

    return _body([*found.contributions, *(slope for _, _, slope in found.slopes)], write)


def _contributed(device: Device) -> list[str]:
    return _body(
        traced(device).contributions, lambda names: [f"put(flow, o + U{k}, {name})" for k, name in enumerate(names)]
    )


def _cornered(device: Device) -> list[str]:
    return _body(
        traced(device).corners, lambda names: [f"put(corner, c + U{k}, {name})" for k, name in enumerate(names)]
    )


def _ranged(device: Device) -> list[str]:
    return _body(
        traced(device).valid, lambda names: [f"least = choose({name} < least, {name}, least)" for name in names]
    )


def _kernel(head: str, opening: Sequence[str], body: Callable[[Device], list[str]], closing: Sequence[str]) -> str:
    lines = ["@compiled", head, *(f"    {name} = tables.{name}" for name in BOUND)]
    lines += [f"    {line}" for line in opening]
    lines += ["    for e in range(device.size):"]
    starts = (("o", "port_start"), ("q", "parameter_start"), ("s", "place_start"), ("c", "corner_start"))
    lines += [f"        {short} = np.uint64({name}[e])" for short, name in starts]
    lines += ["        number = device[e]"]
    word = "if"
    for number, device in enumerate(DEVICES):
        inside = body(device)
        if inside:
            lines.append(f"        {word} number == {number}:  # {device.name}")
            lines += [f"            {line}" for line in inside]
            word = "elif"
    return "\n".join([*lines, *(f"    {line}" for line in closing)])


def lane_kernels() -> str:
    """The text of the kernels that evaluate a network for several lanes at a time."""
    kernels = [
        _kernel(
            "def assemble_lanes(x, p, tables, residual, jacobian):",
            ["residual[:] = 0.0", "jacobian[:] = 0.0"],
            _assembled,
            [],
        ),
        _kernel("def evaluate_flows_lanes(x, p, tables, flow):", [], _contributed, []),
        _kernel("def evaluate_corners_lanes(x, p, tables, corner):", [], _cornered, []),
        _kernel("def least_range_lanes(x, p, tables):", ["least = every(1.0)"], _ranged, ["return least"]),
    ]
    text = "\n\n\n".join(kernels)
    offsets = sorted({int(found) for found in re.findall(r"\bU(\d+)\b", text)})
    return "\n".join([*(f"U{offset} = np.uint64({offset})" for offset in offsets), "", "", text])
