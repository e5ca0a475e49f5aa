"""The fields of every kind of part: what each one measures, its default, and the bounds within which it makes sense.

This is data, shared by the reading of design files and by the network. Dimensions are named by plain words, so that
the network knows nothing of units; every number is SI, temperatures in kelvin.

A default of None on a field that is not required means that the effect is absent: nothing is stored
(an early voltage or a knee current at infinity, no breakdown, no reverse path).
"""

from collections.abc import Mapping
from dataclasses import dataclass

from outboard.constants import REFERENCE_TEMPERATURE


@dataclass(frozen=True, slots=True)
class Field:
    """One parameter of a part. `above` excludes its bound, `least` includes it, `below` excludes it."""

    dimension: str
    default: float | None = None
    required: bool = False
    above: float | None = None
    least: float | None = None
    below: float | None = None


def _needed(dimension: str, above: float | None = None, least: float | None = None) -> Field:
    return Field(dimension, None, True, above, least)


def _positive(dimension: str, default: float | None = None, below: float | None = None) -> Field:
    return Field(dimension, default, above=0.0, below=below)


def _not_negative(dimension: str, default: float | None = None) -> Field:
    return Field(dimension, default, least=0.0)


def _depletion(side: str) -> dict[str, Field]:
    """A transistor junction's depletion capacitance with its built-in potential and grading."""
    return {
        f"{side}_capacitance": _not_negative("capacitance", 0.0),
        f"{side}_potential": _positive("voltage", 0.75),
        f"{side}_grading": _positive("number", 0.33, below=1.0),
    }


REFERENCE = {"reference_temperature": _positive("temperature", REFERENCE_TEMPERATURE)}

RESISTOR = {
    "resistance": _needed("resistance", least=0.0),
    "temperature_coefficient": Field("per_kelvin", 0.0),
    # what a resistor was bought as; the network has no use for it
    "tolerance": Field("ratio", least=0.0, below=1.0),
    "drift": _not_negative("per_kelvin"),
    "rated_power": _positive("power"),
    "full_power_temperature": _positive("temperature"),
    "zero_power_temperature": _positive("temperature"),
} | REFERENCE

CAPACITOR = {
    "capacitance": _needed("capacitance", above=0.0),
    "series_resistance": _not_negative("resistance", 0.0),
    "series_inductance": _not_negative("inductance", 0.0),
} | REFERENCE

INDUCTOR = {
    "inductance": _needed("inductance", above=0.0),
    "series_resistance": _not_negative("resistance", 0.0),
} | REFERENCE

DIODE = {
    "saturation_current": _needed("current", above=0.0),
    "emission_coefficient": _positive("number", 1.0),
    "series_resistance": _not_negative("resistance", 0.0),
    "bandgap_eV": _positive("energy_eV", 1.11),
    "temperature_exponent": Field("number", 3.0),
    "transit_time": _not_negative("time", 0.0),
    "junction_capacitance": _not_negative("capacitance", 0.0),
    "junction_potential": _positive("voltage", 0.75),
    "grading": _positive("number", 0.33, below=1.0),
    "breakdown_voltage": _positive("voltage"),
    "breakdown_current": _positive("current", 1e-3),
    "breakdown_resistance": _not_negative("resistance", 0.0),
    "breakdown_emission": _positive("number", 1.0),
} | REFERENCE

