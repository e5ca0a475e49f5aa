"""Figures for people: three digits and a unit, a true minus sign, a dash where there is none."""

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from outboard.arrangements import Design
from outboard.constants import ZERO_CELSIUS
from outboard.quantity import CURRENT, POWER, VOLTAGE, shown
from outboard.quantity.showing import MINUS

if TYPE_CHECKING:
    from outboard.analysis.operating import Conditions

NONE = "–"
LEAST_CURRENT = 1e-9
"""Below this a current is nothing to a person [A]."""


def volts(value: float | None) -> str:
    """A voltage to four digits."""
    return NONE if _is_none(value) else shown(_not_tiny(value, 1e-6), VOLTAGE, 4)


def amperes(value: float | None) -> str:
    """A current to three digits."""
    return NONE if _is_none(value) else shown(_not_tiny(value, LEAST_CURRENT), CURRENT)


def watts(value: float | None) -> str:
    """A power to three digits."""
    return NONE if _is_none(value) else shown(_not_tiny(value, 1e-6), POWER)


def degrees(temperature: float | None) -> str:
    """A temperature [K] in °C, to a tenth."""
    return NONE if temperature is None or _is_none(temperature) else f"{plain(temperature - ZERO_CELSIUS, 1)} °C"


def plain(value: float, decimals: int) -> str:
    """A number with so many decimals."""
    text = f"{value:.{decimals}f}"
    return text.replace("-", MINUS) if float(text) != 0.0 else text.lstrip("-")


def listed(words: Iterable[str]) -> str:
    """Words with commas."""
    return ", ".join(words)


def conditions_in_words(at: "Conditions") -> str:
    """“18.00 V in · 2.00 A load · 25.0 °C around”, as far as the circuit has them."""
    words = [] if at.input_voltage is None else [f"{volts(at.input_voltage)} in"]
    words += [] if at.load is None else [f"{amperes(at.load)} load"]
    return " · ".join([*words, f"{degrees(at.ambient)} around"])


def types_in_use(design: Design) -> str:
    """Which types stand behind the names: “U1 7812, Q1 BD140”."""
    return listed(f"{part.name} {part.type.name}" for part in design.parts if part.type is not None)


def _is_none(value: float | None) -> bool:
    return value is None or not math.isfinite(value)


def _not_tiny(value: float | None, least: float) -> float:
    return 0.0 if value is None or abs(value) < least else value
