"""The transistor of hand algebra in its active region, with leakage."""

from math import log, pow
from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_B, I_C, I_CBO, R_B, R_C, R_E, V_BE, V_CB, T_abs, h_FE

h_FE_0 = Annotated[float, Symbol("h_FE0", "1", "static current gain at the stated temperature")]
T_0_abs = Annotated[float, Symbol("T_0", "K", "absolute temperature at which the gain is stated")]
m_gain = Annotated[float, Symbol("m", "1", "temperature exponent of the gain, 1 to 2")]
V_BB = Annotated[float, Symbol("V_BB", "V", "voltage that feeds the base resistor")]
V_CC = Annotated[float, Symbol("V_CC", "V", "voltage that feeds the collector")]
tau_s = Annotated[float, Symbol("τ_s", "s", "storage time constant")]
I_B1 = Annotated[float, Symbol("I_B1", "A", "base current while the transistor is held on")]
I_B2 = Annotated[float, Symbol("I_B2", "A", "current drawn out of the base to turn it off")]
I_BS = Annotated[float, Symbol("I_BS", "A", "base current at the edge of saturation, I_C/h_FE")]
t_s = Annotated[float, Symbol("t_s", "s", "time for which a saturated transistor stays on after it is turned off")]


@formula(
    "I_B = (V_BB − V_BE − (h_FE + 1)·I_CBO·R_E) / (R_B + (h_FE + 1)·R_E)",
    validity="active region; constant V_BE and h_FE",
    source="Millman-5.1",
)
def base_current(
    *,
    base_supply: V_BB,
    base_emitter_voltage: V_BE,
    current_gain: h_FE,
    leakage_current: I_CBO = 0.0,
    base_resistance: R_B,
    emitter_resistance: R_E = 0.0,
) -> I_B:
    """Base current through a base resistor, with or without a resistor in the emitter [A]."""
    lifted = (current_gain + 1) * emitter_resistance
    return (base_supply - base_emitter_voltage - lifted * leakage_current) / (base_resistance + lifted)


@formula("I_C = h_FE·I_B + (h_FE + 1)·I_CBO", validity="active region", source="Millman-5.1")
def collector_current(*, current_gain: h_FE, base_current: I_B, leakage_current: I_CBO = 0.0) -> I_C:
    """Collector current with its leakage part [A]."""
    return current_gain * base_current + (current_gain + 1) * leakage_current


@formula("V_CB = V_CC − I_C·R_C − V_BE − (I_C + I_B)·R_E", validity="positive: active region", source="Millman-5.1")
def collector_base_voltage(
    *,
    collector_supply: V_CC,
    collector_current: I_C,
    base_current: I_B,
    collector_resistance: R_C,
    base_emitter_voltage: V_BE,
    emitter_resistance: R_E = 0.0,
) -> V_CB:
    """Reverse voltage of the collector junction; its sign decides between active and saturated [V]."""
    at_base = base_emitter_voltage + (collector_current + base_current) * emitter_resistance
    return collector_supply - collector_current * collector_resistance - at_base


@formula("h_FE = h_FE0·(T / T_0)^m", validity="same collector current; m is rarely printed", source="common-practice")
def gain_at_temperature(
    *, stated_gain: h_FE_0, temperature: T_abs, reference_temperature: T_0_abs, exponent: m_gain = 1.5
) -> h_FE:
    """Current gain of a colder or hotter junction [1]."""
    return stated_gain * pow(temperature / reference_temperature, exponent)


@formula(
    "t_s = τ_s·ln((I_B1 + I_B2) / (I_BS + I_B2))",
    validity="saturated before, I_B1 above I_BS; currents that step and then stay; few sheets give the time constant",
    source="charge-control-storage",
)
def storage_time(
    *, storage_constant: tau_s, base_current: I_B1, turn_off_current: I_B2 = 0.0, edge_current: I_BS
) -> t_s:
    """How long a saturated transistor goes on conducting [s]."""
    return storage_constant * log((base_current + turn_off_current) / (edge_current + turn_off_current))
