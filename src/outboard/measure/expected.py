"""What a meter should read: voltages at three loads, of the usual unit and of the extremes of its tolerances.

Input and ambient stand at their usual values, as on a bench; every combination of the ends of the tolerances is solved
there, so that what lies outside the span is a fault and no spread.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements.design import Design, DesignPart
from outboard.cases.alike import counterparts
from outboard.cases.corners import every_choice
from outboard.checks.setting import Setting, at_work, setting_of
from outboard.network.part import GROUND
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.span import Span

Floats = NDArray[np.float64]

PIECE = 384
"""Corners solved at a time."""

NAMED = {"bipolar": ("base", "emitter"), "mosfet": ("gate", "source"), "resistor": ("a", "b")}
"""Between which pins a meter tells most about a part."""


@dataclass(frozen=True, slots=True)
class Expected:
    """One place of the meter's leads, and its reading at each load [V]; None where not every unit has a point.

    plus, minus   nets; `across` is the part between them, "" for a net against ground
    """

    plus: str
    minus: str
    across: str
    readings: tuple[Span | None, ...]


@dataclass(frozen=True, slots=True)
class TestReadings:
    """Loads [A], and every reading at them; at which input [V] and ambient [K]."""

    loads: tuple[float, ...]
    input_voltage: float | None
    ambient: float
    readings: tuple[Expected, ...]


def expected_readings(design: Design) -> TestReadings:
    """Readings at no, half and full load; of a design without a promised load at its one point.

    Raises RefusedNetwork when the parts make no solvable network.
    """
    setting = setting_of(at_work(design), 2)
    least, most = float(setting.loads[0]), float(setting.loads[-1])
    loads = np.unique([least, 0.5 * (least + most), most]) if setting.load_fields else np.zeros(1)
    source, ambient = design.brief.input, design.brief.surroundings.ambient.usual
    usual_input = source.voltage.usual if source is not None else setting.inputs[0]
    corners = setting.corners(every_choice(setting.axes), [(usual_input, ambient)])
    places = tuple(_places(design, setting))
    least_of: dict[tuple[str, str], Floats] = {}
    most_of: dict[tuple[str, str], Floats] = {}
    usual_of: dict[tuple[str, str], Floats] = {}
    whole = np.ones(len(loads), dtype=np.bool_)
    for piece in corners.pieces(PIECE):
        block = solved(setting.circuit, piece.overrides, setting.sweep(loads))
        whole &= block.is_solved.all(axis=0)
        for plus, minus, _ in places:
            read = _voltage(block, plus) - _voltage(block, minus)
            usual_of.setdefault((plus, minus), read[0])  # the first corner is the usual unit
            least_of[plus, minus] = np.minimum(least_of.get((plus, minus), np.inf), read.min(axis=0))
            most_of[plus, minus] = np.maximum(most_of.get((plus, minus), -np.inf), read.max(axis=0))
    _join_counterparts(design, places, least_of, most_of)
    spans = {at: _spans(least_of[at], usual_of[at], most_of[at], whole) for at in usual_of}
    readings = tuple(_right_way_round(Expected(plus, minus, part, spans[plus, minus])) for plus, minus, part in places)
    return TestReadings(tuple(map(float, loads)), usual_input if setting.input else None, ambient, readings)


Extremes = dict[tuple[str, str], Floats]
"""A voltage at each load [V], by the nets that the meter's leads stand on, plus and minus."""


def _join_counterparts(
    design: Design, places: tuple[tuple[str, str, str], ...], least_of: Extremes, most_of: Extremes
) -> None:
    """Each device in parallel may be the one that stands apart: readings at counterparts get one span, the widest."""
    firsts = counterparts(design.parts)
    groups: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for plus, minus, part in places:
        groups.setdefault(tuple(firsts.get(name, name) for name in (plus, minus, part)), []).append((plus, minus))
    for group in groups.values():
        least = np.min([least_of[at] for at in group], axis=0)
        most = np.max([most_of[at] for at in group], axis=0)
        least_of |= dict.fromkeys(group, least)
        most_of |= dict.fromkeys(group, most)


def _right_way_round(reading: Expected) -> Expected:
    """Leads across a part so that its usual reading under load is no negative one."""
    last = reading.readings[-1]
    if not reading.across or last is None or last.usual >= 0.0:
        return reading
    turned = tuple(span and Span(-span.most, -span.usual, -span.least) for span in reading.readings)
    return Expected(reading.minus, reading.plus, reading.across, turned)


def _spans(least: Floats, usual: Floats, most: Floats, whole: NDArray[np.bool_]) -> tuple[Span | None, ...]:
    return tuple(
        Span(float(low), float(min(max(middle, low), high)), float(high)) if sound else None
        for low, middle, high, sound in zip(least, usual, most, whole, strict=True)
    )


def _voltage(block: Block, net: str) -> Floats:
    return np.zeros(block.outcomes.shape) if net == GROUND else block.net_voltage(net)


def _places(design: Design, setting: Setting) -> Iterator[tuple[str, str, str]]:
    """Every net against ground, then across what tells of a part; of parts between the same nets the first."""
    known = [node[1] for node in setting.circuit.index if node[0] == "net"]
    nets = dict.fromkeys(net for part in design.parts for net in _electrical_pins(part).values())
    yield from ((net, GROUND, "") for net in nets if net != GROUND and net in known)
    seen: set[frozenset[str]] = set()
    for part in design.parts:
        if part.part.kind in NAMED and part.role not in ("input", "load"):
            plus, minus = (part.part.pins[pin] for pin in NAMED[part.part.kind])
            if part.part.polarity in ("pnp", "p-channel"):
                plus, minus = minus, plus
            between = frozenset((plus, minus))
            if GROUND not in between and len(between) == 2 and between not in seen:
                seen.add(between)
                yield plus, minus, part.name


def _electrical_pins(part: DesignPart) -> Mapping[str, str]:
    return {} if part.part.kind.startswith("thermal") else part.part.pins
