"""What `parts --json` prints: figures in SI, temperatures in °C, conditions by name."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict

from outboard.parts import Figure, PartType
from outboard.parts.consistency import Finding
from outboard.parts.dimensions import CONDITIONS, FIGURES
from outboard.parts.listing import list_rows
from outboard.quantity import Dimension
from outboard.report.json_text import celsius
from outboard.sources import source

Object = dict[str, object]


def listing(types: Collection[PartType], stock: Collection[PartType]) -> Object:
    """`parts list`."""
    return {"types": [asdict(row) for row in list_rows(types)], "stock": [asdict(row) for row in list_rows(stock)]}


def sheet(found: PartType) -> Object:
    """`parts show`."""
    return {
        "name": found.name,
        "kind": found.kind,
        "polarity": found.polarity,
        "inside": found.inside,
        "packages": found.packages,
        "aliases": found.aliases,
        "members": found.members,
        "description": found.description,
        "figures": [_figure(figure) for figure in found.figures],
    }


def remarks(types: Mapping[str, PartType], found: Sequence[Finding]) -> Object:
    """`parts check`."""
    return {"types": len(types), "remarks": [asdict(finding) for finding in found]}


def _figure(figure: Figure) -> Object:
    dimension = FIGURES[figure.name]
    sides = {side: getattr(figure, side) for side in ("least", "typical", "most")}
    return {
        "name": figure.name,
        **{side: _outside(value, dimension) for side, value in sides.items()},
        "unit": _unit(dimension),
        "kinds": {side: figure.kind(side) for side, value in sides.items() if value is not None},
        "conditions": {name: _condition(name, value) for name, value in figure.conditions.given.items()},
        "source": figure.source,
        "citation": source(figure.source).citation,
        "note": figure.note,
    }


def _condition(name: str, value: object) -> object:
    """A condition with its unit, or in words."""
    if isinstance(value, str):
        return value
    dimension = CONDITIONS[name]
    ends = value if isinstance(value, tuple) else (value, value)
    least, most = (_outside(end, dimension) for end in ends)
    return {"least": least, "most": most, "unit": _unit(dimension)}


def _unit(dimension: Dimension) -> str:
    return "°C" if dimension.name == "temperature" else dimension.unit


def _outside(value: float | None, dimension: Dimension) -> float | None:
    return celsius(value) if dimension.name == "temperature" else value
