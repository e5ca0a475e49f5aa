"""The least margin of every requirement while each tolerance lies anywhere between its ends, parts independent.

Every unit that is tried meets the whole load range at all ends of input and ambient, so the load is always swept.
First the middle of the box, each tolerance moved alone to either end, and points strewn inside; the signs of what the
moves do name one corner for each requirement, which is solved.  Then, from the worst unit known, each tolerance in turn
is put to both ends, to usual and half-way, all requirements in one batch, until nothing gets worse.  Where the corner
by signs stays the worst that was met, it is the extreme "by signs"; else it was "searched", and a worse one may exist.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from outboard.checks.check import Check
from outboard.checks.draw_verdict import where
from outboard.checks.drawn import Least
from outboard.checks.draws import BEYOND, Judged, Lot, lanes, units_at
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding, Verdict
from outboard.constants import ZERO_CELSIUS

Floats = NDArray[np.float64]

BY_SIGNS, SEARCHED = "by signs, probed inside", "searched"
STREWN = 24
"""Points strewn inside the box."""

TOGETHER = 1.0 - 1e-9
"""Correlation from which on two tolerances are one."""

ROUNDS = 6
"""Rounds of the search at the most."""

STEPS = (-1.0, -0.5, 0.0, 0.5, 1.0)
"""Where each tolerance is put in turn: least, half-way, usual, half-way, most."""

REQUIREMENT = "no worse between the ends"


@dataclass(frozen=True, slots=True)
class Between:
    """One requirement: its least lane over the box and the unit's places there (−1 least, 0 usual, 1 most).

    way      BY_SIGNS or SEARCHED;  settled  whether the last round of the search found nothing worse
    opened   units tried with a lane that has no solution or no limit;  tried  units in all
    """

    check: Check
    least: Least | None
    places: Floats
    way: str
    settled: bool
    opened: int
    tried: int


class _Known:
    """Units tried so far, the worst of each requirement kept."""

    def __init__(self, found: Lot) -> None:
        self.lot = found
        # of ways that always go together (matched devices) the first leads
        self.alike = np.argmax(found.sampling.correlation > TOGETHER, axis=1)
        self.tried = 0
        self.opened = np.zeros(len(found.checks), dtype=np.intp)
        self.least: list[Least | None] = [None] * len(found.checks)
        self.places = np.zeros((len(found.checks), len(found.sampling.ways)))

    def add(self, places: Floats) -> Floats:
        """Solves units at places [unit, way]; their least margins, [unit, check]."""
        units = self.lot.sampling.with_room(places[:, self.alike].copy())
        some = units_at(self.lot, units, np.full((len(places), 2), 0.5), self.tried)
        solutions = lanes(self.lot.setting, some.rows, self.lot.manners)
        margins = np.empty((len(places), len(self.lot.checks)))
        for k, (check, manner) in enumerate(zip(self.lot.checks, self.lot.manners, strict=True)):
            judged = Judged.of(check, solutions[manner], some)
            margins[:, k] = judged.margins
            self.opened[k] += np.count_nonzero(judged.opened)
            unit = int(judged.margins.argmin())
            found, known = judged.least(unit, some), self.least[k]
            if found is not None and (known is None or found.margin < known.margin - _rounding(check, known)):
                self.least[k], self.places[k] = found, places[unit]
        self.tried += len(places)
        return margins


def _rounding(check: Check, known: Least) -> float:
    return BEYOND * max(abs(known.limit - check.rest), abs(known.margin))


def least_between(found: Lot) -> tuple[Between, ...]:
    """The least margin of every requirement in the box; see the module's words."""
    known = _Known(found)
    ways = found.sampling.ways
    floor = np.array([0.0 if way.one_sided else -1.0 for way in ways])
    by_signs = _signs(known, floor)
    known.add(by_signs)
    settled = np.zeros(len(found.checks), dtype=np.bool_)
    for _ in range(ROUNDS):
        before = list(known.least)
        steps = _steps(known.places[~settled], floor)
        if len(steps):
            known.add(steps)
        # a worse unit met by another requirement's steps opens this one again
        settled = np.array([now is then for now, then in zip(known.least, before, strict=True)], dtype=np.bool_)
        if settled.all():
            break
    return tuple(
        Between(
            check, known.least[k], known.places[k],
            BY_SIGNS if np.array_equal(known.places[k], by_signs[k]) else SEARCHED,
            bool(settled[k]), int(known.opened[k]), known.tried,
        )
        for k, check in enumerate(found.checks)
    )  # fmt: skip


