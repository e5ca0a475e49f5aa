"""Power turned into heat, and how many devices or watts of rating that takes."""

from math import ceil, sqrt
from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_O, I_Q, I_REG, P_1, V_I, V_O, V_R, I_C_most, P, R, d, n_devices

I_dev = Annotated[float, Symbol("I", "A", "current through the device")]
P_rated = Annotated[float, Symbol("P_rated", "W", "least power rating")]

_CEILING_SLACK = 1e-9  # a quotient of 3.0000000001 out of rounding is three devices, not four


@formula("P = (V_I − V_O)·I", validity="input to output across one device; base power left out", source="Floyd-17.8")
def pass_power(*, input_voltage: V_I, output_voltage: V_O, current: I_dev) -> P:
    """Heat in a pass device [W]."""
    return (input_voltage - output_voltage) * current


@formula("P = (V_I − V_O)·I_REG + V_I·I_Q", validity="V_I at the regulator's own input pin", source="derived")
def regulator_power(
    *, input_voltage: V_I, output_voltage: V_O, regulator_current: I_REG, quiescent_current: I_Q = 0.0
) -> P:
    """Heat in a fixed regulator whose reference pin is at ground [W]."""
    return (input_voltage - output_voltage) * regulator_current + input_voltage * quiescent_current


@formula("P = I²·R", validity="rms current", source="textbook-ohm")
def resistor_power(*, current: I_dev, resistance: R) -> P:
    """Heat in a resistor from its current [W]."""
    return current**2 * resistance


@formula("P = V_R² / R", validity="rms voltage", source="textbook-ohm")
def resistor_power_from_drop(*, drop: V_R, resistance: R) -> P:
    """Heat in a resistor from its drop [W]."""
    return drop**2 / resistance


@formula("I = √(P / R)", validity="rms current", source="textbook-ohm")
def resistor_current_for_power(*, power: P, resistance: R) -> I_dev:
    """Current at which a resistor turns a given power into heat [A]."""
    return sqrt(power / resistance)


@formula("P_rated = P / d", validity="d of the rating at that ambient temperature", source="derived")
def rating_for_power(*, power: P, used_share: d) -> P_rated:
    """Least power rating when only a share of it may be used [W]."""
    return power / used_share


@formula("n = ⌈P / (d·P_1)⌉", validity="equal sharing; P_1 from the derating line at the hot case", source="derived")
def device_count_by_power(*, power: P, used_share: d, power_per_device: P_1) -> n_devices:
    """Number of pass devices that the heat asks for [1]."""
    return float(max(1, ceil(power / (used_share * power_per_device) - _CEILING_SLACK)))


@formula(
    "n = ⌈I_O / (d·I_C,max)⌉", validity="equal sharing; I_O is what the pass devices carry together", source="derived"
)
def device_count_by_current(*, current: I_O, used_share: d, current_per_device: I_C_most) -> n_devices:
    """Number of pass devices that the current asks for [1]."""
    return float(max(1, ceil(current / (used_share * current_per_device) - _CEILING_SLACK)))
