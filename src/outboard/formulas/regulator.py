"""The three-terminal regulator itself: adjustable output, figures of merit, use as a current source."""

from math import log10, pow
from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_ADJ, I_O, I_Q, V_DO, V_I, V_O, V_REF, V_REG, R

R_top = Annotated[float, Symbol("RA", "Ω", "resistor from output to adjustment pin")]
R_bottom = Annotated[float, Symbol("RB", "Ω", "resistor from adjustment pin to ground")]
dV_O = Annotated[float, Symbol("ΔV_O", "V", "change of output voltage")]
dV_I = Annotated[float, Symbol("ΔV_I", "V", "change of input voltage")]
dI_O = Annotated[float, Symbol("ΔI_O", "A", "change of load current")]
per_volt = Annotated[float, Symbol("S_V", "1/V", "line regulation")]
per_ampere = Annotated[float, Symbol("S_I", "1/A", "load regulation")]
z_O = Annotated[float, Symbol("z_O", "Ω", "output resistance")]
V_ri = Annotated[float, Symbol("V_ri", "V", "ripple at the input")]
V_ro = Annotated[float, Symbol("V_ro", "V", "ripple at the output")]
RR = Annotated[float, Symbol("RR", "1", "ripple rejection, decibels")]
V_NL = Annotated[float, Symbol("V_NL", "V", "output voltage without load")]
V_FL = Annotated[float, Symbol("V_FL", "V", "output voltage at full load")]
regulation = Annotated[float, Symbol("S_L", "1", "drop from no load to full load over the full-load voltage")]


@formula("V_O = V_REF·(1 + RB / RA) + I_ADJ·RB", validity="not in drop-out", source="Boylestad-15.15")
def adjusted_output_voltage(
    *, reference_voltage: V_REF, upper_resistance: R_top, lower_resistance: R_bottom, adjustment_current: I_ADJ = 0.0
) -> V_O:
    """Output voltage of an adjustable regulator [V]."""
    return reference_voltage * (1 + lower_resistance / upper_resistance) + adjustment_current * lower_resistance


@formula("S_V = ΔV_O / (ΔV_I·V_O)", validity="small changes; load held", source="Franco-11.1")
def line_regulation(*, output_change: dV_O, input_change: dV_I, output_voltage: V_O) -> per_volt:
    """Relative change of the output per volt at the input [1/V]."""
    return output_change / (input_change * output_voltage)


@formula("S_I = ΔV_O / (ΔI_O·V_O)", validity="small changes; input held", source="Franco-11.1")
def load_regulation(*, output_change: dV_O, load_change: dI_O, output_voltage: V_O) -> per_ampere:
    """Relative change of the output per ampere of load [1/A]."""
    return output_change / (load_change * output_voltage)


@formula("z_O = ΔV_O / ΔI_O", validity="slow changes, constant temperature", source="Franco-11.1")
def output_resistance(*, output_change: dV_O, load_change: dI_O) -> z_O:
    """Output resistance that the load regulation stands for [Ω]."""
    return output_change / load_change


@formula("V_ro = V_ri·10^(−RR / 20)", validity="the valley of the input stays above drop-out", source="Franco-11.1")
def output_ripple(*, input_ripple: V_ri, ripple_rejection: RR) -> V_ro:
    """Ripple that is left at the output [V]; rejection in decibels."""
    return input_ripple * pow(10, -ripple_rejection / 20)


@formula("RR = 20·log10(V_ri / V_ro)", validity="the valley of the input stays above drop-out", source="Franco-11.1")
def ripple_rejection(*, input_ripple: V_ri, output_ripple: V_ro) -> RR:
    """Ripple rejection, in decibels [1]."""
    return 20 * log10(input_ripple / output_ripple)


@formula("S_L = (V_NL − V_FL) / V_FL", validity="steady state", source="Floyd-17.2")
def full_load_regulation(*, no_load_voltage: V_NL, full_load_voltage: V_FL) -> regulation:
    """Drop from no load to full load, as a share of the full-load voltage [1]."""
    return (no_load_voltage - full_load_voltage) / full_load_voltage


@formula(
    "R = V_REG / (I_O − I_Q)",
    validity="fixed regulator with a resistor from output to reference pin",
    source="LM340-fig14",
)
def current_source_resistor(*, regulator_voltage: V_REG, source_current: I_O, quiescent_current: I_Q = 0.0) -> R:
    """Resistor that makes a current source of a fixed regulator [Ω]."""
    return regulator_voltage / (source_current - quiescent_current)


@formula("V_O = V_I − V_REG − V_DO", validity="drop-out voltage at that current", source="LM340-fig14")
def current_source_compliance(*, input_voltage: V_I, regulator_voltage: V_REG, dropout_voltage: V_DO) -> V_O:
    """Highest load voltage that a regulator used as a current source reaches [V]."""
    return input_voltage - regulator_voltage - dropout_voltage
