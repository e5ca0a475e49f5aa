"""A P-channel MOSFET beside the regulator: gate-source voltage, the base resistor's part, the gate's protection."""

from math import sqrt
from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.vocabulary import R1, I_h, I_Q_most, I_REG_most, R1_least, R1_most

V_GS = Annotated[float, Symbol("V_GS", "V", "gate-source voltage")]
V_TH = Annotated[float, Symbol("V_GS,th", "V", "threshold voltage")]
V_TH_least = Annotated[float, Symbol("V_GS,th,min", "V", "least threshold voltage, hot")]
V_GS_full = Annotated[float, Symbol("V_GS,full", "V", "greatest gate-source voltage at full load")]
I_D = Annotated[float, Symbol("I_D", "A", "drain current")]
K = Annotated[float, Symbol("K", "A/V²", "transconductance factor")]
slope = Annotated[float, Symbol("n", "1", "slope factor")]
V_Z = Annotated[float, Symbol("V_Z", "V", "voltage of the Zener diode")]
V_GS_limit = Annotated[float, Symbol("V_GS,max", "V", "gate-source voltage that the sheet allows")]
P_Z = Annotated[float, Symbol("P_Z", "W", "power that the Zener diode may turn into heat")]
R_G = Annotated[float, Symbol("R_G", "Ω", "gate resistor")]
I_lim = Annotated[float, Symbol("I_lim", "A", "current limit of the regulator")]
V_drive = Annotated[float, Symbol("V_R1", "V", "drop across the base resistor")]


@formula("V_GS = V_GS,th + √(2·n·I_D / K)", validity="saturation, strong inversion, V_DS held", source="EKV")
def gate_source_voltage(
    *, threshold_voltage: V_TH, slope_factor: slope, drain_current: I_D, transconductance: K
) -> V_GS:
    """Gate-source voltage for a drain current [V]."""
    return threshold_voltage + sqrt(2 * slope_factor * drain_current / transconductance)


@formula("R1 = V_GS,th / I_h", validity="threshold at the onset of conduction", source="derived")
def gate_source_resistor(*, threshold_voltage: V_TH, handover_current: I_h) -> R1:
    """Resistor from input to regulator that lets the MOSFET start at a chosen regulator current [Ω]."""
    return threshold_voltage / handover_current


@formula(
    "R1,min = V_GS,full / I_REG,max", validity="overload corner: cold or hot, greatest threshold", source="derived"
)
def least_gate_source_resistor(*, gate_source_voltage: V_GS_full, regulator_current: I_REG_most) -> R1_least:
    """Least resistor at which the regulator still turns the MOSFET on for the full load [Ω]."""
    return gate_source_voltage / regulator_current


@formula("R1,max = V_GS,th,min / I_Q,max", validity="no load on the regulator itself; hot corner", source="derived")
def most_gate_source_resistor(*, threshold_voltage: V_TH_least, quiescent_current: I_Q_most) -> R1_most:
    """Greatest resistor at which the quiescent current leaves the MOSFET off [Ω]."""
    return threshold_voltage / quiescent_current


@formula("V_R1 = I_lim·R1", validity="regulator limiting, gate without a Zener diode", source="derived")
def greatest_gate_drive(*, regulator_limit: I_lim, base_resistance: R1) -> V_drive:
    """Gate-source voltage that the regulator's own current limit would make [V]."""
    return regulator_limit * base_resistance


@formula(
    "R_G = (V_R1 − V_Z)·V_Z / P_Z",
    validity="regulator limiting, Zener diode conducting, warm for good",
    source="derived",
)
def least_gate_resistor(*, gate_drive: V_drive, zener_voltage: V_Z, zener_power: P_Z) -> R_G:
    """Least gate resistor that keeps the Zener diode within its power while the regulator limits [Ω]."""
    return (gate_drive - zener_voltage) * zener_voltage / zener_power


@formula(
    "V_Z = (V_GS,full + V_GS,max) / 2",
    validity="halfway between what the full load needs and what the gate bears",
    source="derived",
)
def zener_voltage(*, gate_source_voltage: V_GS_full, gate_source_limit: V_GS_limit) -> V_Z:
    """Zener voltage that neither steals drive nor lets the gate be overdriven [V]; NoSolution when none does."""
    if gate_source_voltage >= gate_source_limit:
        raise NoSolution(
            f"no Zener voltage exists: the full load needs {gate_source_voltage:.4g} V from gate to source, the gate "
            f"bears {gate_source_limit:.4g} V; a MOSFET with a lower threshold, or more of them, is needed"
        )
    return (gate_source_voltage + gate_source_limit) / 2
