"""How far below its ratings a policy keeps every part: shares of voltage, current and power, a cooler junction.

A policy turns the check against a rating into one against the rating's share.  What a sheet guarantees, as against what
a part survives, is no rating and stays as it is.  Where the policy is silent the whole rating is judged: what exceeds
it fails all the same, but nothing passes.
"""

from dataclasses import replace

import numpy as np

from outboard.arrangements.design import DesignPart, RatedPower
from outboard.checks.check import Check, Floats
from outboard.checks.needs import titled
from outboard.constants import ZERO_CELSIUS
from outboard.formulas.derating_policies import Policy, Shares, styles_of
from outboard.formulas.resistor_derating import ResistorPolicy
from outboard.network.solution import Block


def derated(check: Check, part: DesignPart, policy: Policy | None) -> Check:
    """A rating's check as the policy wants it."""
    if policy is None or not check.rating:
        return check
    if part.part.kind == "resistor":
        return _resistor(check, part.rated_power, policy)
    shares = policy.kinds.get(part.part.kind)
    if shares is None:
        return _silent(check, f"what {policy.name} leaves of a {part.part.kind} such as {titled(part)}", policy)
    if check.rating == "T_J":
        return _junction(check, shares, policy)
    share = shares.share(check.rating)
    if share is None:
        return _silent(check, f"what {policy.name} leaves of {check.rating} of {titled(part)}", policy)
    return _scaled(check, share, policy)


def _silent(check: Check, what: str, policy: Policy) -> Check:
    """The whole rating, which may fail and cannot pass."""
    return replace(check, silent=f"{what} is not at hand", derating=f"no share at hand {policy.name}")


def _scaled(check: Check, share: float, policy: Policy) -> Check:
    """A share of the limit."""
    before = check.limit
    limit = (lambda block: share * before(block)) if callable(before) else share * before
    return replace(check, limit=limit, derating=f"× {share:g} {policy.name}")


def _junction(check: Check, shares: Shares, policy: Policy) -> Check:
    """A cooler junction: never above the policy's highest, and so far below the rating."""
    assert not callable(check.limit)
    limit = shares.junction(check.limit)
    words = f"− {shares.below:g} K {policy.name}" if shares.below else ""
    if shares.highest is not None and limit == shares.highest:
        words = f"at most {shares.highest - ZERO_CELSIUS:g} °C {policy.name}"
    return replace(check, limit=limit, derating=words or check.derating)


def _resistor(check: Check, rated: RatedPower | None, policy: Policy) -> Check:
    """A share of a resistor's power: of its maker's line, or the policy's own line where that is lower."""
    if policy.resistors is not None:
        return _scaled(check, policy.resistors, policy)
    before = check.limit
    if rated is None or not callable(before):
        return check

    def limit(block: Block) -> Floats:
        shares = before(block) / rated.power
        for line in policy.lines:
            shares = np.minimum(shares, _along(line, block.xs[:, :, -1]))
        return rated.power * shares

    careful = min(policy.lines, key=lambda line: line.share)
    named = "/".join(styles_of(careful))
    return replace(check, limit=limit, derating=f"× {careful.share:g} {policy.name}, style {named}")


def _along(line: ResistorPolicy, ambient: Floats) -> Floats:
    """`used_share_at` over arrays, with their slopes where they carry any."""
    left = (line.nothing_from - ambient) / (line.nothing_from - line.full_until)
    return line.share * np.clip(left, 0.0, 1.0)
