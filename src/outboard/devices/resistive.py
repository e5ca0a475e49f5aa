"""Resistors, sources and loads."""

from collections.abc import Sequence
from typing import Any

from outboard.devices.device import Device, Mathematics, Number
from outboard.devices.mathematics import soft_positive

SOFT_LOAD = 0.1
"""A current load lets go of a rail below about this voltage [V]."""


def resistor_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Current and heat of a resistor: i = v/R(T), R(T) = R·(1 + α(T − T0))."""
    a, b, t = x
    v = a - b
    i = v / (p.resistance * (1.0 + p.temperature_coefficient * (t - p.reference_temperature)))
    return i, -i, -v * i


RESISTOR = Device(
    "resistor",
    ("a", "b", "temperature"),
    ("resistance", "temperature_coefficient", "reference_temperature"),
    resistor_equations,
)


def source_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Voltage source behind its resistance: v_plus − v_minus = voltage + i·resistance, i its own unknown."""
    plus, minus, i = x
    return i, -i, plus - minus - p.voltage - i * p.resistance


SOURCE = Device("source", ("plus", "minus", "current"), ("voltage", "resistance"), source_equations)


def current_load_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Constant-current load that lets go of a dead rail: i = I·tanh(v/0.1 V)."""
    plus, minus = x
    i = p.draws * m.tanh((plus - minus) / SOFT_LOAD)
    return i, -i


CURRENT_LOAD = Device("current_load", ("plus", "minus"), ("draws",), current_load_equations)


def power_load_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Constant-power load: i = P/v from the cut-in voltage V_c on, P·v/V_c² below it."""
    plus, minus = x
    v = plus - minus
    running = m.above(v, p.cut_in_voltage)
    i = m.choose(running, p.power / m.choose(running, v, 1.0), p.power * v / (p.cut_in_voltage * p.cut_in_voltage))
    return i, -i


POWER_LOAD = Device("power_load", ("plus", "minus"), ("power", "cut_in_voltage"), power_load_equations)


def battery_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Battery under charge or discharge: i = (v − EMF)/R."""
    plus, minus = x
    i = (plus - minus - p.battery) / p.resistance
    return i, -i


BATTERY = Device("battery", ("plus", "minus"), ("battery", "resistance"), battery_equations)


def lamp_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Lamp at rest: i = v/R, R the positive root of R² − R_c·R − (V_r²/P_r − R_c)·v²/P_r = 0."""
    plus, minus = x
    v, cold = plus - minus, p.cold_resistance
    glow = (p.lamp_voltage * p.lamp_voltage / p.lamp_power - cold) / p.lamp_power
    i = 2.0 * v / (cold + m.sqrt(cold * cold + 4.0 * glow * (v * v)))
    return i, -i


LAMP = Device("lamp", ("plus", "minus"), ("lamp_voltage", "lamp_power", "cold_resistance"), lamp_equations)


def thermal_resistance_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Heat flow through a thermal resistance, (T_a − T_b)/R [W]."""
    a, b = x
    flow = (a - b) / p.resistance
    return flow, -flow


THERMAL_RESISTANCE = Device("thermal_resistance", ("a", "b"), ("resistance",), thermal_resistance_equations)


def threshold_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """A path that opens above a threshold: i = s((v − threshold)/R), s the positive part with corner `width`."""
    plus, minus, _ = x
    v = plus - minus
    i = soft_positive((v - p.threshold) / p.resistance, p.width, m)
    return i, -i, -v * i


def threshold_corners(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Where the path opens."""
    plus, minus, _ = x
    return (((plus - minus - p.threshold) / p.resistance) / p.width,)


THRESHOLD = Device(
    "threshold",
    ("plus", "minus", "temperature"),
    ("threshold", "resistance", "width"),
    threshold_equations,
    corners=threshold_corners,
)
"""The emitter breakdown of a transistor and the reverse path of a regulator."""
