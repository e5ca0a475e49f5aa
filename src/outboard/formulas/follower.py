"""The emitter follower behind a regulator: what the regulator carries, what comes out."""

from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_O, I_REG, R2, V_BE, V_D, V_O, V_REG, h_FE_least

dV_BE2 = Annotated[float, Symbol("ΔV_BE", "V", "change of base-emitter voltage from the lightest to the full load")]
dV_O2 = Annotated[float, Symbol("ΔV_O", "V", "change of output voltage")]
V_E = Annotated[float, Symbol("V_RE", "V", "drop in the emitter lead at full load")]


@formula(
    "I_REG = I_O / (h_FE,min + 1) + V_BE / R2",
    validity="follower conducting; R2 lies from base to emitter",
    source="derived",
)
def follower_regulator_current(
    *, load_current: I_O, current_gain: h_FE_least, base_emitter_voltage: V_BE, bleed_resistance: R2
) -> I_REG:
    """Base current and bleed current that the regulator feeds into a follower [A]."""
    return load_current / (current_gain + 1) + base_emitter_voltage / bleed_resistance


@formula("I_REG = I_O / (h_FE,min + 1)", validity="follower conducting, no bleed resistor", source="derived")
def follower_base_current(*, load_current: I_O, current_gain: h_FE_least) -> I_REG:
    """Base current that the regulator feeds into a follower without a bleed [A]."""
    return load_current / (current_gain + 1)


@formula("V_O = V_REG − V_BE + V_D", validity="V_D = 0 without a diode in the reference lead", source="derived")
def follower_output_voltage(*, regulator_voltage: V_REG, base_emitter_voltage: V_BE, diode_voltage: V_D) -> V_O:
    """Output of an emitter follower behind a regulator [V]."""
    return regulator_voltage - base_emitter_voltage + diode_voltage


@formula(
    "ΔV_O = ΔV_BE + V_RE",
    validity="the regulator holds the base, nothing holds the emitter; temperature left out",
    source="derived",
)
def follower_sag(*, voltage_change: dV_BE2, emitter_drop: V_E) -> dV_O2:
    """How far the output of a follower sags from light to full load [V]."""
    return voltage_change + emitter_drop
