"""What a verdict is made of: findings, each with its limit, its worst case and what it rests on."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

PASS = "PASS"
FAIL = "FAIL"
UNDECIDED = "UNDECIDED"


def judged_part(part: str | None, alike: Sequence[str] = ()) -> str:
    """ "Q1", or "Q1, Q2, Q3, the one apart" where any of several may be the weakest."""
    return f"{', '.join(alike)}, the one apart" if alike else part or ""


def titled(requirement: str, part: str | None, alike: Sequence[str] = ()) -> str:
    """What is required of what."""
    return " ".join(filter(None, (requirement, judged_part(part, alike))))


@dataclass(frozen=True, slots=True)
class Finding:
    """One requirement judged for one part over all conditions.

    worst, limit, margin   at the lane with the least margin; numbers in `unit` as people read them (°C, A, V, W);
                           None where undecided without a number
    limit_kind, source     what kind of figure the limit is ("limit", "typical", "recalled", "promised", "default",
                           "derived", "stated") and its document
    rests_on               typical, recalled and default figures without which this would not be known
    rest                   the value at which nothing would be used of the limit (ambient, or 0)
    corner                 the conditions of the worst lane; `in_words` says them
    missing                what is not known, for UNDECIDED
    derating               what a policy took off the limit, in words
    alike                  all parts that this stands for, because any of them could be the weakest; `part` is the first
    """

    requirement: str
    part: str | None
    verdict: str
    worst: float | None = None
    limit: float | None = None
    margin: float | None = None
    unit: str = ""
    limit_kind: str = ""
    source: str = ""
    rests_on: tuple[str, ...] = ()
    corner: Mapping[str, float | str] = field(default_factory=dict)
    in_words: str = ""
    missing: tuple[str, ...] = ()
    note: str = ""
    rest: float = 0.0
    derating: str = ""
    alike: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """What is required of what, as a person reads it."""
        return titled(self.requirement, self.part, self.alike)

    @property
    def share_left(self) -> float:
        """Margin as a share of the whole way from rest to limit; what the ledger sorts by."""
        if self.margin is None or self.limit is None:
            return 0.0
        span = abs(self.limit - self.rest)
        return self.margin / span if span > 0.0 else self.margin


@dataclass(frozen=True, slots=True)
class Conditions:
    """How much was looked at: points solved, run away, left undecided; wall time [s]."""

    points: int
    solved: int
    runaway: int
    undecided: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """All findings about a design; FAIL beats UNDECIDED beats PASS.  `not_judged` names what this run leaves out."""

    findings: tuple[Finding, ...]
    conditions: Conditions
    not_judged: tuple[str, ...] = ()

    @property
    def verdict(self) -> str:
        """The word for the whole."""
        words = {finding.verdict for finding in self.findings}
        for word in (FAIL, UNDECIDED):
            if word in words:
                return word
        return PASS if self.findings else UNDECIDED

    @property
    def counts(self) -> Mapping[str, int]:
        """How many findings of each verdict."""
        return {
            word: sum(finding.verdict == word for finding in self.findings) for word in (PASS, FAIL, UNDECIDED)
        }

    @property
    def ordered(self) -> tuple[Finding, ...]:
        """FAIL, then UNDECIDED, then PASS by tightest share of margin, rounding apart."""
        rank = {FAIL: 0, UNDECIDED: 1, PASS: 2}
        return tuple(sorted(self.findings, key=lambda finding: (rank[finding.verdict], round(finding.share_left, 9))))