def _signs(known: _Known, floor: Floats) -> Floats:
    """For each requirement the corner that its moves from the middle name, [check, way]."""
    count = len(floor)
    random = np.random.default_rng(1)
    strewn = floor + (1.0 - floor) * random.random((STREWN, count))
    down, up = np.diag(floor), np.eye(count)
    margins = known.add(np.vstack([down, up, np.zeros((1, count)), strewn]))
    worse_up = margins[count : 2 * count] < margins[:count]
    return np.where(worse_up.T, 1.0, floor)


def _steps(worst: Floats, floor: Floats) -> Floats:
    """Every unit with each tolerance in turn put to each step; each once."""
    found = []
    for places in np.unique(worst, axis=0):
        for way in range(len(floor)):
            for step in STEPS:
                if step >= floor[way] and step != places[way]:
                    moved = places.copy()
                    moved[way] = step
                    found.append(moved)
    return np.unique(np.array(found).reshape(len(found), len(floor)), axis=0)


def contained(verdict: Verdict, found: Lot, extremes: tuple[Between, ...]) -> Verdict:
    """The verdict that takes whatever is worse between the ends than at them, and says how that was looked for."""
    worse = {
        one.check.title: one
        for one, bound in zip(extremes, found.bounds, strict=True)
        if one.least is not None and one.least.margin < bound
    }
    trust = found.setting.design.brief.requirements.trust
    findings = [_taken(finding, worse, trust) for finding in verdict.findings]
    return replace(verdict, findings=(*findings, _said(extremes, worse)))


def _taken(finding: Finding, worse: Mapping[str, Between], trust: str) -> Finding:
    """A finding with the margin between the ends; undecided where only limits are trusted and it would fail."""
    one = worse.get(finding.title)
    if one is None or one.least is None or finding.margin is None:  # undecided without a number stays so
        return finding
    said = "at ends that signs name" if one.way == BY_SIGNS else one.way
    least, zero = one.least, ZERO_CELSIUS if one.check.unit == "K" else 0.0
    corner = {
        "input_V": least.input_voltage, "load_A": least.load, "ambient_C": round(least.ambient - ZERO_CELSIUS, 9)
    }  # fmt: skip
    if least.margin < 0.0 and finding.verdict != FAIL and trust == "limits":
        why = "between the ends of the tolerances it would fail, and what that rests on is not told"
        return replace(finding, verdict=UNDECIDED, worst=None, limit=None, margin=None, missing=(*finding.missing, why))
    return replace(
        finding, verdict=FAIL if least.margin < 0.0 else finding.verdict, worst=least.value - zero,
        limit=least.limit - zero, margin=least.margin, corner=corner,
        in_words=f"{where(least)}, each part by itself: {said}",
    )  # fmt: skip


def _said(extremes: tuple[Between, ...], worse: Mapping[str, Between]) -> Finding:
    """How the extremes were found and how sure they are; open where a unit has no solution or the search went on."""
    signs = sum(one.way == BY_SIGNS for one in extremes)
    opened = [f"{one.check.title}: {one.opened} of {one.tried} units are open" for one in extremes if one.opened]
    going = [f"{one.check.title}: the search was ended before it settled" for one in extremes if not one.settled]
    missing = (*opened, *going)
    note = (
        f"{signs} of {len(extremes)} extremes at the corner that signs name, {len(extremes) - signs} by search; "
        f"{extremes[0].tried if extremes else 0} units tried at all loads and ends"
    )
    if worse:
        note += "; worse than at the corners, and taken: " + ", ".join(worse)
    return Finding(REQUIREMENT, None, UNDECIDED if missing or not extremes else PASS, missing=missing, note=note)
