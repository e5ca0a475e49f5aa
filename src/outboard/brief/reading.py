"""A design file to a Brief, or to all of its mistakes at once."""

from collections.abc import Collection, Mapping
from pathlib import Path

from outboard.brief.design import Brief, PartEntry
from outboard.brief.entries import ROOT, TITLE
from outboard.brief.explicit import read_parts
from outboard.brief.feed import check_feed, feed_of
from outboard.brief.file import file_text
from outboard.brief.findings import Findings
from outboard.brief.places import Place
from outboard.brief.sections import (
    check_derating,
    check_stage,
    dynamics_of,
    input_of,
    output_of,
    read_heat,
    read_sections,
    requirements_of,
    stage_of,
    surroundings_of,
    tolerances_of,
)
from outboard.brief.syntax import AT_LEAST, BEGINNING, parsed
from outboard.brief.values import Values, read_value
from outboard.brief.wiring import read_wiring
from outboard.network.part import Heat


def read(path: Path | str, known_types: Collection[str] | None = None) -> Brief:
    """Read a design file. `known_types` are the types of the catalogue; without them types are not checked.

    Raises WrongInput with every mistake of the file, each with its line and column.
    """
    return read_text(file_text(Path(path)), str(path), known_types)


def read_text(text: str, name: str, known_types: Collection[str] | None = None) -> Brief:
    """Read the text of a design file; `name` stands for the file in messages."""
    source = parsed(text, name)
    findings = Findings(source)
    table: Mapping[str, object] = source.table
    meant = {findings.unknown((key,), ROOT, "table or key") for key in table if key not in ROOT}
    title = read_value(table["title"], ("title",), TITLE, findings) if "title" in table else Path(name).stem
    sections = read_sections(table, findings)
    if "stage" in sections:
        check_stage(table, sections, meant, findings, known_types)
    if "feed" in sections:
        check_feed(table["feed"], sections["feed"], findings, known_types)
    check_derating(table, sections, findings)
    heat = read_heat(table, sections.get("stage"), findings)
    wiring = read_wiring(table, findings)
    parts = read_parts(table.get("parts", []), findings, known_types)
    if not table.get("parts") and "stage" not in table and not meant & {"stage", "parts"}:
        findings.add((), "nothing to solve", AT_LEAST, BEGINNING)
    findings.tell()
    return Brief(
        title=title,
        file=Path(name),
        input=input_of(sections.get("input")),
        output=output_of(sections.get("output")),
        surroundings=surroundings_of(sections.get("surroundings", {})),
        requirements=requirements_of(sections.get("requirements", {}), sections.get("derating")),
        stage=stage_of(sections.get("stage"), source.places),
        heat=heat,
        parts=tuple(_part(part, source.places.key(part["path"])) for part in parts),
        tolerances=tolerances_of(sections.get("tolerances", {})),
        wiring=wiring,
        feed=feed_of(sections.get("feed"), source.places),
        dynamics=dynamics_of(sections.get("dynamics", {})),
    )


def _part(part: Values, place: Place) -> PartEntry:
    heat = part["heat"]
    return PartEntry(
        name=part["name"],
        kind=part["kind"],
        polarity=part["polarity"],
        model=part["model"],
        pins=part["pins"],
        type=part["type"],
        values=part["values"],
        heat=None if heat is None else Heat(heat["to"], heat["resistance"]),
        location=place,
        role=part["role"],
        pad=None if heat is None else heat.get("pad"),
    )
