"""What single faults do, how a meter shows them, what would prevent the worst."""

from collections.abc import Iterator
from itertools import groupby

from outboard.dossier import NotRun
from outboard.report.document.content import Block, Heading, Items, Paragraph, Section, Words, table
from outboard.report.document.material import Material
from outboard.report.document.wordings import sentence
from outboard.report.faults_text import details_in_words, verdict_in_words
from outboard.whatif.faults import HARMLESS, FaultReport, Outcome
from outboard.whatif.remedies import remedies


def section(material: Material) -> Section | None:
    """None where faults were not followed."""
    report = material.dossier.faults
    if isinstance(report, NotRun):
        return None
    return Section("Faults", tuple(_blocks(material, report)))


def _blocks(material: Material, report: FaultReport) -> Iterator[Block]:
    yield Paragraph(f"{verdict_in_words(report)}. {len(report.outcomes)} single faults and events were tried with "
                    "usual devices at the ends of input and ambient, each followed through up to three links."
                    )  # fmt: skip
    against = remedies(material.design, report)
    if against:
        yield Heading("What would prevent the worst")
        yield Items(tuple(sentence(words) for words in against))
    yield Heading("Fault by fault")
    told = [one for one in report.outcomes if one.consequence != HARMLESS]
    for consequence, group in groupby(told, key=lambda one: one.consequence):
        rows = [_row(one, report) for one in group]
        yield table(f"{consequence[:1].upper()}{consequence[1:]}: {len(rows)}",
                    (("fault", 0.3), ("share", 0.0), ("what follows", 0.7)), rows)  # fmt: skip
    quiet = [one.fault.words for one in report.outcomes if one.consequence == HARMLESS]
    if quiet:
        yield Paragraph(sentence(f"Nothing is noticed of: {', '.join(quiet)}"))
    yield Paragraph("Share: of all failures of such a part, MIL-HDBK-338B, taken from FMD-91; a resistor counts as a "
                    "film resistor; faults in heat paths and events from outside have none.", quiet=True)  # fmt: skip


def _row(outcome: Outcome, report: FaultReport) -> tuple[Words, ...]:
    share = "" if outcome.fault.share is None else f"{100.0 * outcome.fault.share:.0f} %"
    return outcome.fault.words, share, "; ".join(details_in_words(outcome, report.healthy))