BIPOLAR = {
    "saturation_current": _needed("current", above=0.0),
    "forward_gain": _needed("number", above=0.0),
    "reverse_gain": _positive("number", 4.0),
    "forward_emission": _positive("number", 1.0),
    "reverse_emission": _positive("number", 1.0),
    "forward_early_voltage": _positive("voltage"),
    "reverse_early_voltage": _positive("voltage"),
    "forward_knee_current": _positive("current"),
    "reverse_knee_current": _positive("current"),
    "emitter_leakage_current": _not_negative("current", 0.0),
    "emitter_leakage_emission": _positive("number", 1.5),
    "collector_leakage_current": _not_negative("current", 0.0),
    "collector_leakage_emission": _positive("number", 2.0),
    "base_resistance": _not_negative("resistance", 0.0),
    "emitter_resistance": _not_negative("resistance", 0.0),
    "collector_resistance": _not_negative("resistance", 0.0),
    "bandgap_eV": _positive("energy_eV", 1.11),
    "current_temperature_exponent": Field("number", 3.0),
    "gain_temperature_exponent": Field("number", 0.0),
    "cutoff_current": _not_negative("current", 0.0),
    "cutoff_doubling": _positive("temperature_difference", 10.0),
    **_depletion("emitter"),
    **_depletion("collector"),
    "forward_transit_time": _not_negative("time", 0.0),
    "reverse_transit_time": _not_negative("time", 0.0),
    "emitter_breakdown_voltage": _positive("voltage"),
    "emitter_breakdown_resistance": _positive("resistance", 1.0),
} | REFERENCE

MOSFET = {
    "threshold_voltage": _needed("voltage"),
    "transconductance": _needed("transconductance", above=0.0),
    "slope": Field("number", 1.3, least=1.0),
    "output_conductance": _not_negative("per_volt", 0.0),
    "threshold_tempco": Field("volt_per_kelvin", 0.0),
    "drain_resistance": _not_negative("resistance", 0.0),
    "body_saturation_current": _not_negative("current", 0.0),
    "gate_source_capacitance": _not_negative("capacitance", 0.0),
    "gate_drain_capacitance": _not_negative("capacitance", 0.0),
    "drain_source_capacitance": _not_negative("capacitance", 0.0),
} | REFERENCE

DARLINGTON = {
    **{name: field for name, field in BIPOLAR.items() if not name.startswith(("emitter_leakage", "emitter_breakdown"))},
    "driver_saturation_current": _needed("current", above=0.0),
    "driver_forward_gain": _needed("number", above=0.0),
    "driver_forward_knee_current": _positive("current"),
    "driver_base_resistor": _positive("resistance"),  # across the driver's base and emitter; left out: none
    "output_base_resistor": _positive("resistance"),  # across the output transistor's base and emitter
}
"""Two transistors in one package, the driver's emitter at the output transistor's base; the plain fields are the output
transistor's, and those of temperature, Early effect and reverse gain hold for both."""

CONSTANT_GAIN = {
    "gain": _needed("number", above=0.0),
    "base_emitter_voltage": _needed("voltage", above=0.0),
    "saturation_voltage": _not_negative("voltage"),
}

REGULATOR = {
    "set_voltage": _needed("voltage", above=0.0),
    "output_resistance": _positive("resistance", 10e-3),
    "line_coefficient": Field("per_volt", 0.0),
    "nominal_differential": Field("voltage", 5.0),
    "set_voltage_tempco": Field("per_kelvin", 0.0),
    "dropout_voltage": _not_negative("voltage", 1.5),
    "dropout_resistance": _positive("resistance", 0.5),
    "dropout_tempco": Field("volt_per_kelvin", 0.0),
    "current_limit": _needed("current", above=0.0),
    "short_circuit_current": _not_negative("current"),  # left out: equal to current_limit
    "foldback_start": Field("voltage", 10.0),
    "foldback_end": Field("voltage", 30.0),
    "limit_tempco": Field("per_kelvin", 0.0),
    "quiescent_current": _not_negative("current", 5e-3),
    "quiescent_load_coefficient": Field("ratio", 0.0),
    "quiescent_line_coefficient": Field("conductance", 0.0),
    "shutdown_temperature": _positive("temperature", REFERENCE_TEMPERATURE + 140.0),
    "shutdown_width": _positive("temperature_difference", 2.0),
    "sharpness": _positive("current", 0.2e-3),
    "divider_resistance": _positive("resistance"),
    "reverse_voltage": _not_negative("voltage"),
    "reverse_resistance": _positive("resistance", 0.1),
    "bandwidth": _positive("frequency"),
} | REFERENCE

