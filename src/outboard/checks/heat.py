"""How hot it gets and what that leaves: junctions, safe areas, the sinks that are needed, how far it is to a runaway.

The lanes are those of the verification: every corner of tolerances at every input, ambient and load.  What is worst in
them is solved again by itself, and with other thermal resistances, so that currents may follow the temperatures.
"""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from outboard.arrangements.design import Design, DesignPart
from outboard.checks.check import Check
from outboard.checks.finding import FAIL, UNDECIDED, Conditions, Finding, Verdict
from outboard.checks.hottest import Lanes
from outboard.checks.runaway import Runaway, runaway
from outboard.checks.safe_area import REQUIREMENT, Lines, area_of, lines_of, safe_area_checks, volts_and_amperes
from outboard.checks.safe_path import PathPoint, path, path_to_short, promised_short, share_of
from outboard.checks.setting import Setting
from outboard.checks.sink_needed import HEAT, JUNCTION, SinkNeeded, heat_checks, sink_checks, sinks_needed
from outboard.checks.tally import Tally
from outboard.checks.verdict import corner_words, finding
from outboard.checks.verification import Tried, moved, settled, tried
from outboard.network.outcome import RUNAWAY, SOLVED
from outboard.network.part import AMBIENT
from outboard.network.solution import Block
from outboard.parts.safe_area import SafeArea
from outboard.quantities import figures

NOT_JUDGED = ("loads shorter than lasting: no type of the catalogue has a curve of transient thermal resistance",)


SHORTED = "safe area with the output shorted"


@dataclass(frozen=True, slots=True)
class Rise:
    """The way of one part's heat where its junction is nearest to its limit [K, W]; what is not known is None.

    parts    all that this stands for, the hottest first
    share    of the way from 25 °C to the limit
    sink     the thermal node that takes the heat, "ambient" in the air
    """

    parts: tuple[str, ...]
    type: str
    power: float
    junction: float
    case: float | None
    sink: str
    sink_temperature: float | None
    ambient: float
    limit: float | None
    share: float | None
    in_words: str


@dataclass(frozen=True, slots=True)
class AreaPoint:
    """Where a transistor comes nearest to the edge of its safe area, as far as its lines are known.

    parts        all that this stands for, the one that is nearest first
    share        current as a share of what is allowed; `binding` says which line allows least
    finding      the verdict with its reasons
    path         from no load to full load in this corner; `short` from there to the shorted output, if promised
    promised     the least, usual and most load [A]
    """

    parts: tuple[str, ...]
    type: str
    voltage: float
    current: float
    case: float
    allowed: float
    share: float
    binding: str
    in_words: str
    input_voltage: float | None
    load: float | None
    ambient: float
    finding: Finding
    area: SafeArea
    lines: Lines
    path: tuple[PathPoint, ...]
    short: tuple[PathPoint, ...]
    promised: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class HeatReport:
    """Everything about the heat of a design."""

    verdict: Verdict
    rises: tuple[Rise, ...]
    areas: tuple[AreaPoint, ...]
    sinks: tuple[SinkNeeded, ...]
    runaway: Runaway | None


def heat_report(design: Design) -> HeatReport:
    """Judges heat over input × ambient × tolerances × load; then searches sinks and runaway."""
    started = time.perf_counter()
    found = tried(design, only=_every_check)
    judged, beside = _split(found)
    findings = _findings(found, judged)
    rises = tuple(_rises(found, judged, findings))
    areas = tuple(_areas(found, judged, findings))
    heat = [tally for tally in judged if tally.check.requirement in HEAT]
    sinks = tuple(sinks_needed(found, heat, beside))
    lanes = Lanes.of(found.setting, heat) or Lanes.of(found.setting, beside)
    away = None if lanes is None else runaway(lanes, [tally.check for tally in heat])
    outcomes = found.outcomes
    conditions = Conditions(outcomes.points, outcomes.count[SOLVED], outcomes.count[RUNAWAY], outcomes.undecided,
                            time.perf_counter() - started)  # fmt: skip
    shorts = _shorts(design, areas)
    verdict = Verdict((*outcomes.findings(), *findings.values(), *shorts), conditions, NOT_JUDGED)
    return HeatReport(verdict, rises, areas, sinks, away)


def _every_check(design: Design) -> Iterator[Check]:
    yield from heat_checks(design)
    yield from safe_area_checks(design)
    yield from sink_checks(design)


def _split(found: Tried) -> tuple[list[Tally], list[Tally]]:
    """What is judged, and the temperatures of the sinks, which no requirement bounds."""
    sinks = {check.requirement for check in sink_checks(found.setting.design)}
    judged = [tally for tally in found.steady if tally.check.requirement not in sinks]
    return judged, [tally for tally in found.steady if tally.check.requirement in sinks]


Findings = dict[tuple[str, str | None], Finding]


def _findings(found: Tried, judged: Sequence[Tally]) -> Findings:
    trust = found.setting.design.brief.requirements.trust
    axes = moved(found.setting, judged, settled)
    return {
        (tally.check.requirement, tally.check.part): finding(tally, trust, moving)
        for tally, moving in zip(judged, axes, strict=True)
    }


def _worst_block(setting: Setting, tally: Tally) -> Block | None:
    """The worst lane of a tally, solved by itself."""
    worst = tally.worst
    if worst is None:
        return None
    block = settled(setting, worst.corners, worst.load or 0.0)
    return block if block.is_solved.all() else None


