"""How much current a transistor may carry for ever at a voltage and a case temperature: the least of several lines.

Greatest current, heat, second breakdown, greatest voltage.  A line of second breakdown holds for the time that its
sheet draws it for; a pulse's is no line for lasting current.
"""

from math import exp, log
from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import R_JC, T_0, T_C, T_J, V_CE, V_I, I_C_most, P_max, R

I_all = Annotated[float, Symbol("I_allowed", "A", "lasting collector current that is allowed")]
I_th = Annotated[float, Symbol("I_th", "A", "current that the thermal limit allows")]
I_Sb = Annotated[float, Symbol("I_S/b", "A", "current at which second breakdown begins, at this voltage and case")]
I_Sb_0 = Annotated[float, Symbol("I_S/b0", "A", "the same at the case temperature that the sheet draws it for")]
I_1 = Annotated[float, Symbol("I_1", "A", "current of the point at less voltage")]
I_2 = Annotated[float, Symbol("I_2", "A", "current of the point at more voltage")]
V_1 = Annotated[float, Symbol("V_1", "V", "voltage of the point at less voltage")]
V_2 = Annotated[float, Symbol("V_2", "V", "voltage of the point at more voltage")]


@formula(
    "I_th = (T_J − T_C) / (V_CE·R_JC)", validity="lasting; base power left out; T_J is its rating", source="Sedra-14.5"
)
def heat_limited_current(
    *, junction_temperature: T_J, case_temperature: T_C, collector_emitter_voltage: V_CE, junction_to_case: R_JC
) -> I_th:
    """Current that brings the junction to its rating, at a case temperature [A]."""
    return (junction_temperature - case_temperature) / (collector_emitter_voltage * junction_to_case)


@formula(
    "I_S/b0 = I_1·exp(ln(I_2 / I_1)·ln(V_CE / V_1) / ln(V_2 / V_1))",
    validity="between two points of one line, straight on logarithmic scales as sheets draw it",
    source="derived",
)
def second_breakdown_current(
    *, lower_current: I_1, upper_current: I_2, lower_voltage: V_1, upper_voltage: V_2, collector_emitter_voltage: V_CE
) -> I_Sb_0:
    """Second-breakdown current at a voltage between two printed points [A]."""
    slope = log(upper_current / lower_current) / log(upper_voltage / lower_voltage)
    return lower_current * exp(slope * log(collector_emitter_voltage / lower_voltage))


@formula(
    "I_S/b = I_S/b0·min(1; max(0; (T_J − T_C) / (T_J − T_0)))",
    validity="where the sheet asks for it, or is silent; T_0 is the case temperature that its line is drawn for",
    source="common-practice",
)
def derated_second_breakdown_current(
    *, drawn_current: I_Sb_0, junction_temperature: T_J, case_temperature: T_C, reference_temperature: T_0
) -> I_Sb:
    """Second-breakdown current at a hot case, taken down along the power line [A]."""
    left = (junction_temperature - case_temperature) / (junction_temperature - reference_temperature)
    return drawn_current * min(1.0, max(0.0, left))


@formula(
    "I_allowed = min(I_C,max; I_th; I_S/b)",
    validity="lasting current, V_CE up to V_CEO; each line at the case's own temperature",
    source="Multicomp-MJE15031",
)
def allowed_collector_current(
    *, most_current: I_C_most, heat_limited_current: I_th, second_breakdown_current: I_Sb
) -> I_all:
    """Lasting collector current that every line of the safe area allows [A]."""
    return min(most_current, heat_limited_current, second_breakdown_current)


@formula("P_max = V_I² / (4·R)", validity="device in series with a resistor; at half the voltage", source="Neamen-15.1")
def greatest_power_on_load_line(*, supply_voltage: V_I, resistance: R) -> P_max:
    """Greatest power of a device whose load line is that of a resistor [W]."""
    return supply_voltage**2 / (4 * resistance)
