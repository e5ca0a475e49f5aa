"""What each part is for: the design without it, and with it a little otherwise, verified over the same corners."""

import os
import time
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from outboard.arrangements.design import Design
from outboard.arrangements.rails import OUT
from outboard.cases.alike import alike
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding, Verdict
from outboard.checks.outcomes import EVERYWHERE
from outboard.checks.verification import Choices, judged, tried
from outboard.checks.verification import Tried as Corners
from outboard.errors import RefusedNetwork
from outboard.network import edits
from outboard.network.circuit import laid_out
from outboard.network.outcome import NOT_CONVERGED, SOLVED
from outboard.network.solve import solved
from outboard.whatif.effect import circumstances, present
from outboard.whatif.near_worst import at_worst, beside_worst, is_thinned, most_corners
from outboard.whatif.variant import LEFT_OUT, Variant, left_hanging, variants, with_parts

LOADS = 8
"""Loads that are tried at every corner of a variant; corners are those of `verify`."""

NOTICEABLE = 0.02
"""Change of a margin, as a share of the way to its limit, that counts (our own choice)."""

ESSENTIAL, EARNS, INDIFFERENT, HARMFUL, UNTOLD = (
    "essential", "earns its place", "indifferent", "harmful", "cannot be told",
)  # fmt: skip

NOT_SHOWN = "turn-off time, stability and overloads are not judged here"

NOT_UNDER_LOAD = "no point under load is solved"

WORST, BESIDE, ALL = "worst", "beside the worst", "all"
"""Corners at which a variant was tried: see `near_worst`."""

Key = tuple[str, str | None]


@dataclass(frozen=True, slots=True)
class Change:
    """One requirement before and after; `gain` is the margin won, as a share of the way to the limit."""

    before: Finding
    after: Finding

    @property
    def gain(self) -> float:
        """Margin won (lost: negative) as a share of the way to the limit."""
        if self.before.margin is None or self.after.margin is None:
            return 0.0
        return self.after.share_left - self.before.share_left

    @property
    def breaks(self) -> bool:
        """Whether the requirement no longer holds."""
        return self.after.verdict == FAIL and self.before.verdict != FAIL

    @property
    def mends(self) -> bool:
        """Whether the requirement now holds."""
        return self.before.verdict == FAIL and self.after.verdict == PASS

    @property
    def worsens(self) -> bool:
        """Whether the margin is noticeably less."""
        return self.gain < -NOTICEABLE

    @property
    def betters(self) -> bool:
        """Whether the margin is noticeably more."""
        return self.gain > NOTICEABLE

    @property
    def deepens(self) -> bool:
        """Whether a requirement that did not hold holds even less."""
        return self.after.verdict == self.before.verdict == FAIL and self.worsens

    @property
    def opens(self) -> bool:
        """Whether it can no longer be told."""
        return self.after.verdict == UNDECIDED and self.before.verdict != UNDECIDED


@dataclass(frozen=True, slots=True)
class Tried:
    """A variant with what it changes, the largest change first; `refused` says why it cannot even be solved.

    corners  which corners it was tried at: "worst", "beside the worst" or "all"
    """

    variant: Variant
    verdict: str
    changes: tuple[Change, ...]
    refused: str = ""
    corners: str = WORST

    def some(self, kind: str) -> tuple[Change, ...]:
        """The changes that do this: "breaks", "mends", "deepens", "opens", "worsens"
        or "betters"."""
        return tuple(change for change in self.changes if getattr(change, kind))


@dataclass(frozen=True, slots=True)
class Purpose:
    """What a part is for: the word, the change that says why, and all variants.

    alike  all parts that could change places with it, itself among them: what is said holds for each, values and
           types are those of all of them together
    """

    part: str
    role: str
    word: str
    why: Change | None
    tried: tuple[Tried, ...]
    alike: tuple[str, ...] = ()

    @property
    def without(self) -> Tried:
        """The design without it."""
        return self.tried[0]


@dataclass(frozen=True, slots=True)
class Omission:
    """Every part's purpose, and the design as it is; `thinned` when variants were tried at some corners only."""

    verdict: Verdict
    purposes: tuple[Purpose, ...]
    seconds: float
    thinned: bool


@dataclass(frozen=True, slots=True)
class _AsItIs:
    """The design as it is: its verdict, and the corners that its variants are tried at."""

    verdict: Verdict
    worst: Choices
    beside: Choices
    most: Choices
    thinned: bool


def _as_it_is(found: Corners, started: float) -> _AsItIs:
    return _AsItIs(
        judged(found, started), at_worst(found), beside_worst(found), most_corners(found), is_thinned(found)
    )


def omission(design: Design, chosen: Sequence[str] = ()) -> Omission:
    """What every part of a design is for, or those that are chosen; of parts that are alike one is tried for all."""
    started = time.perf_counter()
    before = _as_it_is(tried(design, LOADS), started)
    like = alike(design.parts)
    names = [part.name for part in design.parts if part.role not in ("input", "load")
             and not part.part.kind.startswith("thermal")]  # fmt: skip
    firsts: dict[tuple[str, ...], str] = {}
    for name in names:
        if not chosen or name in chosen:
            firsts.setdefault(like.get(name, (name,)), name)
    each = {name: list(variants(design, name, like.get(name, ()))) for name in firsts.values()}
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        coming = {name: [pool.submit(_tried, design, one, before) for one in some] for name, some in each.items()}
        found = {name: tuple(one.result() for one in tries) for name, tries in coming.items()}
    purposes = tuple(_purpose(design, name, tries, like.get(name, ())) for name, tries in found.items())
    return Omission(before.verdict, purposes, time.perf_counter() - started, before.thinned)


