"""The constants of a MOSFET by hand: V_GS where it conducts and R_DS(on), from the long-channel law.

Well above threshold and away from the on-resistance I_D = K (V_GS − V_TH)²/(2 n); fully enhanced the channel is a
resistance 1/(K (V_GS − V_TH)) behind that of the drain (Enz, Krummenacher & Vittoz 1995, strong inversion).  Where the
device starts to conduct the whole law counts, I_D = I_0 ln²(1 + exp(V_P/(2 V_T))), V_P = (V_GS − V_TH)/n.
"""

import math
from collections.abc import Mapping

from outboard.arrangements.design import DesignPart
from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.explain.hand_figures import HandFigure, ends

HUNDREDTH = 0.01
STARTS = 1e-3
"""Drain current at which a device counts as starting to conduct [A]."""
ENHANCED = 10.0
"""V_GS at which data sheets print R_DS(on) of ordinary power MOSFETs [V] (common practice, no source)."""
SLOPE = 1.3
"""n, where a part does not say (the model's default)."""


def mosfet_figures(part: DesignPart, full_load: float, carries: float) -> Mapping[str, HandFigure]:
    """gate_source_voltage, starting_voltage and on_resistance; `carries` is the drain current at the point [A]."""
    at = max(carries, HUNDREDTH * full_load)
    where = "at its I_D here" if at == carries else "at 1 % of full load"
    level = [_gate_source(values, at) for values in ends(part, ("threshold_voltage",), "threshold")]
    starts = [_starting(values) for values in ends(part, ("threshold_voltage",), "threshold")]
    threshold = min(values["threshold_voltage"] for values in ends(part, ("threshold_voltage",), "threshold"))
    fields = ("transconductance", "drain_resistance")
    ways = [_on_resistance(values) for values in ends(part, fields, "on-resistance")]
    return {
        "gate_source_voltage": HandFigure(level[0], min(threshold, *level), max(level), where),
        "starting_voltage": HandFigure(starts[0], min(starts), max(starts), "at I_D = 1 mA"),
        "on_resistance": HandFigure(ways[0], min(ways), max(ways), f"at V_GS = {ENHANCED:g} V"),
    }


def _gate_source(values: Mapping[str, float], drain_current: float) -> float:
    slope = values.get("slope", SLOPE)
    return values["threshold_voltage"] + math.sqrt(2.0 * slope * drain_current / values["transconductance"])


def _starting(values: Mapping[str, float]) -> float:
    slope, v_t = values.get("slope", SLOPE), thermal_voltage(REFERENCE_TEMPERATURE)
    pinch = 2.0 * v_t * math.log(math.expm1(math.sqrt(STARTS / (2.0 * slope * values["transconductance"])) / v_t))
    return values["threshold_voltage"] + slope * pinch


def _on_resistance(values: Mapping[str, float]) -> float:
    over = max(ENHANCED - values["threshold_voltage"], 1.0)
    return values.get("drain_resistance", 0.0) + 1.0 / (values["transconductance"] * over)
