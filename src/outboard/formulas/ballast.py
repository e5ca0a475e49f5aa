"""Ballast: resistors in the emitter leads that make parallel devices share."""

from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_C, I_E, R_E, V_T, n_devices

V_RE = Annotated[float, Symbol("V_RE", "V", "drop across the ballast at full current, 0.1 V to 0.3 V")]
dV_BE = Annotated[float, Symbol("ΔV_BE", "V", "difference of base-emitter voltage between two devices")]
r_least = Annotated[float, Symbol("r_E,min", "Ω", "emitter resistance of the device that conducts best")]
r_most = Annotated[float, Symbol("r_E,max", "Ω", "emitter resistance of the others")]
I_E_most = Annotated[float, Symbol("I_E,max", "A", "emitter current of the device that conducts best")]
imbalance = Annotated[float, Symbol("δ", "1", "relative difference of the two currents")]


@formula(
    "R_E = V_RE / I_E", validity="I_E of one device at full load; V_RE from 0.1 V to 0.3 V", source="common-practice"
)
def ballast_resistor(*, ballast_voltage: V_RE, emitter_current: I_E) -> R_E:
    """Ballast resistor from the drop that is spent on it [Ω]."""
    return ballast_voltage / emitter_current


@formula("δ = ΔV_BE / (V_T + I_E·R_E)", validity="small differences, like temperature", source="derived")
def current_imbalance(
    *, voltage_difference: dV_BE, thermal_voltage: V_T, emitter_current: I_E, ballast_resistance: R_E
) -> imbalance:
    """How far two parallel devices differ because their V_BE differ [1]."""
    return voltage_difference / (thermal_voltage + emitter_current * ballast_resistance)


@formula(
    "I_E,max = min(I_C; ((n − 1)·ΔV_BE + I_C·(R_E + r_E,max)) / ((n − 1)·(R_E + r_E,min) + R_E + r_E,max))",
    validity="one device that conducts best beside n − 1 that conduct worst; V_BE as a voltage and a resistance; "
    "I_C is what all carry together",
    source="derived",
)
def greatest_share(
    *,
    all_current: I_C,
    count: n_devices,
    voltage_difference: dV_BE,
    ballast_resistance: R_E,
    least_emitter_resistance: r_least,
    most_emitter_resistance: r_most,
) -> I_E_most:
    """Largest current that one of several parallel devices takes [A]."""
    others = ballast_resistance + most_emitter_resistance
    best = ballast_resistance + least_emitter_resistance
    lead = (count - 1) * voltage_difference
    return min(all_current, (lead + all_current * others) / ((count - 1) * best + others))
