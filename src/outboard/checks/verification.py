"""The main job: is the design right under everything that was promised?

At the ends of input and ambient every combination of tolerances is solved along the whole load range, then with the
load released while everything is still hot, then started from nothing into the full load.  The choices of tolerances
that were worst for any check are then tried at every other pair of input and ambient: what is worst in between, rather
than at the ends, shows there.  What is worth trying only beside the worst gets a second look with them.
"""

import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import zip_longest

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements.design import Design
from outboard.cases.axes import SHORT, WORST, Axis
from outboard.cases.corners import USUAL, Corners, every_choice, one_below_the_other, second_looks
from outboard.checks.check import Check
from outboard.checks.crowbar import crowbar_checks
from outboard.checks.derating import derated
from outboard.checks.finding import UNDECIDED, Conditions, Finding, Verdict
from outboard.checks.group import grouped
from outboard.checks.outcomes import Outcomes
from outboard.checks.ratings import rating_checks
from outboard.checks.requirements import current_checks, headroom_checks, output_checks
from outboard.checks.setting import Setting, at_work, setting_of
from outboard.checks.tally import Tally
from outboard.checks.verdict import finding
from outboard.network.outcome import RUNAWAY, SOLVED
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import released, solved

LOADS = 24
"""How many loads between least and most are tried at every corner."""

PIECE = 384
"""Corners solved and judged at a time."""

MOVES = "transients and stability"
NOT_JUDGED = ("safe operating area", MOVES, "raw supply")


@dataclass(frozen=True, slots=True)
class Tried:
    """All corners of a design, tried: what became of every point, and the worst lane of each check.

    steady   along the load, all temperatures settled
    after    right after the load was released while all was hot
    starts   started from nothing into the full load
    """

    setting: Setting
    outcomes: Outcomes
    steady: tuple[Tally, ...]
    after: tuple[Tally, ...]
    starts: tuple[Tally, ...]


def verified(design: Design, loads: int = LOADS, dangling: bool = False) -> Verdict:
    """Judges a design over input × ambient × tolerances × load; see the module's words.

    `dangling` lets open pins pass, which a design file must not have and an edited design may.
    """
    started = time.perf_counter()
    return judged(tried(design, loads, dangling), started)


Choices = Callable[[Sequence[Axis]], NDArray[np.int8]]
Checks = Callable[[Design], Iterator[Check]]


def tried(
    design: Design, loads: int = LOADS, dangling: bool = False, choices: Choices = every_choice,
    only: Checks | None = None,
) -> Tried:  # fmt: skip
    """Tries every corner of a design, or those of `choices`; see the module's words.

    `only` gives other checks of settled lanes in place of all that is required.
    """
    setting = setting_of(at_work(design, dangling), loads, dangling)
    settled_by = only or steady_checks
    steady = [Tally(check) for check in grouped(settled_by(setting.design), setting.design.parts)]
    after = [Tally(check) for check in output_checks(setting.design, "output released while hot", released=True)]
    starts = [Tally(check) for check in _start_checks(setting)]
    if only is not None:
        after, starts = [], []
    outcomes = Outcomes()
    _run(setting, setting.corners(choices(setting.axes), setting.ends), outcomes, steady, after, starts)
    second = _second_choices(setting, (*steady, *after, *starts))
    if len(second):
        _run(setting, setting.corners(second, setting.ends), outcomes, steady, after, starts)
    worst = {tuple(tally.worst.corners.choices[0]) for tally in (*steady, *after, *starts) if tally.worst}
    chosen = np.array(sorted({(USUAL,) * len(setting.axes), *worst}), dtype=np.int8)
    if setting.between:
        _run(setting, setting.corners(chosen, setting.between), outcomes, steady, after, starts)
    return Tried(setting, outcomes, tuple(steady), tuple(after), tuple(starts))


def _second_choices(setting: Setting, tallies: Sequence[Tally]) -> NDArray[np.int8]:
    """What was worst, with each option that gets a second look there."""
    found = set()
    for tally in tallies:
        if tally.worst is not None:
            looks = (WORST, SHORT) if tally.worst.margin < 0.0 else (WORST,)
            found |= set(second_looks(setting.axes, tally.worst.corners.choices[0].tolist(), looks))
    return np.array(sorted(found), dtype=np.int8).reshape(len(found), len(setting.axes))


def judged(found: Tried, started: float) -> Verdict:
    """The verdict on corners that were tried; `started` is when that began, on the clock of performance [s]."""
    setting, outcomes = found.setting, found.outcomes
    trust = setting.design.brief.requirements.trust
    findings: list[Finding] = []
    for tallies, solve in ((found.steady, settled), (found.after, _released), (found.starts, settled)):
        axes = moved(setting, tallies, solve)
        findings += [finding(tally, trust, moving) for tally, moving in zip(tallies, axes, strict=True)]
    findings = [*outcomes.findings(), *findings, *_short_circuit(setting.design)]
    conditions = Conditions(
        outcomes.points, outcomes.count[SOLVED], outcomes.count[RUNAWAY], outcomes.undecided,
        time.perf_counter() - started,
    )  # fmt: skip
    return Verdict(tuple(findings), conditions, NOT_JUDGED)


def _run(
    setting: Setting, corners: Corners, outcomes: Outcomes, steady: Sequence[Tally], after: Sequence[Tally],
    starts: Sequence[Tally],
) -> None:  # fmt: skip
    """Solves corners along the load, after a release, and from a start; each check takes what concerns it."""
    for piece, block in _solved_ahead(setting, corners, setting.loads):
        outcomes.take(block, piece, setting.loads)
        for tally in steady:
            tally.take(block, piece, setting.loads)
        if setting.load_fields and after:
            _release(setting, block, piece, after)
    if starts:
        full = setting.loads[-1:]
        for piece, block in _solved_ahead(setting, _hindering(corners), full, raise_each=True):
            outcomes.take(block, piece, full)
            for tally in starts:
                tally.take(block, piece, full)


