"""What each derating policy leaves of a rating: shares of voltage, current and power, a cooler junction.

The one home of these numbers: sizing takes them for wattages and device counts, the verdict for its limits.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from outboard.constants import ZERO_CELSIUS
from outboard.formulas.resistor_derating import POLICY, ResistorPolicy, used_share_at

SOURCE = "MIL-STD-975M-parts"
OURS = "common-practice"


@dataclass(frozen=True, slots=True)
class Shares:
    """What a policy leaves of a kind's ratings; None where it says nothing.

    by        letter symbol of a rating -> share, where one rating has its own
    highest   highest junction temperature [K]; below: kelvins under the rating
    """

    voltage: float | None = None
    current: float | None = None
    power: float | None = None
    highest: float | None = None
    below: float | None = None
    by: Mapping[str, float] = field(default_factory=dict)
    source: str = SOURCE

    def share(self, symbol: str) -> float | None:
        """Share of a rating by its letter symbol, such as V_CEO, I_C, P_tot; None where the policy says nothing."""
        sort = {"V": self.voltage, "I": self.current, "P": self.power}
        return self.by.get(symbol, sort[symbol[0]])

    def junction(self, rated: float) -> float:
        """Highest junction temperature [K] for a rated one; never above the rating."""
        least = rated - (self.below or 0.0)
        return least if self.highest is None else min(least, self.highest)


@dataclass(frozen=True, slots=True)
class Policy:
    """A named set of shares by kind of part.

    resistors  share of the power that a resistor's maker allows at a temperature; None where `lines` rule
    lines      lines of the policy's own by style of resistor, of the whole rating
    """

    name: str
    kinds: Mapping[str, Shares]
    resistors: float | None
    lines: tuple[ResistorPolicy, ...] = ()
    source: str = SOURCE

    def resistor_share(self, makers: float, ambient: float) -> float:
        """Share of a resistor's rated power at an ambient [K] where its maker leaves the share `makers`.

        Of several lines the most careful counts.  A share of the maker's that is not known stays so.
        """
        if self.resistors is not None:
            return self.resistors * makers
        # The maker's first: min() keeps a first value that is not a number.
        return min((makers, *(
            used_share_at(share=line.share, temperature=ambient, full_until=line.full_until,
                          nothing_from=line.nothing_from)
            for line in self.lines
        )))  # fmt: skip

    def of_style(self, style: str | None) -> "Policy":
        """This policy for resistors of one style; for any style when none is named."""
        lines = tuple(line for line in self.lines if style in styles_of(line))
        return replace(self, lines=lines) if lines else self


def styles_of(line: ResistorPolicy) -> tuple[str, ...]:
    """The styles of a line: "RNR, RNC film" gives RNR and RNC."""
    return tuple(word.strip(",") for word in line.styles.split() if word.strip(",").isupper())


STYLES = tuple(style for line in POLICY for style in styles_of(line))
"""Styles of resistors that a policy tells apart."""

SILICON, INTEGRATED = ZERO_CELSIUS + 125.0, ZERO_CELSIUS + 100.0
"""Highest junction temperatures of MIL-STD-975M for single devices and for integrated ones [K]."""

MILITARY = Policy(
    "MIL-STD-975M",
    {
        "bipolar": Shares(0.75, 0.75, 0.50, SILICON),
        "mosfet": Shares(0.75, 0.75, 0.50, SILICON, by={"V_GS": 0.60}),
        "diode": Shares(0.70, 0.50, 0.50, SILICON),
        "regulator": Shares(None, 0.80, 0.80, INTEGRATED, by={"V_diff": 0.80}),
    },
    None,
    POLICY,
)
"""MIL-STD-975M, appendix A: transistors, diodes, integrated regulators; of these it says nothing about the voltage from
input to ground."""

EVERYTHING = ("bipolar", "mosfet", "diode", "regulator")
WORKSHOP = Policy(
    "workshop",
    {kind: Shares(0.80, 0.80, 0.80, below=25.0, source=OURS) for kind in EVERYTHING},
    0.80,
    source=OURS,
)
"""Four fifths of every rating and a junction 25 K cooler (common practice, no source)."""

POLICIES = {policy.name: policy for policy in (WORKSHOP, MILITARY)}


def own_policy(shares: Shares, resistors: float) -> Policy:
    """A policy of a file's own, the same for every kind of part."""
    return Policy("own table", dict.fromkeys(EVERYTHING, shares), resistors, source="")
