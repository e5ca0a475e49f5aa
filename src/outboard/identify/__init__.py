"""Data sheet to device: the only bridge from the catalogue to the parameters of a model."""

from outboard.identify.bipolar import bipolar
from outboard.identify.diode import diode
from outboard.identify.mosfet import mosfet
from outboard.identify.records import AXES, Identified, Spread
from outboard.identify.regulator import regulator
from outboard.identify.thyristor import thyristor
from outboard.parts.records import PartType

__all__ = ["AXES", "Identified", "Spread", "bipolar", "diode", "identified", "mosfet", "regulator", "thyristor"]


def identified(part_type: PartType, working_current: float | None = None, package: str | None = None) -> Identified:
    """Parameters of any type of the catalogue; the working current [A] matters to transistors only.

    ValueError for a kind that has no model.
    """
    if part_type.kind == "bipolar":
        return bipolar(part_type, working_current)
    if part_type.kind == "regulator":
        return regulator(part_type, package)
    if part_type.kind == "mosfet":
        return mosfet(part_type)
    if part_type.kind == "diode":
        return diode(part_type)
    if part_type.kind == "thyristor":
        return thyristor(part_type)
    raise ValueError(f"{part_type.name}: no model of a {part_type.kind} is identified from a sheet")
