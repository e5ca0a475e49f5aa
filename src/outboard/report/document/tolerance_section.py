"""Every requirement over every corner, with its margin and where it was met."""

from outboard.checks.finding import Verdict
from outboard.dossier import ran
from outboard.report.document.content import Block, Paragraph, Section
from outboard.report.document.material import Material
from outboard.report.document.verdict_opening import ledger
from outboard.report.document.wordings import sentence, unsigned


def section(material: Material) -> Section:
    """All findings, tightest first."""
    verdict = ran(material.dossier.verdict)
    looked_at = _looked_at(verdict) + unsigned(material.brief)
    blocks: list[Block] = [Paragraph(looked_at), ledger("Every requirement, tightest first", verdict.ordered)]
    notes = dict.fromkeys(f"{finding.title}: {finding.note}" for finding in verdict.findings if finding.note)
    taken = dict.fromkeys(f"{finding.title}: {finding.derating}" for finding in verdict.findings if finding.derating)
    blocks += [Paragraph(sentence(note), quiet=True) for note in (*notes, *taken)]
    return Section("Tolerance", tuple(blocks))


def _looked_at(verdict: Verdict) -> str:
    done = verdict.conditions
    points, solved = (f"{number:,}".replace(",", "\u00a0") for number in (done.points, done.solved))
    return (
        "Every combination of the ends of the tolerances was solved at the ends of input and ambient, along the load, "
        "after the load was let go while everything was hot, and from a start into the full load. The worst of them "
        f"were tried at the usual input and ambient too. {points} points: {solved} solved, {done.runaway} ran away, "
        f"{done.undecided} open. “Where” names what makes the worst case, strongest first. Tightest "
        "is what has the least left of the way from rest to its limit. † rests on typical, remembered or assumed "
        "figures; the section on assumptions names them."
    )
