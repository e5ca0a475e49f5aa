"""The pass device that carries most of several: counts are made for equal shares, devices are not equal."""

from collections.abc import Iterator
from math import sqrt

from outboard.arrangements.extremes import Extremes
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_heat import allowed_device_power, case_at, left_of
from outboard.arrangements.stage_types import Given
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.formulas import NoSolution
from outboard.formulas.dissipation import pass_power
from outboard.parts import ratings
from outboard.quantity import CURRENT, POWER, shown


def worst_share_remarks(given: Given, ends: Extremes, sizing: Sizing) -> Iterator[str]:
    """Where equal shares would do, but not the greatest that the ballast leaves one device."""
    ballast = sizing.with_role("ballast")
    if given.stage.count == 1 or ballast is None or ballast.dissipation is None:
        return
    policy = given.brief.requirements.policy
    under = f" under {policy.name}" if policy is not None else ""
    most = ballast.dissipation.numbers["current"]
    carried = f"of {given.stage.count} unequal pass devices one may carry {shown(most, CURRENT)}"
    across = {"input_voltage": ends.input_most, "output_voltage": ends.output_least}
    try:
        allowed = allowed_device_power(given, ends, "pass").value
        bearable = _bearable_current(given, ends, pass_power(**across, current=most))
    except NoSolution:
        return  # The counts say so already.
    equal, power = pass_power(**across, current=ends.each), pass_power(**across, current=most)
    if equal <= allowed < power:
        yield (
            f"{carried} and turn {shown(power, POWER)} into heat, {shown(allowed, POWER)} are left to it{under}: "
            "one more device or a larger ballast"
        )
    if bearable is not None and ends.each <= bearable < most:
        yield f"{carried}, {shown(bearable, CURRENT)} are left to it{under}: one more device or a larger ballast"


def _bearable_current(given: Given, ends: Extremes, power: float) -> float | None:
    """What is left of I_C, or of I_D at the case that a power [W] warms (I²·R_DS(on) heats it) [A]; None unknown."""
    rated = ratings(given.types["pass"])
    if "I_C" in rated:
        return left_of(given, "pass", "I_C") * rated["I_C"].value
    if "I_D" not in rated or "T_J" not in rated:
        return None
    room = rated["T_J"].value - case_at(given, ends, "pass", power)
    whole = rated["T_J"].value - REFERENCE_TEMPERATURE
    return left_of(given, "pass", "I_D") * rated["I_D"].value * sqrt(max(0.0, min(1.0, room / whole)))
