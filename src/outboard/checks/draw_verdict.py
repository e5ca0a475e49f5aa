"""What the draws say beside the corners: yield, quantiles, least margins and where they were met, what drives them.

It never replaces the verdict of the corners.  A requirement that the corners leave undecided for want of a figure has
no numbers here either, and a draw with an open lane never counts as one that holds.
"""

from dataclasses import dataclass

from outboard.checks.culprits import Drivers, drivers
from outboard.checks.draw_run import Run
from outboard.checks.drawn import CheckDraws, Least
from outboard.checks.draws import Lot
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding, titled
from outboard.checks.reach import Reach
from outboard.checks.rungs import Quantile, proportion, quantile
from outboard.checks.survey import reach
from outboard.constants import ZERO_CELSIUS
from outboard.quantity import CURRENT, shown

SHARES = (0.001, 0.01, 0.05, 0.5)
"""Quantiles that are read off."""

BOUND = "no draw beyond the corners"
"""The requirement that the corners are a bound."""


@dataclass(frozen=True, slots=True)
class DrawFinding:
    """One requirement over the draws; margins in `unit`, kelvins for a difference of temperatures.

    missing     why it has no numbers
    failing     interval of the share that fails, open draws counted against it at the upper end
    bound       the least margin of the corners
    alike       all parts that this stands for: the weakest of them counts; `part` is the first
    corner      in words where the least drawn margin was met; `least` has value and limit in SI
    """

    requirement: str
    part: str | None
    unit: str
    missing: tuple[str, ...]
    holds: int = 0
    fails: int = 0
    open: int = 0
    outside: int = 0
    failing: tuple[float, float] = (0.0, 1.0)
    quantiles: tuple[Quantile, ...] = ()
    least: Least | None = None
    corner: str = ""
    bound: float | None = None
    bound_words: str = ""
    drivers: Drivers | None = None
    alike: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """What is required of what, as a person reads it."""
        return titled(self.requirement, self.part, self.alike)

    @property
    def share_left(self) -> float:
        """What it sorts by: undecided last, then the least margin as a share of its limit."""
        if self.least is None:
            return float("inf")
        way = abs(self.least.limit) or 1.0
        return self.least.margin / way


@dataclass(frozen=True, slots=True)
class DrawVerdict:
    """All requirements over the draws; `holds` and the rest count draws by all requirements that can be decided.

    left_out   requirements that cannot be decided: the yield is that of the others
    stopped    somebody stopped it before all `wanted` draws were made
    """

    seed: int
    method: str
    wanted: int
    draws: int
    stopped: bool
    holds: int
    fails: int
    open: int
    yields: tuple[float, float]
    left_out: tuple[str, ...]
    points: int
    runaway: int
    undecided: int
    conditions: str
    findings: tuple[DrawFinding, ...]
    reach: Reach | None
    seconds: float

    @property
    def ordered(self) -> tuple[DrawFinding, ...]:
        """Tightest first."""
        return tuple(sorted(self.findings, key=lambda finding: round(finding.share_left, 9)))

    def telling(self, count: int) -> tuple[DrawFinding, ...]:
        """The tightest requirements with something behind them; of those in one unit with one strongest axis only the
        first, since the others say the same again."""
        told: dict[tuple[str, str], DrawFinding] = {}
        for finding in self.ordered:
            if finding.drivers is not None and finding.drivers.culprits:
                told.setdefault((finding.unit, finding.drivers.culprits[0].axis), finding)
        return tuple(told.values())[:count]


def draw_verdict(lot: Lot, found: Run, findings: tuple[Finding, ...], seconds: float, mapped: bool) -> DrawVerdict:
    """What a run says; `findings` are those of the corners, for the words of their worst places.

    `mapped`: also how far each requirement holds, which takes as long as some thousand draws.
    """
    drawn = found.drawn
    words = {(finding.requirement, finding.part): finding.in_words for finding in findings}
    each = tuple(_finding(lot, number, found, words) for number in range(len(lot.checks)))
    left_out = tuple(one.title for one in each if one.missing)
    return DrawVerdict(
        lot.sampling.seed, lot.sampling.method, found.wanted, drawn.draws, found.stopped, drawn.holds, drawn.fails,
        drawn.open, proportion(drawn.holds, drawn.holds + drawn.open, drawn.draws) if drawn.draws else (0.0, 1.0),
        left_out, drawn.points, drawn.runaway, drawn.undecided, lot.setting.design.brief.tolerances.conditions, each,
        reach(lot.corners) if mapped else None, seconds,
    )  # fmt: skip


def _finding(lot: Lot, number: int, found: Run, words: dict[tuple[str, str | None], str]) -> DrawFinding:
    check, tally, drawn = lot.checks[number], lot.tallies[number], found.drawn
    unit = "°C" if check.unit == "K" else check.unit
    missing = lot.undecidable[number]
    if missing or not drawn.draws:
        return DrawFinding(check.requirement, check.part, unit, missing or ("nothing was drawn",), alike=check.alike)
    kept: CheckDraws = drawn.checks[number]
    return DrawFinding(
        check.requirement, check.part, unit, (), kept.holds, kept.fails, kept.open, kept.outside,
        proportion(kept.fails, kept.fails + kept.open, kept.draws),
        tuple(quantile(kept.ladder, share) for share in SHARES), kept.least,
        where(kept.least) if kept.least else "", tally.worst.margin if tally.worst else None,
        words.get((check.requirement, check.part), ""), drivers(lot, number, drawn), check.alike,
    )  # fmt: skip


def where(least: Least) -> str:
    """ "20.5 V in, 5 A, 40 °C"."""
    load = shown(least.load, CURRENT, 4, zeros=False)
    texts = (f"{least.input_voltage:.4g} V in", load, f"{least.ambient - ZERO_CELSIUS:.4g} °C")
    return ", ".join(texts).replace("-", "−")


def bound_finding(lot: Lot, found: Run) -> Finding:
    """Whether the corners bound every draw; a draw beyond them leaves the worst case open, a failing one refutes it."""
    beyond, broken = [], []
    for check, bound, kept in zip(lot.checks, lot.bounds, found.drawn.checks, strict=True):
        if kept.outside and kept.least is not None:
            title = check.title
            beyond.append(
                f"{title}: {kept.outside} of {kept.draws} draws lie below the worst corner, the least by "
                f"{bound - kept.least.margin:.3g} {check.unit} (draw {kept.least.draw})"
            )
            if kept.least.margin < 0.0 <= bound:
                broken.append(title)
    verdict = FAIL if broken else UNDECIDED if beyond or not found.drawn.draws else PASS
    note = f"{found.drawn.draws} draws" if verdict == PASS else ""
    if broken:
        note = "; ".join(beyond)
    missing = () if verdict != UNDECIDED else tuple(beyond) or ("nothing was drawn",)
    return Finding(BOUND, None, verdict, missing=missing, note=note)
