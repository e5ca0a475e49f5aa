"""The main job: is the design right under everything that was promised?

Every corner of input, ambient and tolerance is solved along the whole load range; then with the load released while
everything is still hot; then started from nothing into the full load.
"""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements import respread
from outboard.arrangements.design import Design
from outboard.cases.axes import axes
from outboard.cases.corners import USUAL, Corners, all_corners, swept_loads
from outboard.checks.check import Check
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Conditions, Finding, Verdict
from outboard.checks.ratings import rating_checks
from outboard.checks.requirements import current_checks, headroom_checks, output_checks
from outboard.checks.tally import Tally, Worst
from outboard.checks.verdict import corner_words, finding
from outboard.network.circuit import Circuit, laid_out
from outboard.network.fields import fields
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY, SOLVED
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import released, solved
from outboard.quantities import figures

LOADS = 24
"""How many loads between least and most are tried at every corner."""

PIECE = 128
"""Corners solved and judged at a time."""

NOT_JUDGED = ("safe operating area", "transients and stability", "faults", "raw supply")


@dataclass(frozen=True)
class _Setting:
    """What every part of the verification shares."""

    design: Design
    circuit: Circuit
    corners: Corners
    loads: NDArray[np.float64]
    load_fields: tuple[tuple[str, str], ...]

    def sweep(self, loads: NDArray[np.float64]) -> Overrides:
        """The load as a sweep; one point without a load that draws."""
        return Overrides(self.load_fields, loads[:, None] if self.load_fields else np.empty((1, 0)))


def verified(design: Design, loads: int = LOADS) -> Verdict:
    """Judges a design over input × ambient × tolerances × load; see the module's words."""
    started = time.perf_counter()
    setting = _setting(_at_work(design), loads)
    trust = design.brief.requirements.trust
    steady = [Tally(check) for check in _steady_checks(setting.design)]
    after = [Tally(check) for check in output_checks(setting.design, "output released while hot", released=True)]
    outcomes = _Outcomes()
    for piece in setting.corners.pieces(PIECE):
        block = solved(setting.circuit, piece.overrides, setting.sweep(setting.loads))
        outcomes.take(block, piece, setting.loads)
        for tally in steady:
            tally.take(block, piece, setting.loads)
        if setting.load_fields and after:
            _release(setting, block, piece, after)
    starts, started_from = _start_tally(setting, outcomes)
    findings = [finding(tally, trust, _moved(setting, tally)) for tally in (*steady, *after, *starts)]
    findings = [*outcomes.findings(), *findings, *_short_circuit(design)]
    conditions = Conditions(
        outcomes.points + started_from, outcomes.count[SOLVED], outcomes.count[RUNAWAY], outcomes.undecided,
        time.perf_counter() - started,
    )  # fmt: skip
    return Verdict(tuple(findings), conditions, NOT_JUDGED)


def _steady_checks(design: Design) -> Iterator[Check]:
    yield from output_checks(design)
    yield from headroom_checks(design)
    yield from current_checks(design)
    yield from rating_checks(design)


def _usual_loads(design: Design) -> tuple[float, float, float]:
    output = design.brief.output
    return tuple(output.load) if output is not None else (0.0, 0.0, 0.0)  # type: ignore[return-value]


def _at_work(design: Design) -> Design:
    """The design with each transistor's spread taken at the current that it carries at full load."""
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual)
    full = _usual_loads(design)[2]
    has_load = ("load", "draws") in circuit.slots
    block = solved(circuit, sweep=Overrides.column("load", "draws", np.array([full])) if has_load else None)
    if not block.is_solved.all():
        return design
    parts = tuple(
        respread(part, float(figures.collector_current(block, part.name)[0, 0]))
        if part.part.kind == "bipolar" and part.identified is not None
        else part
        for part in design.parts
    )
    return replace(design, parts=parts)


def _setting(design: Design, count: int) -> _Setting:
    brief = design.brief
    circuit = laid_out(design.components, brief.surroundings.ambient.usual)
    least, usual, most = _usual_loads(design)
    has_load = ("load", "draws") in circuit.slots and brief.output is not None
    loads = swept_loads(least, most, count, (usual,)) if has_load else np.zeros(1)
    source = next((part.part for part in design.parts if part.name == "input"), None)
    inputs: Sequence[float] = (0.0,)
    if source is not None:
        inputs = tuple(brief.input.voltage) if brief.input is not None else (source.values["voltage"],)
    found = axes(design)
    base = {
        (part.name, name): part.part.values.get(name, field.default if field.default is not None else 0.0)
        for part in design.parts
        for name, field in fields(part.part.kind, part.part.model).items()
    }
    corners = all_corners(found, inputs, tuple(brief.surroundings.ambient), base, source.name if source else None)
    return _Setting(design, circuit, corners, loads, (("load", "draws"),) if has_load else ())


