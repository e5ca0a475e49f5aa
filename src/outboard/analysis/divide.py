"""How the load current divides between regulator, driver and pass devices, from no load to overload.

At least, usual and most ambient temperature the load is raised from nothing to the end and taken back again; at some
loads the circuit is started anew, which it need not survive where it is led.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from outboard.analysis.conditions import INPUT_FIELD, LOAD_FIELD, settable
from outboard.analysis.curves import DOWN, UP, Curve, Device, Division, Floats, NoStart
from outboard.analysis.landmarks import PART, differences, events, handovers
from outboard.analysis.operating import operating_point
from outboard.arrangements.design import Design
from outboard.errors import RefusedNetwork
from outboard.network.circuit import AMBIENT_FIELD, Circuit, laid_out
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities import figures
from outboard.quantities.regulation import regulation
from outboard.span import Span

BEYOND = 1.6
"""Overload up to which the load is raised, as a multiple of the most that was promised."""

GLANCE = 40
"""Loads at which it is tried how far the load can be raised at all."""

COLLAPSED = 0.5
"""Share of the promised (else the usual) output below which it has collapsed."""

TAKES_CURRENT = {"resistance", "power", "lamp_power"}
"""What a load has that takes a current without drawing a given one; a battery is left as it is."""

STARTED_AT = (0.25, 0.5, 0.75, 1.0, 1.25)
"""Loads into which the circuit is started, as multiples of the most that was promised; besides least and usual."""


def division(design: Design, points: int = 120, input_voltage: float | None = None) -> Division:
    """The curves over the load, at the usual input voltage unless another is given [V], with the places on them.

    Raises RefusedNetwork when the parts make no solvable network, or have no load whose current can be set.
    """
    design = _with_current_load(design, input_voltage)
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual)
    settable(circuit, LOAD_FIELD)
    promised = _promised(design)
    words, corners = _corners(circuit, design, input_voltage)
    output = design.brief.output
    target, tolerance = (abs(output.voltage), output.tolerance) if output is not None else (None, None)
    end = _end(circuit, corners, promised, target)
    loads = np.unique([*(end * np.linspace(0.0, 1.0, points) ** 2), *(load for load in promised if load < end)])
    devices = tuple(
        Device(part.name, part.role, part.part.kind)
        for kind in ("regulator", "bipolar", "mosfet")
        for part in design.parts
        if part.part.kind == kind
    )
    there_and_back = Overrides.column(*LOAD_FIELD, np.concatenate([loads, loads[-2::-1]]))
    block = solved(circuit, corners, there_and_back)
    curves = tuple(
        _curve(block, row, word, direction, loads, devices) for row, word in words.items() for direction in (UP, DOWN)
    )
    ups = [curve for curve in curves if curve.direction == UP]
    return Division(
        devices=devices,
        promised=promised,
        target=target,
        tolerance=tolerance,
        curves=curves,
        handovers=tuple(found for curve in ups for found in handovers(curve, devices, promised.most)),
        events=tuple(found for curve in ups for found in events(curve, target, tolerance)),
        differs=tuple(
            found
            for up, down in zip(curves[::2], curves[1::2], strict=True)
            for found in differences(up, down, promised.most)
        ),
        no_start=tuple(_no_starts(circuit, corners, ups, promised)),
    )


def _with_current_load(design: Design, input_voltage: float | None) -> Design:
    """The design with a load that draws a current, as much as its load of another kind takes at the usual point."""
    load = next((part for part in design.parts if part.name == "load"), None)
    if load is None or load.part.kind != "load" or not TAKES_CURRENT & load.part.values.keys():
        return design
    taken = operating_point(design, input_voltage=input_voltage).conditions.load or 0.0
    drawing = replace(load, part=replace(load.part, values={"draws": max(0.0, taken)}))
    return replace(design, parts=tuple(drawing if part is load else part for part in design.parts))


def _promised(design: Design) -> Span:
    """The span of the load [A]; of a load that is only a part, nothing to what it draws."""
    explicit = any(entry.name == "load" for entry in design.brief.parts)
    if design.brief.output is not None and not explicit:
        promised = design.brief.output.load
    else:
        draws = design.part("load").part.values["draws"]
        promised = Span(0.0, draws, draws)
    if promised.most == 0.0:
        raise RefusedNetwork("load", "the load draws nothing, so there is nothing to divide", "a load", 'draws = "1 A"')
    return promised


def _corners(circuit: Circuit, design: Design, input_voltage: float | None) -> tuple[Mapping[int, str], Overrides]:
    """Cold, usual and hot: the rows by number with their words, and what they set."""
    ambient = design.brief.surroundings.ambient
    ambients = {"cold": ambient.least, "usual": ambient.usual, "hot": ambient.most}
    distinct = {word: value for word, value in ambients.items() if word == "usual" or value != ambient.usual}
    fields = [AMBIENT_FIELD]
    columns = [np.array(list(distinct.values()))]
    if input_voltage is not None:
        fields.append(settable(circuit, INPUT_FIELD))
        columns.append(np.full(len(distinct), input_voltage))
    return dict(enumerate(distinct)), Overrides(tuple(fields), np.column_stack(columns))


def _end(circuit: Circuit, corners: Overrides, promised: Span, target: float | None) -> float:
    """The load [A] up to which it is worth looking: overload, or a little beyond the last collapse."""
    farthest = BEYOND * promised.most
    loads = farthest * np.linspace(0.0, 1.0, GLANCE)
    block = solved(circuit, corners, Overrides.column(*LOAD_FIELD, loads))
    output = np.where(block.is_solved, _output(block), 0.0)
    usual = np.median(output, axis=1, keepdims=True) if target is None else target
    gone = output < COLLAPSED * usual
    if not gone.any(axis=1).all():
        return farthest
    last = loads[np.argmax(gone, axis=1)].max()
    return float(min(farthest, max(1.05 * promised.most, 1.1 * last)))


def _output(block: Block) -> Floats:
    """Size of the voltage at the load [V]."""
    return np.abs(block.pin_voltage("load", "plus") - block.pin_voltage("load", "minus"))


def _curve(block: Block, row: int, condition: str, direction: str, loads: Floats, devices: tuple[Device, ...]) -> Curve:
    """One row of the block on the way up, or on the way down turned round so that its load rises."""
    count = len(loads)
    way = slice(0, count) if direction == UP else slice(2 * count - 2, count - 2 if count > 1 else None, -1)

    def along(figure: Floats) -> Floats:
        return np.asarray(figure[row, way])

    regulators = {device.name: regulation(block, device.name) for device in devices if device.kind == "regulator"}
    source = float(block.number(*INPUT_FIELD).flat[-1]) if INPUT_FIELD in block.circuit.slots else None
    return Curve(
        condition=condition,
        direction=direction,
        input_voltage=source,
        ambient=float(block.xs[row, 0, -1]),
        load=loads,
        outcomes=block.outcomes[row, way],
        output=along(_output(block)),
        currents={device.name: along(_carried(block, device)) for device in devices},
        powers={device.name: along(block.power(device.name)) for device in devices},
        junctions={device.name: along(block.junction_temperature(device.name)) for device in devices},
        limiting={name: np.asarray(state.limiting[row, way]) for name, state in regulators.items()},
        dropped_out={name: np.asarray(state.dropped_out[row, way]) for name, state in regulators.items()},
    )


def _carried(block: Block, device: Device) -> Floats:
    if device.kind == "regulator":
        return figures.regulator_current(block, device.name)
    if device.kind == "mosfet":
        return figures.drain_current(block, device.name)
    return figures.collector_current(block, device.name)


def _no_starts(circuit: Circuit, corners: Overrides, ups: list[Curve], promised: Span) -> Iterator[NoStart]:
    """Loads that the circuit carries when they rise slowly, and does not start into."""
    last = float(ups[0].load[-1])
    wanted = {promised.least, promised.usual, *(share * promised.most for share in STARTED_AT)}
    loads = np.array(sorted(load for load in wanted if 0.0 < load <= last))
    block = solved(circuit, corners, Overrides.column(*LOAD_FIELD, loads), raise_each=True)
    outputs = _output(block)
    for row, up in enumerate(ups):
        for point, load in enumerate(loads):
            there = int(np.argmin(np.abs(up.load - load)))
            followed = float(np.interp(load, up.load, up.output)) if up.solved[there] else None
            started = float(outputs[row, point]) if block.is_solved[row, point] else None
            if followed is not None and (started is None or started < (1.0 - 5.0 * PART) * followed):
                yield NoStart(up.condition, float(load), followed, started)
