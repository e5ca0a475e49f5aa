"""How much of what a part may bear it uses at an operating point: the largest of its shares."""

from collections.abc import Iterator

from outboard.analysis.operating import OperatingPoint, PartPoint
from outboard.arrangements.design import DesignPart
from outboard.constants import REFERENCE_TEMPERATURE

RATED = ("resistor", "bipolar", "mosfet", "diode", "regulator", "thyristor")
"""Kinds of which a share is expected."""


def share(part: DesignPart, point: OperatingPoint) -> float | None:
    """The largest of a part's shares of its ratings, None where no rating is known.

    Junctions count from 25 °C, where nothing of their rating is used; currents, voltages and power from nothing.
    """
    found = point.parts.get(part.name)
    if found is None:
        return None
    return max(_shares(part, found, point), default=None)


def _shares(part: DesignPart, found: PartPoint, point: OperatingPoint) -> Iterator[float]:
    rated = {symbol: rating.value for symbol, rating in part.ratings.items()}
    if "T_J" in rated and found.junction is not None:
        yield max(0.0, found.junction - REFERENCE_TEMPERATURE) / (rated["T_J"] - REFERENCE_TEMPERATURE)
    kind = part.part.kind
    if kind == "resistor" and part.rated_power is not None and found.power is not None:
        yield found.power / part.rated_power.power
    for symbol, pin, kinds in (
        ("I_C", "collector", ("bipolar",)), ("I_D", "drain", ("mosfet",)), ("I_O", "out", ("regulator",)),
        ("I_F", "anode", ("diode",)), ("I_T", "anode", ("thyristor",)),
    ):  # fmt: skip
        if kind in kinds and symbol in rated:
            current = found.currents[pin]
            yield (max(0.0, current) if kind == "diode" else abs(current)) / rated[symbol]
    for symbol, high, low in (("V_CEO", "collector", "emitter"), ("V_I", "in", "ref"), ("V_RRM", "cathode", "anode"),
                              ("V_DRM", "anode", "cathode")):  # fmt: skip
        if symbol in rated and high in part.part.pins:
            across = _voltage(part, high, point) - _voltage(part, low, point)
            yield max(0.0, across if symbol == "V_RRM" else abs(across)) / rated[symbol]


def _voltage(part: DesignPart, pin: str, point: OperatingPoint) -> float:
    return point.nets.get(part.part.pins[pin], 0.0)


def voltage_across(part: DesignPart, point: OperatingPoint) -> float:
    """Between the two pins of a part, the first the higher [V]."""
    first, second = list(part.part.pins)[:2]
    return _voltage(part, first, point) - _voltage(part, second, point)
