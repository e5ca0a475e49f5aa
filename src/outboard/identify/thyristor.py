"""A thyristor's data sheet as what it is at rest: leakage, the junction of its gate, and its line once it has fired.

    R_D = V_DRM/I_DRM      I_S of the gate from V_GT at I_GT      on: V_T0 + r_T·I, as printed, else through V_TM
"""

import math
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.identify.records import Identified, default, derived
from outboard.parts.records import Figure, Origin, PartType

ON_THRESHOLD = 0.9
"""Part of the on-state voltage that does not grow with the current, where V_T0 is not printed [V] (default)."""

LEAST_ON_RESISTANCE = 1e-3
"""No device is without resistance [Ω]."""


def thyristor(part_type: PartType) -> Identified:
    """Parameters of a thyristor type; ValueError where what fires it, or what it leaks, is not printed."""
    name = part_type.name
    fires, drives, leaks = (_at_25(part_type, figure) for figure in ("VGT", "IGT", "IDRM"))
    blocks = next((row.most for row in part_type.rows("VDRM") if row.most is not None), None)
    if fires is None or drives is None:
        raise ValueError(f"{name}: neither model nor trip voltage without {'V_GT' if fires is None else 'I_GT'}")
    if leaks is None or blocks is None:
        raise ValueError(f"{name}: no model without {'I_DRM' if leaks is None else 'V_DRM'}")
    voltage = fires.typical if fires.typical is not None else fires.most or 0.0
    current = drives.typical if drives.typical is not None else drives.most or 0.0
    threshold, resistance, of_line = _line(part_type)
    values = {
        "off_state_resistance": blocks / (leaks.most or 0.0),
        "gate_saturation_current": current / math.exp(voltage / thermal_voltage(REFERENCE_TEMPERATURE)),
        "on_voltage": threshold, "on_resistance": resistance, "reference_temperature": REFERENCE_TEMPERATURE,
    }  # fmt: skip
    side = "typical" if fires.typical is not None else "most"
    origins = {
        "off_state_resistance": derived(leaks, "most", f"V_DRM over I_DRM of {name}"),
        "gate_saturation_current": derived(fires, side, f"V_GT at I_GT of {name}"),
        "on_voltage": of_line, "on_resistance": of_line,
        "reference_temperature": default("reference temperature of the models"),
    }  # fmt: skip
    return Identified(MappingProxyType(values), MappingProxyType(origins))


def _at_25(part_type: PartType, figure: str) -> Figure | None:
    """The row of a figure at 25 °C, else its first with a limit."""
    rows = [row for row in part_type.rows(figure) if row.most is not None]
    return next((row for row in rows if row.conditions.temperature == REFERENCE_TEMPERATURE), rows[0] if rows else None)


def _line(part_type: PartType) -> tuple[float, float, Origin]:
    """Threshold [V] and slope [Ω] of the on-state line."""
    threshold = next((row for row in part_type.rows("VT0") if row.most is not None), None)
    slope = next((row for row in part_type.rows("rT") if row.most is not None), None)
    if threshold is not None and slope is not None:
        return threshold.most or 0.0, slope.most or 0.0, derived(threshold, "most", f"V_T0 and r_T of {part_type.name}")
    for row in part_type.rows("VTM"):
        current = row.conditions.on_state_current
        if row.most is not None and current:
            resistance = max(LEAST_ON_RESISTANCE, (row.most - ON_THRESHOLD) / current)
            return ON_THRESHOLD, resistance, default(f"{ON_THRESHOLD:g} V, and the rest of V_TM of {part_type.name}")
    return ON_THRESHOLD, 30e-3, default(f"V_TM of {part_type.name} is not printed")
