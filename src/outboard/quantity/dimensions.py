"""What is measured, and how people spell its units: one record per kind of quantity.

Spellings use the capital omega U+03A9 and the micro sign as Greek mu U+03BC; reading folds the look-alikes into these.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from outboard.constants import ZERO_CELSIUS

PREFIXES: Mapping[str, int] = {
    "f": -15, "p": -12, "n": -9, "μ": -6, "u": -6, "m": -3, "k": 3, "M": 6, "G": 9, "T": 12,
}  # fmt: skip
"""Decimal prefixes and their powers of ten; M is mega and m is milli, always."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: the SI unit it has inside, and the spellings it has outside."""

    name: str
    phrase: str
    unit: str
    spellings: Mapping[str, float]
    example: str
    prefixed: frozenset[str] = frozenset()
    codes: Mapping[str, float] = field(default_factory=dict)
    offsets: Mapping[str, float] = field(default_factory=dict)
    bare: bool = True
    written: str = ""
    ladder: str = ""
    zeros: bool = False

    @property
    def written_unit(self) -> str:
        """The unit in which figures are shown."""
        return self.written or self.unit


OHM = dict.fromkeys(("Ω", "ohm", "ohms", "Ohm", "Ohms", "R"), 1.0)
VOLT = dict.fromkeys(("V", "volt", "volts"), 1.0)
AMPERE = dict.fromkeys(("A", "amp", "amps", "ampere", "amperes"), 1.0)
FARAD = dict.fromkeys(("F", "farad", "farads"), 1.0)
HENRY = dict.fromkeys(("H", "henry", "henries"), 1.0)
WATT = dict.fromkeys(("W", "watt", "watts"), 1.0)
KELVIN = dict.fromkeys(("K", "kelvin"), 1.0)
CELSIUS = ("°C", "C", "degC")
SECOND = dict.fromkeys(("s", "second", "seconds"), 1.0)
MINUTE = {"min": 60.0, "minutes": 60.0, "h": 3600.0}

