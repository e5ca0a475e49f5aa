"""By chance: units drawn at random, how many hold, how wide the margins are then, what drives them."""

from collections.abc import Iterator

from outboard.checks.draw_verdict import DrawFinding, DrawVerdict
from outboard.dossier import NotRun
from outboard.draw.culprits import culprits_figure
from outboard.draw.sheet import svg_text
from outboard.report.document.content import FIGURES, NAMES, Block, Figure, Paragraph, Section, Styled, Words, table
from outboard.report.document.grounds import on_paper, on_screen
from outboard.report.document.material import Material
from outboard.report.document.wordings import bold, sentence
from outboard.report.draws_text import (
    CONDITIONS,
    DRIVEN,
    METHODS,
    NOTABLE,
    count_words,
    failing_words,
    margin_words,
    share_words,
    yield_words,
)

SHARES = (0.01, 0.5)
"""Quantiles that stand in the table."""


def section(material: Material) -> Section | None:
    """None where nothing was drawn."""
    draws = material.dossier.draws
    if isinstance(draws, NotRun):
        return None
    return Section("By chance", tuple(_blocks(draws)))


def _blocks(draws: DrawVerdict) -> Iterator[Block]:
    if draws.stopped:
        yield Paragraph(bold(f"Partial: ended by hand after {count_words(draws.draws)} of "
                             f"{count_words(draws.wanted)} units."))  # fmt: skip
    yield Paragraph(
        f"{count_words(draws.draws)} units drawn at random within their tolerances, {METHODS[draws.method]}, seed "
        f"{draws.seed}, {CONDITIONS[draws.conditions]}: {count_words(draws.points)} points, {draws.runaway} ran "
        f"away, {draws.undecided} open. Which tolerances go together and how each is spread is assumed; the verdict "
        "stays that of the corners."
    )
    yield from (Paragraph(bold(sentence(words))) for words in yield_words(draws))
    decided = [finding for finding in draws.ordered if not finding.missing]
    if not decided:
        return
    columns = (("requirement", 1.0), *((head, FIGURES) for head in (
        "corner", "worst drawn", "1 in 100", "half", "squares", "fail")))  # fmt: skip
    yield table("Margins: of the worst corner, of the worst unit drawn, that 1 unit in 100 and every other one fall "
                "short of, by root sum of squares; share of units that fail, with its interval", columns,
                [_row(finding) for finding in decided])  # fmt: skip
    yield from _drivers(draws)


def _row(finding: DrawFinding) -> tuple[Words, ...]:
    quantiles = {one.share: one.margin for one in finding.quantiles}
    least = None if finding.least is None else finding.least.margin
    statistical = None if finding.drivers is None else finding.drivers.root_sum_square
    values = (finding.bound, least, *(quantiles.get(share) for share in SHARES), statistical)
    return finding.title, *(margin_words(value, finding.unit) for value in values), failing_words(finding)


def _drivers(draws: DrawVerdict) -> Iterator[Block]:
    rows: list[tuple[Words, ...]] = []
    for finding in draws.telling(DRIVEN):
        culprits = finding.drivers.culprits if finding.drivers is not None else ()
        told = [one for one in culprits if max(one.extreme_share or 0.0, one.variance_share or 0.0) > NOTABLE]
        for place, one in enumerate(told or culprits[:1]):
            tightened = "" if one.tightened is None else f"{one.grade}: {margin_words(one.tightened, finding.unit)}"
            title = f"{finding.title}, {margin_words(finding.bound, finding.unit)}" if place == 0 else ""
            rows.append((title, one.axis, share_words(one.extreme_share), share_words(one.variance_share),
                         tightened))  # fmt: skip
    if not rows:
        return
    drawn = svg_text(culprits_figure(draws, most=DRIVEN))
    yield Figure("culprits", "What drives the margins, of those alike the tightest", CULPRITS, on_paper(drawn),
                 on_screen(drawn), place="afloat")  # fmt: skip
    yield Paragraph(("Shares of ", Styled("culprits", "figure"), " in figures:"))
    yield table("What drives the tightest margins: share of the extreme, share of the variance, and the margin of the "
                "worst corner with that tolerance tightened",
                (("margin", 0.6), ("tolerance", 0.4), ("extreme", FIGURES), ("variance", FIGURES),
                 ("tightened", NAMES)), rows)  # fmt: skip


CULPRITS = (
    "For each of the tightest margins a bar for every tolerance behind it: broad its share of the extreme, thin its "
    "share of the variance; the table that follows has the figures."
)
