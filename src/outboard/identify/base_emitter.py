"""Base-emitter voltage: what the junction takes, and what the printed V_BE limit leaves to the emitter resistance.

The junction is taken as 0.63 V at one hundredth of the rated collector current (default, ±40 mV), unless a typical or
a least V_BE is printed.  At the most end the emitter resistance lifts V_BE to the printed limit; usually a device has
a third of it, at least a tenth (default).  Where no V_BE(on) is printed V_BE(sat) stands for it: the emitter then takes
no more of it than the V_CE(sat) limit at that current leaves, the rest lies in the base, whose resistance is left out.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.identify.gain import EARLY_VOLTAGE, LEAKAGE_EMISSION, GainFit, spreading
from outboard.identify.records import Spread, default, derived
from outboard.identify.saturation import REVERSE_GAIN, saturated_junctions
from outboard.parts.records import SYMBOLS, Figure, Origin, PartType

JUNCTION_VOLTAGE = 0.63
"""Usual base-emitter junction voltage at one hundredth of the rated collector current, 25 °C [V] (default)."""

JUNCTION_SPREAD = 0.04
"""How far the junction voltage differs between devices, either way [V] (default)."""

USUAL_SHARE, LEAST_SHARE = 1 / 3, 1 / 10
"""Parts of the largest emitter resistance that the usual and the least device have (default)."""

HEADROOM = 1.5
"""Collector-emitter voltage that the emitter resistance must leave at the test point of a limit [V] (default)."""

_VT = thermal_voltage(REFERENCE_TEMPERATURE)

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


@dataclass(frozen=True, slots=True)
class Limit:
    """A printed V_BE limit [V]: injected and emitter current [A] there, the most that the emitter can have [Ω].

    `bearable` holds at the most end only, `bearable_usually` for every device.
    """

    figure: Figure
    current: float
    most: float
    injected: float
    emitter: float
    bearable: float
    bearable_usually: float = math.inf

    def junction(self, saturation: float) -> float:
        """What the junction takes of it [V]."""
        return _VT * math.log(self.injected / saturation)

    def resistance(self, saturation: float) -> float:
        """Emitter resistance [Ω] that lifts V_BE to the limit."""
        return max(LEAST_RESISTANCE / LEAST_SHARE, (self.most - self.junction(saturation)) / self.emitter)

    def words(self, name: str) -> str:
        """“V_BE(on) of 2N3055 at 4 A”."""
        return f"{SYMBOLS[self.figure.name]} of {name} at {self.current:g} A"


def base_emitter(part_type: PartType, rated: float, gain: GainFit, working: float | None) -> BaseEmitter:
    """Junction and emitter resistance of a type; the most end meets the limit at or next above the working current."""
    name, limits = part_type.name, printed_limits(part_type, rated, gain)
    below = default("0.59 V at a hundredth of the rated I_C")
    if not limits:
        origin = default(f"V_BE(on) of {name} is not printed; 0.1 V in the emitter at the rated current")
        shifts = -JUNCTION_SPREAD, 0.0, JUNCTION_SPREAD
        return _between(rated, gain, shifts, (0.1 / rated, 0.1 / rated), (below, origin, origin), ())
    shift, largest = _usual(rated, limits)
    weakest = saturation_current(rated, shift + JUNCTION_SPREAD)
    limit = next((one for one in limits if one.current >= (working or 0.0)), limits[-1])
    wanted = limit.resistance(weakest)
    most = max(largest, min(wanted, limit.bearable))
    notes: tuple[str, ...] = ()
    if most < wanted and limit.figure.name == "VBE_on":
        notes = (f"the limit of {limit.words(name)} is not reached: with more resistance that current could not flow",)
    elif most < wanted:
        notes = (f"the limit of {limit.words(name)} is not reached: V_CE(sat) leaves the emitter less",)
    usual_words = f"a third of what {limits[0].words(name)} leaves in the emitter"
    if limits[0].figure.typical is None:
        usual_origin = default(f"0.63 V at a hundredth of the rated I_C; {usual_words}")
    else:
        usual_origin = derived(limits[0].figure, "typical", f"{limits[0].words(name)}; {usual_words}")
    origins = usual_origin, derived(limit.figure, "most", limit.words(name))
    lowest = _least_shift(rated, limits[0], shift, largest)
    if lowest < shift - JUNCTION_SPREAD:
        below = derived(limits[0].figure, "least", limits[0].words(name))
    return _between(rated, gain, (lowest, shift, shift + JUNCTION_SPREAD), (largest, most), (below, *origins), notes)


def _between(
    rated: float, gain: GainFit, shifts: tuple[float, float, float], resistances: tuple[float, float],
    origins: tuple[Origin, Origin, Origin], notes: tuple[str, ...],
) -> BaseEmitter:  # fmt: skip
    """Least, usual and most device, from the shifts of the junction [V] and the largest resistances [Ω]."""
    largest, most = resistances
    least = _values(rated, shifts[0], LEAST_SHARE * largest, gain)
    ends = (origins[0], origins[2])
    spread = Spread("V_BE", _FIELDS[: len(least)], least, _values(rated, shifts[2], most, gain), ends)
    return BaseEmitter(_values(rated, shifts[1], USUAL_SHARE * largest, gain), origins[1], spread, notes)


def saturation_current(rated: float, shift: float) -> float:
    """Saturation current [A] of a junction that has 0.63 V + shift at a hundredth of the rated current."""
    return rated / 100.0 / math.exp((JUNCTION_VOLTAGE + shift) / _VT)


def _usual(rated: float, limits: list[Limit]) -> tuple[float, float]:
    """Shift of the usual junction [V], and the largest emitter resistance [Ω] that all limits allow."""
    first, usual, weakest = limits[0], saturation_current(rated, 0.0), saturation_current(rated, JUNCTION_SPREAD)
    typical = first.figure.typical
    if typical is None:
        return 0.0, min(min(limit.resistance(weakest), limit.bearable_usually) for limit in limits)
    rest = (first.most - typical - JUNCTION_SPREAD) / (1.0 - USUAL_SHARE) / first.emitter
    largest = max(LEAST_RESISTANCE / LEAST_SHARE, rest)
    return typical - first.junction(usual) - USUAL_SHARE * largest * first.emitter, largest


def _least_shift(rated: float, first: Limit, shift: float, largest: float) -> float:
    """Shift of the junction at the least end [V]: 40 mV below the usual one, or down to a printed least V_BE."""
    below = shift - JUNCTION_SPREAD
    if first.figure.least is None:
        return below
    junction = first.junction(saturation_current(rated, 0.0))
    return min(below, first.figure.least - junction - LEAST_SHARE * largest * first.emitter)


def printed_limits(part_type: PartType, rated: float, gain: GainFit) -> list[Limit]:
    """The printed limits of V_BE(on), else of V_BE(sat), rising in current."""
    laws: tuple[tuple[str, Callable[[PartType, float, GainFit, Figure], Limit | None]], ...]
    laws = (("VBE_on", _active_limit), ("VBE_sat", _saturated_limit))
    for name, law in laws:
        rows = [row for row in part_type.rows(name) if row.most is not None and row.conditions.collector_current]
        found = [limit for row in rows if (limit := law(part_type, rated, gain, row)) is not None]
        if found:
            return sorted(found, key=lambda limit: limit.current)
    return []


def _active_limit(part_type: PartType, rated: float, gain: GainFit, row: Figure) -> Limit:
    """A limit of V_BE(on); the emitter resistance must leave the device enough voltage to conduct."""
    current, voltage = row.conditions.collector_current or 0.0, row.conditions.collector_emitter_voltage or 4.0
    injected = current * spreading(current, voltage, gain.knee_current)
    emitter = current + injected / gain.usual + gain.kappa * math.pow(injected, 1.0 / LEAKAGE_EMISSION)
    return Limit(row, current, row.most or 0.0, injected, emitter, (voltage - HEADROOM) / emitter)


def _saturated_limit(part_type: PartType, rated: float, gain: GainFit, row: Figure) -> Limit | None:
    """A limit of V_BE(sat); the emitter resistance must leave V_CE(sat) below its own limit at that current."""
    current, base = row.conditions.collector_current or 0.0, row.conditions.base_current
    if base is None:
        return None
    values = dict(zip(_FIELDS, _values(rated, JUNCTION_SPREAD, 0.0, gain), strict=False)) | {
        "forward_gain": gain.usual, "forward_knee_current": gain.knee_current, "reverse_gain": REVERSE_GAIN,
        "forward_early_voltage": EARLY_VOLTAGE,
    }  # fmt: skip
    junction, across = saturated_junctions(values, current, base)
    if math.isinf(junction):
        return None
    rows = [one for one in part_type.rows("VCE_sat") if one.conditions.collector_current == current and one.most]
    bearable = min(((one.most or 0.0) - across) / (current + base) for one in rows) if rows else math.inf
    injected = values["saturation_current"] * math.exp(junction / _VT)
    return Limit(row, current, row.most or 0.0, injected, current + base, bearable, bearable)


def _values(rated: float, shift: float, resistance: float, gain: GainFit) -> tuple[float, ...]:
    """Saturation current, emitter resistance and, where gain falls at low current, emitter leakage and its n.

    The leakage moves with the saturation current so that the gain does not.
    """
    saturation = saturation_current(rated, shift)
    if gain.kappa == 0.0:
        return saturation, resistance
    leakage = gain.kappa * math.pow(saturation, 1.0 / LEAKAGE_EMISSION)
    return saturation, resistance, leakage, LEAKAGE_EMISSION
