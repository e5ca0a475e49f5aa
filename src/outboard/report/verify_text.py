"""The ledger: every requirement with its margin, its worst corner and what it rests on."""

from collections.abc import Iterator

from rich.text import Text

from outboard.checks.finding import FAIL, PASS, UNDECIDED, Conditions, Finding, Verdict
from outboard.checks.verification import MOVES
from outboard.dossier import Dossier, NotRun, ran
from outboard.quantity import CURRENT, POWER, TEMPERATURE_DIFFERENCE, TIME, VOLTAGE, Dimension, shown
from outboard.quantity.showing import MINUS
from outboard.report.plate import QUIET, TINTS, Plate, mark
from outboard.report.words import listed, plain
from outboard.whatif.faults import Glance

HEADS = {PASS: "Passes", FAIL: "Fails", UNDECIDED: "Undecided"}
WORDS = {FAIL: "fails", UNDECIDED: "undecided", PASS: "pass"}
DIMENSIONS: dict[str, Dimension] = {
    "V": VOLTAGE, "A": CURRENT, "W": POWER, "°C": TEMPERATURE_DIFFERENCE, "s": TIME,
}  # fmt: skip
MARK = 12
"""Columns of a verdict's mark."""

SHORT, SPARE = 4, 10
"""Columns of a bar to the left and to the right of its zero tick."""

ROUNDING = 1e-9
"""What is less than this, in any unit, is nothing to a person."""

ELSEWHERE = {"safe operating area": "heat", MOVES: "respond", "raw supply": "feed"}
"""Verbs that judge what a verification leaves out."""

RESTS_ON = {"typical": "typical figures", "recalled": "figures from memory, without a document", "default": "defaults"}


def write(plate: Plate, dossier: Dossier) -> None:
    """Head, ledger, what it rests on, what it does not say, how much was looked at."""
    verdict = ran(dossier.verdict)
    plate.title(dossier.brief.title)
    ledger(plate, verdict)
    plate.hairline()
    for line in (*rests_on(verdict), *dossier.design.notes):
        plate.quietly(line)
    if not isinstance(dossier.glance, NotRun):
        plate.quietly(_faults(dossier.glance))
    if verdict.not_judged:
        plate.say(f"not judged here: {listed(map(_elsewhere, verdict.not_judged))}")
    plate.quietly(_looked_at(verdict.conditions))


def _elsewhere(words: str) -> str:
    """What is not judged, with the verb that judges it."""
    return f"{words} (`outboard {ELSEWHERE[words]}` does)" if words in ELSEWHERE else words


def ledger(plate: Plate, verdict: Verdict) -> None:
    """The word for the whole, counts, and every requirement."""
    plate.say(Text(HEADS[verdict.verdict], style=TINTS[verdict.verdict]))
    plate.quietly(" · ".join(f"{number} {WORDS[word]}" for word in WORDS if (number := verdict.counts[word])))
    plate.hairline()
    for finding in verdict.ordered:
        write_finding(plate, finding)


def _faults(glance: Glance) -> str:
    """What single faults put on the load, in one line."""
    if glance.limit is None:
        return f"{glance.tried} single faults: what the load may see is not said; `outboard faults` says more"
    limit = f"{shown(glance.limit, VOLTAGE, 3)} ({'withstood' if glance.limit_is_stated else 'promised'})"
    if not glance.over:
        return f"none of {glance.tried} opens and shorts puts more than {limit} on the load at once"
    likeliest = listed([fault.words for fault in glance.over[:3]])
    rest = ", the likeliest" if len(glance.over) > 3 else ""
    return (
        f"{len(glance.over)} of {glance.tried} opens and shorts put more than {limit} on the load at once{rest}: "
        f"{likeliest}; `outboard faults` says more"
    )


