"""The words on the picture of a division: who starts where, what was promised, how to read it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from outboard.analysis.curves import Division
from outboard.analysis.landmarks import NO_POINT
from outboard.constants import ZERO_CELSIUS
from outboard.quantity import CURRENT, VOLTAGE, shown
from outboard.quantity.showing import MINUS
from outboard.span import Span

TOGETHER = 0.02
"""Devices that start within this share of the load start together, to the eye."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A load [A] with words; `cold_to_hot` are the least and the largest load at which it happens."""

    load: float
    words: str
    cold_to_hot: tuple[float, float]


def amperes(current: float) -> str:
    """A load as short as it can be said: “5 A”, “257 mA”."""
    return shown(current, CURRENT, zeros=False)


def degrees(temperature: float) -> str:
    """A temperature [K] in whole °C."""
    return f"{temperature - ZERO_CELSIUS:.0f} °C".replace("-", MINUS).replace(f"{MINUS}0 ", "0 ")


def names(devices: Sequence[str]) -> str:
    """Names of devices that follow each other: “Q2”, “Q2, Q3”, “Q2–Q9”."""
    return ", ".join(devices) if len(devices) < 3 else f"{devices[0]}–{devices[-1]}"


def lead(division: Division) -> str:
    """Under which conditions: “18 V in, ambient −10 °C (cold), 15 °C (usual), 40 °C (hot)”."""
    curves = [division.curve(word) for word in division.conditions]
    around = ", ".join(f"{degrees(curve.ambient)} ({curve.condition})" for curve in curves)
    if len(curves) == 1:
        around = degrees(curves[0].ambient)
    source = curves[0].input_voltage
    return f"ambient {around}" if source is None else f"{shown(source, VOLTAGE, zeros=False)} in, ambient {around}"


def promise(promised: Span) -> str:
    """What load was promised."""
    if promised.least == promised.most:
        return f"promised: {amperes(promised.most)}"
    usually = "" if promised.usual in (promised.least, promised.most) else f", usually {amperes(promised.usual)}"
    return f"promised: {amperes(promised.least)} to {amperes(promised.most)}{usually}"


def caption(division: Division) -> str:
    """How to read lines and scales."""
    words = division.conditions
    lines = "Lines: at usual ambient."
    if len(words) > 1:
        lines = f"Lines: at usual ambient; bands, and short rules on top: from {words[0]} to {words[-1]}."
    down = " Dotted: while the load falls, where that differs." if division.differs else ""
    scales = "Load, current and heat are on √\N{NO-BREAK SPACE}scales, where a steady share is a straight line."
    return f"{lines}{down} {scales}"


def marks(division: Division) -> list[Mark]:
    """What happens at which load, in the order of the load."""
    full = division.promised.most
    found = [*_starts(division), Mark(full, f"full load, {amperes(full)}", (full, full))]
    found += [*_events(division), *_everywhere(division)]
    return sorted(found, key=lambda mark: mark.load)


def _starts(division: Division) -> Iterator[Mark]:
    """Where transistors take over at usual conditions, those that start together in one."""
    starts: dict[str, list[float]] = {}
    for place in division.handovers:
        if place.load is not None:
            starts.setdefault(place.part, []).append(place.load)
    usual = [(p.load, p.part) for p in division.handovers if p.condition == "usual" and p.load]
    groups: list[list[tuple[float, str]]] = []
    for load, part in sorted(usual, key=lambda start: start[0]):
        if groups and load <= (1.0 + TOGETHER) * groups[-1][0][0]:
            groups[-1].append((load, part))
        else:
            groups.append([(load, part)])
    for group in groups:
        loads = [load for _, part in group for load in starts[part]]
        verb = "starts" if len(group) == 1 else "start"
        words = f"{names([part for _, part in group])} {verb}, {amperes(group[0][0])}"
        yield Mark(group[0][0], words, (min(loads), max(loads)))


def _events(division: Division) -> Iterator[Mark]:
    """Where at usual conditions a regulator gives up or the output is off, each once: where it first does."""
    last = float(division.curve("usual").load[-1])
    told = set()
    for event in division.events:
        if event.condition == "usual" and event.what != NO_POINT and (event.what, event.part) not in told:
            told.add((event.what, event.part))
            subject = f"{event.part} {event.what}" if event.part else event.what
            words = f"{subject} {_stretch(event.least, event.most, last)}"
            yield Mark(event.least, words, (event.least, event.least))


def _everywhere(division: Division) -> Iterator[Mark]:
    """Where there is no operating point, or two ways part, under any condition."""
    found: list[tuple[str, float, str]] = []
    for event in division.events:
        if event.what == NO_POINT:
            found.append(_no_point(division, event.condition, event.least, event.most))
    for place in division.differs:
        stretch = _stretch(place.least, place.most, float(division.curves[0].load[-1]))
        found.append((f"the way down differs {stretch}", place.least, place.condition))
    for words, group in groupby(sorted(found), key=lambda item: item[0]):
        members = list(group)
        conditions = [condition for _, _, condition in members]
        prefix = "" if set(conditions) == set(division.conditions) else f"{', '.join(conditions)}: "
        yield Mark(members[0][1], prefix + words, (members[0][1], members[0][1]))


def _no_point(division: Division, condition: str, least: float, most: float) -> tuple[str, float, str]:
    """Words, the last load that still has a point, and the condition."""
    curve = division.curve(condition)
    carried = curve.load[curve.solved & (curve.load < least)]
    if not len(carried):
        return f"no operating point up to {amperes(most)}", 0.0, condition
    edge = float(carried[-1])
    if most >= curve.load[-1]:
        return f"no operating point beyond {amperes(edge)}", edge, condition
    return f"no operating point from {amperes(edge)} to {amperes(most)}", edge, condition


def _stretch(least: float, most: float, last: float) -> str:
    if most >= last:
        return f"from {amperes(least)} on"
    return f"at {amperes(least)}" if most == least else f"from {amperes(least)} to {amperes(most)}"
