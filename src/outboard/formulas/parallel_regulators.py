"""Regulators side by side: why each needs ballast, and what that costs.

Two regulators on one output are two voltage sources that differ by some per cent: without ballast the one with the
higher set voltage carries the load alone until it limits.
"""

from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_O, I_REG_most, n_devices

dV_set = Annotated[float, Symbol("ΔV_REG", "V", "difference of set voltage between two regulators")]
dI_REG = Annotated[float, Symbol("ΔI_REG", "A", "difference of current between two regulators")]
R_P = Annotated[float, Symbol("R_P", "Ω", "ballast at the output of each regulator")]
I_all = Annotated[float, Symbol("I_O,max", "A", "load that the regulators carry together")]
V_sag = Annotated[float, Symbol("ΔV_O", "V", "change of output voltage")]


@formula("R_P = ΔV_REG / ΔI_REG", validity="both regulators within their limits", source="derived")
def regulator_ballast(*, voltage_difference: dV_set, current_difference: dI_REG) -> R_P:
    """Ballast that keeps two parallel regulators within a chosen difference of current [Ω]."""
    return voltage_difference / current_difference


@formula(
    "I_O,max = max(I_REG,max; n·I_REG,max − (n − 1)·ΔV_REG / R_P)",
    validity="one regulator at its limit, the others lower by the whole difference",
    source="derived",
)
def parallel_current(
    *, count: n_devices, regulator_current: I_REG_most, voltage_difference: dV_set, ballast_resistance: R_P
) -> I_all:
    """What parallel regulators carry before the first one is overloaded [A]."""
    whole = count * regulator_current - (count - 1) * voltage_difference / ballast_resistance
    return max(regulator_current, whole)


@formula("ΔV_O = I_O·R_P / n", validity="equal sharing; the regulators hold their own outputs only", source="derived")
def ballast_sag(*, load_current: I_O, ballast_resistance: R_P, count: n_devices) -> V_sag:
    """How far the output sags at full load because of the regulators' ballast [V]."""
    return load_current * ballast_resistance / count
