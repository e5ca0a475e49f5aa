"""How far below its ratings a policy keeps every part: shares of voltage, current and power, a cooler junction.

A policy turns the check against a rating into one against the rating's share.  What a sheet guarantees, as against what
a part survives, is no rating and stays as it is.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from outboard.arrangements.design import DesignPart
from outboard.brief import OwnDerating
from outboard.checks.check import Check, Floats
from outboard.checks.needs import Need, titled
from outboard.constants import ZERO_CELSIUS
from outboard.formulas.resistor_derating import POLICY, used_share_at
from outboard.network.solution import Block

SOURCE = "MIL-STD-975M-parts"
OURS = "common-practice"

GUARANTEES = ("input-output differential", "dissipation")
"""Rating checks that hold a part to what its sheet guarantees."""

DIMENSION = {"V": "voltage", "A": "current", "W": "power", "K": "junction"}


@dataclass(frozen=True, slots=True)
class Shares:
    """What a policy leaves of a kind's ratings; None where it says nothing.

    by        requirement -> share, where one requirement has its own
    highest   highest junction temperature [K]; below: kelvins under the rating
    """

    voltage: float | None = None
    current: float | None = None
    power: float | None = None
    highest: float | None = None
    below: float | None = None
    by: Mapping[str, float] = field(default_factory=dict)
    source: str = SOURCE


@dataclass(frozen=True, slots=True)
class Policy:
    """A named set of shares by kind of part; resistors follow `resistors`, which is a share or the rows of POLICY."""

    name: str
    kinds: Mapping[str, Shares]
    resistors: float | None
    source: str


SILICON = ZERO_CELSIUS + 125.0
MILITARY = Policy(
    "MIL-STD-975M",
    {
        "bipolar": Shares(0.75, 0.75, 0.50, SILICON),
        "mosfet": Shares(0.75, 0.75, 0.50, SILICON, by={"gate-source voltage": 0.60}),
        "diode": Shares(0.70, 0.50, 0.50, SILICON),
    },
    None,
    SOURCE,
)
"""MIL-STD-975M, appendix A: transistors, diodes; integrated regulators have rows that are not at hand."""

EVERYTHING = ("bipolar", "mosfet", "diode", "regulator")
WORKSHOP = Policy(
    "workshop",
    {kind: Shares(0.80, 0.80, 0.80, below=25.0, source=OURS) for kind in EVERYTHING},
    0.80,
    OURS,
)
"""Four fifths of every rating and a junction 25 K cooler (common practice, no source)."""

POLICIES = {policy.name: policy for policy in (WORKSHOP, MILITARY)}

STRICTEST_FILM = next(row for row in POLICY if row.styles.startswith("RLR"))
"""A resistor whose style is not known is held to the strictest row of the table."""


def policy_of(name: str, own: OwnDerating | None) -> Policy | None:
    """The policy of a design file; None for "none"."""
    if own is not None:
        shares = Shares(own.voltage, own.current, own.power, below=own.junction_below, source="")
        return Policy("own table", dict.fromkeys(EVERYTHING, shares), own.resistors, "")
    return POLICIES.get(name)


def derated(check: Check, part: DesignPart, policy: Policy | None) -> Check:
    """A rating's check as the policy wants it."""
    if policy is None or check.requirement in GUARANTEES:
        return check
    if part.part.kind == "resistor":
        return _resistor(check, policy)
    shares, dimension = policy.kinds.get(part.part.kind), DIMENSION[check.unit]
    if shares is None:
        missing = f"what {policy.name} leaves of a {part.part.kind} such as {titled(part)} is not at hand"
        return replace(check, needs=(*check.needs, Need(None, missing)), derating=policy.name)
    if dimension == "junction":
        return _junction(check, shares, policy)
    share = shares.by.get(check.requirement, getattr(shares, dimension))
    return check if share is None else _scaled(check, share, policy)


def _scaled(check: Check, share: float, policy: Policy) -> Check:
    """A share of the limit."""
    before = check.limit
    limit = (lambda block: share * before(block)) if callable(before) else share * before
    return replace(check, limit=limit, derating=f"× {share:g} {policy.name}")


def _junction(check: Check, shares: Shares, policy: Policy) -> Check:
    """A cooler junction: never above the policy's highest, and so far below the rating."""
    assert not callable(check.limit)
    limit = check.limit - (shares.below or 0.0)
    words = f"− {shares.below:g} K {policy.name}" if shares.below else ""
    if shares.highest is not None and shares.highest < limit:
        limit, words = shares.highest, f"at most {shares.highest - ZERO_CELSIUS:g} °C {policy.name}"
    return replace(check, limit=limit, derating=words or check.derating)


def _resistor(check: Check, policy: Policy) -> Check:
    """A share of a resistor's power: the policy's own, or that of the strictest style, which falls with temperature."""
    if policy.resistors is not None:
        return _scaled(check, policy.resistors, policy)
    if policy.source != SOURCE:
        return check
    before, row = check.limit, STRICTEST_FILM

    def limit(block: Block) -> Floats:
        rated = before(block) if callable(before) else np.full(block.outcomes.shape, before)
        share = [
            used_share_at(share=row.share, temperature=float(ambient), full_until=row.full_until,
                          nothing_from=row.nothing_from)
            for ambient in block.xs[:, 0, -1]
        ]  # fmt: skip
        return np.asarray(rated * np.array(share)[:, None])

    return replace(check, limit=limit, derating=f"× {row.share:g} {policy.name}, style {row.styles.split()[0]}")
