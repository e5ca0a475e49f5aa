"""Copper wire: from gauge to diameter, from cross-section to resistance, from current to the volts that it takes."""

from math import pi
from typing import Annotated

from outboard.constants import ZERO_CELSIUS
from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import T_0, T

AT_36 = 0.127e-3
"""Diameter of No. 36, a two-hundredth of an inch [m] (ASTM B258)."""

COLD = ZERO_CELSIUS + 20.0
"""Where the resistivity holds [K]."""

RESISTIVITY = 1e-6 / 58.0
"""Of annealed copper at 20 °C [Ω·m], 17.241 nΩ·m (IEC 60028)."""

PER_KELVIN = 0.00393
"""How its resistance rises from 20 °C on [1/K] (IEC 60028)."""

gauge = Annotated[float, Symbol("n", "1", "number of the wire in the American gauge; 0 for 1/0, −1 for 2/0")]
diameter_36 = Annotated[float, Symbol("d_36", "m", "diameter of No. 36")]
rho = Annotated[float, Symbol("ρ_20", "Ω·m", "resistivity of annealed copper at 20 °C")]
alpha = Annotated[float, Symbol("α_20", "1/K", "how the resistance of copper rises from 20 °C on")]
diameter = Annotated[float, Symbol("d", "m", "diameter of the bare wire")]
cross_section = Annotated[float, Symbol("A", "m²", "cross-section of the conductor")]
length = Annotated[float, Symbol("l", "m", "length of the conductor, there or back")]
R_w = Annotated[float, Symbol("R_w", "Ω", "resistance of the conductor")]
V_w = Annotated[float, Symbol("V_w", "V", "voltage along the conductor")]
I_w = Annotated[float, Symbol("I", "A", "current through the conductor")]


@formula("d = d_36·92^((36 − n) / 39)", validity="AWG 4/0 to 40, solid round wire", source="ASTM-B258")
def gauge_diameter(*, number: gauge, of_36: diameter_36 = AT_36) -> diameter:
    """Diameter of a wire by its gauge number [m]."""
    return of_36 * float(92.0 ** ((36.0 - number) / 39.0))


@formula("A = π·d² / 4", validity="solid round wire", source="derived")
def round_section(*, wire_diameter: diameter) -> cross_section:
    """Cross-section of a round wire [m²]."""
    return pi * wire_diameter**2 / 4.0


@formula(
    "R_w = ρ_20·l / A·(1 + α_20·(T − T_0))",
    validity="annealed copper, direct current; a real stranded conductor may have some per cent more",
    source="IEC-60028",
)
def conductor_resistance(
    *, conductor_length: length, section: cross_section, temperature: T, resistivity: rho = RESISTIVITY,
    per_kelvin: alpha = PER_KELVIN, stated_at: T_0 = COLD,
) -> R_w:  # fmt: skip
    """Resistance of a copper conductor [Ω]."""
    return resistivity * conductor_length / section * (1.0 + per_kelvin * (temperature - stated_at))


@formula("V_w = I·R_w", validity="direct current", source="textbook-ohm")
def conductor_voltage(*, current: I_w, resistance: R_w) -> V_w:
    """What a conductor takes of the voltage [V]."""
    return current * resistance
