"""What `parts --json` prints: figures in SI, temperatures in °C, conditions by name."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict
from types import MappingProxyType

from outboard.errors import Mistake
from outboard.own_parts import own_types_said
from outboard.parts import Figure, PartType
from outboard.parts.consistency import Finding
from outboard.parts.dimensions import CONDITIONS, FIGURES
from outboard.parts.listing import list_rows
from outboard.parts.safe_area import LinePoint, area_in_words, corners_at_25, safe_area
from outboard.quantity import Dimension
from outboard.report.json_text import celsius
from outboard.sources import cited

Object = dict[str, object]


def listing(
    types: Collection[PartType], stock: Collection[PartType],
    broken: Mapping[str, Sequence[Mistake]] = MappingProxyType({}),
) -> Object:  # fmt: skip
    """`parts list`; own types with their files, and the mistakes of files that could not be read."""
    files = {part.name: part.own_file or None for part in types}
    return {
        "types": [asdict(row) | {"own_file": files[row.name]} for row in list_rows(types)],
        "stock": [asdict(row) for row in list_rows(stock)],
        "own": list(own_types_said(types)),
        "broken": [str(mistake) for mistakes in broken.values() for mistake in mistakes],
    }


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
        "own_file": found.own_file or None,
        "own": list(own_types_said([found])),
        "figures": [_figure(figure) for figure in found.figures],
        "safe_area": _safe_area(found),
    }


def _safe_area(found: PartType) -> Object | None:
    """Corners at a case of 25 °C, all derived; points of second breakdown with how long they hold."""
    area = safe_area(found)
    if area is None:
        return None
    return {
        "corners_at_25_C": [{"V": one.voltage, "A": one.current, "in_words": one.words, "kind": "derived"}
                            for one in corners_at_25(area)],
        "lasting": [_point(point) for point in area.lasting],
        "brief": [_point(point) for point in area.brief],
        "in_words": area_in_words(area),
    }  # fmt: skip


def _point(point: LinePoint) -> Object:
    return {"V": point.voltage, "A": point.current, "duration_s": point.duration, "case_C": celsius(point.case),
            "kind": point.origin.kind, "source": point.origin.source, "note": point.note}  # fmt: skip


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
        "citation": cited(figure.source).citation,
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
