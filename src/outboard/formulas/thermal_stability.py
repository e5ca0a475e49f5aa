"""Does heat make more current make more heat?

The loop gain below holds for a device at fixed V_BE, that is for the difference between parallel devices, with R_th the
device's own path.  A boosted stage holds its total current by the regulator; that common mode is read from the solved
network, and these formulas only explain it.
"""

from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_C, R_B, R_C, R_E, V_CE, V_T, R_th, h_FE

V_CC = Annotated[float, Symbol("V_CC", "V", "supply voltage of the stage")]
slope = Annotated[float, Symbol("dP/dI_C", "V", "change of collector power with collector current")]
dI_C = Annotated[float, Symbol("ΔI_C", "A", "change of collector current over the temperature rise")]
dT = Annotated[float, Symbol("ΔT", "K", "temperature rise")]
steepness = Annotated[float, Symbol("|k_V|", "V/K", "fall of base-emitter voltage with temperature, as magnitude")]
loop = Annotated[float, Symbol("L", "1", "thermal loop gain; from 1 on the current runs away")]


@formula(
    "dP/dI_C = V_CC − 2·I_C·(R_C + R_E)", validity="common-emitter stage with series resistors", source="Millman-9.5"
)
def power_slope(
    *, supply_voltage: V_CC, collector_current: I_C, collector_resistance: R_C, emitter_resistance: R_E
) -> slope:
    """How fast collector power grows with collector current [V]."""
    return supply_voltage - 2 * collector_current * (collector_resistance + emitter_resistance)


@formula(
    "R_th = ΔT / (ΔI_C·dP/dI_C)",
    validity="stable below this; no bound when the slope is negative",
    source="Millman-9.5",
)
def runaway_bound(*, temperature_rise: dT, current_change: dI_C, power_slope: slope) -> R_th:
    """Thermal resistance beyond which the stage runs away [K/W]."""
    return temperature_rise / (current_change * power_slope)


@formula(
    "L = V_CE·R_th·|k_V| / (V_T / I_C + R_E + R_B / h_FE)",
    validity="device at fixed base voltage: difference between parallel devices; leakage left out",
    source="thermal-loop-forum",
)
def thermal_loop_gain(
    *,
    collector_emitter_voltage: V_CE,
    thermal_resistance: R_th,
    voltage_fall: steepness,
    thermal_voltage: V_T,
    collector_current: I_C,
    emitter_resistance: R_E = 0.0,
    base_resistance: R_B = 0.0,
    current_gain: h_FE = 1.0,
) -> loop:
    """Share of a small current change that comes back through heat [1]."""
    degeneration = thermal_voltage / collector_current + emitter_resistance + base_resistance / current_gain
    return collector_emitter_voltage * thermal_resistance * voltage_fall / degeneration


@formula(
    "R_E = max(0; V_CE·R_th·|k_V| − V_T / I_C)", validity="loop gain 1; base resistance left out", source="derived"
)
def critical_ballast(
    *,
    collector_emitter_voltage: V_CE,
    thermal_resistance: R_th,
    voltage_fall: steepness,
    thermal_voltage: V_T,
    collector_current: I_C,
) -> R_E:
    """Least ballast against runaway between parallel devices [Ω]."""
    heat = collector_emitter_voltage * thermal_resistance * voltage_fall
    return max(0.0, heat - thermal_voltage / collector_current)
