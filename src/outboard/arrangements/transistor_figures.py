"""The figures of a transistor that hand equations ask for, at the end that hurts, with their working."""

from collections.abc import Mapping
from dataclasses import dataclass

from outboard.arrangements.sizing import PutIn
from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.formulas import Worked
from outboard.formulas.junction import base_emitter_voltage_at, voltage_tempco
from outboard.formulas.leakage import leakage_at_temperature
from outboard.formulas.transistor import gain_at_temperature
from outboard.identify import identified
from outboard.identify.operating import active_point, junction_count
from outboard.parts import PartType
from outboard.parts.records import Origin
from outboard.quantity import CURRENT, TEMPERATURE, shown

ONSET_SHARE = 0.01
"""Share of its full-load current at which a transistor has taken over (common practice, no source)."""

VOLTAGES = (1.0, 4.0)
"""Multiples of the least V_CE that are tried where the device is saturated at full load."""

INNER_MOST = 1.2
"""V_BE of a junction beyond all use, for a device that carries the current at no voltage [V]."""

NO_LEAKAGE = Origin("default", "", "default: leakage is not printed and left out")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a transistor works: its name, collector current [A], least V_CE [V], coldest and hottest junction [K]."""

    name: str
    current: float
    voltage: float
    cold: float
    hot: float


@dataclass(frozen=True, slots=True)
class TransistorFigures:
    """V_BE [V] where conduction starts, at full load cold at the most end; least gain cold; hot leakage at most [A].

    voltage_spread and the emitter resistances [Ω] say how far devices of the type differ at the junction and behind it;
    `overstrained` says it when the device cannot carry the current at all.
    """

    onset: PutIn
    most_voltage: PutIn
    least_gain: PutIn
    leakage: PutIn
    voltage_spread: float
    least_resistance: float
    most_resistance: float
    overstrained: str

    @property
    def all(self) -> tuple[PutIn, ...]:
        """What was put in, in the order of use."""
        return self.onset, self.most_voltage, self.least_gain, self.leakage


def transistor_figures(part_type: PartType, place: Place) -> TransistorFigures:
    """The figures of a type at its place in a stage."""
    known = identified(part_type, place.current)
    at = f"{place.name} ({part_type.name})"
    onset_current = ONSET_SHARE * place.current
    onset, _, _ = point(known.values, onset_current, place.voltage)
    weak = known.at(gain="least", V_BE="most")
    voltage, base, possible = point(weak, place.current, place.voltage)
    inner = voltage - weak["emitter_resistance"] * (place.current + base)
    cold_voltage = at_temperature(voltage, inner, weak, place.cold)
    cold_gain = gain_at_temperature.evaluated(
        stated_gain=place.current / base, temperature=place.cold, reference_temperature=REFERENCE_TEMPERATURE,
        exponent=junction_count(weak) * weak["gain_temperature_exponent"],
    )  # fmt: skip
    spread, gain_spread = known.spread("V_BE"), known.spread("gain")
    derived = Origin("derived", "", f"derived: device of type {part_type.name} at its usual values")
    working, cold = _amps(place.current), _celsius(place.cold)
    least, most = known.at(V_BE="least"), known.at(V_BE="most")
    junctions = [
        point(end, place.current, place.voltage)[0] - end["emitter_resistance"] * place.current for end in (least, most)
    ]
    return TransistorFigures(
        PutIn(f"V_BE of {at} where it starts, {_amps(onset_current)}, usual, 25 °C", onset, "V", derived),
        PutIn(f"V_BE of {at} at full load, {working}, most, {cold}", cold_voltage.value, "V",
              spread.origins[1] if spread else derived, cold_voltage),
        PutIn(f"h_FE of {at} at full load, {working}, least, {cold}", cold_gain.value, "1",
              gain_spread.origins[0] if gain_spread else derived, cold_gain),
        _leakage(part_type, at, place.hot),
        max(0.0, junctions[1] - junctions[0]), least["emitter_resistance"], most["emitter_resistance"],
        "" if possible else f"{at} is not made for {working}: with the least gain and most V_BE it cannot carry that",
    )  # fmt: skip


def point(values: Mapping[str, float], current: float, voltage: float) -> tuple[float, float, bool]:
    """V_BE [V] and base current [A] at a collector current, 25 °C, at the least V_CE that carries it.

    False, and a gain of one, when none does: the hand figures then only say that it is too much.
    """
    for times in VOLTAGES:
        try:
            return *active_point(values, current, times * voltage), True
        except ValueError:
            continue
    return junction_count(values) * INNER_MOST + 2.0 * values["emitter_resistance"] * current, current, False


def off_voltage(part_type: PartType, place: Place, current: float) -> PutIn:
    """V_BE [V] at which the hot device that conducts best carries a current [A]: below it, the device is off."""
    known = identified(part_type, place.current)
    best = known.at(V_BE="least")
    voltage, base, _ = point(best, current, place.voltage)
    inner = voltage - best["emitter_resistance"] * (current + base)
    worked = at_temperature(voltage, inner, best, place.hot)
    spread = known.spread("V_BE")
    words = f"V_BE of {place.name} ({part_type.name}) at {_amps(current)}, least, {_celsius(place.hot)}"
    origin = spread.origins[0] if spread else Origin("derived", "", "derived: usual device")
    return PutIn(words, worked.value, "V", origin, worked)


def at_temperature(voltage: float, junction: float, values: Mapping[str, float], temperature: float) -> Worked:
    """V_BE [V] at another temperature; only the junctions' part of it falls as the device warms."""
    count = junction_count(values)
    slope = count * voltage_tempco(
        bandgap_voltage=values["bandgap_eV"], base_emitter_voltage=junction / count,
        exponent=values["current_temperature_exponent"], thermal_voltage=thermal_voltage(REFERENCE_TEMPERATURE),
        temperature=REFERENCE_TEMPERATURE,
    )  # fmt: skip
    return base_emitter_voltage_at.evaluated(
        stated_voltage=voltage, voltage_tempco=slope, temperature=temperature,
        reference_temperature=REFERENCE_TEMPERATURE,
    )  # fmt: skip


def _leakage(part_type: PartType, at: str, hot: float) -> PutIn:
    """Greatest leakage of the hot device, between the limits that the sheet prints."""
    spread = identified(part_type).spread("leakage")
    words = f"I_CBO of {at}, most, {_celsius(hot)}"
    if spread is None:
        return PutIn(words, 0.0, "A", NO_LEAKAGE)
    current, doubling = spread.most
    worked = leakage_at_temperature.evaluated(
        leakage_current=current, temperature=hot, reference_temperature=REFERENCE_TEMPERATURE,
        doubling_interval=doubling,
    )  # fmt: skip
    return PutIn(words, worked.value, "A", spread.origins[1], worked)


def _amps(current: float) -> str:
    return shown(current, CURRENT)


def _celsius(temperature: float) -> str:
    return shown(temperature, TEMPERATURE)
