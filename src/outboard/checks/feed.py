"""What is required of a feed, judged over all of its cycles: what the input promises, drop-out, ratings, the fuse."""

import math
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from outboard.analysis.feed import Cycle, FeedReport
from outboard.analysis.feed_parts import BRIDGE
from outboard.brief import Brief
from outboard.checks.check import AT_LEAST, AT_MOST
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Conditions, Finding, Verdict
from outboard.checks.needs import WEAK_KINDS
from outboard.constants import ZERO_CELSIUS
from outboard.formulas.derating_policies import MILITARY, Policy
from outboard.formulas.fuse import CONTINUOUS_SHARE, fuse_rating, pulse_share
from outboard.formulas.part_derating import fuse_share, fuse_share_at
from outboard.parts.records import Origin
from outboard.quantity import CURRENT, VOLTAGE, shown

PROMISED = Origin("promised", "", "promised in the design file")
NEEDED = Origin("typical", "", "typical: what the stage needs, of usual parts at the worst ambient")
FOR_HOURS = Origin("default", "common-practice", "default: 75 % of a fuse's rating for hours")
STATED = Origin("stated", "", "as written in the file")
SWITCHED = 10_000
"""Times that the feed is switched on in its life: daily for thirty years (common practice, no source)."""

DIGITS = 6
"""What differs less is the same, and the first of the cycles is named."""

BY_REGULATION = "default: the rise without load is all resistance of the windings"
RESERVOIR = "default: ±20 % of the reservoir"
NO_ESR = "default: no series resistance of the reservoir"
MAGNETISING = "magnetising current of the transformer, in service and at switching on, which comes on top"
MISSING_CURRENT = "what the stage draws at {}: it has no operating point at the usual input"

Figure = Callable[[Cycle], float]


