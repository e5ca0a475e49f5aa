"""A field-effect transistor's data sheet as parameters of the charge-interpolated model.

Threshold limits are printed at a small drain current, where the channel already needs a little more than V_TH; the
transconductance factor follows from the least g_fs, what is left of R_DS(on) is drain resistance.
"""

import math
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.devices.junction import temperature_exponent
from outboard.devices.mathematics import FLOATS
from outboard.identify.records import Identified, Spread, default, derived
from outboard.parts.records import Figure, Origin, PartType

SLOPE = 1.3
"""Slope factor n (default, as the model has it)."""

THRESHOLD_TEMPCO = -5e-3
"""Change of the threshold voltage [V/K] (default; power MOSFETs of 2 V to 4 V lie around −4 mV/K to −7 mV/K)."""

USUAL_OF_LEAST = 1.3
"""Usual transconductance factor over the one that the least g_fs stands for (default)."""

MOST_OF_LEAST = 2.0
"""Most transconductance factor over the one that the least g_fs stands for (default)."""

USUAL_OF_RESISTANCE = 0.8
"""Usual R_DS(on) as a part of its limit (default)."""

CHANNEL_LENGTH = 0.01
"""Output conductance λ [1/V] (default)."""

DRIVE = 10.0
"""Gate-source voltage of an R_DS(on) row that does not say it [V] (default)."""


def mosfet(part_type: PartType) -> Identified:
    """Parameters of a field-effect transistor type; ValueError when threshold limits or g_fs are not printed."""
    threshold, conductance = _threshold_row(part_type), _conductance_row(part_type)
    name, current = part_type.name, conductance.conditions.drain_current
    printed = conductance.least or conductance.typical
    if current is None or printed is None or threshold.least is None or threshold.most is None:
        raise ValueError(f"{name}: no limits of V_GS(th), or no g_fs with its drain current, are printed")
    least = SLOPE * printed**2 / (2.0 * current)
    usual = least * (USUAL_OF_LEAST if conductance.least is not None else 1.0)
    lead = math.sqrt(2.0 * SLOPE * (threshold.conditions.drain_current or 0.0) / usual)
    low, high = threshold.least - lead, threshold.most - lead
    resistance, resistance_origin = _drain_resistance(part_type, usual, high)
    middle = (low + high) / 2.0
    values = {
        "threshold_voltage": middle, "transconductance": usual, "slope": SLOPE, "output_conductance": CHANNEL_LENGTH,
        "threshold_tempco": THRESHOLD_TEMPCO, "drain_resistance": resistance,
        "reference_temperature": REFERENCE_TEMPERATURE,
    }  # fmt: skip
    origins = {
        "threshold_voltage": default(f"middle of the limits of V_GS(th) of {name}"),
        "transconductance": default(f"{USUAL_OF_LEAST:g} times what the least g_fs of {name} stands for"),
        "slope": default("slope factor 1.3"), "output_conductance": default("1 %/V"),
        "threshold_tempco": default("threshold falls by 5 mV/K"), "drain_resistance": resistance_origin,
        "reference_temperature": default("sheets state figures at 25 °C"),
    }  # fmt: skip
    spreads = [
        Spread("threshold", ("threshold_voltage",), (low,), (high,),
               (derived(threshold, "least", f"least V_GS(th) of {name}"),
                derived(threshold, "most", f"most V_GS(th) of {name}"))),
        Spread("transconductance", ("transconductance",), (least,), (MOST_OF_LEAST * least,),
               (derived(conductance, "least" if conductance.least is not None else "typical", f"g_fs of {name}"),
                default(f"twice what the least g_fs of {name} stands for"))),
    ]  # fmt: skip
    undecided = {}
    leak = _leakage_row(part_type)
    if leak is None or leak.most is None or leak.conditions.junction_temperature is None:
        undecided["hot leakage"] = f"no hot I_DSS of {name} is printed"
    else:
        values["body_saturation_current"] = 0.0
        origins["body_saturation_current"] = default("no drain leakage usually")
        hot = leak.conditions.junction_temperature
        growth = temperature_exponent(hot, REFERENCE_TEMPERATURE, 3.0, 1.11, FLOATS)
        spreads.append(Spread("leakage", ("body_saturation_current",), (0.0,), (leak.most / math.exp(growth),),
                              (default("none"), derived(leak, "most", f"hot I_DSS of {name}"))))  # fmt: skip
    return Identified(MappingProxyType(values), MappingProxyType(origins), tuple(spreads), (),
                      MappingProxyType(undecided))  # fmt: skip


def _threshold_row(part_type: PartType) -> Figure:
    rows = [row for row in part_type.rows("VGS_th") if row.least is not None and row.most is not None]
    if not rows:
        raise ValueError(f"{part_type.name}: no limits of V_GS(th) are printed")
    return rows[0]


def _conductance_row(part_type: PartType) -> Figure:
    rows = part_type.rows("gfs")
    if not rows:
        raise ValueError(f"{part_type.name}: no g_fs is printed")
    return next((row for row in rows if row.least is not None), rows[0])


def _drain_resistance(part_type: PartType, factor: float, threshold: float) -> tuple[float, Origin]:
    """What R_DS(on) leaves beside the channel, R = 1/(K·(V_GS − V_TH)) [Ω]."""
    for row in part_type.rows("RDS_on"):
        if row.typical is None and row.most is None:
            continue
        printed = row.typical or USUAL_OF_RESISTANCE * (row.most or 0.0)
        drive = (row.conditions.gate_source_voltage or DRIVE) - threshold
        channel = 1.0 / (factor * drive) if drive > 0 else printed
        words = f"what R_DS(on) of {part_type.name} leaves beside the channel"
        return max(0.1 * printed, printed - channel), default(words)
    return 0.0, default(f"R_DS(on) of {part_type.name} is not printed")


def _leakage_row(part_type: PartType) -> Figure | None:
    """The I_DSS row of the hottest junction above room temperature."""
    rows = [row for row in part_type.rows("IDSS") if row.most is not None
            and (row.conditions.junction_temperature or 0.0) > REFERENCE_TEMPERATURE + 20.0]  # fmt: skip
    return max(rows, key=lambda row: row.conditions.junction_temperature or 0.0, default=None)