THYRISTOR = {
    "off_state_resistance": _needed("resistance", above=0.0),
    "gate_saturation_current": _needed("current", above=0.0),  # of the junction from gate to cathode, whose n is 1
    "on_voltage": _not_negative("voltage", 0.9),
    "on_resistance": _positive("resistance", 30e-3),
    "fired": Field("number", 0.0, least=0.0),  # 0: it blocks; anything else: it conducts
} | REFERENCE
"""A thyristor at rest: it blocks but for its leakage, or it has fired and conducts. Nothing in the network fires it."""

SOURCE = {
    "voltage": _needed("voltage"),
    "resistance": _not_negative("resistance", 0.0),
}

LOAD = {
    "draws": _not_negative("current"),
    "resistance": _positive("resistance"),
    "power": _not_negative("power"),
    "cut_in_voltage": _positive("voltage", 1.0),
    "battery": _not_negative("voltage"),
    "lamp_voltage": _positive("voltage"),
    "lamp_power": _positive("power"),
    "cold_resistance": _positive("resistance"),
    "time_constant": _positive("time"),
}

LOAD_FORMS: Mapping[str, tuple[frozenset[str], frozenset[str]]] = {
    "draws": (frozenset({"draws"}), frozenset()),
    "resistance": (frozenset({"resistance"}), frozenset()),
    "power": (frozenset({"power"}), frozenset({"cut_in_voltage"})),
    "battery": (frozenset({"battery", "resistance"}), frozenset()),
    "lamp": (frozenset({"lamp_voltage", "lamp_power", "cold_resistance"}), frozenset({"time_constant"})),
}
"""What a load may be, each with the fields that it needs and those that it may have."""

THERMAL_RESISTANCE = {"resistance": _needed("thermal_resistance", least=0.0)}
THERMAL_CAPACITANCE = {"heat_capacity": _needed("heat_capacity", above=0.0)}

KINDS: Mapping[str, Mapping[str, Field]] = {
    "resistor": RESISTOR,
    "capacitor": CAPACITOR,
    "inductor": INDUCTOR,
    "diode": DIODE,
    "bipolar": BIPOLAR,
    "mosfet": MOSFET,
    "regulator": REGULATOR,
    "thyristor": THYRISTOR,
    "source": SOURCE,
    "load": LOAD,
    "thermal_resistance": THERMAL_RESISTANCE,
    "thermal_capacitance": THERMAL_CAPACITANCE,
}
"""The fields of each kind of part."""

MODELS: Mapping[tuple[str, str], Mapping[str, Field]] = {
    ("bipolar", "constant_gain"): CONSTANT_GAIN,
    ("bipolar", "darlington"): DARLINGTON,
}
"""The fields of a kind when `model` names another model than the kind's own."""

PINS: Mapping[str, tuple[str, ...]] = {
    "resistor": ("a", "b"),
    "capacitor": ("a", "b"),
    "inductor": ("a", "b"),
    "diode": ("anode", "cathode"),
    "bipolar": ("collector", "base", "emitter"),
    "mosfet": ("drain", "gate", "source"),
    "regulator": ("in", "out", "ref"),
    "thyristor": ("anode", "cathode", "gate"),
    "source": ("plus", "minus"),
    "load": ("plus", "minus"),
    "thermal_resistance": ("a", "b"),
    "thermal_capacitance": ("a", "b"),
}
"""The pins of each kind of part, in the order in which they are spoken."""

POLARITIES: Mapping[str, tuple[str, ...]] = {
    "bipolar": ("npn", "pnp"), "mosfet": ("n-channel", "p-channel"), "regulator": ("positive", "negative"),
}  # fmt: skip
"""The polarities of the kinds that have one, the first as the equations are written, the other its mirror image."""

POLARITY_SAID = ("bipolar", "mosfet")
"""Kinds that must say their polarity; a regulator is positive by default."""


def fields(kind: str, model: str | None = None) -> Mapping[str, Field]:
    """The fields of a part of this kind and model; KeyError when there is no such kind or model."""
    return KINDS[kind] if model is None else MODELS[kind, model]
