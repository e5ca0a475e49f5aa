"""Objects as JSON text: numbers that are none become null, never NaN."""

import json
import math

from outboard.constants import ZERO_CELSIUS


def json_text(content: object) -> str:
    """Indented JSON; everything that is not finite is null."""
    return json.dumps(_plain(content), ensure_ascii=False, indent=1, allow_nan=False)


def celsius(temperature: float | None) -> float | None:
    """A temperature for people [°C]; digits that the subtraction makes up are left off."""
    return None if temperature is None else round(temperature - ZERO_CELSIUS, 9)


def _plain(value: object) -> object:
    """Lists, objects and numbers only."""
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if hasattr(value, "tolist"):  # arrays and their scalars
        return _plain(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
