"""What `heat` found, for the section on heat: safe areas with a figure, the sinks that are needed, runaway."""

from collections.abc import Iterator

from outboard.checks.heat import SHORTED, AreaPoint, HeatReport
from outboard.checks.safe_area import REQUIREMENT
from outboard.draw.safe_area import safe_area_figure
from outboard.draw.sheet import svg_text
from outboard.report.document.alike import each, names_in_words
from outboard.report.document.content import (
    FIGURES,
    NAMES,
    Block,
    Figure,
    Heading,
    Items,
    Paragraph,
    Styled,
    Words,
    table,
)
from outboard.report.document.grounds import on_paper, on_screen
from outboard.report.document.wordings import part, sentence
from outboard.report.heat_text import KEY, TO_CERTIFY, open_areas, runaway_in_words, share_in_words, sink_in_words
from outboard.report.words import amperes, degrees, volts


def heat_blocks(report: HeatReport) -> Iterator[Block]:
    """Safe areas, sinks, runaway."""
    if report.areas:
        yield Heading("Safe operating area, lasting current")
        yield _table(report)
        missing = dict.fromkeys(words for one in report.areas for words in one.finding.missing)
        yield from (Paragraph(sentence(words)) for words in missing)
        if open_areas(report):
            yield Paragraph((f"{TO_CERTIFY[:1].upper()}{TO_CERTIFY[1:]}: ", Styled(KEY, "code"), "."))
        yield _figure(report.areas[0])
    drawn = {one.finding.title for one in report.areas}
    rest = [one for one in report.verdict.findings
            if one.requirement in (REQUIREMENT, SHORTED) and one.title not in drawn]  # fmt: skip
    if rest:
        yield Items(tuple(sentence(f"{one.verdict}, {one.title}: {', '.join((*one.missing, one.note))}".rstrip(", "))
                          for one in rest))  # fmt: skip
    for sink in report.sinks:
        yield Heading(f"The {sink.part} that is needed")
        yield Items(tuple(sentence(words) for words in sink_in_words(sink)))
    yield Heading("Thermal runaway")
    yield Items(tuple(sentence(words.strip()) for words in runaway_in_words(report.runaway)))


def _table(report: HeatReport) -> Block:
    """Each transistor where it is nearest to its edge."""
    heads = (("", NAMES), ("transistor", 0.4), ("current", FIGURES), ("voltage", FIGURES), ("case", FIGURES),
             ("of what is allowed", FIGURES), ("which line, where", 0.6))  # fmt: skip
    rows: list[tuple[Words, ...]] = [
        (one.finding.verdict, (part(names_in_words(sorted(one.parts))), f" {one.type}{each(one.parts)}"),
         amperes(one.current), volts(one.voltage), degrees(one.case), share_in_words(one.share),
         f"{one.binding}; {one.in_words.replace(', ', ' · ')}")
        for one in report.areas
    ]  # fmt: skip
    return table("Each transistor where it is nearest to the edge that is known", heads, rows)


def _figure(one: AreaPoint) -> Block:
    drawn = svg_text(safe_area_figure(one, "", "light"))
    name = f"{one.parts[0]} ({one.type})"
    words = (
        f"Current over voltage on logarithmic scales: the edge of the safe area of {name}, the way of the design from "
        f"no load to full load; nearest to the edge it carries {amperes(one.current)} at {volts(one.voltage)}."
    )
    caption = f"Safe operating area of {name}, and the design in it"
    return Figure("safe-area", caption, words, on_paper(drawn), on_screen(drawn), place="afloat")
