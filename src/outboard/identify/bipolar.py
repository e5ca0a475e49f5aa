"""A transistor's data sheet as parameters of the integral charge-control model.

V_CE(sat): with the collector resistance the usual device has the printed typical value, else half the printed limit.
"""

from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.identify.base_emitter import LEAST_RESISTANCE, base_emitter
from outboard.identify.darlington import darlington
from outboard.identify.gain import EARLY_VOLTAGE, GainFit, gain_fit
from outboard.identify.leakage import leakage
from outboard.identify.records import Identified, Spread, default
from outboard.identify.saturation import REVERSE_GAIN, saturated_junctions
from outboard.parts.ratings import ratings
from outboard.parts.records import Figure, Origin, PartType

GAIN_EXPONENT = 1.5


def bipolar(part_type: PartType, working_current: float | None = None) -> Identified:
    """Parameters of a transistor type; the ends of the gain are right at the working collector current [A].

    Usual values never depend on the working current.  ValueError when the sheet has no I_C rating or no least gain.
    """
    if part_type.darlington:
        return darlington(part_type, working_current)
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
    """Collector resistance [Ω] with which the usual device has the typical V_CE(sat), or half its limit."""
    found: list[tuple[float, Figure]] = []
    for row in part_type.rows("VCE_sat"):
        current, base = row.conditions.collector_current, row.conditions.base_current
        if row.most is None or current is None or base is None:
            continue
        wanted = row.most / 2.0 if row.typical is None else row.typical
        inner = saturated_junctions(values, current, base)[1]
        rest = wanted - values["emitter_resistance"] * (current + base) - inner
        found.append((max(LEAST_RESISTANCE, rest / current), row))
    if not found:
        return LEAST_RESISTANCE, default("V_CE(sat) is not printed")
    resistance, row = min(found, key=lambda pair: pair[0])
    what = "half the V_CE(sat) limit" if row.typical is None else "typical V_CE(sat)"
    return resistance, Origin("derived", row.source, f"derived: {what} of {part_type.name}")
