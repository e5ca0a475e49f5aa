"""Copper wire: from gauge to diameter, from cross-section to resistance, from current to the volts that it takes."""

from math import pi
from typing import Annotated

from outboard.constants import ZERO_CELSIUS
from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import T

RESISTIVITY = 1e-6 / 58.0
"""Of annealed copper at 20 °C [Ω·m], 17.241 nΩ·m (IEC 60028)."""

PER_KELVIN = 0.00393
"""How its resistance rises from 20 °C on [1/K] (IEC 60028)."""

gauge = Annotated[float, Symbol("n", "1", "number of the wire in the American gauge; 0 for 1/0, −1 for 2/0")]
diameter = Annotated[float, Symbol("d", "m", "diameter of the bare wire")]
cross_section = Annotated[float, Symbol("A", "m²", "cross-section of the conductor")]
length = Annotated[float, Symbol("l", "m", "length of the conductor, there or back")]
R_w = Annotated[float, Symbol("R_w", "Ω", "resistance of the conductor")]
V_w = Annotated[float, Symbol("V_w", "V", "voltage along the conductor")]
I_w = Annotated[float, Symbol("I", "A", "current through the conductor")]


@formula("d = 0.127 mm·92^((36 − n) / 39)", validity="AWG 4/0 to 40, solid round wire", source="ASTM-B258")
def gauge_diameter(*, number: gauge) -> diameter:
    """Diameter of a wire by its gauge number [m]."""
    return 0.127e-3 * float(92.0 ** ((36.0 - number) / 39.0))


@formula("A = π·d² / 4", validity="solid round wire", source="derived")
def round_section(*, wire_diameter: diameter) -> cross_section:
    """Cross-section of a round wire [m²]."""
    return pi * wire_diameter**2 / 4.0


@formula(
    "R_w = 17.24 nΩ·m·l / A·(1 + 0.00393 1/K·(T − 20 °C))",
    validity="annealed copper, direct current; a real stranded conductor may have some per cent more",
    source="IEC-60028",
)
def conductor_resistance(*, conductor_length: length, section: cross_section, temperature: T) -> R_w:
    """Resistance of a copper conductor [Ω]."""
    warm = 1.0 + PER_KELVIN * (temperature - (ZERO_CELSIUS + 20.0))
    return RESISTIVITY * conductor_length / section * warm


@formula("V_w = I·R_w", validity="direct current", source="textbook-ohm")
def conductor_voltage(*, current: I_w, resistance: R_w) -> V_w:
    """What a conductor takes of the voltage [V]."""
    return current * resistance
