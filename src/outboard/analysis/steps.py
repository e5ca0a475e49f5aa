"""What the output does when load or input step, at start-up and at switch-off, and what the devices bear meanwhile.

Every step begins at a point at rest, with usual devices at usual ambient. Temperatures stay as they are at its
beginning: all is over long before a junction follows.
"""

from collections.abc import Callable

import numpy as np

from outboard.analysis.moving_design import MovingDesign
from outboard.analysis.response import Mode
from outboard.analysis.step import (
    INPUT_FALLS,
    INPUT_RISES,
    LOAD_FALLS,
    LOAD_RISES,
    OFF,
    START,
    Change,
    NoStep,
    Step,
    Steps,
)
from outboard.network.moving import (
    Drives,
    Floats,
    MovingCircuit,
    NoPoint,
    at_rest,
    moving_circuit,
    temperatures_of,
    traced,
)
from outboard.network.outcome import SOLVED
from outboard.network.outcome import WORDS as OUTCOMES
from outboard.network.part import GROUND
from outboard.network.small_signal import natural_frequencies
from outboard.network.solution import Block
from outboard.network.transient import SWINGS_ON, Course, course

DYING = 8.0
"""Time constants of the slowest natural frequency that a step is followed."""

SHORTEST, LONGEST, EDGES = 20e-6, 0.5, 3.0
"""A step is followed so long at least and at most [s], and so many times its own edge."""

RESTING, SEEN, FURTHER = 0.02, 1e-3, 4.0
"""Followed on, so many times longer, while the output is off by more than this share of its greatest deviation, and by
more than a meter sees [V]."""

SPOKEN = {"bipolar": "collector", "mosfet": "drain", "regulator": "out", "diode": "anode"}
"""The pin whose current is meant by a device's current."""

BEFORE = 0.02
"""Share of the whole that lies before the step."""

def changes(moving: MovingDesign) -> tuple[Change, ...]:
    """What is tried: full steps of load and input, the other as usual; on into the most load, off with the least."""
    low, usual, high = moving.inputs
    least, middle, most = moving.loads
    times = moving.design.brief.dynamics
    found = (
        Change(LOAD_RISES, (usual, usual), (least, most), times.load_edge),
        Change(LOAD_FALLS, (usual, usual), (most, least), times.load_edge),
        Change(INPUT_RISES, (low, high), (middle, middle), times.line_edge),
        Change(INPUT_FALLS, (high, low), (middle, middle), times.line_edge),
        Change(START, (0.0, usual), (most, most), times.rise),
        Change(OFF, (usual, 0.0), (least, least), times.fall),  # what the output holds then has nowhere else to go
    )
    return tuple(one for one in found if one.is_line or one.loads[0] != one.loads[1])


def steps(moving: MovingDesign, swings: bool = False) -> Steps:
    """Every change at usual bandwidth, load steps at its other ends too.

    A circuit that `swings` by itself at usual bandwidth is not followed through start-up and switch-off.
    """
    found: list[Step] = []
    failed: list[NoStep] = []
    for end in sorted(moving.bandwidth, key=lambda word: word != "usual"):
        for change in changes(moving):
            if end != "usual" and change.name not in (LOAD_RISES, LOAD_FALLS):
                continue
            if swings and change.name in (START, OFF):
                failed.append(NoStep(change, end, "the circuit swings by itself"))
                continue
            try:
                found.append(stepped(moving, change, end))
            except NoPoint as reason:
                failed.append(NoStep(change, end, str(reason)))
    return Steps(moving, tuple(found), tuple(failed))


def stepped(moving: MovingDesign, change: Change, end: str) -> Step:
    """One change followed; NoPoint when there is no point at rest to begin from."""
    before, after = moving.before_and_after(change.inputs, change.loads)
    if before.outcomes[0, 0] != SOLVED:
        raise NoPoint(f"before it: {OUTCOMES[int(before.outcomes[0, 0])]}")
    circuit = moving_circuit(moving.at_bandwidth(end), temperatures_of(before))
    rests = [_at_rest(circuit, block, change, row) for row, block in enumerate((before, after))]
    if rests[0] is None:
        raise NoPoint("before it nothing settles")
    long = _long(circuit, change, rests)
    start = BEFORE * long
    drives: dict[tuple[str, str], Callable[[float], float]] = {
        ("input", "voltage"): _ramp(*change.inputs, start, change.edge),
        ("load", "draws"): _ramp(*change.loads, start, change.edge),
    }
    way = _followed(circuit, rests, drives, start, change.edge, long, moving.output)
    return _read(moving, circuit, drives, way, start, change, end)


def _at_rest(circuit: MovingCircuit, block: Block, change: Change, row: int) -> Floats | None:
    """The point before or after a change, at the temperatures before it; None where nothing settles."""
    if block.outcomes[0, 0] != SOLVED:
        return None
    try:
        return at_rest(circuit, block, _still(change, row))
    except NoPoint:
        return None


def _still(change: Change, row: int) -> Drives:
    """Input and load before or after a change."""
    return {("input", "voltage"): lambda _: change.inputs[row], ("load", "draws"): lambda _: change.loads[row]}


