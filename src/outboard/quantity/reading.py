"""Text as people write quantities, to SI numbers; nothing is guessed."""

import math
import re
from decimal import Context, Decimal

from outboard.quantity.dimensions import DIMENSIONS, PREFIXES, Dimension
from outboard.quantity.mistake import QuantityMistake, quoted

LONGEST = 100
"""Characters a quantity may have; more is not a quantity."""

EXACT = Context(prec=40, Emax=9999, Emin=-9999, traps=[])
"""Decimal arithmetic, so that “100 nF” is the float 1e-7 and not its neighbour."""

LOOK_ALIKES = str.maketrans(
    {"\u2126": "Ω", "\u00b5": "μ", "\u2212": "-", "\u2103": "°C", "\u00ba": "°", "\u02da": "°",
     "\u00a0": " ", "\u202f": " ", "\u2009": " "}
)  # fmt: skip
"""Characters that people cannot tell apart, folded into one: ohm sign, micro sign, minus, degrees, spaces."""

NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
MARKING = re.compile(r"([+-]?)([0-9]*)([A-Za-zμ])([0-9]+)(.*)")

TOLERANCE_LETTERS = {
    "E": 0.00005, "L": 0.0001, "P": 0.0002, "W": 0.0005, "B": 0.001, "C": 0.0025, "D": 0.005, "F": 0.01, "G": 0.02,
    "J": 0.05, "K": 0.1, "M": 0.2, "N": 0.3,
}  # fmt: skip
"""Tolerance letters of IEC 60062 as fractions (from memory)."""


def parse(written: object, dimension: Dimension) -> float:
    """Read a quantity, a text with its unit or a bare number in SI, as an SI number; temperatures in kelvin.

    Reads “4.7 kΩ”, “4k7”, “0R22”, “100n”, “85 °C”, “10 %”, “−5 V”, “1e-3 A” and the like.
    Raises QuantityMistake for all else: another dimension, a decimal comma, a bare temperature, nan, a truth value.
    """
    if isinstance(written, str):
        return _absolute(_text_value(written, dimension), written, dimension)
    if isinstance(written, bool) or not isinstance(written, int | float):
        raise _mistake(f"{quoted(str(written).lower())} is no quantity", dimension)
    try:
        value = float(written)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise _mistake(f"{quoted(written)} is not finite", dimension)
    if not dimension.bare:
        raise _mistake(f"the bare number {quoted(written)} may be °C or K", dimension, f"{written:g} °C")
    return value


def marked_resistance(marking: str) -> tuple[float, float | None]:
    """Read the letter code printed on a resistor: resistance [Ω] and tolerance as a fraction, None when not printed.

    4K7J is 4700 Ω ± 5 %; R47 is 0.47 Ω; 47K is 47 kΩ. Letters of IEC 60062 (from memory).
    """
    text = marking.strip().translate(LOOK_ALIKES)
    found = re.fullmatch(r"([0-9]*)([RKkMGT])([0-9]*)([A-Z]?)", text)
    if not found or not (found[1] or found[3]) or (found[4] and found[4] not in TOLERANCE_LETTERS):
        raise QuantityMistake(f"{quoted(marking)} is no marking of a resistor", "figures around R, K, M or G", "4K7J")
    resistance = DIMENSIONS["resistance"]
    value = _scaled(f"{found[1] or 0}.{found[3] or 0}", resistance.codes[found[2]])
    return value, TOLERANCE_LETTERS[found[4]] if found[4] else None


def _text_value(written: str, dimension: Dimension) -> float:
    text = written.strip().translate(LOOK_ALIKES).strip()
    if not text:
        raise _mistake("the text is empty", dimension)
    if len(text) > LONGEST:
        raise _mistake(f"{quoted(written)} is too long for a quantity", dimension)
    marked = _marked_value(text, dimension)
    if marked is not None:
        return marked
    number = NUMBER.match(text)
    if not number:
        raise _mistake(f"{quoted(written)} does not begin with a number", dimension)
    unit = re.sub(r"\s+", "", text[number.end() :])
    factor = _factor(unit, dimension)
    if factor is None:
        raise _unit_mistake(written, text, number.group(), unit, dimension)
    if not unit and not dimension.bare:
        raise _mistake(f"the bare number {quoted(written)} may be °C or K", dimension, f"{number.group()} °C")
    return _scaled(number.group(), factor, dimension.offsets.get(unit, 0.0))


