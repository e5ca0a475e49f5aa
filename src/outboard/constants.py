"""Physical constants, exact in the SI since 2019 or by convention.

References
----------
[CODATA2018] values exact by definition
"""

BOLTZMANN = 1.380649e-23
"""Boltzmann constant k [J/K]."""

ELEMENTARY_CHARGE = 1.602176634e-19
"""Elementary charge q [C]."""

STEFAN_BOLTZMANN = 5.670374419e-8
"""Stefan–Boltzmann constant σ, rounded from its exact value [W/(m²·K⁴)]."""

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of free fall, exact by convention [m/s²]."""

ZERO_CELSIUS = 273.15
"""0 °C on the absolute scale [K]."""

REFERENCE_TEMPERATURE = ZERO_CELSIUS + 25.0
"""25 °C, at which data sheets state figures unless they say otherwise [K]."""

TOUCHABLE = ZERO_CELSIUS + 60.0
"""Metal hotter than this burns at a touch of a second [K] (common practice, no source)."""


def thermal_voltage(temperature: float) -> float:
    """Voltage that stands for thermal motion, V_T = k·T/q [V]; temperature in [K]."""
    return BOLTZMANN / ELEMENTARY_CHARGE * temperature