def _followed(
    circuit: MovingCircuit, rests: list[Floats | None], drives: Drives, start: float, edge: float, long: float,
    output: tuple[str, str],
) -> Course:  # fmt: skip
    """The way until the output rests where it should, as far as LONGEST."""
    before, after = rests
    assert before is not None
    end = start + long
    way = course(circuit, before, drives, end, (start, start + edge))
    rests_there = after is not None and not _grows(circuit, after, drives, end)
    if after is not None and not rests_there and not way.broken:
        return Course(way.times, way.xs, SWINGS_ON)
    while rests_there and not way.broken and end < LONGEST:
        seen = across(circuit, way.xs, output)
        assert after is not None
        aim = across(circuit, after[None, :], output)[0]
        if abs(seen[-1] - aim) <= max(RESTING * np.abs(seen - aim).max(), SEEN):
            break
        begin, end = end, min(LONGEST, FURTHER * end)
        more = course(circuit, way.xs[-1], drives, end, (), begin=begin)
        way = Course(np.concatenate([way.times, more.times[1:]]), np.concatenate([way.xs, more.xs[1:]]), more.broken)
    return way


def _grows(circuit: MovingCircuit, x: Floats, drives: Drives, time: float) -> bool:
    """Whether a point at rest would leave itself; then nothing settles there."""
    point = circuit.evaluation(x, circuit.numbers(drives, time))
    return any(Mode(complex(s)).grows for s in natural_frequencies(point.by_f, point.by_q))


def across(circuit: MovingCircuit, xs: Floats, nets: tuple[str, str]) -> Floats:
    """Voltage between two nets at every time, in the direction of what is promised [V]."""
    plus, minus = (circuit.place(net) for net in nets)
    sides = [xs[:, place] if place is not None else np.zeros(len(xs)) for place in (plus, minus)]
    return np.asarray(sides[0] - sides[1])


def _ramp(first: float, last: float, start: float, edge: float) -> Callable[[float], float]:
    return lambda time: first + (last - first) * min(1.0, max(0.0, (time - start) / edge))


def _long(circuit: MovingCircuit, change: Change, rests: list[Floats | None]) -> float:
    """How long to follow at first: until the slowest natural frequency at either end has died out."""
    slowest = 0.0
    for row, x in enumerate(rests):
        if x is not None:
            point = circuit.evaluation(x, circuit.numbers(_still(change, row), 0.0))
            rates = np.abs(natural_frequencies(point.by_f, point.by_q).real)
            slowest = max(slowest, 1.0 / max(float(rates.min(initial=np.inf)), 1.0 / LONGEST))
    return min(LONGEST, max(SHORTEST, EDGES * change.edge, DYING * slowest))


def _read(
    moving: MovingDesign, circuit: MovingCircuit, drives: Drives, way: Course, start: float, change: Change, end: str
) -> Step:
    """The way as what meters would show."""
    nets = {node[1]: way.xs[:, place] for node, place in circuit.index.items()
            if node[0] == "net" and place < circuit.size}  # fmt: skip
    nets[GROUND] = np.zeros(len(way.times))
    pins = _pin_currents(circuit, drives, way)
    currents = {"load": np.abs(pins["load", "plus"])}
    for part in circuit.parts:
        pin = SPOKEN.get(part.kind)
        if pin is not None:
            currents[part.name] = np.abs(pins[part.name, pin])
    source = np.array([drives["input", "voltage"](time) for time in way.times])
    return Step(change, end, way.times - start, across(circuit, way.xs, moving.output), currents, pins, nets, source,
                way.broken)  # fmt: skip


def _pin_currents(circuit: MovingCircuit, drives: Drives, way: Course) -> dict[tuple[str, str], Floats]:
    """Current into every pin, d(charge)/dt included; pins of a part on one net share what they carry together."""
    flows: dict[tuple[str, str], Floats] = {}
    stored: dict[tuple[str, str], Floats] = {}
    wanted = {(part.name, net): pin for part in circuit.parts for pin, net in part.pins.items()}
    for key in [(name, pin) for (name, _), pin in wanted.items()]:
        flows[key], stored[key] = np.zeros(len(way.times)), np.zeros(len(way.times))
    for k, (time, x) in enumerate(zip(way.times.tolist(), way.xs, strict=True)):
        for piece, found in zip(circuit.pieces, circuit.flows(x, circuit.numbers(drives, time)), strict=True):
            moves = traced(piece.device).moves
            for place, port in enumerate(moves):
                node = piece.nodes[port]
                pin = wanted.get((piece.part, node[1])) if node[0] == "net" else None
                if pin is not None:
                    flows[piece.part, pin][k] += found[place]
                    stored[piece.part, pin][k] += found[len(moves) + place]
    return {key: flow + _rate(stored[key], way.times) for key, flow in flows.items()}


def _rate(stored: Floats, times: Floats) -> Floats:
    """d(charge)/dt between neighbouring times [A]."""
    return np.asarray(np.gradient(stored, times)) if len(times) > 2 and stored.any() else np.zeros(len(times))