def _marked_value(text: str, dimension: Dimension) -> float | None:
    """The value of a text with its prefix in the place of the decimal point (4k7, R47, 4µ7, 4k7 Ω), else None."""
    found = MARKING.fullmatch(text)
    if not found or found[3] not in dimension.codes or dimension.spellings.get(found[5].strip(), 1.0) != 1.0:
        return None
    if found[5].strip() not in {"", *dimension.spellings}:
        return None
    return _scaled(f"{found[1]}{found[2] or 0}.{found[4]}", dimension.codes[found[3]])


def _factor(unit: str, dimension: Dimension) -> float | None:
    """What a unit, with or without its prefix, is worth in SI; None when it is not of this dimension."""
    if not unit:
        return 1.0
    if unit in dimension.spellings:
        return dimension.spellings[unit]
    if unit[0] in PREFIXES and unit[1:] in dimension.prefixed:
        return float(f"1e{PREFIXES[unit[0]]}") * dimension.spellings[unit[1:]]
    return dimension.codes.get(unit)


def _scaled(number: str, factor: float, offset: float = 0.0) -> float:
    product = EXACT.multiply(Decimal(number, EXACT), Decimal(repr(factor)))
    return float(EXACT.add(product, Decimal(repr(offset))))


def _absolute(value: float, written: str, dimension: Dimension) -> float:
    if not math.isfinite(value):
        raise _mistake(f"{quoted(written)} is beyond all numbers", dimension)
    if dimension.name == "temperature" and value < 0:
        raise _mistake(f"{quoted(written)} is below absolute zero", dimension)
    return value


def _mistake(what: str, dimension: Dimension, write: str = "") -> QuantityMistake:
    expected = f"{dimension.phrase}, such as {dimension.example}"
    return QuantityMistake(what, expected, write or dimension.example, mended=bool(write))


def _unit_mistake(written: str, text: str, number: str, unit: str, dimension: Dimension) -> QuantityMistake:
    """Say what a text is instead of the wanted quantity, as closely as can be told."""
    shown = quoted(written)
    if re.match(r",[0-9]", unit):
        return _comma_mistake(shown, text, dimension)
    if re.search(r"[0-9]", unit) and not re.fullmatch(r"[A-Za-z/]+\^?2", unit):
        return _mistake(f"{shown} holds more than one number", dimension)
    if dimension.name == "temperature_difference" and unit in DIMENSIONS["temperature"].offsets:
        return _mistake(f"{shown} is a point on the scale of temperatures, not a difference", dimension, f"{number} K")
    if unit in dimension.ladder:
        return _mistake(f"{shown} has a prefix without a unit", dimension, f"{number} {unit}{dimension.unit}")
    for other in DIMENSIONS.values():
        # a code letter alone, such as the n of 100n, does not tell which quantity it is
        if (unit in other.spellings or unit not in other.codes) and _factor(unit, other) is not None:
            return _mistake(f"{shown} is {other.phrase}", dimension)
    alike = [f"{number} {known}" for known in _usual_units(dimension) if known.casefold() == unit.casefold()]
    if alike:
        return _mistake(f"{shown}: capitals count in units", dimension, " or ".join(alike))
    return _mistake(f"{shown} has no unit that is known here", dimension)


def _comma_mistake(shown: str, text: str, dimension: Dimension) -> QuantityMistake:
    write = text.replace(",", ".")
    if re.search(r",[0-9]{3}(?![0-9])", text):
        write = f"{text.replace(',', '')} or {write}"
    return _mistake(f"{shown} has a comma; the decimal sign is a point", dimension, write)


def _usual_units(dimension: Dimension) -> list[str]:
    """The units a person may have meant: spelled out, and with the prefixes that are usual for this quantity."""
    prefixed = [prefix + unit for unit in dimension.prefixed for prefix in dimension.ladder]
    return sorted([*dimension.spellings, *prefixed])
