"""The parts list: what to buy for each name, and what might stand in its place; as rows, for the page and for CSV."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, replace

from outboard.arrangements.design import DesignPart
from outboard.dossier import NotRun
from outboard.parts import catalogue, ratings
from outboard.quantity import CAPACITANCE, POWER, RATIO, RESISTANCE, THERMAL_RESISTANCE, shown
from outboard.report.document.alike import names_in_words, told_once
from outboard.report.document.content import FIGURES, NAMES, Paragraph, Section, table
from outboard.report.document.feed_items import FeedItem, feed_items
from outboard.report.document.material import Material
from outboard.report.document.wordings import part

MOST_ALTERNATIVES = 3

BEARS = {"bipolar": ("V_CEO", "I_C", "P_tot", "T_J"), "mosfet": ("V_DSS", "I_D", "P_tot", "T_J"),
         "diode": ("V_RRM", "I_F"), "thyristor": ("V_DRM", "I_TSM", "I2t")}  # fmt: skip
"""Ratings in which an alternative is at least the equal."""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the list, all in words."""

    name: str
    purpose: str
    value: str
    tolerance: str
    wattage: str
    package: str
    alternatives: str


def section(material: Material) -> Section:
    """The list as a table."""
    alike = told_once((item.name, replace(item, name="")) for item in items(material))
    rows = [(part(names_in_words(names)), item.purpose, _times(len(names), item.value), item.tolerance, item.wattage,
             item.package, item.alternatives) for names, item in alike]  # fmt: skip
    heads = (("", NAMES), ("for", 0.3), ("value or type", NAMES), ("tolerance", FIGURES), ("power", FIGURES),
             ("package", 0.4), ("alternatives, not verified", 0.34))  # fmt: skip
    return Section("Parts list", (
        table("What to buy", heads, rows),
        Paragraph("Power: what the part must be rated for. An alternative bears at least as much by its ratings; its "
                  "gain, pins and drop-out may differ, so verify the design with it before building.", quiet=True),
    ))  # fmt: skip


def _times(number: int, value: str) -> str:
    return value if number == 1 else f"{number} × {value}"


HEADS = (
    "name", "for", "type", "resistance [ohm]", "capacitance [F]", "thermal resistance at most [K/W]", "tolerance [%]",
    "power [W]", "package", "pad at most [K/W]", "alternatives, not verified",
)  # fmt: skip
"""Heads of the table for programs: units stand there, so that the cells are numbers with a point."""


def csv_text(material: Material) -> str:
    """The list as comma-separated values, one row for each part."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(HEADS)
    chosen = _constructions(material)
    writer.writerows(_cells(one, chosen.get(one.name, "")) for one in bought(material))
    fed = material.dossier.feed
    if not isinstance(fed, NotRun):
        writer.writerows(_feed_cells(one) for one in feed_items(fed.report))
    return stream.getvalue()


def _cells(one: DesignPart, construction: str) -> tuple[str, ...]:
    values, kind = one.part.values, one.part.kind
    resistance = values.get("resistance")
    package = (one.type.packages[0] if one.type.packages else "") if one.type is not None else construction
    return (
        one.name, _purpose(one), "" if one.type is None else one.type.name,
        _bare(resistance if kind == "resistor" else None),
        _bare(values.get("capacitance") if kind == "capacitor" else None),
        _bare(resistance if kind == "thermal_resistance" else None),
        _bare(None if one.tolerance is None else 100.0 * one.tolerance),
        _bare(None if one.rated_power is None else one.rated_power.power), package, _bare(one.pad),
        ", ".join(alternatives(one)),
    )  # fmt: skip


def _feed_cells(one: FeedItem) -> tuple[str, ...]:
    found = dict.fromkeys(HEADS, "") | {
        "name": f"feed {one.name}", "for": f"{one.value}; bears {one.bears}", "type": one.type,
        "resistance [ohm]": _bare(one.resistance), "capacitance [F]": _bare(one.capacitance),
        "power [W]": _bare(one.power),
    }  # fmt: skip
    return tuple(found.values())


def _bare(value: float | None) -> str:
    """A number as a spreadsheet reads it: a decimal point, no unit; nothing where there is none."""
    return "" if value is None else f"{value:.6g}"


def bought(material: Material) -> Iterator[DesignPart]:
    """The parts that are bought; source and load are not."""
    return (one for one in material.design.parts
            if one.role not in ("input", "load") and one.part.kind not in ("source", "load"))  # fmt: skip


def items(material: Material) -> Iterator[Item]:
    """One item for each part that is bought."""
    chosen = _constructions(material)
    for one in bought(material):
        yield Item(one.name, _purpose(one), _value(one), _tolerance(one), _wattage(one),
                   _package(one, chosen.get(one.name, "")), ", ".join(alternatives(one)))  # fmt: skip


def _constructions(material: Material) -> dict[str, str]:
    """The construction that sizing chose, by name of the resistor."""
    sizing = material.dossier.sizing
    values = getattr(sizing, "values", ())
    return {name: value.construction for value in values for name in value.names}


def _purpose(one: DesignPart) -> str:
    return one.role if one.part.kind != "thermal_resistance" else "heat sink"


def _value(one: DesignPart) -> str:
    values = one.part.values
    if one.type is not None:
        return one.type.name
    if one.part.kind == "resistor":
        return shown(values["resistance"], RESISTANCE)
    if one.part.kind == "capacitor":
        return shown(values["capacitance"], CAPACITANCE)
    if one.part.kind == "thermal_resistance":
        return f"{shown(values['resistance'], THERMAL_RESISTANCE)} or less"
    return one.part.kind


def _tolerance(one: DesignPart) -> str:
    return "" if one.tolerance is None else shown(one.tolerance, RATIO)


def _wattage(one: DesignPart) -> str:
    return "" if one.rated_power is None else shown(one.rated_power.power, POWER, zeros=False)


def _package(one: DesignPart, construction: str) -> str:
    if one.type is None:
        return construction
    package = one.type.packages[0] if one.type.packages else ""
    return f"{package}, pad {shown(one.pad, THERMAL_RESISTANCE)} or less" if one.pad else package


def alternatives(one: DesignPart) -> tuple[str, ...]:
    """Types of the same kind, polarity and make-up whose ratings are at least the equal, the nearest first."""
    mine, wanted = one.type, BEARS.get(one.part.kind, ())
    if mine is None or not wanted or not all(one.rating(symbol) for symbol in wanted[:2]):
        return ()
    near = []
    for other in catalogue().values():
        alike = (other.kind, other.polarity, other.inside, other.junction) == (
            mine.kind, mine.polarity, mine.inside, mine.junction
        )  # fmt: skip
        if other.name == mine.name or not alike:
            continue
        bears = ratings(other)
        pairs = [(bears.get(symbol), one.rating(symbol)) for symbol in wanted]
        if all(his is not None and his.value >= ours.value for his, ours in pairs if ours is not None):
            excess = sum(his.value / ours.value for his, ours in pairs if ours is not None and his is not None)
            near.append((excess, other.name))
    return tuple(name for _, name in sorted(near)[:MOST_ALTERNATIVES])


