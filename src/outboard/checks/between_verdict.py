"""The verdict that takes whatever is worse between the ends than at the corners, and says how that was looked for."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from outboard.checks import needs
from outboard.checks.between import BY_SIGNS, Between, least_between
from outboard.checks.between_drivers import Behind, Tolerance, behind
from outboard.checks.draw_verdict import where
from outboard.checks.draws import Lot
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding, Verdict
from outboard.checks.needs import Need
from outboard.constants import ZERO_CELSIUS

REQUIREMENT = "no worse between the ends"

TOLD = 6
"""Tolerances that are named with a worst place."""


@dataclass(frozen=True, slots=True)
class Extreme:
    """One requirement over the box, and what is behind its least margin.

    undecidable   why nothing can be said about it whatever is found; taken: the verdict has this margin
    """

    between: Between
    behind: Behind | None
    undecidable: tuple[str, ...]
    taken: bool

    @property
    def in_words(self) -> str:
        """ "16 V in, 5 A, −10 °C, least gain Q2"."""
        least = self.between.least
        return ", ".join([where(least), *self.standing]) if least is not None else ""

    @property
    def standing(self) -> tuple[str, ...]:
        """The tolerances that matter there, in words, strongest first."""
        return tuple(tolerance.words for tolerance in self.mattering[:TOLD])

    @property
    def mattering(self) -> tuple[Tolerance, ...]:
        """The tolerances that take from the margin there, strongest first."""
        return tuple(one for one in self.behind.tolerances if one.gained > 0.0) if self.behind is not None else ()

    @property
    def share_left(self) -> float:
        """Margin as a share of the way from rest to limit."""
        least, check = self.between.least, self.between.check
        if least is None or self.undecidable:
            return float("inf")
        way = abs(least.limit - check.rest)
        return least.margin / way if way > 0.0 else least.margin


@dataclass(frozen=True, slots=True)
class ExtremeVerdict:
    """All requirements over the box of all tolerances."""

    extremes: tuple[Extreme, ...]
    units: int
    probed: int

    @property
    def ordered(self) -> tuple[Extreme, ...]:
        """Tightest first, undecidable last."""
        return tuple(sorted(self.extremes, key=lambda one: round(one.share_left, 9)))


def extreme_verdict(lot: Lot) -> ExtremeVerdict:
    """Looks for the least margin of every requirement in the box, and for what is behind it."""
    found = least_between(lot)
    extremes = tuple(
        Extreme(one, told, unknown, one.least is not None and one.least.margin < bound)
        for one, told, unknown, bound in zip(found.found, behind(lot, found), lot.undecidable, lot.bounds, strict=True)
    )
    first = found.found[0] if found.found else None
    return ExtremeVerdict(extremes, first.tried if first else 0, first.probed if first else 0)


def contained(verdict: Verdict, lot: Lot, found: ExtremeVerdict) -> Verdict:
    """The verdict of the corners with every margin that is less between the ends."""
    worse = {one.between.check.title: one for one in found.extremes if one.taken}
    trust = lot.setting.design.brief.requirements.trust
    findings = [_taken(finding, worse, trust) for finding in verdict.findings]
    return replace(verdict, findings=(*findings, _said(found, worse)))


def _taken(finding: Finding, worse: Mapping[str, Extreme], trust: str) -> Finding:
    """A finding with the margin between the ends and what that rests on; it fails or stays open as any other."""
    one = worse.get(finding.title)
    if one is None or one.between.least is None or finding.margin is None:  # undecided without a number stays so
        return finding
    least, check = one.between.least, one.between.check
    zero = ZERO_CELSIUS if check.unit == "K" else 0.0
    ends = (Need(tolerance.origin) for tolerance in one.mattering if tolerance.origin is not None)
    weak = needs.weak((*check.needs, *ends))
    if trust == "limits" and weak:
        why = "only limits are trusted, and this rests on " + ", ".join(weak)
        return replace(
            finding, verdict=UNDECIDED, worst=None, limit=None, margin=None, rests_on=weak, corner={}, in_words="",
            missing=(*finding.missing, why),
        )  # fmt: skip
    return replace(
        finding, verdict=FAIL if least.margin < 0.0 else finding.verdict, worst=least.value - zero,
        limit=least.limit - zero, margin=least.margin, corner=_corner(one), rests_on=weak, in_words=one.in_words,
    )  # fmt: skip


def _corner(one: Extreme) -> Mapping[str, float | str]:
    """The conditions of the least margin, with the tolerances that matter there."""
    least = one.between.least
    assert least is not None
    found: dict[str, float | str] = {
        "input_V": round(least.input_voltage, 12), "load_A": round(least.load, 12),
        "ambient_C": round(least.ambient - ZERO_CELSIUS, 9),
    }  # fmt: skip
    for tolerance in one.mattering:
        found[tolerance.way] = tolerance.words.removesuffix(tolerance.way).strip()
    return found


def _said(found: ExtremeVerdict, worse: Mapping[str, Extreme]) -> Finding:
    """How the extremes were found and how sure they are; open where a unit has no solution or the search went on."""
    each = [one.between for one in found.extremes]
    signs = sum(one.way == BY_SIGNS for one in each)
    opened = [f"{one.check.title}: {one.opened} of {one.tried} units are open" for one in each if one.opened]
    going = [f"{one.check.title}: the search was ended before it settled" for one in each if not one.settled]
    missing = (*opened, *going)
    note = (
        f"all tolerances at once: {signs} of {len(each)} least margins at the corner that slopes of one sign name, "
        f"{len(each) - signs} by search; slopes taken in {found.probed} units, {found.units} solved at all loads"
    )
    if worse:
        note += "; worse than at the corners, and taken: " + ", ".join(worse)
    return Finding(REQUIREMENT, None, UNDECIDED if missing or not each else PASS, missing=missing, note=note)