def _names(check: Check) -> tuple[str, ...]:
    return check.alike or ((check.part,) if check.part else ())


def _rises(found: Tried, judged: Sequence[Tally], findings: Findings) -> Iterator[Rise]:
    """One for each junction, the one nearest to its limit first."""
    rises = []
    for tally in judged:
        if tally.check.requirement != JUNCTION:
            continue
        block = _worst_block(found.setting, tally)
        if block is None:
            continue
        names = sorted(_names(tally.check), key=lambda name: -float(block.junction_temperature(name)[0, 0]))
        said = findings[tally.check.requirement, tally.check.part]
        rises.append(_rise(block, found.setting.design, tuple(names), tally, said))
    return iter(sorted(rises, key=lambda rise: -(rise.share or 0.0)))


def _rise(block: Block, design: Design, names: tuple[str, ...], tally: Tally, said: Finding) -> Rise:
    name, part = names[0], design.part(names[0])
    heat, to_case = part.part.heat, part.rating("R_thJC")
    junction = float(block.junction_temperature(name)[0, 0])
    sink = AMBIENT if heat is None else heat.to
    case = None
    if to_case is not None and heat is not None:
        case = float(figures.case_temperature(block, name, to_case.value)[0, 0])
    limit = tally.worst.limit if tally.worst is not None else None
    share = None if limit is None else (junction - tally.check.rest) / (limit - tally.check.rest)
    return Rise(
        names, "" if part.type is None else part.type.name, float(block.power(name)[0, 0]), junction, case, sink,
        None if sink == AMBIENT else float(block.at(("heat", sink))[0, 0]), float(block.xs[0, 0, -1]), limit, share,
        _words(tally, said),
    )  # fmt: skip


def _words(tally: Tally, said: Finding) -> str:
    """The corner in words; where the finding is open, input, load and ambient alone."""
    if said.in_words or tally.worst is None:
        return said.in_words
    return corner_words(tally.worst, ())


def _areas(found: Tried, judged: Sequence[Tally], findings: Findings) -> Iterator[AreaPoint]:
    """One for each transistor that has an area, the one nearest to its edge first."""
    points = []
    design = found.setting.design
    for tally in judged:
        block = _worst_block(found.setting, tally) if tally.check.requirement == REQUIREMENT else None
        if block is None:
            continue
        near = (_nearness(block, design, design.part(name)) for name in _names(tally.check))
        nearest = max((one for one in near if one is not None), key=lambda one: one.share)
        points.append(_area_point(found.setting, tally, nearest, findings[REQUIREMENT, tally.check.part]))
    return iter(sorted(points, key=lambda point: -point.share))


def _shorts(design: Design, areas: Sequence[AreaPoint]) -> Iterator[Finding]:
    """What a promised short does to each transistor: it fails for certain, or stays open, since one corner is tried.

    Temperatures are settled: a short that is promised for a time gets less hot than this.
    """
    promised = promised_short(design)
    for area in areas:
        if promised is None or not area.short:
            continue
        worst = max(area.short, key=lambda point: point.share)
        much = f"{100.0 * worst.share:.0f} % of" if worst.share < 10.0 else "beyond all of"
        words = f"{worst.current:.3g} A at {worst.voltage:.3g} V, {much} what is allowed"
        said = Finding(SHORTED, area.parts[0], UNDECIDED, alike=area.parts if len(area.parts) > 1 else ())
        if worst.share > 1.0 and promised == "for ever":
            yield replace(said, verdict=FAIL, worst=worst.share, limit=1.0, margin=1.0 - worst.share,
                          in_words=area.in_words, note=words, limit_kind="derived")  # fmt: skip
        else:
            settled_words = f"a short of {promised} is promised; settled, {words}; only this one corner was tried"
            yield replace(said, missing=(settled_words,))


@dataclass(frozen=True, slots=True)
class _Nearness:
    """How near one transistor is to the edge of its area, in one lane."""

    part: DesignPart
    area: SafeArea
    lines: Lines
    voltage: float
    current: float
    case: float
    allowed: float
    share: float


def _nearness(block: Block, design: Design, part: DesignPart) -> _Nearness | None:
    area = area_of(part, design)
    if area is None:
        return None
    lines = lines_of(area, design.brief.requirements.policy)
    volts, amperes = volts_and_amperes(block, part)
    case = figures.case_temperature(block, part.name, lines.to_case)
    most, current = float(lines.allowed(volts, case)[0, 0]), float(amperes[0, 0])
    return _Nearness(part, area, lines, float(volts[0, 0]), current, float(case[0, 0]), most,
                     share_of(current, most))  # fmt: skip


def _area_point(setting: Setting, tally: Tally, near: _Nearness, said: Finding) -> AreaPoint:
    worst = tally.worst
    assert worst is not None
    part, corner = near.part, worst.corners
    return AreaPoint(
        tuple(sorted(_names(tally.check), key=lambda name: name != part.name)),
        "" if part.type is None else part.type.name, near.voltage, near.current, near.case, near.allowed, near.share,
        near.lines.binding(near.voltage, near.case), _words(tally, said),
        float(corner.inputs[0]) if corner.input else None, worst.load, float(corner.ambients[0]), said, near.area,
        near.lines, path(setting, worst, part, near.lines), path_to_short(setting, worst, part, near.lines),
        () if setting.design.brief.output is None else tuple(setting.design.brief.output.load),
    )  # fmt: skip
