"""`faults` for people: the gravest first, how each shows at a meter, what follows from it, what would prevent it."""

from collections.abc import Iterator

from rich.text import Text

from outboard.dossier.dossier import Dossier, ran
from outboard.own_parts import own_types_said
from outboard.quantity import VOLTAGE, shown
from outboard.report.plate import MARKS, QUIET, TINTS, Plate
from outboard.whatif.cautions import cautions
from outboard.whatif.effect import Effect
from outboard.whatif.faults import ALIGHT_WORD, HARMLESS, OPEN, OVERVOLTAGE, FaultReport, Outcome
from outboard.whatif.meter import tell_tale
from outboard.whatif.remedies import remedies

TINT = {OVERVOLTAGE: "FAIL", ALIGHT_WORD: "FAIL", OPEN: "UNDECIDED"}


def write(plate: Plate, dossier: Dossier, everything: bool) -> None:
    """All that faults do; harmless ones in one line unless `everything` is asked for."""
    report = ran(dossier.faults)
    plate.title(dossier.brief.title)
    plate.say(verdict_in_words(report))
    plate.quietly("on the right: share of the failures of such a part")
    plate.hairline()
    consequence = ""
    for outcome in report.outcomes:
        if outcome.consequence == HARMLESS and not everything:
            continue
        if outcome.consequence != consequence:
            consequence = outcome.consequence
            plate.say(_heading(consequence, report))
        _write(plate, outcome, report.healthy)
    quiet = [outcome.fault.words for outcome in report.outcomes if outcome.consequence == HARMLESS]
    if quiet and not everything:
        plate.say(Text(f"· {HARMLESS}"))
        plate.quietly(", ".join(quiet), indent=2)
    plate.hairline()
    for words in remedies(dossier.design, report):
        plate.say(f"→ {words}")
    plate.hairline()
    for words in cautions(dossier.design):
        plate.quietly(words)
    for sentence in own_types_said(part.type for part in dossier.design.parts if part.type is not None):
        plate.quietly(sentence)
    plate.quietly(
        "shares of a part's failures: MIL-HDBK-338B, taken from FMD-91; a resistor counts as a film resistor; faults "
        "in heat paths and events have none"
    )
    plate.quietly(
        "what fails next fails in its likeliest way: semiconductors short, resistors open; that it joins the main "
        "path alone, drift to half and to twice the value, a sink without air at three times its resistance: common "
        "practice, no source"
    )
    plate.quietly(f"{len(report.outcomes)} faults, devices usual, ends of input and ambient · {report.seconds:.2f} s")


def verdict_in_words(report: FaultReport) -> str:
    """What single faults do to load and house, in a sentence."""
    if report.limit is None:
        return "No output is promised, so only what breaks is told"
    limit = shown(report.limit, VOLTAGE, 3)
    known = f"{limit}, which it withstands" if report.limit_is_stated else f"the promised {limit}"
    rest = "" if report.limit_is_stated else "; what the load withstands is not said"
    if report.worst:
        count = f"{len(report.worst)} of {len(report.outcomes)}"
        return f"{count} single faults and events endanger the load (above {known}) or the house (fire){rest}"
    if report.undecided:
        return f"No known single fault puts the load above {known}, but some cannot be told{rest}"
    return f"No single fault puts the load above {known}, or sets anything alight{rest}"


def _heading(consequence: str, report: FaultReport) -> Text:
    tint = TINT.get(consequence)
    count = sum(outcome.consequence == consequence for outcome in report.outcomes)
    shape, style = (MARKS[tint], TINTS[tint]) if tint else ("·", "")
    return Text(f"{shape} {consequence}, {count}", style=style)


def _write(plate: Plate, outcome: Outcome, healthy: Effect) -> None:
    share = "" if outcome.fault.share is None else f"{100.0 * outcome.fault.share:.0f} %"
    line = Text("  ")
    line.append(outcome.fault.words)
    room = plate.width - len(line.plain) - len(share)
    line.append(" " * max(1, room))
    line.append(share, style=QUIET)
    plate.say(line)
    for words in details_in_words(outcome, healthy):
        plate.quietly(words, indent=4)


def details_in_words(outcome: Outcome, healthy: Effect) -> Iterator[str]:
    """What follows from a fault, what the load sees, how a meter shows it."""
    for number, link in enumerate(outcome.links):
        yield f"{'then' if number else 'next'} {link.fault.words}: {link.because}"
    crowbar = outcome.first.crowbar or outcome.last.crowbar
    if crowbar is not None:
        yield crowbar.in_words
    last = outcome.last.outputs or outcome.first.outputs
    if last is not None:
        low, high = (_volts(value) for value in last)
        over = "once that is over: " if outcome.lifted else ""
        yield f"{over}output {low}" if low == high else f"{over}output between {low} and {high}"
    elif outcome.last.runs_away:
        yield f"no equilibrium at any input, ambient or load: the junction of {outcome.last.runs_away} runs away"
    reading = tell_tale(outcome.first, healthy)
    if reading is not None:
        when = "at usual load" if reading.loaded else "without load"
        before = "before that " if outcome.links else ""
        yield (
            f"{before}a meter shows {_volts(reading.faulty)} at net {reading.net} {when} "
            f"(sound: {_volts(reading.healthy)})"
        )
    elif outcome.first.readings:
        yield "no meter shows it at usual input and ambient, with or without load"
    yield from outcome.unknown


def _volts(value: float) -> str:
    """A voltage as a meter shows it; below a millivolt it shows nothing."""
    return shown(value if abs(value) > 1e-3 else 0.0, VOLTAGE, 3)