@dataclass(frozen=True, slots=True)
class Judge:
    """Makes findings out of the cycles of a report."""

    brief: Brief
    report: FeedReport

    @property
    def weak(self) -> tuple[str, ...]:
        """Figures that no sheet and no file guarantees, and that every cycle rests on."""
        feed, known = self.report.feed, self.report.diodes.known
        found = [BY_REGULATION] if feed.regulation is not None else []
        if "reservoir_tolerance" not in feed.places:
            found.append(RESERVOIR)
        if feed.reservoir_ESR is None:
            found.append(NO_ESR)
        spread = known.spread("forward voltage") if known is not None else None
        found += [origin.words for origin in spread.origins if origin.kind in WEAK_KINDS] if spread is not None else []
        return tuple(found)

    def most(self, requirement: str, figure: Figure, limit: float | None, unit: str, origin: Origin, missing: str = "",
             derating: str = "", silent: str = "") -> Finding:  # fmt: skip
        """A figure that must stay below a limit in every cycle; UNDECIDED without the limit."""
        worst = max(self.report.cycles, key=lambda cycle: round(figure(cycle), DIGITS))
        return self.found(requirement, figure(worst), limit, AT_MOST, unit, origin, Place.of(worst), missing, derating,
                          silent)  # fmt: skip

    def least(self, requirement: str, figure: Figure, limit: float | None, unit: str, origin: Origin,
              missing: str = "") -> Finding:  # fmt: skip
        """A figure that must stay above a limit in every cycle."""
        worst = min(self.report.cycles, key=lambda cycle: round(figure(cycle), DIGITS))
        return self.found(requirement, figure(worst), limit, AT_LEAST, unit, origin, Place.of(worst), missing)

    def found(
        self, requirement: str, value: float, limit: float | None, sense: float, unit: str, origin: Origin,
        place: "Place", missing: str = "", derating: str = "", silent: str = "", plain: bool = False,
    ) -> Finding:  # fmt: skip
        """One value against its limit; `silent` is what a policy leaves open, so that nothing passes.

        A `plain` value follows from mains and winding alone, and rests on nothing else.
        """
        if limit is None:
            return Finding(requirement, None, UNDECIDED, missing=(missing,), unit=unit)
        behind = [origin.words] if origin.kind in WEAK_KINDS else []
        weak = tuple(dict.fromkeys((*(() if plain else self.weak), *behind)))
        margin = sense * (value - limit)
        gone = [*self._unsure(weak), *([silent] if silent and margin >= 0.0 else [])]
        verdict = UNDECIDED if gone else PASS if margin >= 0.0 else FAIL
        return Finding(
            requirement, None, verdict, value, limit, margin, unit, origin.kind, origin.source, weak, place.corner,
            place.words, tuple(gone), derating=derating,
        )  # fmt: skip

    @property
    def high(self) -> "Place":
        """High mains without load: where nothing holds the voltage down."""
        mains = self.report.feed.mains.most
        return Place({"mains_V": mains, "load_A": 0.0}, f"{shown(mains, VOLTAGE, 3, zeros=False)} mains, no load")

    @property
    def switching(self) -> "Place":
        """High mains, the largest reservoir, switched on at the worst moment."""
        mains, phase = self.report.feed.mains.most, math.degrees(self.report.inrush.phase)
        words = f"{shown(mains, VOLTAGE, 3, zeros=False)} mains, most reservoir, hot diodes, {phase:.0f}° of the cycle"
        return Place({"mains_V": mains, "reservoir": "most", "diodes": "hot", "phase_degrees": phase}, words)

    def _unsure(self, weak: Sequence[str]) -> Iterator[str]:
        """Why nothing may be decided."""
        if not all(cycle.settled for cycle in self.report.cycles):
            yield "a cycle that comes back to itself was not found everywhere"
        for need in self.report.needs:
            if need.current is None:
                yield MISSING_CURRENT.format(need.word)
        if weak and self.brief.requirements.trust == "limits":
            yield "only limits are trusted, and this rests on " + ", ".join(weak)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a value was met: conditions, and their words."""

    corner: dict[str, float | str]
    words: str

    @classmethod
    def of(cls, cycle: Cycle) -> "Place":
        """The conditions of a cycle."""
        return cls(corner(cycle), in_words(cycle))


def corner(cycle: Cycle) -> dict[str, float | str]:
    """The conditions of a cycle."""
    case = cycle.case
    found: dict[str, float | str] = {"mains_V": case.mains}
    if case.need.load is not None:
        found["load_A"] = case.need.load
    return found | {"reservoir": case.reservoir_word, "diodes": case.diodes_word,
                    "ambient_C": round(case.ambient - ZERO_CELSIUS, 6)}  # fmt: skip


def in_words(cycle: Cycle) -> str:
    """The conditions of a cycle for people: "207 V mains, 5 A, least reservoir, cold diodes"."""
    case = cycle.case
    pieces = [f"{shown(case.mains, VOLTAGE, 3, zeros=False)} mains"]
    if case.need.load is not None:
        pieces.append("no load" if case.need.load == 0.0 else shown(case.need.load, CURRENT, 3, zeros=False))
    pieces += [f"{case.reservoir_word} reservoir"] if case.reservoir_word != "usual" else []
    pieces += [f"{case.diodes_word} diodes"] if case.diodes_word != "usual" else []
    return ", ".join(pieces)


def judged(brief: Brief, report: FeedReport) -> Verdict:
    """Every requirement of a feed."""
    started = time.perf_counter()
    judge = Judge(brief, report)
    findings = (*_promises(judge), *_reservoir(judge), *_transformer(judge), *_diodes(judge), *_fuse(judge))
    settled = sum(cycle.settled for cycle in report.cycles)
    count = len(report.cycles)
    seconds = time.perf_counter() - started
    return Verdict(findings, Conditions(count, settled, 0, count - settled, seconds), tuple(_not_judged(report)))


def _not_judged(report: FeedReport) -> Iterator[str]:
    yield MAGNETISING
    if report.feed.fuse_melting is None:
        yield "whether the fuse bears switching on (fuse_melting is not given)"
    yield "how hot transformer, diodes and reservoir get"


def _promises(judge: Judge) -> Iterator[Finding]:
    """What the stage was judged for in `verify`, and what it needs."""
    source = judge.brief.input
    if source is not None:
        size = sorted((abs(source.voltage.least), abs(source.voltage.most)))
        yield judge.least("valley within the promised input", lambda cycle: cycle.valley, size[0], "V", PROMISED)
        yield judge.most("peak within the promised input", lambda cycle: cycle.peak, size[1], "V", PROMISED)
    unmet = [need.word for need in judge.report.needs if need.voltage is None]
    missing = f"the output does not hold at {' nor at '.join(unmet)}, whatever the input"
    worst = min(judge.report.cycles, key=lambda cycle: cycle.valley - (cycle.case.need.voltage or 0.0))
    needed = worst.case.need.voltage if not unmet else None
    yield judge.found("valley above drop-out of the stage", worst.valley, needed, AT_LEAST, "V", NEEDED,
                      Place.of(worst), missing)  # fmt: skip


def _policy_share(policy: Policy | None, sort: str) -> tuple[float, str, str]:
    """Share of a rating that has no policy of its own, the words for it, and what a policy leaves open."""
    if policy is None:
        return 1.0, "", ""
    if policy.name == MILITARY.name:
        return 1.0, f"no share at hand {policy.name}", f"what {policy.name} leaves of this rating is not at hand"
    shares = policy.kinds["diode"]
    share = (shares.voltage if sort == "voltage" else shares.current) or 1.0
    return share, f"× {share:g} {policy.name}", ""


def _reservoir(judge: Judge) -> Iterator[Finding]:
    feed, policy = judge.report.feed, judge.brief.requirements.policy
    share, words, silent = _policy_share(policy, "voltage")
    rated = None if feed.reservoir_voltage is None else share * feed.reservoir_voltage
    yield judge.found("voltage across the reservoir", judge.report.most_crest, rated, AT_MOST, "V", STATED, judge.high,
                      "reservoir_voltage is not given", words, silent, plain=True)  # fmt: skip
    share, words, silent = _policy_share(policy, "current")
    rated = None if feed.reservoir_ripple is None else share * feed.reservoir_ripple
    yield judge.most("ripple current of the reservoir", lambda cycle: cycle.ripple_current, rated, "A", STATED,
                     "reservoir_ripple is not given", words, silent)  # fmt: skip


def _transformer(judge: Judge) -> Iterator[Finding]:
    share, words, silent = _policy_share(judge.brief.requirements.policy, "current")
    yield judge.most("current of the secondary", lambda cycle: cycle.secondary, share * judge.report.feed.rated_current,
                     "A", STATED, "", words, silent)  # fmt: skip


def _diodes(judge: Judge) -> Iterator[Finding]:
    report = judge.report
    limit, origin, missing, words = _rated(judge, "I_F")
    yield judge.most("mean forward current of a diode", lambda cycle: cycle.diode_mean, limit, "A", origin, missing,
                     words)  # fmt: skip
    seen = report.most_crest if report.feed.rectifier == BRIDGE else 2.0 * report.most_crest
    for requirement, symbol, value, unit, place in (
        ("reverse voltage of a diode", "V_RRM", seen, "V", judge.high),
        ("surge of a diode at switching on", "I_FSM", report.inrush.peak, "A", judge.switching),
    ):
        limit, origin, missing, words = _rated(judge, symbol)
        yield judge.found(requirement, value, limit, AT_MOST, unit, origin, place, missing, words,
                          plain=symbol == "V_RRM")  # fmt: skip


def _rated(judge: Judge, symbol: str) -> tuple[float | None, Origin, str, str]:
    """A rating of the diodes as the policy leaves it, where it is from, why it is missing, what was taken off."""
    diodes, policy = judge.report.diodes, judge.brief.requirements.policy
    rated = diodes.ratings.get(symbol)
    if rated is None:
        whose = diodes.type.name if diodes.type is not None else "the diodes: [feed] names no type"
        return None, STATED, f"{symbol} is not known of {whose}", ""
    share = None if policy is None else policy.kinds["diode"].share(symbol)
    if share is None or policy is None:
        return rated.value, rated.origin, "", ""
    return share * rated.value, rated.origin, "", f"× {share:g} {policy.name}"


def _fuse(judge: Judge) -> Iterator[Finding]:
    report, feed = judge.report, judge.report.feed
    share, words, origin = _fuse_share(judge)
    limit = None if feed.fuse is None or share is None else share * feed.fuse
    missing = "fuse is not given" if feed.fuse is None else words
    yield judge.most("current of the fuse for hours", lambda cycle: cycle.primary, limit, "A", origin, missing, words)
    if feed.fuse_melting is not None:
        brought, share = report.transformer.ratio**2 * report.inrush.whole, pulse_share(SWITCHED)
        yield judge.found("fuse, charging the reservoir", brought, share * feed.fuse_melting, AT_MOST, "A²s", STATED,
                          judge.switching, "", f"× {share:g} to bear 10 000 times")  # fmt: skip


def fuse_window(report: FeedReport) -> tuple[float | None, float | None]:
    """Rated currents of miniature fuses that would do: one that carries the primary current as it is, and one that
    carries the transformer's rated one; a larger one would not protect it (common practice, no source)."""
    rated = report.feed.rated_power / report.feed.rated_primary
    return tuple(
        fuse_rating(current, small=True) for current in (max(cycle.primary for cycle in report.cycles), rated)
    )  # type: ignore[return-value]


def _fuse_share(judge: Judge) -> tuple[float | None, str, Origin]:
    """Share of a fuse's rated current that may flow for hours, and words for it; None where the policy has no row."""
    policy, feed = judge.brief.requirements.policy, judge.report.feed
    if policy is None or policy.name != MILITARY.name or feed.fuse is None:
        return CONTINUOUS_SHARE, f"× {CONTINUOUS_SHARE:g} for hours", FOR_HOURS
    try:
        cold = fuse_share(feed.fuse)
    except ValueError as silent:
        return None, str(silent), STATED
    share = fuse_share_at(share=cold, temperature=judge.brief.surroundings.ambient.most)
    return share, f"× {share:.3g} {policy.name}", STATED
