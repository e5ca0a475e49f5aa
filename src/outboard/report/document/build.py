"""From material to document: the sections in the order in which they are read."""

from collections.abc import Callable
from dataclasses import replace

from outboard.dossier import ran
from outboard.report.document import (
    algebra_section,
    brief_section,
    build_section,
    chance_section,
    closing_sections,
    division_section,
    faults_section,
    feed_section,
    heat_section,
    parts_list,
    response_section,
    sizing_section,
    test_section,
    tolerance_section,
    wiring_section,
)
from outboard.report.document.content import Document, Figure, Section
from outboard.report.document.material import Material
from outboard.report.document.verdict_opening import opening
from outboard.report.document.wordings import lead

SECTIONS: tuple[Callable[[Material], Section | None], ...] = (
    brief_section.section,
    sizing_section.section,
    algebra_section.section,
    division_section.section,
    tolerance_section.section,
    chance_section.section,
    feed_section.section,
    heat_section.section,
    faults_section.section,
    response_section.section,
    parts_list.section,
    wiring_section.section,
    build_section.section,
    test_section.section,
    closing_sections.cautions_section,
    closing_sections.assumptions_section,
    closing_sections.sources_section,
    closing_sections.inputs_section,
)
"""Each makes its section, or none when it was not run; then the last section lists it."""

FIRST = 12
"""Figures of the fingerprint that stand on every page."""


def document(material: Material) -> Document:
    """The whole report."""
    brief = material.brief
    made = [section for make in SECTIONS if (section := make(material)) is not None]
    first = opening(material)
    if isinstance(first[-1], Figure) and first[-1].place == "on its side":  # its page would leave the first half empty
        made[0] = replace(made[0], blocks=(*made[0].blocks, first[-1]))
        first = first[:-1]
    return Document(
        title=brief.title,
        lead=lead(brief),
        verdict=ran(material.dossier.verdict).verdict,
        opening=first,
        sections=tuple(made),
        name=brief.file.name,
        inputs=material.dossier.inputs[:FIRST],
    )
