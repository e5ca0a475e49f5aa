"""A rectifier's data sheet as parameters of the junction diode.

Only the limit of the forward voltage is printed.  Usually a diode has 0.85 of it (default), at least 0.75; of that a
twentieth of the limit, up to a tenth at the most end, is taken by the series resistance.
"""

import math
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.identify.records import Identified, Spread, default, derived
from outboard.parts.ratings import ratings
from outboard.parts.records import PartType

RECTIFIER_EMISSION = 1.8
"""Emission coefficient of a silicon rectifier (default)."""

_SHARES = {"least": (0.72, 0.03), "usual": (0.80, 0.05), "most": (0.90, 0.10)}
"""Parts of the forward-voltage limit that junction and series resistance take at the test current (default)."""


def diode(part_type: PartType) -> Identified:
    """Parameters of a rectifier type; ValueError when no forward-voltage limit is printed."""
    limit = ratings(part_type).get("V_F")
    current = limit.figure.conditions.forward_current if limit else None
    if limit is None or current is None:
        raise ValueError(f"{part_type.name}: no limit of the forward voltage is printed")
    slope = RECTIFIER_EMISSION * thermal_voltage(REFERENCE_TEMPERATURE)

    def fields(end: str) -> tuple[float, float]:
        junction, series = _SHARES[end]
        return current / math.exp(junction * limit.value / slope), series * limit.value / current

    names = ("saturation_current", "series_resistance")
    usual = fields("usual")
    values = {
        **dict(zip(names, usual, strict=True)), "emission_coefficient": RECTIFIER_EMISSION, "bandgap_eV": 1.11,
        "temperature_exponent": 3.0, "reference_temperature": REFERENCE_TEMPERATURE,
    }  # fmt: skip
    origins = dict.fromkeys(values, default("silicon rectifier"))
    origins |= dict.fromkeys(names, default(f"0.85 of the limit of V_F of {part_type.name}"))
    words = f"V_F of {part_type.name} at {current:g} A"
    spread = Spread("forward voltage", names, fields("least"), fields("most"),
                    (default(f"0.75 of the limit of {words}"), derived(limit.figure, "most", words)))  # fmt: skip
    undecided = {"reverse leakage": "the junction law's reverse current is far below the printed limits of I_R"}
    return Identified(MappingProxyType(values), MappingProxyType(origins), (spread,), (), MappingProxyType(undecided))
