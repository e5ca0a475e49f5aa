"""The figures of a diode that hand equations ask for."""

from collections.abc import Mapping

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.formulas.junction import forward_voltage
from outboard.identify import identified
from outboard.parts import PartType


def _voltage(values: Mapping[str, float], current: float) -> float:
    junction = forward_voltage(
        emission_coefficient=values.get("emission_coefficient", 1.0),
        thermal_voltage=thermal_voltage(REFERENCE_TEMPERATURE), forward_current=current,
        saturation_current=values["saturation_current"],
    )  # fmt: skip
    return junction + current * values.get("series_resistance", 0.0)


def diode_voltages(part_type: PartType, current: float) -> tuple[float, float, float]:
    """Forward voltage [V] at a current, least, usual and most, 25 °C."""
    known = identified(part_type)
    usual = _voltage(known.values, current)
    if known.spread("forward voltage") is None:
        return usual, usual, usual
    ends = (_voltage(known.at(forward_voltage=end), current) for end in ("least", "most"))
    least, most = ends
    return least, usual, most