VOLTAGE = Dimension(
    "voltage", "a voltage", "V", VOLT, "12 V", frozenset(VOLT), ladder="fpnμmk", zeros=True
)  # fmt: skip
CURRENT = Dimension(
    "current", "a current", "A", AMPERE, "0.3 A", frozenset(AMPERE), ladder="fpnμmk", zeros=True
)  # fmt: skip
POWER = Dimension(
    "power", "a power", "W", WATT, "5 W", frozenset(WATT), ladder="fpnμmk", zeros=True
)  # fmt: skip
APPARENT_POWER = Dimension(
    "apparent_power", "an apparent power", "VA", {"VA": 1.0, "V·A": 1.0}, "160 VA", frozenset({"VA"}), ladder="mk"
)  # fmt: skip
MELTING_INTEGRAL = Dimension(
    "melting_integral", "a melting integral", "A²s", dict.fromkeys(("A²s", "A²·s", "A^2s", "A2s"), 1.0), "20 A²s",
    ladder="m",
)  # fmt: skip
RESISTANCE = Dimension(
    "resistance", "a resistance", "Ω", OHM, "4.7 kΩ", frozenset(OHM), ladder="nμmkMGT",
    codes={"R": 1.0, "k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9, "T": 1e12, "m": 1e-3},
)  # fmt: skip
CAPACITANCE = Dimension(
    "capacitance", "a capacitance", "F", FARAD, "100 nF", frozenset(FARAD), ladder="fpnμ",
    codes={"p": 1e-12, "n": 1e-9, "μ": 1e-6, "u": 1e-6, "m": 1e-3, "F": 1.0},
)  # fmt: skip
INDUCTANCE = Dimension(
    "inductance", "an inductance", "H", HENRY, "10 µH", frozenset(HENRY), ladder="pnμm",
    codes={"n": 1e-9, "μ": 1e-6, "u": 1e-6, "m": 1e-3, "H": 1.0},
)  # fmt: skip
TEMPERATURE = Dimension(
    "temperature", "a temperature", "K", dict.fromkeys((*CELSIUS, *KELVIN), 1.0), "25 °C",
    offsets=dict.fromkeys(CELSIUS, ZERO_CELSIUS), bare=False, written="°C",
)  # fmt: skip
TEMPERATURE_DIFFERENCE = Dimension(
    "temperature_difference", "a difference of temperatures", "K", KELVIN, "10 K", frozenset(KELVIN)
)  # fmt: skip
THERMAL_RESISTANCE = Dimension(
    "thermal_resistance", "a thermal resistance", "K/W", dict.fromkeys(("K/W", "°C/W", "C/W"), 1.0), "2 K/W",
    frozenset(("K/W", "°C/W")),
)  # fmt: skip
HEAT_CAPACITY = Dimension(
    "heat_capacity", "a heat capacity", "J/K", dict.fromkeys(("J/K", "J/°C", "Ws/K"), 1.0), "50 J/K",
    frozenset(("J/K", "J/°C")), ladder="mk",
)  # fmt: skip
TIME = Dimension("time", "a time", "s", {**SECOND, **MINUTE}, "10 s", frozenset(SECOND), ladder="fpnμm")
FREQUENCY = Dimension(
    "frequency", "a frequency", "Hz", {"Hz": 1.0, "hertz": 1.0}, "50 Hz", frozenset(("Hz", "hertz")), ladder="mkMG"
)  # fmt: skip
LENGTH = Dimension("length", "a length", "m", {"m": 1.0, "cm": 0.01}, "3 mm", frozenset("m"), ladder="nμm")
AREA = Dimension("area", "an area", "m²", {"mm²": 1e-6, "mm2": 1e-6, "m²": 1.0}, "1.5 mm²", written="mm²")
RATIO = Dimension("ratio", "a ratio", "1", {"%": 0.01, "‰": 0.001, "ppm": 1e-6}, "5 %", written="%")
NUMBER = Dimension("number", "a plain number", "1", {}, "4")
ENERGY_EV = Dimension("energy_eV", "an energy in eV", "eV", {"eV": 1.0}, "1.11")
PER_KELVIN = Dimension(
    "per_kelvin", "a figure per kelvin", "1/K",
    {
        "1/K": 1.0, "/K": 1.0, "1/°C": 1.0, "/°C": 1.0,
        "%/K": 0.01, "%/°C": 0.01, "ppm/K": 1e-6, "ppm/°C": 1e-6,
    },
    "100 ppm/K", written="ppm/K",
)  # fmt: skip
VOLT_PER_KELVIN = Dimension(
    "volt_per_kelvin", "a voltage per kelvin", "V/K", {"V/K": 1.0, "V/°C": 1.0}, "-2 mV/K",
    frozenset(("V/K", "V/°C")), ladder="nμm",
)  # fmt: skip
PER_VOLT = Dimension("per_volt", "a figure per volt", "1/V", {"1/V": 1.0, "/V": 1.0, "%/V": 0.01}, "0.02 %/V")
CONDUCTANCE = Dimension(
    "conductance", "a conductance", "S", {"S": 1.0, "A/V": 1.0}, "20 mS", frozenset(("S", "A/V")), ladder="fpnμmk"
)  # fmt: skip
TRANSCONDUCTANCE = Dimension(
    "transconductance", "a transconductance factor", "A/V²", dict.fromkeys(("A/V²", "A/V^2", "A/V2"), 1.0), "6.5 A/V²",
    frozenset(("A/V²", "A/V^2", "A/V2")), ladder="nμmk",
)  # fmt: skip

DIMENSIONS: Mapping[str, Dimension] = {
    dimension.name: dimension
    for dimension in (
        VOLTAGE, CURRENT, RESISTANCE, POWER, CAPACITANCE, INDUCTANCE, TEMPERATURE, TEMPERATURE_DIFFERENCE,
        THERMAL_RESISTANCE, HEAT_CAPACITY, TIME, FREQUENCY, LENGTH, AREA, RATIO, NUMBER, ENERGY_EV,
        PER_KELVIN, VOLT_PER_KELVIN, PER_VOLT, CONDUCTANCE, TRANSCONDUCTANCE, APPARENT_POWER, MELTING_INTEGRAL,
    )
}  # fmt: skip
"""Every dimension by its name, in the order in which a foreign unit is looked up."""
