"""The inner transistor in saturation: what a collector and a base current ask of its two junctions, 25 °C.

References
----------
[GummelPoon] Bell Syst. Tech. J. 49 (1970) p. 827
"""

import math
from collections.abc import Mapping

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.identify.gain import LEAKAGE_EMISSION

REVERSE_GAIN = 4.0
_VT = thermal_voltage(REFERENCE_TEMPERATURE)


def saturated_junctions(values: Mapping[str, float], current: float, base: float) -> tuple[float, float]:
    """Base-emitter and collector-emitter voltage [V] of the inner transistor at a collector and a base current.

    Bisects the reverse injected current I_R; inf, inf when the base current does not carry the collector current.
    """
    saturation, knee = values["saturation_current"], values["forward_knee_current"]
    leak = values.get("emitter_leakage_current", 0.0) / math.pow(saturation, 1.0 / LEAKAGE_EMISSION)

    def forward(reverse: float) -> float:
        """Forward injected current that the base current leaves room for."""
        share = base - reverse / values["reverse_gain"]
        low, high = 0.0, share * values["forward_gain"]
        for _ in range(60):
            middle = (low + high) / 2.0
            wanted = middle / values["forward_gain"] + leak * math.pow(middle, 1.0 / LEAKAGE_EMISSION)
            low, high = (middle, high) if wanted < share else (low, middle)
        return (low + high) / 2.0

    def collector(reverse: float) -> float:
        injected = forward(reverse)
        q1 = 1.0 / (1.0 - _VT * math.log1p(reverse / saturation) / values["forward_early_voltage"])
        charge = q1 / 2.0 * (1.0 + math.sqrt(1.0 + 4.0 * injected / knee))
        return (injected - reverse) / charge - reverse / values["reverse_gain"]

    if collector(0.0) < current:
        return math.inf, math.inf
    low, high = 0.0, base * values["reverse_gain"]
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if collector(middle) > current else (low, middle)
    emitter = _VT * math.log1p(forward(low) / saturation)
    return emitter, emitter - _VT * math.log1p(low / saturation)
