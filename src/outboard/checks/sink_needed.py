"""The sink that is needed: the largest thermal resistance with which every junction keeps its limit in every corner.

Found with the solver, since currents follow temperatures: a bracket is closed over the worst lanes, then all corners
are tried with what was found; a corner that is worse there joins the lanes, and the search goes on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements.design import Design, DesignPart
from outboard.checks.check import AT_MOST, Check, Floats
from outboard.checks.hottest import Lanes, largest, least_margins
from outboard.checks.tally import Tally
from outboard.checks.verdict import corner_words
from outboard.checks.verification import Tried, moved, settled, steady_checks, tried
from outboard.constants import TOUCHABLE
from outboard.formulas import NoSolution, Worked
from outboard.formulas.thermal import shared_sink_resistance
from outboard.network.part import AMBIENT
from outboard.network.solution import Block
from outboard.parts import HeatSink, heat_sinks, sink_corrections
from outboard.parts.records import Origin

JUNCTION, AT_CASE = "junction temperature", "power at case temperature"
HEAT = (JUNCTION, AT_CASE)
"""Requirements that a sink must let every part keep."""

SINK = "temperature of "
TOUCH = Origin("default", "", "default: bare metal above 60 °C burns at a touch (common practice, no source)")

BEST, WORST = 1e-3, 100.0
"""Thermal resistances between which a sink is searched [K/W]: better than any, and about what a bare package has."""

AGAIN = 5
"""How often a corner that turns out worse may join the lanes."""

SLACK = 1e-3
"""A margin short by less than this share of the way from rest to limit is met: the search stops at nothing exactly."""

MANY = 3000
"""Combinations of tolerances up to which all are tried with the sink that was found; beyond, those near the worst."""


@dataclass(frozen=True, slots=True)
class Found:
    """A resistance [K/W] that just holds, and what would give way first beyond it; None where none holds.

    confirmed   which corners were tried with it and keep everything, in words; empty where one of them does not
    """

    resistance: float | None
    requirement: str = ""
    part: str = ""
    in_words: str = ""
    rise: float | None = None
    confirmed: str = ""


@dataclass(frozen=True, slots=True)
class SinkNeeded:
    """One sink: as written, as hot as it gets, as it must be at least.

    part       the thermal resistance, `node` what sits on it
    written    [K/W]; hottest [K]; heat_flow what it then carries [W]
    needed     the largest with which all keeps its limits; touchable: with which its metal stays below 60 °C
    hand       the formula for the part that asks for most, with the powers of its worst lane; else why it has no answer
    stock      the smallest sink of the catalogue that serves, with its resistance at this rise [K/W]
    """

    part: str
    node: str
    written: float
    hottest: float | None
    heat_flow: float | None
    hottest_in_words: str
    needed: Found
    touchable: Found
    hand: Worked | None
    hand_part: str
    hand_fails: str
    stock: HeatSink | None
    stock_resistance: float | None


def heat_checks(design: Design) -> Iterator[Check]:
    """Junctions and powers at the case, as the verification judges them."""
    yield from (check for check in steady_checks(design) if check.requirement in HEAT)


def sinks(design: Design) -> tuple[DesignPart, ...]:
    """Thermal resistances that lead to the surroundings."""
    return tuple(
        part for part in design.parts
        if part.part.kind == "thermal_resistance" and AMBIENT in part.part.pins.values()
    )  # fmt: skip


def node_of(sink: DesignPart) -> str:
    """The thermal node that a sink cools."""
    return next(node for node in sink.part.pins.values() if node != AMBIENT)


def sink_checks(design: Design) -> Iterator[Check]:
    """Whether each sink may be touched; no requirement, but worth knowing."""
    for sink in sinks(design):
        node = ("heat", node_of(sink))

        def temperature(block: Block, node: tuple[str, str] = node) -> Floats:
            return block.at(node)

        yield Check(SINK + sink.name, None, temperature, TOUCHABLE, AT_MOST, "K", TOUCH)


def sinks_needed(found: Tried, heat: Sequence[Tally], beside: Sequence[Tally]) -> Iterator[SinkNeeded]:
    """Every sink by itself, the others as they are written."""
    by_name = {tally.check.requirement: tally for tally in beside}
    for sink in sinks(found.setting.design):
        yield _needed(found, sink, heat, by_name[SINK + sink.name])


def _needed(found: Tried, sink: DesignPart, heat: Sequence[Tally], touch: Tally) -> SinkNeeded:
    written = sink.part.values["resistance"]
    needed = _searched(found, sink, heat)
    touchable = _searched(found, sink, [touch])
    worst, flow, words = touch.worst, None, ""
    if worst is not None:
        block = settled(found.setting, worst.corners, worst.load or 0.0)
        flow = float(abs(block.pin_current(sink.name, "a"))[0, 0])
        words = corner_words(worst, moved(found.setting, [touch], settled)[0])
    hand, hand_part, fails = _by_hand(found, sink, heat)
    stock, stock_resistance = _from_stock(needed)
    return SinkNeeded(
        sink.name, node_of(sink), written, None if worst is None else worst.value, flow, words, needed, touchable,
        hand, hand_part, fails, stock, stock_resistance,
    )  # fmt: skip


def _searched(found: Tried, sink: DesignPart, tallies: Sequence[Tally]) -> Found:
    """The largest resistance of a sink that keeps the checks of tallies in every corner."""
    checks = [tally.check for tally in tallies]
    lanes = Lanes.of(found.setting, tallies)
    if lanes is None:
        return Found(None)
    resistance, last, confirmed = None, tallies, ""
    for _ in range(AGAIN):
        resistance = largest(partial(_keeps, lanes, (sink.name, "resistance"), checks), BEST, WORST)
        if resistance is None or resistance == WORST:
            break
        last, which = _tried_with(found, sink, resistance, checks)
        if all(_holds(tally) for tally in last):
            confirmed = which
            break
        worse = Lanes.of(found.setting, [tally for tally in last if not _holds(tally)])
        lanes = lanes.and_also(worse)
    return replace(_what_gives_way(found, sink, resistance, last), confirmed=confirmed)


def _keeps(lanes: Lanes, address: tuple[str, str], checks: Sequence[Check], values: Floats) -> NDArray[np.bool_]:
    """Whether every lane keeps all checks, for each value of a number."""
    return least_margins(lanes.solved([address], values[:, None]), checks, len(values)) >= 0.0


def _holds(tally: Tally) -> bool:
    worst = tally.worst
    if worst is None:
        return True
    return not tally.unsolved and worst.margin >= -SLACK * abs(worst.limit - tally.check.rest)


def _tried_with(
    found: Tried, sink: DesignPart, resistance: float, checks: Sequence[Check]
) -> tuple[Sequence[Tally], str]:
    """All corners with a sink of another resistance; of very many the worst and all that differ from them on one axis.

    And which they are, in words.
    """
    other = replace(sink, part=replace(sink.part, values={**sink.part.values, "resistance": resistance}))
    design = found.setting.design
    parts = tuple(other if part.name == sink.name else part for part in design.parts)
    wanted = {check.requirement for check in checks}

    def only(design: Design) -> Iterator[Check]:
        yield from (check for check in (*heat_checks(design), *sink_checks(design)) if check.requirement in wanted)

    options = [sum(not option.second_look for option in axis.options) for axis in found.setting.axes]
    if np.prod(options) <= MANY:
        return tried(replace(design, parts=parts), only=only).steady, "every corner"
    near = _near_the_worst(found, options)
    tallies = tried(replace(design, parts=parts), only=only, choices=lambda axes: near).steady
    return tallies, "the worst corners and all that differ from them in one"


def _near_the_worst(found: Tried, options: Sequence[int]) -> NDArray[np.int8]:
    rows = {tuple(tally.worst.corners.choices[0].tolist()) for tally in found.steady if tally.worst is not None}
    beside = {(*row[:a], o, *row[a + 1 :]) for row in rows for a, count in enumerate(options) for o in range(count)}
    return np.array(sorted(rows | beside), dtype=np.int8)


def _what_gives_way(found: Tried, sink: DesignPart, resistance: float | None, last: Sequence[Tally]) -> Found:
    """The check with least left at the resistance that was found."""
    known = [tally for tally in last if tally.worst is not None]
    if not known:
        return Found(resistance)
    first = min(known, key=_left)
    worst = first.worst
    assert worst is not None
    words = corner_words(worst, moved(found.setting, [first], settled)[0])
    requirement = first.check.requirement
    rise = None
    if resistance is not None:
        lanes = Lanes.of(found.setting, [first])
        assert lanes is not None
        block = lanes.solved([(sink.name, "resistance")], np.array([[resistance]]))
        if block.is_solved.all():
            rise = float((block.at(("heat", node_of(sink))) - block.xs[:, :, -1])[0, 0])
    return Found(resistance, requirement, first.check.part or "", words, rise)


def _left(tally: Tally) -> float:
    """Margin as a share of the way from rest to limit; of a case so hot that nothing is allowed the margin itself."""
    worst = tally.worst
    assert worst is not None
    return worst.margin / (abs(worst.limit - tally.check.rest) or 1.0)


def _by_hand(found: Tried, sink: DesignPart, heat: Sequence[Tally]) -> tuple[Worked | None, str, str]:
    """The formula with the powers of each junction's worst lane; the part that asks for the best sink counts."""
    worked: list[tuple[Worked, str]] = []
    for tally in heat:
        if tally.check.requirement != JUNCTION or tally.worst is None:
            continue
        block = settled(found.setting, tally.worst.corners, tally.worst.load or 0.0)
        for name in tally.check.alike or (tally.check.part or "",):
            part = found.setting.design.part(name)
            rating, path = part.rating("R_thJC"), part.part.heat
            if rating is None or path is None or path.to != node_of(sink) or not block.is_solved.all():
                continue
            try:
                worked.append((shared_sink_resistance.evaluated(
                    junction_temperature=tally.worst.limit, ambient_temperature=float(block.xs[0, 0, -1]),
                    power=float(block.power(name)[0, 0]), junction_to_case=rating.value,
                    case_to_sink=path.resistance - rating.value,
                    all_power=float(abs(block.pin_current(sink.name, "a"))[0, 0]),
                ), name))  # fmt: skip
            except NoSolution as none:
                return None, name, str(none)
    if not worked:
        return None, "", "no part with a known R_thJC sits on it"
    best, name = min(worked, key=lambda pair: pair[0].value)
    return best, name, ""


def _from_stock(needed: Found) -> tuple[HeatSink | None, float | None]:
    """The largest resistance of the catalogue that still serves, at the rise that the sink then has."""
    if needed.resistance is None:
        return None, None
    factor = rise_factor(needed.rise)
    serving = [sink for sink in heat_sinks() if sink.resistance * factor <= needed.resistance]
    if not serving:
        return None, None
    best = max(serving, key=lambda sink: sink.resistance)
    return best, best.resistance * factor


def rise_factor(rise: float | None) -> float:
    """What a resistance printed for a rise of 75 K is multiplied by at another rise [1]; at the ends as printed there.

    A rise that is not known counts as the least.
    """
    rows = [row for row in sink_corrections()["rise_factor"] if row.typical is not None]
    points = sorted((row.conditions.temperature_rise or 0.0, row.typical or 1.0) for row in rows)
    rises, factors = zip(*points, strict=True)
    return float(np.interp(rises[0] if rise is None else rise, rises, factors))
