"""Lines for lasting current that a person read in the figure of a sheet: [heat.safe_area.TYPE] of a design file."""

from collections.abc import Collection, Iterator, Mapping
from itertools import pairwise

from outboard.brief.design import DrawnLine
from outboard.brief.entries import LINE_CURRENT, LINE_VOLTAGE, SAFE_AREA, TYPE_KEYS
from outboard.brief.findings import Findings
from outboard.brief.near_miss import nearest
from outboard.brief.places import Path
from outboard.brief.values import as_table, described, known_values, misspelt, read_value
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.quantity import quoted

EXAMPLE = 'points = [["20 V", "4 A"], ["60 V", "0.6 A"]]'


def read_safe_areas(raw: object, table: Mapping[str, object], findings: Findings) -> Mapping[str, DrawnLine]:
    """Every line that was read well, by the type as the file writes it."""
    path = ("heat", "safe_area")
    areas: dict[str, DrawnLine] = {}
    used = tuple(dict.fromkeys(_types_in(table)))
    for name, value in (as_table(raw, path, findings, "[heat.safe_area.2N3055]") or {}).items():
        if name.casefold() not in {one.casefold() for one in used}:
            what = f"no part of this file is a {quoted(name)}"
            meant = nearest(name, used)
            findings.add((*path, name), what, "a type that the file names", meant or "", at_key=True)
        elif line := _line(value, (*path, name), findings):
            areas[name] = line
    return areas


def _types_in(table: Mapping[str, object]) -> Iterator[str]:
    """The types that the file names, in the stage and in the parts."""
    stage, parts = table.get("stage"), table.get("parts")
    if isinstance(stage, dict):
        yield from (str(stage[key]) for key in TYPE_KEYS if key in stage)
    for part in parts if isinstance(parts, list) else ():
        if isinstance(part, dict) and "type" in part:
            yield str(part["type"])


def _line(raw: object, path: Path, findings: Findings) -> DrawnLine | None:
    table = as_table(raw, path, findings, f"[{'.'.join(map(str, path))}]")
    if table is None:
        return None
    meant = misspelt(table, path, ("points", *SAFE_AREA), findings, "key")
    values = known_values(table, path, SAFE_AREA, findings, meant)
    points = _points(table.get("points"), (*path, "points"), findings, meant)
    if points is None or "sheet" not in values:
        return None
    case = values.get("case", REFERENCE_TEMPERATURE)
    return DrawnLine(points, case, values.get("hot") != "as drawn", values["sheet"])


def _points(
    raw: object, path: Path, findings: Findings, meant: Collection[str | None]
) -> tuple[tuple[float, float], ...] | None:
    """Pairs of voltage [V] and current [A]: voltages rise, currents do not."""
    if raw is None:
        if "points" not in meant:
            findings.add(path, "this is missing", "points of the line for lasting current (DC)", EXAMPLE, at_key=True)
        return None
    if not isinstance(raw, list) or len(raw) < 2:
        what = f"{described(raw)} where points of a line are wanted" if not isinstance(raw, list) else "too few points"
        findings.add(path, what, "two points or more, each [voltage, current]", EXAMPLE)
        return None
    pairs = [_pair(one, (*path, number), findings) for number, one in enumerate(raw)]
    points = [pair for pair in pairs if pair is not None]
    if len(points) < len(pairs):
        return None
    for (volts, amperes), (more, less) in pairwise(points):
        if more <= volts or less > amperes:
            what = "a line of a safe area falls: each point has more volts than the one before, and no more amperes"
            findings.add(path, what, "points in the order of their voltages", EXAMPLE)
            return None
    return tuple(points)


def _pair(raw: object, path: Path, findings: Findings) -> tuple[float, float] | None:
    if not isinstance(raw, list) or len(raw) != 2:
        findings.add(path, f"{described(raw)} where a point is wanted", "voltage and current", '["20 V", "4 A"]')
        return None
    volts = read_value(raw[0], (*path, 0), LINE_VOLTAGE, findings)
    amperes = read_value(raw[1], (*path, 1), LINE_CURRENT, findings)
    return None if volts is None or amperes is None else (volts, amperes)
