"""The first page: the verdict in a sentence, what does not pass, the tightest margins, the schematic."""

from collections.abc import Mapping, Sequence

from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding, Verdict
from outboard.dossier import NotRun, ran
from outboard.draw.schematic import drawing
from outboard.draw.schematic.fixed import fixed
from outboard.quantity import CURRENT, VOLTAGE, shown
from outboard.report.document.content import (
    FIGURES,
    NAMES,
    Block,
    Figure,
    Headline,
    Place,
    Style,
    Styled,
    Words,
    table,
)
from outboard.report.document.material import Material
from outboard.report.document.wordings import NO_BREAK, bold, counted, where_words
from outboard.report.verify_text import HEADS, margin_in_words, value_in_words
from outboard.report.words import degrees

MARKS: Mapping[str, Style] = {PASS: "PASS", FAIL: "FAIL", UNDECIDED: "UNDECIDED"}

VERBS = {PASS: "passes", FAIL: "fails", UNDECIDED: "is undecided"}

TIGHTEST = 3
"""Margins that stand on the first page."""

PER_UNIT = 0.52
"""Points of paper for a unit of the schematic, whose smallest letters have 12.5 units."""

PAGE = 470.0
"""What lies between the margins of a page [pt]."""

MOST_ON_ITS_SIDE = 1.5 * PAGE
"""A schematic that would be wider than this is put on a page of its own, on its side [pt]."""

MOST_OPEN = 6
"""Requirements that fail or stay open, on the first page; section Tolerance has them all."""


def opening(material: Material) -> tuple[Block, ...]:
    """All that stands before the first section."""
    verdict = ran(material.dossier.verdict)
    stands = [finding for finding in verdict.ordered if finding.verdict != PASS][:MOST_OPEN]
    tight = [finding for finding in verdict.ordered if finding.verdict == PASS and finding.margin is not None]
    tight = tight[:TIGHTEST]
    caption = f"The {counted(len(tight), 'tightest margin')}" if tight else "What does not pass"
    if stands and tight:
        caption = f"What does not pass, and the {counted(len(tight), 'tightest margin')} of what does"
    return (
        Headline(*_head(material, verdict), _sentences(verdict) + _of_the_heat(material) + _of_the_feed(material)),
        ledger(caption, [*stands, *tight]),
        schematic(material),
    )


def ledger(caption: str, findings: Sequence[Finding]) -> Block:
    """Findings as a table; the dagger marks what rests on a weak figure."""
    figures = (("worst", FIGURES), ("limit", FIGURES), ("margin", FIGURES))
    columns = (("", NAMES), ("requirement", 0.42), *figures, ("where", 0.58))
    rows = [finding_row(finding) for finding in findings]
    return table(caption, columns, rows)


def finding_row(finding: Finding) -> tuple[Words, ...]:
    """Mark, what is required, worst value, limit, margin, where or what is missing."""
    where = ", ".join(finding.missing) if finding.verdict == UNDECIDED else where_words(finding.in_words)
    title = f"{finding.title}{NO_BREAK}†" if finding.rests_on else finding.title
    numbered = finding.verdict != UNDECIDED and finding.worst is not None and finding.limit is not None
    worst = value_in_words(finding.worst, finding.unit) if numbered and finding.worst is not None else ""
    limit = value_in_words(finding.limit, finding.unit) if numbered and finding.limit is not None else ""
    return (Styled(finding.verdict, MARKS[finding.verdict]), title, worst, limit, bold(margin_in_words(finding)), where)


def _sentences(verdict: Verdict) -> str:
    """What fails first and by how much, what is open, how many pass."""
    counts = verdict.counts
    pieces = []
    for finding in verdict.ordered:
        if finding.verdict == FAIL and finding.worst is not None and finding.limit is not None:
            worst, limit = (value_in_words(value, finding.unit) for value in (finding.worst, finding.limit))
            pieces.append(f"Worst is {finding.title}: {worst} against {limit}.")
            break
    if counts[FAIL]:
        pieces.append(f"{_capital(counted(counts[FAIL], 'requirement'))} {'fails' if counts[FAIL] == 1 else 'fail'}.")
    if counts[UNDECIDED]:
        missing = next(why for finding in verdict.findings for why in finding.missing)
        verb = "is" if counts[UNDECIDED] == 1 else "are"
        pieces.append(f"{_capital(counted(counts[UNDECIDED], 'requirement'))} {verb} undecided: {missing}.")
    if counts[PASS]:
        every = "All " if not counts[FAIL] and not counts[UNDECIDED] else ""
        words = counted(counts[PASS], "requirement")
        verb = "passes" if counts[PASS] == 1 else "pass"
        pieces.append(f"{every}{words if every else _capital(words)} {verb} under every input, load, ambient "
                      "temperature and tolerance that was promised.")  # fmt: skip
    if verdict.not_judged:
        pieces.append(f"Not judged here: {', '.join(verdict.not_judged)}.")
    return " ".join(pieces)


def _head(material: Material, verdict: Verdict) -> tuple[Style, str]:
    """Mark and word for the whole; a stage behind a feed that fails is no supply that passes."""
    feed = material.dossier.feed
    if not isinstance(feed, NotRun) and feed.verdict.verdict == FAIL and verdict.verdict != FAIL:
        return MARKS[FAIL], f"The stage {VERBS[verdict.verdict]}, its feed fails."
    return MARKS[verdict.verdict], f"{HEADS[verdict.verdict]}."


def _of_the_heat(material: Material) -> str:
    """What the first page says where a safe operating area fails or is not certified."""
    found = material.dossier.heat
    if isinstance(found, NotRun):
        return ""
    areas = [one.finding for one in found.areas]
    if any(one.verdict == FAIL for one in areas):
        return " A safe operating area is left; see Heat."
    if any(one.verdict == UNDECIDED for one in areas):
        return " The safe operating area is not certified; see Heat."
    return ""


def _of_the_feed(material: Material) -> str:
    """What the first page says of the feed; nothing where there is none."""
    found = material.dossier.feed
    return "" if isinstance(found, NotRun) else f" The feed before it {VERBS[found.verdict.verdict]}; see its section."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def schematic(material: Material) -> Block:
    """The schematic with values, and the currents and heat of full load where there is such a point."""
    point = material.full if material.full.is_solved else None
    drawn = drawing(material.design, point, ribbons=point is not None)
    svg = drawn.svg
    conditions = material.full.conditions
    volts = "" if conditions.input_voltage is None else f"{shown(conditions.input_voltage, VOLTAGE, 3)} in, "
    load = "" if conditions.load is None else f"{shown(conditions.load, CURRENT, 3)} load, "
    at = f"{volts}{load}{degrees(conditions.ambient)} around, usual parts"
    caption = f"The circuit at {at}. Width is current, tint the share of the nearest limit, the bar is heat."
    if point is None:
        caption = f"The circuit. It has no operating point at {at} ({material.full.outcome}), so no figures are drawn."
    names = ", ".join(f"{part.name} {part.role}" for part in material.design.parts if "a" not in part.part.pins)
    words = f"Schematic of {material.brief.title}. {names}. Every value stands in the parts list."
    wide = PER_UNIT * (drawn.sheet.right - drawn.sheet.left)
    place: Place = "on its side" if wide > MOST_ON_ITS_SIDE else "here"
    return Figure("schematic", caption, words, fixed(svg), svg, 0.0 if wide > PAGE else wide, place)
