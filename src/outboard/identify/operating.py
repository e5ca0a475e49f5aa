"""What an identified device does at the test points of its sheet, from the device equations themselves.

Transistors are read as NPN and regulators as positive; the opposite polarity is the mirror image.
"""

from collections.abc import Callable, Mapping
from functools import partial
from types import SimpleNamespace

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.devices.bipolar import bipolar_equations
from outboard.devices.junction import breakdown_equations, diode_equations
from outboard.devices.mathematics import FLOATS
from outboard.devices.regulator import regulator_equations
from outboard.identify.halving import STEPS, root
from outboard.identify.pair import conducting_pair, is_pair, saturated_pair


def _transistor(values: Mapping[str, float]) -> SimpleNamespace:
    """Parameters as the device equations name them, with the models' defaults."""
    emission = values.get("emitter_leakage_emission", 1.5)
    return SimpleNamespace(
        polarity=1.0,
        saturation_current=values["saturation_current"],
        forward_gain=values["forward_gain"],
        reverse_gain=values["reverse_gain"],
        forward_emission=1.0,
        reverse_emission=1.0,
        inverse_forward_early_voltage=1.0 / values["forward_early_voltage"],
        inverse_reverse_early_voltage=0.0,
        inverse_forward_knee_current=1.0 / values["forward_knee_current"],
        inverse_reverse_knee_current=0.0,
        emitter_leakage_current=values.get("emitter_leakage_current", 0.0),
        inverse_emitter_leakage_emission=1.0 / emission,
        collector_leakage_current=0.0,
        inverse_collector_leakage_emission=0.5,
        bandgap_eV=values["bandgap_eV"],
        current_temperature_exponent=values["current_temperature_exponent"],
        gain_temperature_exponent=values["gain_temperature_exponent"],
        cutoff_current=values.get("cutoff_current", 0.0),
        inverse_cutoff_doubling=1.0 / values.get("cutoff_doubling", 10.0),
        reference_temperature=values["reference_temperature"],
    )


def active_point(values: Mapping[str, float], collector_current: float, voltage: float) -> tuple[float, float]:
    """Base-emitter voltage [V] and base current [A] at a collector current and a collector-emitter voltage, 25 °C.

    ValueError when the resistances leave the inner transistor too little voltage for that current.
    """
    if is_pair(values):
        pair = conducting_pair(values, collector_current, voltage)
        lifted = values["emitter_resistance"] * (collector_current + pair.base_current)
        return pair.junctions + lifted, pair.base_current
    part = _transistor({**values, "cutoff_current": 0.0})

    def current(across: float, drive: float, port: int) -> float:
        return float(bipolar_equations((across, drive, 0.0, REFERENCE_TEMPERATURE), part, FLOATS)[port])

    base = 0.0
    for _ in range(STEPS):
        emitter = values["emitter_resistance"] * (collector_current + base)
        across = voltage - values["collector_resistance"] * collector_current - emitter
        drive = root(partial(_excess, current, across, collector_current), 0.0, 1.2)
        before, base = base, current(across, drive, 1)
        if abs(base - before) < 1e-9 * base and abs(current(across, drive, 0) / collector_current - 1.0) < 1e-6:
            return drive + values["emitter_resistance"] * (collector_current + base), base
    raise ValueError(f"no active point at {collector_current:g} A and {voltage:g} V")


def _excess(current: Callable[[float, float, int], float], across: float, wanted: float, drive: float) -> float:
    """Collector current above the wanted one [A]."""
    return current(across, drive, 0) - wanted


def junction_count(values: Mapping[str, float]) -> int:
    """How many junctions lie between base and emitter: two in a Darlington pair."""
    return 2 if is_pair(values) else 1


