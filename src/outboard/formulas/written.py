"""Numbers written into a formula: value with unit, and values in the place of letters."""

import re
from collections.abc import Mapping

from outboard.quantity import DIMENSIONS, NUMBER, TEMPERATURE, TEMPERATURE_DIFFERENCE, Dimension, shown

_SHOWN_AS: Mapping[str, Dimension] = {
    **{kind.unit: kind for kind in DIMENSIONS.values()},
    "1": NUMBER,
    "K": TEMPERATURE_DIFFERENCE,
    "°C": TEMPERATURE,
}
_NOT_A_LETTER_BEFORE, _NOT_A_LETTER_BEHIND = r"(?<![A-Za-zΑ-ω0-9_])", r"(?![A-Za-zΑ-ω0-9_,])"  # ² and ⁴ may follow


def written(value: float, unit: str, digits: int = 4) -> str:
    """An SI value for a reader: "650 mV", "40 °C" (kelvin inside), "42000 W/(m²·K)"; "1" is no unit."""
    plain = Dimension(unit, unit, unit, {unit: 1.0}, "")
    return shown(value, _SHOWN_AS.get(unit, plain), max(digits, 4) if unit == "°C" else digits, zeros=False)


def put_in(expression: str, pieces: Mapping[str, str]) -> str:
    """The expression with each letter replaced by its number, in brackets where the reading needs them."""
    if not pieces:
        return expression
    letters = "|".join(re.escape(name) for name in sorted(pieces, key=len, reverse=True))

    def number(found: re.Match[str]) -> str:
        piece = pieces[found.group(1)]
        unit = piece.partition(" ")[2]
        raised = expression[found.end() : found.end() + 1] in tuple("^²³⁴")
        bracketed = piece.startswith("−") or "/" in unit or "·" in unit or (raised and not piece.isdigit())
        return f"({piece})" if bracketed else piece

    return re.sub(f"{_NOT_A_LETTER_BEFORE}({letters}){_NOT_A_LETTER_BEHIND}", number, expression)
