"""The pn junction by hand: exponential law, its temperature, a resistor in series, small changes."""

from math import exp, log, log1p
from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_F, I_S, T_0, V_BE, V_F, V_T, R, T, T_abs, emission, tempco

V_G0 = Annotated[float, Symbol("V_G0", "V", "band-gap voltage extrapolated to 0 K")]
eta = Annotated[float, Symbol("η", "1", "temperature exponent of the saturation current")]
V_S = Annotated[float, Symbol("V_S", "V", "voltage across junction and resistor")]
r_d = Annotated[float, Symbol("r_d", "Ω", "incremental resistance of the junction")]
v_in = Annotated[float, Symbol("v_i", "V", "small change in front of the resistor")]
v_out = Annotated[float, Symbol("v_d", "V", "small change across the junction")]
V_BE_0 = Annotated[float, Symbol("V_BE0", "V", "base-emitter voltage at the stated temperature")]


def lambert_w(argument: float) -> float:
    """Principal branch W of w·exp(w) = argument, for argument ≥ 0 [1]."""
    if argument < 0:
        raise ValueError(f"this branch is for arguments from 0 on, not {argument}")
    return lambert_w_of_exponential(log(argument)) if argument else 0.0


def lambert_w_of_exponential(exponent: float) -> float:
    """W(exp(exponent)), without overflow: the root of w + ln w = exponent, by Newton from below [1]."""
    root = exponent - log(exponent) if exponent > 1 else exp(exponent) / (1 + exp(exponent))
    if root == 0:  # exp underflows, and so does W
        return 0.0
    for _ in range(50):
        step = (exponent - root - log(root)) * root / (root + 1)
        root += step
        if abs(step) <= 4e-16 * root:
            break
    return root


@formula("I_S = I_F·exp(−V_F / (n·V_T))", validity="V_F several times n·V_T", source="Sedra-3.3")
def saturation_current(
    *, forward_current: I_F, forward_voltage: V_F, emission_coefficient: emission, thermal_voltage: V_T
) -> I_S:
    """Scale current of a junction from one reading [A]."""
    return forward_current * exp(-forward_voltage / (emission_coefficient * thermal_voltage))


@formula("V_F = n·V_T·ln(1 + I_F / I_S)", validity="no series resistance", source="Sedra-3.3")
def forward_voltage(
    *, emission_coefficient: emission, thermal_voltage: V_T, forward_current: I_F, saturation_current: I_S
) -> V_F:
    """Forward voltage of a junction at a current [V]."""
    return emission_coefficient * thermal_voltage * log1p(forward_current / saturation_current)


@formula(
    "I_F = (n·V_T / R)·W((I_S·R / (n·V_T))·exp((V_S + I_S·R) / (n·V_T))) − I_S",
    validity="exact for the exponential law; W is Lambert's function",
    source="Lambert-diode",
)
def current_through_resistor(
    *, supply_voltage: V_S, resistance: R, saturation_current: I_S, emission_coefficient: emission, thermal_voltage: V_T
) -> I_F:
    """Current of a junction in series with a resistor [A]."""
    slope = emission_coefficient * thermal_voltage
    scaled = saturation_current * resistance / slope
    root = lambert_w_of_exponential(log(scaled) + supply_voltage / slope + scaled)
    return slope / resistance * root - saturation_current


@formula("k_V = −(V_G0 − V_BE + η·V_T) / T", validity="constant collector current", source="Franco-11.5")
def voltage_tempco(
    *, bandgap_voltage: V_G0, base_emitter_voltage: V_BE, exponent: eta = 3.0, thermal_voltage: V_T, temperature: T_abs
) -> tempco:
    """Change of the base-emitter voltage per kelvin, from the band-gap law [V/K]."""
    return -(bandgap_voltage - base_emitter_voltage + exponent * thermal_voltage) / temperature


@formula(
    "V_BE = V_BE0 + k_V·(T − T_0)", validity="constant current; straight line, about −2 mV/K", source="Franco-11.11"
)
def base_emitter_voltage_at(
    *, stated_voltage: V_BE_0, voltage_tempco: tempco, temperature: T, reference_temperature: T_0
) -> V_BE:
    """Base-emitter voltage at another temperature [V]."""
    return stated_voltage + voltage_tempco * (temperature - reference_temperature)


@formula("r_d = n·V_T / I_F", validity="changes well below n·V_T", source="Sedra-3.6")
def incremental_resistance(*, emission_coefficient: emission, thermal_voltage: V_T, forward_current: I_F) -> r_d:
    """Resistance of a junction to small changes [Ω]."""
    return emission_coefficient * thermal_voltage / forward_current


@formula("v_d = v_i·r_d / (R + r_d)", validity="changes well below n·V_T", source="Sedra-3.6")
def divided_change(*, change: v_in, incremental_resistance: r_d, resistance: R) -> v_out:
    """What is left of a small change behind a resistor, across the junction [V]."""
    return change * incremental_resistance / (resistance + incremental_resistance)
