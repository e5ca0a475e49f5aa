"""Base-emitter voltage: what the junction takes, and what the printed V_BE(on) limit leaves to the emitter resistance.

The junction is taken as 0.63 V at one hundredth of the rated collector current (default, ±40 mV).  At the most end
the emitter resistance lifts V_BE to the printed limit; usually a device has a third of it, at least a tenth (default).
"""

import math
from dataclasses import dataclass

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.identify.gain import LEAKAGE_EMISSION, GainFit, spreading
from outboard.identify.records import Spread, default, derived
from outboard.parts.records import Figure, Origin, PartType

JUNCTION_VOLTAGE = 0.63
"""Usual base-emitter junction voltage at one hundredth of the rated collector current, 25 °C [V] (default)."""

JUNCTION_SPREAD = 0.04
"""How far the junction voltage differs between devices, either way [V] (default)."""

USUAL_SHARE, LEAST_SHARE = 1 / 3, 1 / 10
"""Parts of the largest emitter resistance that the usual and the least device have (default)."""

HEADROOM = 1.5
"""Collector-emitter voltage that the emitter resistance must leave at the test point of a limit [V] (default)."""

LEAST_RESISTANCE = 1e-3
"""No emitter or collector is without resistance [Ω]."""

_FIELDS = ("saturation_current", "emitter_resistance", "emitter_leakage_current", "emitter_leakage_emission")


@dataclass(frozen=True, slots=True)
class BaseEmitter:
    """Usual values of the fields of the axis "V_BE", their spread, and what must be said of it."""

    usual: tuple[float, ...]
    usual_origin: Origin
    spread: Spread
    notes: tuple[str, ...]


def base_emitter(part_type: PartType, rated: float, gain: GainFit, working: float | None) -> BaseEmitter:
    """Junction and emitter resistance of a type; the most end meets the limit at or next above the working current."""
    name, weakest = part_type.name, _saturation(rated, JUNCTION_SPREAD)
    rows = [row for row in part_type.rows("VBE_on") if row.most is not None and row.conditions.collector_current]
    rows.sort(key=lambda row: row.conditions.collector_current or 0.0)
    notes: tuple[str, ...] = ()
    if rows:
        largest = _largest_resistance(rows[0], weakest, gain)
        row = next((row for row in rows if (row.conditions.collector_current or 0.0) >= (working or 0.0)), rows[-1])
        wanted = _largest_resistance(row, weakest, gain)
        most = max(largest, min(wanted, _bearable_resistance(row, gain)))
        words = f"V_BE(on) of {name} at {row.conditions.collector_current:g} A"
        origin = derived(row, "most", words)
        first = f"V_BE(on) of {name} at {rows[0].conditions.collector_current:g} A"
        usual_origin = default(f"0.63 V at a hundredth of the rated I_C; a third of what {first} leaves in the emitter")
        if most < wanted:
            notes = (f"the limit of {words} is not reached: with more resistance that current could not flow",)
    else:
        largest = most = 0.1 / rated
        origin = default(f"V_BE(on) of {name} is not printed; 0.1 V in the emitter at the rated current")
        usual_origin = origin
    least = _values(rated, -JUNCTION_SPREAD, LEAST_SHARE * largest, gain)
    ends = (default("0.59 V at a hundredth of the rated I_C"), origin)
    spread = Spread("V_BE", _FIELDS[: len(least)], least, _values(rated, JUNCTION_SPREAD, most, gain), ends)
    return BaseEmitter(_values(rated, 0.0, USUAL_SHARE * largest, gain), usual_origin, spread, notes)


def _saturation(rated: float, shift: float) -> float:
    """Saturation current [A] of a junction that has 0.63 V + shift at a hundredth of the rated current."""
    return rated / 100.0 / math.exp((JUNCTION_VOLTAGE + shift) / thermal_voltage(REFERENCE_TEMPERATURE))


def _test_point(row: Figure, gain: GainFit) -> tuple[float, float, float]:
    """Collector-emitter voltage [V], injected current and emitter current [A] at the test point of a V_BE(on) limit."""
    current, voltage = row.conditions.collector_current or 0.0, row.conditions.collector_emitter_voltage or 4.0
    injected = current * spreading(current, voltage, gain.knee_current)
    base = injected / gain.usual + gain.kappa * math.pow(injected, 1.0 / LEAKAGE_EMISSION)
    return voltage, injected, current + base


def _largest_resistance(row: Figure, saturation: float, gain: GainFit) -> float:
    """Emitter resistance [Ω] that lifts V_BE at the test current to the printed limit."""
    _, injected, emitter = _test_point(row, gain)
    junction = thermal_voltage(REFERENCE_TEMPERATURE) * math.log(injected / saturation)
    return max(LEAST_RESISTANCE / LEAST_SHARE, ((row.most or 0.0) - junction) / emitter)


def _bearable_resistance(row: Figure, gain: GainFit) -> float:
    """Emitter resistance [Ω] with which the device still conducts at the test point."""
    voltage, _, emitter = _test_point(row, gain)
    return (voltage - HEADROOM) / emitter


def _values(rated: float, shift: float, resistance: float, gain: GainFit) -> tuple[float, ...]:
    """Saturation current, emitter resistance and, where gain falls at low current, emitter leakage and its n.

    The leakage moves with the saturation current so that the gain does not.
    """
    saturation = _saturation(rated, shift)
    if gain.kappa == 0.0:
        return saturation, resistance
    leakage = gain.kappa * math.pow(saturation, 1.0 / LEAKAGE_EMISSION)
    return saturation, resistance, leakage, LEAKAGE_EMISSION