def _release(setting: _Setting, block: Block, piece: Corners, tallies: Sequence[Tally]) -> None:
    """The load falls from most to least while every junction keeps its temperature."""
    settled = block.is_solved[:, -1]
    if not settled.any():
        return
    rows = piece.rows(settled)
    count = len(rows)
    least, most = (Overrides.column("load", "draws", np.full(count, load)) for load in setting.loads[[0, -1]])
    after = released(setting.circuit, rows.overrides, most, least, block.xs[settled, -1])
    for tally in tallies:
        tally.take(after, rows, setting.loads[:1])


def _start_tally(setting: _Setting, outcomes: "_Outcomes") -> tuple[list[Tally], int]:
    """Starts from nothing into the full load, at the corners that could hinder it."""
    if not setting.load_fields:
        return [], 0
    corners = setting.corners
    keep = np.ones(len(corners), dtype=np.bool_)
    for a, axis in enumerate(corners.axes):
        if axis.name == "leakage" or axis.name.startswith("other"):
            keep &= corners.choices[:, a] <= 0
    chosen = corners.rows(keep)
    checks = output_checks(setting.design, "output after a start into full load")
    tallies = [Tally(check) for check in checks if check.requirement.endswith("low")]
    full = setting.loads[-1:]
    for piece in chosen.pieces(PIECE):
        block = solved(setting.circuit, piece.overrides, setting.sweep(full), raise_each=True)
        for tally in tallies:
            tally.take(block, piece, full)
    return tallies, len(chosen)


def _moved(setting: _Setting, tally: Tally) -> tuple[int, ...]:
    """The axes without which the worst margin would be noticeably better, strongest first."""
    worst = tally.worst
    if worst is None or not np.isfinite(worst.margin):
        return ()
    rows = worst.corners.changed_one_by_one(worst.row)
    load = np.array([worst.load if worst.load is not None else 0.0])
    block = solved(setting.circuit, rows.overrides, setting.sweep(load))
    _, _, margins = tally.check.margins(block)
    gained = np.where(block.is_solved[:, 0], margins[:, 0] - margins[0, 0], 0.0)[1:]
    scale = max(abs(margins[0, 0]), abs(worst.limit - tally.check.rest), 1e-12)
    order = [int(axis) for axis in np.argsort(-gained, kind="stable") if gained[axis] > 0.005 * scale]
    return tuple(axis for axis in order if worst.corners.choices[worst.row, axis] != USUAL)


class _Outcomes:
    """How many points solved, ran away or stayed open, and where the first of each was met."""

    def __init__(self) -> None:
        self.count = {outcome: 0 for outcome in (SOLVED, RUNAWAY, OUT_OF_RANGE, NOT_CONVERGED)}
        self.first: dict[int, str] = {}

    @property
    def points(self) -> int:
        return sum(self.count.values())

    @property
    def undecided(self) -> int:
        return self.count[OUT_OF_RANGE] + self.count[NOT_CONVERGED]

    def take(self, block: Block, corners: Corners, loads: NDArray[np.float64]) -> None:
        """Counts a block."""
        for outcome in self.count:
            places = np.argwhere(block.outcomes == outcome)
            self.count[outcome] += len(places)
            if len(places) and outcome not in self.first and outcome != SOLVED:
                row, point = (int(place) for place in places[0])
                ends = [a for a in range(len(corners.axes)) if corners.choices[row, a] != USUAL]
                worst = Worst(np.nan, np.nan, np.nan, corners, row, float(loads[point]))
                self.first[outcome] = corner_words(worst, ends)

    def findings(self) -> Iterator[Finding]:
        """An operating point at every corner: a runaway fails, an open point leaves it undecided."""
        verdict, where = PASS, ""
        missing: tuple[str, ...] = ()
        if self.count[RUNAWAY]:
            verdict, where = FAIL, self.first[RUNAWAY]
        elif self.undecided:
            outcome = NOT_CONVERGED if self.count[NOT_CONVERGED] else OUT_OF_RANGE
            verdict, where = UNDECIDED, self.first[outcome]
            missing = (f"{self.undecided} points did not converge or left a model's range",)
        note = f"{self.count[RUNAWAY]} of {self.points} points run away" if self.count[RUNAWAY] else ""
        yield Finding("an operating point everywhere", None, verdict, in_words=where, missing=missing, note=note)


def _short_circuit(design: Design) -> Iterator[Finding]:
    """What was promised about a short circuit; a promise is not judged yet, silence is said."""
    promised = design.brief.requirements.short_circuit
    if promised == "none" or design.brief.output is None:
        return
    words = "short_circuit is not said in [requirements]" if promised is None else (
        f"a short circuit of {promised} is promised; it is not judged yet"
    )  # fmt: skip
    yield Finding("short circuit", None, UNDECIDED, missing=(words,), source="")
