"""`omit` for people: what each part is for, in one sentence, and what its neighbours in value or type would change."""

from collections.abc import Iterator
from math import log

from rich.text import Text

from outboard.checks.finding import Finding
from outboard.dossier.dossier import Dossier, ran
from outboard.own_parts import own_types_said
from outboard.quantity import CURRENT, POWER, RESISTANCE, VOLTAGE, shown
from outboard.report.plate import MARKS, QUIET, TINTS, Plate
from outboard.report.words import plain
from outboard.whatif.omit import EARNS, ESSENTIAL, HARMFUL, NOT_SHOWN, NOTICEABLE, UNTOLD, Change, Purpose, Tried
from outboard.whatif.value_window import ValueWindow

DIMENSIONS = {"V": VOLTAGE, "A": CURRENT, "W": POWER}
BAR = 40
"""Columns of a window's bar."""


def write(plate: Plate, dossier: Dossier) -> None:
    """Every part with its purpose, its variants, and its window when that was asked for."""
    found = ran(dossier.omission)
    plate.title(dossier.brief.title)
    plate.say(f"as it is: {found.verdict.verdict}")
    plate.hairline()
    windows = {window.name: window for window in dossier.windows}
    for purpose in found.purposes:
        _write(plate, purpose)
        if purpose.part in windows:
            _window(plate, windows[purpose.part])
    plate.hairline()
    plate.quietly(
        f"a margin that changes by more than {100 * NOTICEABLE:.0f} % of the way to its limit counts · {NOT_SHOWN}"
    )
    for sentence in own_types_said(part.type for part in dossier.design.parts if part.type is not None):
        plate.quietly(sentence)
    count = sum(len(one.tried) for one in found.purposes)
    corners = "only at the worst corners of verify and those beside them: percentages are rough"
    plate.quietly(f"{count} variants, {corners if found.thinned else 'corners as in verify'} · {found.seconds:.1f} s")


def _write(plate: Plate, purpose: Purpose) -> None:
    head = Text.assemble((purpose.part, "bold"), f"  {purpose.role}  ", (purpose.word, "bold"))
    plate.say(head)
    for words in _reason(purpose):
        plate.say(words, indent=4)
    for tried in purpose.tried[1:]:
        tint = "FAIL" if tried.some("breaks") else "UNDECIDED" if tried.some("opens") or tried.refused else "PASS"
        row = Text.assemble((MARKS[tint], TINTS[tint]), f" {tried.variant.what}  ")
        row.append(_outcome(tried), style=QUIET)
        plate.say(row, indent=4)


def _reason(purpose: Purpose) -> Iterator[str]:
    """The sentence that says why, made of the largest change."""
    without, why = purpose.without, purpose.why
    if without.refused:
        yield f"without {purpose.part} there is no circuit: {without.refused}"
    elif why is None:
        yield f"without {purpose.part} nothing that is judged here changes"
    elif purpose.word in (ESSENTIAL, UNTOLD, EARNS):
        yield f"without {purpose.part}: {_change(why)}"
        others = [change for change in without.some("breaks") if change is not why][:2]
        if others:
            yield "and " + "; ".join(_title(change.after) for change in others)
        gained = without.some("betters")
        if gained and purpose.word == EARNS:
            price = f"{_title(gained[0].after)} has {_percent(gained[0].gain)} less of its way to spare"
            yield f"its price: with it {price}"
    elif purpose.word == HARMFUL:
        worse = without.some("worsens")
        price = f"only {_title(worse[0].after)} has less to spare" if worse else "and nothing gets noticeably worse"
        yield f"leave it out: without {purpose.part}, {_change(why)}; {price}"
    else:
        yield f"the largest change without {purpose.part}: {_change(why)}"


def _change(change: Change) -> str:
    """Requirement, value then and now against its limit, where."""
    before, after = change.before, change.after
    if after.worst is None or after.limit is None:
        missing = f": {after.missing[0]}" if after.missing else f": {after.note}" if after.note else ""
        return f"{_title(after)} {after.verdict}{missing}"
    then = f" ({_value(before.worst, before)} with it)" if before.worst is not None else ""
    where = f" · {after.in_words.replace(', ', ' · ')}" if after.in_words else ""
    return f"{_title(after)}: {_value(after.worst, after)} against {_value(after.limit, after)}{then}{where}"


def _outcome(tried: Tried) -> str:
    if tried.refused:
        return tried.refused
    breaks, opens = tried.some("breaks"), tried.some("opens")
    if breaks:
        return "breaks " + "; ".join(_title(change.after) for change in breaks[:2])
    if opens:
        return "leaves open " + "; ".join(_title(change.after) for change in opens[:2])
    mends = tried.some("mends")
    pieces = [f"mends {_title(change.after)}" for change in mends[:2]]
    for kind, sign in (("worsens", "−"), ("betters", "+")):
        moved = sorted(tried.some(kind), key=lambda change: -abs(change.gain))
        pieces += [f"{sign}{_percent(change.gain)} {_title(change.after)}" for change in moved[:1]]
    return " · ".join(pieces) or "no noticeable change"


def _percent(gain: float) -> str:
    return f"{min(999.0, 100 * abs(gain)):.0f} %"


def _title(finding: Finding) -> str:
    return finding.title


def _value(value: float, finding: Finding) -> str:
    if finding.unit in DIMENSIONS:
        return shown(value if abs(value) > 1e-9 else 0.0, DIMENSIONS[finding.unit], 3)
    return f"{plain(value, 1)} {finding.unit}"


def _window(plate: Plate, window: ValueWindow) -> None:
    """A bar over the logarithm of the value: the window, its preferred values, the value in use."""
    least = shown(window.least, RESISTANCE, 3) if window.least is not None else "no least"
    most = shown(window.most, RESISTANCE, 3) if window.most is not None else "no most"
    plate.say(f"all passes from {least} to {most}", indent=4)
    if window.least is not None and window.most is not None and window.most > window.least:
        ratio = window.most / window.least

        bar = ["─"] * BAR
        for value, sign in (*((value, "┼") for value in window.preferred), (window.value, "●")):
            bar[min(BAR - 1, max(0, round((BAR - 1) * log(value / window.least) / log(ratio))))] = sign
        plate.say("".join(["├", *bar, "┤"]), indent=4)
    for bound, words in (("below", window.below), ("above", window.above)):
        if words:
            plate.quietly(f"{bound} it fails by {words}", indent=4)


