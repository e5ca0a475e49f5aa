"""Breakdown of Zener diodes and surge suppressors, from voltage, current and resistance that the sheet prints.

The model's voltage at the test current I_T is the printed one; the rest of the printed dynamic resistance, beyond
n·V_T/I_T of the breakdown law itself, is in series with it:

    V_b = V − I_T·R        R = Z − n·V_T/I_T        from the clamping voltage:
                           R = (V_C − V − n·V_T·ln(I_PP/I_T))/(I_PP − I_T)
"""

import math
from dataclasses import dataclass

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.identify.records import Spread, default, derived
from outboard.parts.ratings import ratings
from outboard.parts.records import Figure, Origin, PartType

BREAKDOWN_EMISSION = 1.0
"""Emission coefficient of the breakdown law (default)."""

USUAL_SHARE = 0.5
"""Usual dynamic resistance as a part of its limit (default)."""

LEAST_RESISTANCE = 1e-3
"""No diode is without resistance [Ω]."""

TEST_CURRENT = 1e-3
"""Current at which a suppressor's breakdown voltage is taken to be printed, where none is named [A] (default)."""

_SCALE = BREAKDOWN_EMISSION * thermal_voltage(REFERENCE_TEMPERATURE)
_FIELDS = ("breakdown_voltage", "breakdown_resistance")


@dataclass(frozen=True, slots=True)
class Breakdown:
    """Usual values of the breakdown branch with their origins, and how far devices differ."""

    values: dict[str, float]
    origins: dict[str, Origin]
    spread: Spread


@dataclass(frozen=True, slots=True)
class _Level:
    """Breakdown voltage [V] at the test current, and series resistance [Ω], at one end."""

    voltage: float
    resistance: float

    def fields(self, current: float) -> tuple[float, float]:
        """Voltage and resistance as the model takes them."""
        return self.voltage - current * self.resistance, self.resistance


def breakdown(part_type: PartType) -> Breakdown | None:
    """The breakdown branch of a type; None when its sheet prints no breakdown voltage."""
    for row in part_type.rows("VZ"):
        if row.typical is not None and row.conditions.reverse_current is not None:
            return _zener(part_type, row, row.typical, row.conditions.reverse_current)
    for row in part_type.rows("VBR"):
        if row.least is not None and row.most is not None:
            return _suppressor(part_type, row, row.least, row.most)
    return None


def peak_current(part_type: PartType, clamping: Figure) -> float | None:
    """Current of the clamping voltage [A]: as printed, else rated pulse power over clamping voltage."""
    power = ratings(part_type).get("P_PP")
    if clamping.conditions.reverse_current is not None:
        return clamping.conditions.reverse_current
    return power.value / clamping.most if power is not None and clamping.most else None


def _zener(part_type: PartType, row: Figure, voltage: float, current: float) -> Breakdown:
    """Nominal voltage at I_ZT with its tolerance; Z_ZT at I_ZT."""
    name = part_type.name
    tolerance = next((one for one in part_type.rows("VZ_tolerance") if one.most is not None), None)
    share = tolerance.most if tolerance is not None and tolerance.most is not None else 0.0
    limit = next((one for one in part_type.rows("ZZT") if one.most is not None), None)
    most = LEAST_RESISTANCE
    if limit is not None and limit.most is not None:
        most = max(LEAST_RESISTANCE, limit.most - _SCALE / current)
    usual = max(LEAST_RESISTANCE, USUAL_SHARE * most)
    resistance = default(f"half of Z_ZT of {name}") if limit is not None else default(f"Z_ZT of {name} is not printed")
    levels = (_Level((1.0 - share) * voltage, usual), _Level(voltage, usual), _Level((1.0 + share) * voltage, most))
    words = f"V_Z of {name} at {1e3 * current:g} mA"
    at_ends = (
        derived(tolerance, "most", f"{words}, {100.0 * share:g} % either way")
        if tolerance is not None
        else (default(f"tolerance of {words} is not printed"))
    )
    return _breakdown(levels, current, derived(row, "typical", words), resistance, (at_ends, at_ends))


def _suppressor(part_type: PartType, row: Figure, least: float, most: float) -> Breakdown:
    """Breakdown voltage between its limits; resistance from the clamping voltage at the peak current."""
    name, current = part_type.name, row.conditions.reverse_current or TEST_CURRENT
    clamping = next((one for one in part_type.rows("VC") if one.most is not None), None)
    top, why = LEAST_RESISTANCE, default(f"V_C of {name} is not printed")
    if clamping is not None and clamping.most is not None and (peak := peak_current(part_type, clamping)):
        drop = clamping.most - most - _SCALE * math.log(peak / current)
        top = max(LEAST_RESISTANCE, drop / (peak - current))
        why = default(f"half of what V_C of {name} leaves")
    usual = max(LEAST_RESISTANCE, USUAL_SHARE * top)
    levels = (_Level(least, usual), _Level((least + most) / 2.0, usual), _Level(most, top))
    words = f"V_BR of {name}"
    ends = (derived(row, "least", f"least {words}"), derived(row, "most", f"most {words}"))
    return _breakdown(levels, current, default(f"midway between the limits of {words}"), why, ends)


def _breakdown(
    levels: tuple[_Level, _Level, _Level], current: float, voltage: Origin, resistance: Origin,
    ends: tuple[Origin, Origin],
) -> Breakdown:  # fmt: skip
    least, usual, most = (level.fields(current) for level in levels)
    values = dict(zip(_FIELDS, usual, strict=True))
    values |= {"breakdown_current": current, "breakdown_emission": BREAKDOWN_EMISSION}
    origins = {
        "breakdown_voltage": voltage, "breakdown_resistance": resistance, "breakdown_current": voltage,
        "breakdown_emission": default("breakdown law of an ideal junction"),
    }  # fmt: skip
    return Breakdown(values, origins, Spread("breakdown voltage", _FIELDS, least, most, ends))
