"""Headroom: how far the lowest input (the valley) must stay above the output.

A boosted stage has two paths from input to output; the one that needs more rules.
"""

from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_E, R_E, V_BE2, V_DO, V_I, V_O, V_CE_sat

V_series = Annotated[float, Symbol("V_R", "V", "drop in series with the regulator: V_BE plus emitter drop")]
V_r = Annotated[float, Symbol("V_r", "V", "ripple below the voltage counted; 0 when the valley is counted")]
V_H = Annotated[float, Symbol("V_H", "V", "headroom that a path needs")]
V_H1 = Annotated[float, Symbol("V_H1", "V", "headroom that the regulator path needs")]
V_H2 = Annotated[float, Symbol("V_H2", "V", "headroom that the pass path needs")]


@formula(
    "V_H = V_DO + V_R + V_r", validity="drop-out voltage at the regulator's own current", source="hobby-article-sharing"
)
def headroom_of_regulator_path(*, dropout_voltage: V_DO, series_drop: V_series, ripple_voltage: V_r = 0.0) -> V_H:
    """Headroom through the regulator and what stands in series with it [V]."""
    return dropout_voltage + series_drop + ripple_voltage


@formula("V_H = V_CE,sat + V_BE2 + I_E·R_E", validity="complementary pair; driver just saturated", source="derived")
def headroom_of_pass_path(
    *, saturation_voltage: V_CE_sat, base_emitter_voltage: V_BE2, emitter_current: I_E, emitter_resistance: R_E
) -> V_H:
    """Headroom through driver, base of the pass device and ballast [V]."""
    return saturation_voltage + base_emitter_voltage + emitter_current * emitter_resistance


@formula("V_I = V_O + max(V_H1; V_H2)", validity="V_I is the valley of the input, at full load", source="derived")
def least_input_voltage(*, output_voltage: V_O, regulator_headroom: V_H1, pass_headroom: V_H2 = 0.0) -> V_I:
    """Lowest input at which the stage still regulates [V]."""
    return output_voltage + max(regulator_headroom, pass_headroom)
