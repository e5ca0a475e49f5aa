"""How fast a type is: transit time and capacitances from what its sheet prints, each with its origin.

Transit time follows from f_T, 1/(2π·f_T) = τ_F + (V_T/I_C)·(C_E + C_C); C_E is on hardly any sheet and left in τ_F.
Where least and typical f_T are printed, the least counts, and the most of capacitances.

References
----------
[Getreu] Modeling the Bipolar Transistor, 1976
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.parts.records import Figure, Origin, PartType, printed

POTENTIAL, GRADING = 0.75, 0.33
"""Built-in potential [V] and grading of a junction, as the models take them when nothing is said."""

STATED_AT = 10.0
"""Collector-base voltage at which a file states C_ob, as most sheets do [V]."""

NOTHING: Mapping[str, float] = MappingProxyType({})

LEAST_SHARE = 0.5
"""Of 1/(2π·f_T) at least this is transit time, whatever C_ob takes off."""


@dataclass(frozen=True, slots=True)
class Speed:
    """Fields of a model that matter while voltages change, their origins, and the figures that no sheet prints."""

    values: Mapping[str, float]
    origins: tuple[Origin, ...]
    missing: tuple[str, ...] = ()


NONE = Speed(MappingProxyType({}), ())


def speed(part_type: PartType, stated: Mapping[str, float] = NOTHING) -> Speed:
    """What the sheet of a type says; `stated` has f_T [Hz] and C_ob at 10 V [F] where a file says them instead."""
    if part_type.kind == "bipolar":
        return transistor(part_type.name, figures(part_type), stated)
    if part_type.kind == "mosfet":
        return _mosfet(part_type)
    if part_type.kind == "diode":
        return _diode(part_type)
    return NONE


def figures(part_type: PartType) -> Mapping[str, tuple[float, Figure, str]]:
    """f_T and C_ob as printed: the value that counts, its row, its side."""
    found = {}
    for name, sides in (("fT", ("least", "typical")), ("Cob", ("most", "typical"))):
        for side in reversed(sides):
            rows = [row for row in part_type.rows(name) if getattr(row, side) is not None]
            if rows:
                choose = min if name == "fT" else max
                row = choose(rows, key=lambda one: getattr(one, side))
                found[name] = (float(getattr(row, side)), row, side)
    return found


def transistor(
    name: str, sheet: Mapping[str, tuple[float, Figure, str]], stated: Mapping[str, float]
) -> Speed:
    """Transit time and collector capacitance of a bipolar transistor."""
    missing, origins = [], []
    collector = 0.0
    if "C_ob" in stated:
        collector = at_nothing(stated["C_ob"], STATED_AT)
        origins.append(Origin("stated", "", f"C_ob of {name} as the file states it"))
    elif "Cob" in sheet:
        value, row, side = sheet["Cob"]
        collector = at_nothing(value, row.conditions.collector_base_voltage or 0.0)
        origins.append(printed(row, side, name))
    else:
        missing.append("C_ob")
    if "f_T" in stated:
        transit = 1.0 / (2.0 * pi * stated["f_T"])
        origins.append(Origin("stated", "", f"f_T of {name} as the file states it"))
    elif "fT" in sheet:
        value, row, side = sheet["fT"]
        transit = _transit_time(value, row, sheet)
        origins.append(printed(row, side, name))
    else:
        missing.append("f_T")
        transit = 0.0
    values = {"forward_transit_time": transit, "collector_capacitance": collector}
    return Speed(MappingProxyType(values), tuple(origins), tuple(missing))


def _transit_time(transition: float, row: Figure, sheet: Mapping[str, tuple[float, Figure, str]]) -> float:
    """τ_F [s] from f_T [Hz], less what C_ob takes at the current at which f_T is printed."""
    whole = 1.0 / (2.0 * pi * transition)
    current = row.conditions.collector_current
    taken = 0.0
    if current and "Cob" in sheet:
        taken = thermal_voltage(REFERENCE_TEMPERATURE) / current * sheet["Cob"][0]
    return max(LEAST_SHARE * whole, whole - taken)


def at_nothing(capacitance: float, reverse: float) -> float:
    """Capacitance of a junction without voltage [F] from that at a reverse voltage [V]."""
    return float(capacitance * (1.0 + reverse / POTENTIAL) ** GRADING)


def _mosfet(part_type: PartType) -> Speed:
    """C_GD = C_rss, C_GS = C_iss − C_rss, C_DS = C_oss − C_rss, constant as at their test voltage."""
    rows = {name: part_type.rows(name) for name in ("Ciss", "Coss", "Crss")}
    missing = tuple(name.replace("C", "C_") for name, found in rows.items() if not found)
    if missing:
        return Speed(MappingProxyType({}), (), missing)
    sides = {name: "most" if found[0].most is not None else "typical" for name, found in rows.items()}
    size = {name: float(getattr(found[0], sides[name])) for name, found in rows.items()}
    values = {
        "gate_drain_capacitance": size["Crss"],
        "gate_source_capacitance": max(0.0, size["Ciss"] - size["Crss"]),
        "drain_source_capacitance": max(0.0, size["Coss"] - size["Crss"]),
    }
    origins = tuple(printed(found[0], sides[name], part_type.name) for name, found in rows.items())
    return Speed(MappingProxyType(values), origins)


def _diode(part_type: PartType) -> Speed:
    """Junction capacitance where it is printed; what is stored while a diode conducts is left out."""
    rows = [row for row in part_type.rows("Cj") if row.typical is not None or row.most is not None]
    if not rows:
        return NONE
    row = rows[0]
    side = "most" if row.most is not None else "typical"
    size = at_nothing(float(getattr(row, side)), row.conditions.reverse_voltage or 0.0)
    return Speed(MappingProxyType({"junction_capacitance": size}), (printed(row, side, part_type.name),))
