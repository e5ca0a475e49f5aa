"""Leakage of hot junctions, and the resistors that keep it from becoming collector current.

A printed limit at 25 °C must not be doubled up to a hot junction: use the doubling between two known points, or from a
typical value, and the printed hot limit where there is one.
"""

from math import pow
from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import (
    I_CBO,
    I_CEO,
    I_CEX,
    R2,
    R_B,
    T_0,
    V_BE2,
    I_CBO_hot,
    I_O_least,
    I_on,
    R2_most,
    T,
    V_BE_hot,
    h_FE,
)

doubling = Annotated[float, Symbol("ΔT_2", "K", "temperature rise that doubles the leakage, 6 K to 10 K")]
I_div = Annotated[float, Symbol("I_div", "A", "current that dividers and bleeders draw from the output anyway")]
V_BB = Annotated[float, Symbol("V_BB", "V", "reverse bias that the base is returned to")]
V_off = Annotated[float, Symbol("V_off", "V", "reverse base-emitter voltage that keeps the transistor off")]


@formula(
    "I_CBO,hot = I_CBO·2^((T − T_0) / ΔT_2)", validity="moderate spans; ΔT_2 differs between texts", source="Mehta-9.36"
)
def leakage_at_temperature(
    *, leakage_current: I_CBO, temperature: T, reference_temperature: T_0, doubling_interval: doubling = 10.0
) -> I_CBO_hot:
    """Collector-base leakage of a hotter junction [A]."""
    return leakage_current * pow(2, (temperature - reference_temperature) / doubling_interval)


@formula("I_CEO = (h_FE + 1)·I_CBO", validity="base open: the leakage is amplified", source="Mehta-9.36")
def open_base_leakage(*, current_gain: h_FE, leakage_current: I_CBO) -> I_CEO:
    """Collector-emitter leakage with the base left open [A]."""
    return (current_gain + 1) * leakage_current


@formula(
    "R2,max = V_BE,hot / I_CBO,hot",
    validity="keeps the drop of the leakage below onset; onset of a hot junction about 0.4 V to 0.5 V",
    source="derived",
)
def most_bleed_resistor(*, base_emitter_voltage: V_BE_hot, leakage_current: I_CBO_hot) -> R2_most:
    """Greatest bleed resistor that keeps a hot pass device off [Ω]."""
    return base_emitter_voltage / leakage_current


@formula("R2 = V_BE2 / I_on", validity="V_BE2 at the onset of conduction", source="derived")
def bleed_resistor_for_onset(*, base_emitter_voltage: V_BE2, onset_current: I_on) -> R2:
    """Bleed resistor that lets the pass device start at a chosen driver current [Ω]."""
    return base_emitter_voltage / onset_current


@formula(
    "R_B = (V_BB − V_off) / I_CBO", validity="base returned to a reverse bias through R_B", source="worked-example-5.12"
)
def most_cutoff_resistor(*, base_bias: V_BB, cutoff_voltage: V_off, leakage_current: I_CBO) -> R_B:
    """Greatest base resistor that holds a reverse-biased transistor off against its leakage [Ω]."""
    return (base_bias - cutoff_voltage) / leakage_current


@formula(
    "I_O,min = max(0; I_CEX − I_div)",
    validity="the regulator cannot sink: what leaks past it must be drawn away",
    source="derived",
)
def least_load_current(*, leakage_current: I_CEX, standing_current: I_div = 0.0) -> I_O_least:
    """Load current below which leakage lifts the output [A]."""
    return max(0.0, leakage_current - standing_current)
