"""What single faults do, how a meter shows them, what would prevent the worst."""

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from outboard.cases.alike import counterparts
from outboard.dossier import NotRun
from outboard.report.document.alike import names_in_words
from outboard.report.document.content import Block, Heading, Items, Paragraph, Section, Words, table
from outboard.report.document.material import Material
from outboard.report.document.wordings import counted, sentence, unsigned
from outboard.report.faults_text import details_in_words, verdict_in_words
from outboard.whatif.fault import Fault
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
                    f"{unsigned(material.brief)}")  # fmt: skip
    against = remedies(material.design, report)
    if against:
        yield Heading("What would prevent the worst")
        yield Items(tuple(sentence(words) for words in against))
    yield Heading("Fault by fault")
    told = [one for one in report.outcomes if one.consequence != HARMLESS]
    for consequence, group in groupby(told, key=lambda one: one.consequence):
        outcomes = list(group)
        yield table(f"{consequence[:1].upper()}{consequence[1:]}: {counted(len(outcomes), 'fault')}",
                    (("fault", 0.3), ("share", 0.0), ("what follows", 0.7)),
                    _rows(material, report, outcomes))  # fmt: skip
    quiet = _told_together(one.fault for one in report.outcomes if one.consequence == HARMLESS)
    if quiet:
        yield Paragraph(sentence(f"Nothing is noticed of: {'; '.join(quiet)}"))
    yield Paragraph("Share: of all failures of such a part, MIL-HDBK-338B, taken from FMD-91; a resistor counts as a "
                    "film resistor; faults in heat paths and events from outside have none.", quiet=True)  # fmt: skip


def _told_together(faults: Iterable[Fault]) -> tuple[str, ...]:
    """The same fault of several parts in a few words: "R3, R4, R9 open"."""
    names: dict[str, list[str]] = {}
    for fault in faults:
        whole = rf"\b{re.escape(fault.part)}\b" if fault.part else r"(?!)"
        names.setdefault(re.sub(whole, "\0", fault.words, count=1), []).append(fault.part or "")
    return tuple(words.replace("\0", names_in_words(those)) for words, those in names.items())


def _rows(material: Material, report: FaultReport, outcomes: Sequence[Outcome]) -> list[tuple[Words, ...]]:
    """One row for each fault; the same fault of parts that could change places is told of the first of them."""
    firsts = counterparts(material.design.parts)
    names = re.compile("|".join(rf"\b{re.escape(name)}\b" for name in firsts) or r"(?!)")
    alike: dict[tuple[Words, ...], list[Outcome]] = {}
    for one in outcomes:
        key = tuple(names.sub(lambda found: firsts[found[0]], str(cell)) for cell in _row(one, report))
        alike.setdefault(key, []).append(one)
    rows: list[tuple[Words, ...]] = []
    for first, *others in alike.values():
        fault, *rest = _row(first, report)
        beside = names_in_words([other.fault.part for other in others])
        rows.append((f"{fault} ({beside} alike)" if others else fault, *rest))
    return rows


def _row(outcome: Outcome, report: FaultReport) -> tuple[str, ...]:
    share = "" if outcome.fault.share is None else f"{100.0 * outcome.fault.share:.0f} %"
    return outcome.fault.words, share, "; ".join(details_in_words(outcome, report.healthy))