def write_finding(plate: Plate, finding: Finding) -> None:
    title = " ".join(filter(None, (finding.title, "†" if finding.rests_on else "")))
    room = plate.width - MARK - SHORT - SPARE - 1
    margin = margin_in_words(finding) + "  "
    row = _padded(mark(finding.verdict), MARK)
    if len(title) + 2 + len(margin) > room:
        plate.say(row.append(title))
        row, title = Text(" " * MARK), ""
    row.append(title.ljust(room - len(margin)) + margin)
    plate.say(row.append_text(_bar(finding)))
    for line in _details(finding):
        plate.quietly(line, indent=MARK)


def _details(finding: Finding) -> Iterator[str]:
    """The worst value against its limit and where it was met; what is missing where undecided; a note."""
    pieces = []
    if finding.worst is not None and finding.limit is not None:
        limit = value_in_words(finding.limit, finding.unit) + _taken_off(finding)
        pieces.append(f"{value_in_words(finding.worst, finding.unit)} against {limit}")
    if finding.in_words:
        pieces.append(finding.in_words.replace(", ", " · "))
    if pieces:
        yield " · ".join(pieces)
    if finding.verdict == UNDECIDED:
        yield from finding.missing
    if finding.note:
        yield finding.note


def _taken_off(finding: Finding) -> str:
    """What a policy took off the limit."""
    return f" ({finding.derating})" if finding.derating else ""


def value_in_words(value: float, unit: str) -> str:
    """A figure of a finding with its unit."""
    if unit == "°C":
        return f"{plain(value, 1)} °C"
    if unit == "°":
        return f"{plain(value, 1)}°"
    value = value if abs(value) > ROUNDING else 0.0
    if unit in DIMENSIONS:
        return shown(value, DIMENSIONS[unit], 4)
    return f"{value:.4g} {unit}".strip().replace("-", MINUS)


def margin_in_words(finding: Finding) -> str:
    """The margin in its own unit, kelvins for a difference of temperatures; never a number where undecided."""
    if finding.margin is None or finding.verdict == UNDECIDED:
        return ""
    if finding.unit == "°":
        return f"{plain(finding.margin, 1)}°"
    if finding.unit not in DIMENSIONS:
        return f"{finding.margin:.3g} {finding.unit}".strip().replace("-", MINUS)
    margin = finding.margin if abs(finding.margin) > ROUNDING else 0.0
    return shown(margin, DIMENSIONS[finding.unit], 3)


def _bar(finding: Finding) -> Text:
    """From a zero tick: to the right what is spare, to the left what is short, as a share of the way to the limit."""
    if finding.verdict == UNDECIDED:
        return Text(" " * SHORT + "│" + "┄" * SPARE, style=QUIET)
    if finding.margin is None:
        return Text()
    share = finding.share_left
    short = min(SHORT, round(-share * SPARE + 0.5)) if share < 0.0 else 0
    spare = min(SPARE, round(share * SPARE)) if share > 0.0 else 0
    bar = Text(" " * (SHORT - short))
    bar.append("━" * short, style=TINTS[FAIL])
    bar.append("│", style=QUIET)
    bar.append("━" * spare, style=TINTS[PASS])
    return bar


def rests_on(verdict: Verdict) -> Iterator[str]:
    """The weak figures behind the daggers, by their kind."""
    figures = dict.fromkeys(figure for finding in verdict.findings for figure in finding.rests_on)
    for kind, words in RESTS_ON.items():
        mine = [figure.partition(": ")[2] for figure in figures if figure.startswith(f"{kind}: ")]
        if mine:
            yield f"† {words}: {listed(mine)}"
    others = [figure for figure in figures if figure.partition(": ")[0] not in RESTS_ON]
    if others:
        yield f"† {listed(others)}"


def _looked_at(done: Conditions) -> str:
    numbers = (f"{number:,}".replace(",", " ") for number in (done.points, done.solved, done.runaway, done.undecided))
    points, solved, runaway, undecided = numbers
    return f"{points} points · {solved} solved · {runaway} ran away · {undecided} open · {plain(done.seconds, 2)} s"


def _padded(text: Text, width: int) -> Text:
    padded = text.copy()
    padded.append(" " * max(0, width - len(text.plain)))
    return padded
