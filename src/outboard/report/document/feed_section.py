"""The feed: verdict, a cycle of the mains, cycles from low to high mains, switching on, what it rests on."""

from collections.abc import Iterator

from outboard.checks.feed import in_words
from outboard.dossier import FedStage, NotRun
from outboard.draw.mains_cycle import feed_figure
from outboard.draw.sheet import svg_text
from outboard.report.document.content import FIGURES, NAMES, Block, Figure, Items, Paragraph, Section, table
from outboard.report.document.feed_items import feed_items
from outboard.report.document.grounds import on_paper, on_screen
from outboard.report.document.material import Material
from outboard.report.document.verdict_opening import VERBS, ledger
from outboard.report.document.wordings import counted, sentence
from outboard.report.feed_text import HEADS, needs_in_words, rows, switching_on_in_words, worst_in_words


def section(material: Material) -> Section | None:
    """None where the file has no feed."""
    found = material.dossier.feed
    if isinstance(found, NotRun):
        return None
    return Section("The feed", tuple(_blocks(found)))


def _blocks(found: FedStage) -> Iterator[Block]:
    report, verdict = found.report, found.verdict
    yield Paragraph(f"The feed {VERBS[verdict.verdict]}. {counted(len(report.cycles), 'cycle').capitalize()} were "
                    "followed until they came back to themselves: mains, load, reservoir and diodes at their ends, the "
                    "stage drawing what it really draws.")  # fmt: skip
    yield _figure(found)
    yield ledger("What is required of the feed, tightest first", verdict.ordered)
    columns = [(head, FIGURES) for head in HEADS[:-1]]
    yield table("Cycles with usual reservoir and diodes. A meter shows the mean, the valley decides; conducts: angle "
                "of a half cycle; diode: its peak; winding: effective", (*columns, (HEADS[-1], 1.0)),
                [tuple(str(cell) for cell in row) for row in rows(report)])  # fmt: skip
    yield table("What to buy for the feed, and what it bears", (("", NAMES), ("value or type", 0.5), ("bears", 0.5)),
                [(one.name, one.value, one.bears) for one in feed_items(report)])  # fmt: skip
    told = (worst_in_words(report), *needs_in_words(report), *switching_on_in_words(report))
    yield Items(tuple(sentence(words) for words in told))
    yield Paragraph(sentence(f"Not judged here: {', '.join(verdict.not_judged)}"), quiet=True)


def _figure(found: FedStage) -> Block:
    report = found.report
    drawn = svg_text(feed_figure(report, report.worst, "", "light"))
    cycle = report.cycles[report.worst]
    caption = f"A cycle of the mains where the valley is lowest: {in_words(cycle)}"
    words = (
        "Voltage of winding and reservoir, and the charging current, over a cycle of the mains; the reservoir is "
        "lowest shortly before the diodes conduct. The tables that follow have the figures."
    )
    return Figure("feed", caption, words, on_paper(drawn), on_screen(drawn), place="afloat")
