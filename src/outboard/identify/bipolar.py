"""A transistor's data sheet as parameters of the integral charge-control model.

V_CE(sat): the collector resistance makes up half the printed limit with the usual device.
"""

import math
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.identify.base_emitter import LEAST_RESISTANCE, base_emitter
from outboard.identify.gain import EARLY_VOLTAGE, LEAKAGE_EMISSION, GainFit, gain_fit
from outboard.identify.leakage import leakage
from outboard.identify.records import Identified, Spread, default
from outboard.parts.ratings import ratings
from outboard.parts.records import Figure, Origin, PartType

REVERSE_GAIN = 4.0
GAIN_EXPONENT = 1.5
_VT = thermal_voltage(REFERENCE_TEMPERATURE)


def bipolar(part_type: PartType, working_current: float | None = None) -> Identified:
    """Parameters of a transistor type; the least gain is right at the working collector current [A].

    Usual values never depend on the working current.  ValueError when the sheet has no I_C rating or no least gain.
    """
    rated = ratings(part_type).get("I_C")
    gain = gain_fit(part_type, working_current)
    if rated is None or gain is None:
        raise ValueError(f"{part_type.name}: neither h_FE nor I_C can be left out of a transistor's sheet")
    values, origins = _plain(part_type.name, gain)
    spreads = [_gain_spread(gain)]
    voltage = base_emitter(part_type, rated.value, gain, working_current)
    values |= zip(voltage.spread.fields, voltage.usual, strict=True)
    origins |= dict.fromkeys(voltage.spread.fields, voltage.usual_origin)
    spreads.append(voltage.spread)
    values["collector_resistance"], origins["collector_resistance"] = _collector_resistance(part_type, values)
    notes, undecided = [*gain.notes, *voltage.notes], {}
    cut = leakage(part_type)
    if cut is None:
        undecided["leakage"] = f"no leakage figure of {part_type.name} is printed"
    else:
        values |= {"cutoff_current": cut.current, "cutoff_doubling": cut.doubling}
        origins |= dict.fromkeys(("cutoff_current", "cutoff_doubling"), cut.origin)
        spreads.append(cut.spread)
        notes += cut.notes
        undecided |= cut.undecided
    notes.append("gain's exponent of temperature is a default, 1.5; devices have 1 to 2")
    return Identified(MappingProxyType(values), MappingProxyType(origins), tuple(spreads), tuple(notes),
                      MappingProxyType(undecided))  # fmt: skip


def _plain(name: str, gain: GainFit) -> tuple[dict[str, float], dict[str, Origin]]:
    """Gain, knee and the constants of silicon."""
    values = {
        "forward_gain": gain.usual, "forward_knee_current": gain.knee_current, "reverse_gain": REVERSE_GAIN,
        "forward_early_voltage": EARLY_VOLTAGE, "gain_temperature_exponent": GAIN_EXPONENT,
        "bandgap_eV": 1.11, "current_temperature_exponent": 3.0, "reference_temperature": REFERENCE_TEMPERATURE,
    }  # fmt: skip
    origins = dict.fromkeys(values, default("silicon power transistor"))
    origins |= {"forward_gain": gain.origins[0], "forward_knee_current": gain.knee_origin}
    origins["reference_temperature"] = default("sheets state figures at 25 °C")
    return values, origins


def _gain_spread(gain: GainFit) -> Spread:
    return Spread("gain", ("forward_gain",), (gain.least,), (gain.most,), (gain.origins[1], gain.origins[2]))


def _collector_resistance(part_type: PartType, values: dict[str, float]) -> tuple[float, Origin]:
    """Collector resistance [Ω] with which the usual device has half the printed V_CE(sat) limit."""
    found: list[tuple[float, Figure]] = []
    for row in part_type.rows("VCE_sat"):
        current, base = row.conditions.collector_current, row.conditions.base_current
        if row.most is None or current is None or base is None:
            continue
        inner = inner_saturation_voltage(values, current, base)
        rest = row.most / 2.0 - values["emitter_resistance"] * (current + base) - inner
        found.append((max(LEAST_RESISTANCE, rest / current), row))
    if not found:
        return LEAST_RESISTANCE, default("V_CE(sat) is not printed")
    resistance, row = min(found, key=lambda pair: pair[0])
    return resistance, Origin("derived", row.source, f"derived: half the V_CE(sat) limit of {part_type.name}")


def inner_saturation_voltage(values: dict[str, float], current: float, base: float) -> float:
    """Collector-emitter voltage [V] of the inner transistor at a collector and a base current, 25 °C.

    Bisects the reverse injected current I_R; inf when the base current does not carry the collector current.
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
        return math.inf
    low, high = 0.0, base * values["reverse_gain"]
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if collector(middle) > current else (low, middle)
    return _VT * (math.log1p(forward(low) / saturation) - math.log1p(low / saturation))