def saturated_point(values: Mapping[str, float], collector_current: float, base_current: float) -> tuple[float, float]:
    """Base-emitter and collector-emitter voltage [V] at a collector and a base current, 25 °C."""
    emitter = values["emitter_resistance"] * (collector_current + base_current)
    beyond = values["collector_resistance"] * collector_current + emitter
    if is_pair(values):
        pair = saturated_pair(values, collector_current, base_current)
        return pair.junctions + emitter, pair.across + beyond
    part = _transistor({**values, "cutoff_current": 0.0})

    def inner(across: float) -> tuple[float, float]:
        def current(drive: float, port: int) -> float:
            return float(bipolar_equations((across, drive, 0.0, REFERENCE_TEMPERATURE), part, FLOATS)[port])

        drive = root(lambda drive: current(drive, 1) - base_current, 0.0, 1.2)
        return drive, current(drive, 0)

    across = root(lambda across: inner(across)[1] - collector_current, -0.1, 10.0)
    return inner(across)[0] + emitter, across + beyond


def cutoff(values: Mapping[str, float], voltage: float, temperature: float) -> float:
    """Collector current [A] with the emitter at the base and the collector at a voltage [V]."""
    return float(bipolar_equations((voltage, 0.0, 0.0, temperature), _transistor(values), FLOATS)[0])


def forward_voltage(
    values: Mapping[str, float], current: float, temperature: float = REFERENCE_TEMPERATURE
) -> float:
    """Forward voltage [V] of a diode at a current [A]."""
    part = SimpleNamespace(**values)

    def excess(voltage: float) -> float:
        return float(diode_equations((voltage, 0.0, temperature), part, FLOATS)[0]) - current

    return root(excess, 0.0, 3.0) + values["series_resistance"] * current


def reverse_voltage(values: Mapping[str, float], current: float) -> float:
    """Reverse voltage [V] of a diode in breakdown at a current [A], 25 °C."""
    part = SimpleNamespace(**values)

    def excess(voltage: float) -> float:
        return -float(breakdown_equations((-voltage, 0.0, REFERENCE_TEMPERATURE), part, FLOATS)[0]) - current

    return root(excess, 0.0, 2.0 * values["breakdown_voltage"]) + values["breakdown_resistance"] * current


def reverse_current(values: Mapping[str, float], voltage: float) -> float:
    """Reverse current [A] of a diode in blocking, 25 °C; the series resistance drops nothing to speak of."""
    part = SimpleNamespace(**values)
    at = (-voltage, 0.0, REFERENCE_TEMPERATURE)
    return -float(diode_equations(at, part, FLOATS)[0]) - float(breakdown_equations(at, part, FLOATS)[0])


_REGULATOR = {
    "polarity": 1.0, "dropout_tempco": 0.0, "limit_tempco": 0.0, "shutdown_width": 2.0, "sharpness": 2e-4,
    "quiescent_current": 5e-3, "quiescent_load_coefficient": 0.0, "quiescent_line_coefficient": 0.0,
}  # fmt: skip


def _regulator(values: Mapping[str, float], supply: float, output: float, temperature: float) -> tuple[float, float]:
    """Output current and quiescent current [A] of a regulator whose reference lead is at zero."""
    part = SimpleNamespace(**{**_REGULATOR, **values})
    out = regulator_equations((supply, output, 0.0, temperature), part, FLOATS)
    return -float(out[1]), -float(out[2])


def regulated(
    values: Mapping[str, float], supply: float, current: float, temperature: float = REFERENCE_TEMPERATURE
) -> float:
    """Output voltage [V] at an input voltage and a load current [A]."""
    return root(lambda output: current - _regulator(values, supply, output, temperature)[0], -1.0, supply + 1.0)


def quiescent(values: Mapping[str, float], supply: float, current: float) -> float:
    """Quiescent current [A] at an input voltage and a load current, 25 °C."""
    return _regulator(values, supply, regulated(values, supply, current), REFERENCE_TEMPERATURE)[1]


def limited(values: Mapping[str, float], supply: float, output: float) -> float:
    """Largest current [A] into an output that is held at a voltage [V], 25 °C."""
    return _regulator(values, supply, output, REFERENCE_TEMPERATURE)[0]
