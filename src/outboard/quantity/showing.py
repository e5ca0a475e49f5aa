"""SI numbers to text as this project shows them: three digits, a decimal prefix, a true minus sign."""

import math
from decimal import Decimal

from outboard.quantity.dimensions import PREFIXES, Dimension

MINUS = "−"


def shown(value: float, dimension: Dimension, digits: int = 3, zeros: bool | None = None) -> str:
    """A quantity as text with its unit: “4.7 kΩ”, “330 mA”, “12.0 V”, “−10 °C”.

    `digits` counts significant digits. Trailing zeros stay on readings (voltage, current, power) and go elsewhere,
    unless `zeros` says otherwise. Reading the text back gives the value within half a unit of the last digit.
    """
    if not math.isfinite(value):
        raise ValueError(f"no text for {value} {dimension.unit}")
    outside = _outside(value, dimension)
    keep = dimension.zeros if zeros is None else zeros
    mantissa, _, exponent = f"{abs(outside):.{digits - 1}e}".partition("e")
    if outside == 0 or Decimal(mantissa) == 0:
        return _joined("0", _unit(dimension))
    power = int(exponent)
    prefix, prefix_power = _prefix(power, dimension)
    rest = power - prefix_power
    if -5 <= rest <= 6:
        figures, tail = f"{Decimal(mantissa).scaleb(rest):f}", ""
    else:
        figures, tail = mantissa, f"e{str(rest).replace('-', MINUS)}"
    if not keep and "." in figures:
        figures = figures.rstrip("0").rstrip(".")
    return _joined(f"{MINUS if outside < 0 else ''}{figures}{tail}", prefix + _unit(dimension))


def _outside(value: float, dimension: Dimension) -> float:
    """The number in the unit that is shown."""
    unit = dimension.written_unit
    if unit in dimension.offsets:
        # the scale is shifted: what is below a millionth of a kelvin is rounding, not temperature
        return round(value - dimension.offsets[unit], 6)
    return value / dimension.spellings.get(unit, 1.0)


def _unit(dimension: Dimension) -> str:
    return "" if dimension.written_unit == "1" else dimension.written_unit


def _prefix(power: int, dimension: Dimension) -> tuple[str, int]:
    """The largest prefix of the dimension's ladder that leaves at least one digit before the point."""
    steps = sorted([(0, ""), *((PREFIXES[letter], letter) for letter in dimension.ladder)])
    fitting = [step for step in steps if step[0] <= power] or steps[:1]
    exponent, letter = fitting[-1]
    return letter.replace("μ", "µ"), exponent


def _joined(figures: str, unit: str) -> str:
    return f"{figures} {unit}" if unit else figures