def _solved_ahead(
    setting: Setting, corners: Corners, loads: NDArray[np.float64], raise_each: bool = False
) -> Iterator[tuple[Corners, Block]]:
    """Pieces of the corners with their solutions; the next piece is solved while the caller judges this one."""

    def solve(piece: Corners) -> Block:
        return solved(setting.circuit, piece.overrides, setting.sweep(loads), raise_each)

    pieces = list(corners.pieces(PIECE))
    with ThreadPoolExecutor(1) as pool:
        coming = pool.submit(solve, pieces[0]) if pieces else None
        for piece, following in zip_longest(pieces, pieces[1:]):
            assert coming is not None
            block = coming.result()
            coming = pool.submit(solve, following) if following is not None else None
            yield piece, block


def steady_checks(design: Design) -> Iterator[Check]:
    """What every settled lane is judged by, each part by itself."""
    yield from output_checks(design)
    yield from headroom_checks(design)
    yield from current_checks(design)
    yield from crowbar_checks(design)
    policy = design.brief.requirements.policy
    for check in rating_checks(design):
        yield derated(check, design.part(check.part or ""), policy)


def _release(setting: Setting, block: Block, piece: Corners, tallies: Sequence[Tally]) -> None:
    """The load falls from most to least while every junction keeps its temperature."""
    hot = block.is_solved[:, -1]
    rows = piece.rows(hot)
    for tally in tallies:
        tally.skip(int(np.count_nonzero(~hot)))
    if len(rows):
        after = let_go(setting, rows, block.xs[hot, -1])
        for tally in tallies:
            tally.take(after, rows, setting.loads[:1])


def let_go(setting: Setting, rows: Corners, hot: NDArray[np.float64]) -> Block:
    """Rows right after the load fell from most to least; hot[row] solves them at most."""
    least, most = (Overrides.column("load", "draws", np.full(len(rows), load)) for load in setting.loads[[0, -1]])
    return released(setting.circuit, rows.overrides, most, least, hot)


def _start_checks(setting: Setting) -> Iterator[Check]:
    """The output reaches its least voltage when the sources come up into the full load."""
    if setting.load_fields:
        for check in output_checks(setting.design, "output after a start into full load"):
            if check.requirement.endswith("low"):
                yield check


def _hindering(corners: Corners) -> Corners:
    """The corners that could hinder a start: leakage and lesser resistors at one end only."""
    keep = np.ones(len(corners), dtype=np.bool_)
    for a, axis in enumerate(corners.axes):
        if axis.name == "leakage" or axis.name.startswith("other"):
            keep &= corners.choices[:, a] <= 0
    return corners.rows(keep)


Solve = Callable[[Setting, Corners, float], Block]


def settled(setting: Setting, rows: Corners, load: float) -> Block:
    """Rows at one load, all temperatures settled."""
    return solved(setting.circuit, rows.overrides, setting.sweep(np.array([load])))


def _released(setting: Setting, rows: Corners, load: float) -> Block:
    """Rows right after a release from full load to the least."""
    hot = settled(setting, rows, float(setting.loads[-1]))
    after = let_go(setting, rows, hot.xs[:, -1])
    return replace(after, outcomes=np.where(hot.is_solved, after.outcomes, hot.outcomes))


def moved(setting: Setting, tallies: Sequence[Tally], solve: Solve) -> tuple[tuple[int, ...], ...]:
    """For each tally the axes without which its worst margin would be noticeably better, strongest first.

    Those whose worst lies at one load are solved together.
    """
    found: list[tuple[int, ...]] = [()] * len(tallies)
    at: dict[float, list[int]] = {}
    for place, tally in enumerate(tallies):
        if tally.worst is not None:
            at.setdefault(tally.worst.load if tally.worst.load is not None else 0.0, []).append(place)
    for load, places in at.items():
        rows = [worst.corners.changed_one_by_one(worst.row) for place in places if (worst := tallies[place].worst)]
        block = solve(setting, one_below_the_other(rows), load)
        edges = np.cumsum([0, *map(len, rows)])
        for place, start, end in zip(places, edges[:-1], edges[1:], strict=True):
            found[place] = _moving(tallies[place], block, slice(int(start), int(end)))
    return tuple(found)


def _moving(tally: Tally, block: Block, rows: slice) -> tuple[int, ...]:
    """The same for one tally; rows of the block are its worst corner, then that with each axis in turn put back."""
    worst = tally.worst
    assert worst is not None
    margins = tally.check.margins(block)[2][rows]
    gained = np.where(block.is_solved[rows, 0], margins[:, 0] - margins[0, 0], 0.0)[1:]
    scale = max(abs(margins[0, 0]), abs(worst.limit - tally.check.rest), 1e-12)
    order = [int(axis) for axis in np.argsort(-gained, kind="stable") if gained[axis] > 0.005 * scale]
    return tuple(axis for axis in order if worst.corners.choices[worst.row, axis] != USUAL)


def _short_circuit(design: Design) -> Iterator[Finding]:
    """What was promised about a short circuit; a promise is not judged yet, silence is said."""
    promised = design.brief.requirements.short_circuit
    if promised == "none" or design.brief.output is None:
        return
    words = "short_circuit is not said in [requirements]" if promised is None else (
        f"a short circuit of {promised} is promised; it is not judged yet"
    )  # fmt: skip
    yield Finding("short circuit", None, UNDECIDED, missing=(words,), source="")
