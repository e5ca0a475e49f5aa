"""The junction diode and its breakdown.

References
----------
[Sze] textbook form of the junction law and of the saturation current's temperature dependence (memory)
"""

from collections.abc import Sequence
from typing import Any

from outboard.devices.device import Device, Mathematics, Number
from outboard.devices.mathematics import BOLTZMANN_VOLTAGE, limited_exp


def temperature_exponent(t: Number, t0: Number, current_exponent: Number, bandgap: Number, m: Mathematics) -> Number:
    """ln I_S(T)/I_S(T0) = m_S·ln(T/T0) + (E_G q/k)(1/T0 − 1/T)."""
    return current_exponent * m.log(t / t0) + bandgap / BOLTZMANN_VOLTAGE * (1.0 / t0 - 1.0 / t)


def diode_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Junction current i = I_S(T)(exp(v/(n V_T)) − 1); m_S and E_G are divided by n."""
    anode, cathode, t = x
    v = anode - cathode
    scale = temperature_exponent(t, p.reference_temperature, p.temperature_exponent, p.bandgap_eV, m)
    scale = scale / p.emission_coefficient
    drive = v / (p.emission_coefficient * BOLTZMANN_VOLTAGE * t)
    i = p.saturation_current * (limited_exp(drive + scale, m) - m.exp(scale))
    return i, -i, -v * i


DIODE = Device(
    "diode",
    ("anode", "cathode", "temperature"),
    ("saturation_current", "emission_coefficient", "bandgap_eV", "temperature_exponent", "reference_temperature"),
    diode_equations,
    junctions=(("anode", "cathode"),),
)


def breakdown_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Breakdown branch beside a diode: i = −I_ZT·exp(−(v + V_Z)/(n_Z V_T))."""
    anode, cathode, t = x
    v = anode - cathode
    drive = -(v + p.breakdown_voltage) / (p.breakdown_emission * BOLTZMANN_VOLTAGE * t)
    i = -p.breakdown_current * limited_exp(drive, m)
    return i, -i, -v * i


def breakdown_corners(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Where breakdown sets in, and places above: a step on the slope of what is still off overruns all sense."""
    anode, cathode, t = x
    drive = -(anode - cathode + p.breakdown_voltage) / (p.breakdown_emission * BOLTZMANN_VOLTAGE * t)
    return tuple(drive - place for place in BREAKDOWN_PLACES)


BREAKDOWN_PLACES = (0.0, 8.0, 16.0)
"""ln(i/I_ZT) at which a step stops; one past the last carries some 10⁷ A: no step goes further up from there."""


BREAKDOWN = Device(
    "breakdown",
    ("anode", "cathode", "temperature"),
    ("breakdown_voltage", "breakdown_current", "breakdown_emission"),
    breakdown_equations,
    corners=breakdown_corners,
)
