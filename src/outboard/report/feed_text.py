"""`feed` for people: the ledger, a table of cycles, switching on, what it rests on, cautions."""

import math
from collections.abc import Iterator

from rich.text import Text

from outboard.analysis.feed import Cycle, FeedReport
from outboard.analysis.feed_parts import USUAL
from outboard.checks.feed import fuse_window, in_words
from outboard.checks.feed_cautions import feed_cautions
from outboard.dossier import Dossier, ran
from outboard.own_parts import own_types_said
from outboard.quantity import CURRENT, TIME, VOLTAGE, shown
from outboard.report.plate import Plate
from outboard.report.verify_text import ledger, rests_on
from outboard.report.words import NONE, amperes, listed, plain, volts

HEADS = ("mains", "load", "valley", "mean", "peak", "conducts", "diode", "winding", "drops out")


def write(plate: Plate, dossier: Dossier) -> None:
    """Head, ledger, cycles, switching on, cautions."""
    found = ran(dossier.feed)
    report = found.report
    plate.title(dossier.brief.title)
    ledger(plate, found.verdict)
    plate.hairline()
    plate.table(HEADS, rows(report), figures=range(len(HEADS)))
    plate.quietly(
        "usual reservoir and diodes. A meter for direct voltage shows the mean, the valley decides. Conducts: angle of "
        "a half cycle; diode: its peak; winding: effective"
    )
    plate.say(worst_in_words(report))
    for words in (*needs_in_words(report), *switching_on_in_words(report)):
        plate.say(words)
    plate.hairline()
    kind = report.diodes.type
    for line in (*rests_on(found.verdict), *own_types_said([kind] if kind is not None else [])):
        plate.quietly(line)
    plate.say(f"not judged here: {listed(found.verdict.not_judged)}")
    plate.hairline()
    for words in feed_cautions(report):
        plate.quietly(words)


def rows(report: FeedReport) -> list[list[str | Text]]:
    """Every mains and load with usual reservoir and diodes."""
    cycles = [one for one in report.cycles if one.case.reservoir_word == one.case.diodes_word == USUAL]
    return [
        [shown(cycle.case.mains, VOLTAGE, 3, zeros=False), load_in_words(cycle), volts(max(0.0, cycle.valley)),
         volts(cycle.mean), volts(cycle.peak), f"{plain(math.degrees(cycle.conduction), 0)}°",
         amperes(cycle.diode_peak), amperes(cycle.secondary), share_in_words(cycle.dropped_out)]
        for cycle in cycles
    ]  # fmt: skip


def load_in_words(cycle: Cycle) -> str:
    """The load of a cycle."""
    load = cycle.case.need.load
    return NONE if load is None else shown(load, CURRENT, 3, zeros=False)


def share_in_words(share: float | None) -> str:
    """A share of the cycle; the word for none of it."""
    if share is None:
        return NONE
    return "never" if share == 0.0 else f"{plain(100.0 * share, 1 if share < 0.1 else 0)} %"


def worst_in_words(report: FeedReport) -> str:
    """The lowest valley of all, in a sentence."""
    cycle = report.cycles[report.worst]
    if cycle.valley <= 0.0:
        return f"the feed collapses at {in_words(cycle)}: the reservoir follows the mains down to nothing"
    share = cycle.dropped_out
    told = "" if share is None else (
        "; the stage holds all through the cycle" if share == 0.0
        else f"; the stage drops out for {share_in_words(share)} of the cycle"
    )  # fmt: skip
    return (f"lowest valley {volts(cycle.valley)} (mean {volts(cycle.mean)}, ripple {volts(cycle.ripple)}) at "
            f"{in_words(cycle)}{told}")  # fmt: skip


def needs_in_words(report: FeedReport) -> Iterator[str]:
    """What the stage needs, load by load, in one line."""
    told = [f"{NONE if need.voltage is None else volts(need.voltage)} at {need.word}" for need in report.needs]
    yield f"the stage holds its output from {', '.join(told)} on (usual parts, worst ambient)"


def switching_on_in_words(report: FeedReport) -> Iterator[str]:
    """The first moments, and the fuse."""
    rush, made = report.inrush, report.transformer
    charged = f", charged after {shown(rush.charged, TIME, 2)}"
    yield (
        f"switched on at the worst moment, the empty reservoir takes {amperes(rush.peak)} from the secondary"
        f"{charged}; the primary: {amperes(made.ratio * rush.peak)} and {made.ratio**2 * rush.whole:.3g} A²s of it; "
        "the transformer's own magnetising rush comes on top"
    )
    most = max(cycle.primary for cycle in report.cycles)
    given = "" if report.feed.fuse is None else f"; the file has one of {report.feed.fuse:g} A"
    yield f"primary up to {amperes(most)}, effective: {_fuse(report)}{given}"


def _fuse(report: FeedReport) -> str:
    """Which fuse would do."""
    least, most = fuse_window(report)
    if least is None:
        return "no miniature fuse carries it for hours"
    if most is None or most <= least:
        return f"a slow-acting fuse of {least:g} A carries it for hours"
    return (f"slow-acting fuses from {least:g} A, which carries it for hours, to {most:g} A, which carries the "
            "transformer's rated current, fit (75 % used; common practice)")  # fmt: skip
