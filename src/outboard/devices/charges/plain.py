"""Capacitors, inductors, and a lamp whose filament takes its time."""

from collections.abc import Sequence
from typing import Any

from outboard.devices.charges.store import Store
from outboard.devices.device import Mathematics, Number


def capacitance_charge(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Charge of a plain capacitance, q = C·v."""
    q = p.capacitance * (x[0] - x[1])
    return q, -q


CAPACITANCE = Store("capacitance", ("a", "b"), ("capacitance",), capacitance_charge)


def inductance_flux(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Flux of an inductance, in the row that says v − i·R − d(L·i)/dt = 0 of its own current."""
    return (-p.inductance * x[0],)


INDUCTANCE = Store("inductance", ("current",), ("inductance",), inductance_flux)


def glowing_currents(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Current of a lamp whose filament has warmed to h, R = R_c + (V_r²/P_r − R_c)·h; last, h less what drives it."""
    plus, minus, h = x
    v = plus - minus
    hot = p.lamp_voltage * p.lamp_voltage / p.lamp_power
    i = v / (p.cold_resistance + (hot - p.cold_resistance) * h)
    return i, -i, h - v * i / p.lamp_power


def glowing_charge(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """τ·h, in the row τ·dh/dt = v·i/P_r − h."""
    return x[0] * 0.0, x[1] * 0.0, p.time_constant * x[2]


GLOWING_LAMP = Store(
    "glowing_lamp", ("plus", "minus", "glow"), ("lamp_voltage", "lamp_power", "cold_resistance", "time_constant"),
    glowing_charge, glowing_currents,
)  # fmt: skip
