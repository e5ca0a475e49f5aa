"""Wattages under a derating policy: which construction bears a resistor's heat with what is left of its rating."""

from collections.abc import Iterator
from dataclasses import replace

from outboard.arrangements.resistors import construction
from outboard.arrangements.sizing import SizedValue, Sizing
from outboard.brief import Brief
from outboard.formulas.derating_policies import Policy
from outboard.quantity import POWER, shown


def derated_wattages(sizing: Sizing, brief: Brief) -> Sizing:
    """The sizing with every resistor bought for what the policy leaves of its rating, and never more than half of it.

    Where the policy tells styles apart and the file names none, the most careful of its lines counts.
    """
    policy = brief.requirements.policy
    if policy is None:
        return sizing
    hot = brief.surroundings.ambient.most
    values = tuple(_bought(value, policy, hot) for value in sizing.values)
    lost = (_lost(old, new, policy) for old, new in zip(sizing.values, values, strict=True))
    return replace(sizing, values=values, remarks=(*sizing.remarks, *filter(None, lost), *_silent(brief, policy)))


def _bought(value: SizedValue, policy: Policy, hot: float) -> SizedValue:
    if value.dissipation is None or value.chosen is None:
        return value
    made = construction(value.dissipation.value, value.chosen, hot, policy)
    return replace(
        value,
        needed=made.needed if made else None,
        construction=made.rating.name if made else "",
        rated_power=made.rated_power if made else None,
    )


def _lost(old: SizedValue, new: SizedValue, policy: Policy) -> str:
    """What the policy takes away from a value that a listed resistor would bear without it."""
    if not old.construction or new.construction or new.dissipation is None:
        return ""
    power = shown(new.dissipation.value, POWER)
    return f"no listed resistor bears the {power} of {new.name} with what {policy.name} leaves of its rating"


def _silent(brief: Brief, policy: Policy) -> Iterator[str]:
    """Where the policy says nothing, or too little."""
    if policy.lines and brief.requirements.resistor_style is None:
        yield (
            f"the style of the resistors is not said, so the most careful line of {policy.name} counts for their "
            'wattage; resistor_style = "RNC" in [requirements] names one'
        )
    if "regulator" not in policy.kinds:
        yield f"{policy.name} has no figure at hand for regulators: theirs are used as their sheets print them"
