"""A Darlington's data sheet as two transistors with built-in resistors in one package.

Sheets print the pair as a whole.  Between its transistors it is divided by rule: equal gains, and a driver of a tenth
of the output transistor's size, so of a tenth of its saturation and knee current (default); each junction is taken as
a single transistor's is.  The built-in resistors make gain fall at low current, the knees at high current.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.identify.base_emitter import (
    JUNCTION_SPREAD,
    LEAST_RESISTANCE,
    LEAST_SHARE,
    USUAL_SHARE,
    saturation_current,
)
from outboard.identify.gain import EARLY_VOLTAGE, MOST_OVER_LEAST, GainPoint, least_point, printed_points
from outboard.identify.leakage import leakage
from outboard.identify.pair import conducting_pair, saturated_pair
from outboard.identify.records import Identified, Spread, default, derived
from outboard.identify.saturation import REVERSE_GAIN
from outboard.parts.ratings import ratings
from outboard.parts.records import DARLINGTON, Figure, Origin, PartType

DRIVER_SIZE = 0.1
"""The driver's size as a part of the output transistor's (default)."""

GAIN_EXPONENT = 1.5
MOST_GAIN = 1e4
"""No transistor of a pair has more gain than this."""

_GAINS = ("forward_gain", "driver_forward_gain")
_JUNCTIONS = ("saturation_current", "driver_saturation_current", "emitter_resistance")
_RESISTORS = {"driver_base_resistor": "RB1", "output_base_resistor": "RB2"}


@dataclass(frozen=True, slots=True)
class _Found:
    """Values and origins as they come together."""

    values: dict[str, float]
    origins: dict[str, Origin]

    def put(self, origin: Origin, **values: float) -> None:
        self.values.update(values)
        self.origins.update(dict.fromkeys(values, origin))


def darlington(part_type: PartType, working_current: float | None = None) -> Identified:
    """Parameters of a Darlington type; the ends of the gain are right at the working collector current [A].

    ValueError when the sheet has no I_C rating or no least gain.
    """
    rated, name = ratings(part_type).get("I_C"), part_type.name
    if rated is None or not printed_points(part_type)[0]:
        raise ValueError(f"{name}: neither h_FE nor I_C can be left out of a transistor's sheet")
    found, notes, undecided = _plain(part_type, rated.value), [], {}
    gain, said = _gain(part_type, found, working_current)
    voltage = _voltage(part_type, found, rated.value)
    resistance, origin = _collector_resistance(part_type, found.values)
    found.put(origin, collector_resistance=resistance)
    spreads = [gain, voltage]
    cut = leakage(part_type)
    if cut is None:
        undecided["leakage"] = f"no leakage figure of {name} is printed"
    else:
        found.put(cut.origin, cutoff_current=cut.current, cutoff_doubling=cut.doubling)
        spreads.append(cut.spread)
        undecided |= cut.undecided
        notes += [*cut.notes, f"leakage of {name} is put into its output transistor"]
    notes = [*said, *notes, *_open_points(part_type, found)]
    return Identified(MappingProxyType(found.values), MappingProxyType(found.origins), tuple(spreads), tuple(notes),
                      MappingProxyType(undecided), DARLINGTON)  # fmt: skip


def _plain(part_type: PartType, rated: float) -> _Found:
    """Knees, built-in resistors, the constants of silicon, and the junctions as they usually are."""
    found = _Found({}, {})
    silicon = default("silicon power transistor")
    found.put(silicon, reverse_gain=REVERSE_GAIN, forward_early_voltage=EARLY_VOLTAGE, bandgap_eV=1.11,
              gain_temperature_exponent=GAIN_EXPONENT, current_temperature_exponent=3.0)  # fmt: skip
    found.put(default("sheets state figures at 25 °C"), reference_temperature=REFERENCE_TEMPERATURE)
    knee = default(f"knee current at the rated I_C of {part_type.name}, the driver's a tenth of it")
    found.put(knee, forward_knee_current=rated, driver_forward_knee_current=DRIVER_SIZE * rated)
    for field, figure in _RESISTORS.items():
        for row in part_type.rows(figure)[:1]:
            if row.typical is not None:
                found.put(derived(row, "typical", f"built-in resistor of {part_type.name}"), **{field: row.typical})
    usual = saturation_current(rated, 0.0)
    found.put(silicon, saturation_current=usual, driver_saturation_current=DRIVER_SIZE * usual,
              emitter_resistance=LEAST_RESISTANCE, collector_resistance=LEAST_RESISTANCE)  # fmt: skip
    return found


def _level(values: Mapping[str, float], point: GainPoint) -> float:
    """Gain of each transistor with which the pair has a printed gain."""
    low, high = 0.0, math.log(MOST_GAIN)
    for _ in range(50):
        middle = (low + high) / 2.0
        gains = dict.fromkeys(_GAINS, math.exp(middle))
        base = conducting_pair({**values, **gains}, point.current, point.voltage).base_current
        low, high = (middle, high) if point.current / base < point.gain else (low, middle)
    return math.exp(low)


def _gain(part_type: PartType, found: _Found, working: float | None) -> tuple[Spread, tuple[str, ...]]:
    """Usual gain through the typical one, the least end through the printed least gain at the working current."""
    name, (minima, typicals, maxima) = part_type.name, printed_points(part_type)
    best = max(point.gain for point in minima)
    anchor = [point for point in minima if point.gain == best][-1]
    lowest, least_origin, notes = least_point(name, minima, anchor, working)
    if typicals:
        centre = typicals[-1]
        usual_origin = derived(centre.figure, "typical", f"h_FE of {name} at {centre.current:g} A")
        top = replace(centre, gain=centre.gain**2 / anchor.gain)
        most_origin = default(f"most h_FE of {name} as far above the typical one as the least lies below")
    else:
        words = f"derived: between least and {MOST_OVER_LEAST:g} times the least h_FE of {name}"
        centre = replace(anchor, gain=math.sqrt(MOST_OVER_LEAST) * anchor.gain)
        usual_origin = Origin("derived", anchor.figure.source, words)
        top = replace(anchor, gain=MOST_OVER_LEAST * anchor.gain)
        most_origin = default(f"most h_FE of {name} taken as {MOST_OVER_LEAST:g} times the printed least")
    if maxima:
        top, most_origin = maxima[-1], derived(maxima[-1].figure, "most", f"most h_FE of {name}")
    usual = _level(found.values, centre)
    found.put(usual_origin, **dict.fromkeys(_GAINS, usual))
    least, most = min(_level(found.values, lowest), usual), max(_level(found.values, top), usual)
    return Spread("gain", _GAINS, (least, least), (most, most), (least_origin, most_origin)), notes


def _voltage(part_type: PartType, found: _Found, rated: float) -> Spread:
    """Both junctions 40 mV up or down; at the most end the emitter resistance lifts V_BE(on) to its printed limit."""
    name = part_type.name
    rows = [row for row in part_type.rows("VBE_on") if row.most is not None and row.conditions.collector_current]
    weak = {"saturation_current": saturation_current(rated, JUNCTION_SPREAD)}
    weak["driver_saturation_current"] = DRIVER_SIZE * weak["saturation_current"]
    origin = usual_origin = default(f"V_BE(on) of {name} is not printed; 0.1 V in the emitter at the rated current")
    largest = 0.1 / rated
    if rows:
        row = rows[0]
        current, voltage = row.conditions.collector_current or 0.0, row.conditions.collector_emitter_voltage or 4.0
        point = conducting_pair({**found.values, **weak}, current, voltage)
        largest = ((row.most or 0.0) - point.junctions) / (current + point.base_current)
        words = f"V_BE(on) of {name} at {current:g} A"
        origin = derived(row, "most", words)
        usual_origin = default(f"two junctions of 0.63 V at 1/100 of the rated I_C; a third of what {words} leaves")
    largest = max(LEAST_RESISTANCE / LEAST_SHARE, largest)

    def end(shift: float, resistance: float) -> tuple[float, ...]:
        saturation = saturation_current(rated, shift)
        return saturation, DRIVER_SIZE * saturation, resistance

    found.put(usual_origin, **dict(zip(_JUNCTIONS, end(0.0, USUAL_SHARE * largest), strict=True)))
    lower = default("two junctions of 0.59 V at a hundredth of the rated I_C")
    return Spread("V_BE", _JUNCTIONS, end(-JUNCTION_SPREAD, LEAST_SHARE * largest), end(JUNCTION_SPREAD, largest),
                  (lower, origin))  # fmt: skip


def _collector_resistance(part_type: PartType, values: Mapping[str, float]) -> tuple[float, Origin]:
    """Collector resistance [Ω] with which the usual pair has half the printed V_CE(sat) limit."""
    found: list[tuple[float, Figure]] = []
    for row in part_type.rows("VCE_sat"):
        current, base = row.conditions.collector_current, row.conditions.base_current
        if row.most is None or current is None or base is None:
            continue
        inner = saturated_pair(values, current, base).across
        rest = row.most / 2.0 - values["emitter_resistance"] * (current + base) - inner
        found.append((max(LEAST_RESISTANCE, rest / current), row))
    if not found:
        return LEAST_RESISTANCE, default("V_CE(sat) is not printed")
    resistance, row = min(found, key=lambda pair: pair[0])
    return resistance, Origin("derived", row.source, f"derived: half the V_CE(sat) limit of {part_type.name}")


def _open_points(part_type: PartType, found: _Found) -> list[str]:
    """What the two transistors do not hold."""
    name = part_type.name
    notes = [f"gain and size of the two transistors in {name} are divided by rule, not printed"]
    if set(_RESISTORS) - set(found.values):
        missing = "are not printed and left out: gain does not fall at low current"
        notes.append(f"the built-in resistors of {name} {missing}")
    notes.append(f"the diode from emitter to collector of {name} is left out: no reverse current is to be read from it")
    notes.append("gain's exponent of temperature is a default, 1.5 for each transistor; devices have 1 to 2")
    return notes