def _purpose(design: Design, name: str, each: tuple[Tried, ...], like: tuple[str, ...]) -> Purpose:
    word, why = _judged(each[0])
    return Purpose(name, design.part(name).role, word, why, each, like)


def _tried(design: Design, variant: Variant, before: _AsItIs) -> Tried:
    try:
        if _works_nowhere(variant.design):
            return Tried(variant, FAIL, tuple(_nowhere(before.verdict)))
        found, changes, corners = *_judged_at(variant, before, before.worst), WORST
        if not any(change.breaks for change in changes):
            _, changes = _judged_at(variant, before, before.most)
            corners = BESIDE if before.thinned else ALL
        elif not before.thinned and found.outcomes.points == found.outcomes.count[SOLVED]:
            _, changes = _judged_at(variant, before, before.beside)
            corners = BESIDE
    except RefusedNetwork as refused:
        return Tried(variant, UNDECIDED, (), refused.what)
    idle = left_hanging(design, variant.part) if variant.what == LEFT_OUT else frozenset()
    changes = tuple(change for change in changes if change.breaks or change.after.part not in idle)
    words = {change.after.verdict for change in changes}
    verdict = next((word for word in (FAIL, UNDECIDED) if word in words), PASS)
    return Tried(variant, verdict, changes, corners=corners)


def _judged_at(variant: Variant, before: _AsItIs, choices: Choices) -> tuple[Corners, tuple[Change, ...]]:
    """A variant at some corners: what became of them, and what is otherwise, the largest change first.

    Where it leaves an output that hangs on nothing, a meter is put across it.
    """
    found = tried(variant.design, LOADS, True, choices)
    if found.outcomes.count[NOT_CONVERGED]:
        metered = tried(with_parts(variant.design, edits.metered(variant.design.components, OUT)), LOADS, True, choices)
        found = found if metered.outcomes.count[NOT_CONVERGED] else metered
    changes = _changes(before.verdict, judged(found, time.perf_counter()))
    return found, tuple(sorted(changes, key=_weight))


def _works_nowhere(design: Design) -> bool:
    """Whether usual devices have no operating point at any end of input, ambient and load: then corners are idle."""
    around = circumstances(design)
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual, dangling=True)
    block = solved(circuit, present(around.corners, circuit), present(around.loads, circuit))
    return not block.is_solved[:, 1:].any()


def _nowhere(before: Verdict) -> Iterator[Change]:
    for finding in before.findings:
        if finding.requirement == EVERYWHERE:
            yield Change(finding, replace(finding, verdict=FAIL, note=NOT_UNDER_LOAD))


def _changes(before: Verdict, after: Verdict) -> Iterator[Change]:
    """Requirements that there are before and after."""
    then = _by_key(before)
    for finding in after.findings:
        keys = ((finding.requirement, part) for part in finding.alike or (finding.part,))
        key = next((key for key in keys if key in then), None)
        if key is not None:
            yield Change(then[key], finding)


def _by_key(verdict: Verdict) -> Mapping[Key, Finding]:
    """Findings under every part that they stand for: without one of like parts the first may be another."""
    return {(found.requirement, part): found for found in verdict.findings for part in found.alike or (found.part,)}


def _weight(change: Change) -> tuple[int, float]:
    rank = 0 if change.breaks else 1 if change.mends else 2 if change.opens else 3
    return rank, -abs(change.gain)


PLAIN = ("output not too low", "output not too high")
"""What one speaks of first where several changes are as large."""

AS_LARGE = 0.95


def plainest(changes: Sequence[Change]) -> Change:
    """The largest change, or one nearly as large that says the same of the output at rest."""
    largest = _largest(changes)
    plain = (change for change in changes
             if change.after.requirement in PLAIN and abs(change.gain) >= AS_LARGE * largest)  # fmt: skip
    return next(plain, changes[0])


def _largest(changes: Sequence[Change]) -> float:
    return max((abs(change.gain) for change in changes), default=0.0)


def _judged(without: Tried) -> tuple[str, Change | None]:
    """The word for a part from what happens without it."""
    if without.refused:
        return ESSENTIAL, None
    for kind, word in (("breaks", ESSENTIAL), ("opens", UNTOLD)):
        if found := without.some(kind):
            return word, plainest(found)
    worse, better, mended = without.some("worsens"), without.some("betters"), without.some("mends")
    deeper = without.some("deepens")
    if deeper and _largest(deeper) > _largest(mended):
        return ESSENTIAL, plainest(sorted(deeper, key=_weight))
    for some, word in ((mended, HARMFUL), (worse, EARNS), (better, HARMFUL)):
        if some:
            return word, plainest(some)
    return INDIFFERENT, max(without.changes, key=lambda change: abs(change.gain), default=None)
