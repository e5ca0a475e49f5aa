"""`omit` for people: what each part is for, in one sentence, and what its neighbours in value or type would change."""

from collections.abc import Iterator
from math import log

from rich.text import Text

from outboard.arrangements.design import Design
from outboard.checks.finding import FAIL, Finding
from outboard.dossier.dossier import Dossier, ran
from outboard.own_parts import own_types_said
from outboard.quantity import RESISTANCE, shown
from outboard.report.change_words import clause, matter, matters, place
from outboard.report.plate import MARKS, QUIET, TINTS, Plate
from outboard.whatif.mechanism import ONLY_BEYOND, mechanism
from outboard.whatif.omit import (
    EARNS,
    ESSENTIAL,
    HARMFUL,
    INDIFFERENT,
    NOT_SHOWN,
    NOTICEABLE,
    UNTOLD,
    Change,
    Purpose,
    Tried,
    plainest,
)
from outboard.whatif.value_window import ValueWindow

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
        _write(plate, purpose, dossier.design)
        if purpose.part in windows:
            _window(plate, windows[purpose.part])
    plate.hairline()
    plate.quietly(
        f"percentages are shares of the way to a limit; what moves by less than {100 * NOTICEABLE:.0f} % is not "
        f"counted · {NOT_SHOWN}"
    )
    for sentence in own_types_said(part.type for part in dossier.design.parts if part.type is not None):
        plate.quietly(sentence)
    count = sum(len(one.tried) for one in found.purposes)
    corners = "the worst corners of verify and those beside them" if found.thinned else "all corners of verify"
    plate.quietly(f"{count} variants · what holds was tried at {corners}, what breaks at the worst ones and, while "
                  f"every point is solved, {'no others' if found.thinned else 'those beside them'}: it may break by "
                  f"more elsewhere · {found.seconds:.1f} s")  # fmt: skip


def _write(plate: Plate, purpose: Purpose, design: Design) -> None:
    head = Text.assemble((", ".join(purpose.alike or (purpose.part,)), "bold"), f"  {purpose.role}  ",
                         (purpose.word, "bold"))  # fmt: skip
    plate.say(head)
    plate.say(_reason(purpose, design), indent=4)
    if purpose.why is not None and purpose.word != INDIFFERENT and _met(purpose).in_words:
        plate.quietly(place(_met(purpose)), indent=4)
    for words in _besides(purpose):
        plate.say(words, indent=4)
    if purpose.word in (INDIFFERENT, HARMFUL) and purpose.role in ONLY_BEYOND:
        plate.say(f"yet {ONLY_BEYOND[purpose.role]}: that is not judged here", indent=4)
    for tried in purpose.tried[1:]:
        tint = "FAIL" if tried.some("breaks") else "UNDECIDED" if tried.some("opens") or tried.refused else "PASS"
        row = Text.assemble((MARKS[tint], TINTS[tint]), f" {_named(tried, purpose)}  ")
        row.append(_outcome(tried, design), style=QUIET)
        plate.say(row, indent=4)


def _named(tried: Tried, purpose: Purpose) -> str:
    """Values and types are those of all like parts together."""
    what = tried.variant.what
    return f"{what} each" if purpose.alike and what != "shorted" else what


def _met(purpose: Purpose) -> Finding:
    """The finding that the sentence speaks of: what a harmful part does shows with it, all else without."""
    assert purpose.why is not None
    return purpose.why.before if purpose.word == HARMFUL else purpose.why.after


def _reason(purpose: Purpose, design: Design) -> str:
    """The sentence that says why, made of the largest change and its mechanism."""
    without, why, name = purpose.without, purpose.why, purpose.part
    if without.refused:
        return f"without {name} there is no circuit: {without.refused}"
    if why is None:
        return f"without {name} nothing that is judged here changes"
    if purpose.word == INDIFFERENT:
        return f"without {name} no margin changes noticeably; most of all {clause(why.after, why.before, 'with it')}"
    cause = mechanism(design, name, without.variant.what, _met(purpose))
    if purpose.word == HARMFUL:
        return f"with {name} {clause(why.before, why.after, 'without it')}{_because(cause)}"
    return f"without {name} {clause(why.after, why.before, 'with it')}{_because(cause)}"


def _because(cause: str) -> str:
    return f": {cause}" if cause else ""


ALSO = {ESSENTIAL: ("breaks", "it also breaks"), UNTOLD: ("opens", "open too"), EARNS: ("worsens", "less to spare too"),
        HARMFUL: ("mends", "it also spoils")}  # fmt: skip


def _besides(purpose: Purpose) -> Iterator[str]:
    """What else changes without a part, and what a part costs that one could do without."""
    kind, words = ALSO.get(purpose.word, ("", ""))
    others = matters(purpose.without.some(kind), purpose.why)[:3] if kind else []
    if others:
        yield f"{words}: {', '.join(others)}"
    if purpose.word not in (EARNS, HARMFUL):
        return
    moved = purpose.without.some("betters" if purpose.word == EARNS else "worsens")
    if moved:
        most = max(moved, key=lambda change: abs(change.gain))
        words = "its price" if purpose.word == EARNS else "all that it is good for"
        sense = "less" if purpose.word == EARNS else "more"
        yield f"{words}: {_percent(most.gain)} {sense} to spare in {matter(most.after)}"
    elif purpose.word == HARMFUL:
        yield "it is good for nothing that is judged here"


def _outcome(tried: Tried, design: Design) -> str:
    """A variant in a line: what it breaks and why, what it leaves open, or how margins move."""
    if tried.refused:
        return tried.refused
    grave = tried.some("breaks") or tried.some("opens")
    if grave:
        first = plainest(grave)
        cause = mechanism(design, tried.variant.part, tried.variant.what, first.after)
        others = len(matters(grave, first))
        more = f"; {others} other{'s' if others > 1 else ''} too" if others else ""
        return f"{clause(first.after, first.before, 'as it is')}{_because(cause)}{more}"
    pieces = [f"mends {words}" for words in matters(tried.some("mends"))[:2]]
    for kind in ("worsens", "betters"):
        moved = sorted(tried.some(kind), key=lambda change: -abs(change.gain))
        pieces += [_moved(change) for change in moved[:1] if not change.mends]
    return " · ".join(pieces) or "no noticeable change"


def _moved(change: Change) -> str:
    """How a margin moves; what fails before and after has nothing to spare."""
    lost = change.gain < 0.0
    way = "less" if lost else "more"
    words = ("worse" if lost else "better") if change.after.verdict == FAIL else f"{way} to spare"
    return f"{_percent(change.gain)} {words}: {matter(change.after)}"


def _percent(gain: float) -> str:
    return f"{min(999.0, 100 * abs(gain)):.0f} %"


def _window(plate: Plate, window: ValueWindow) -> None:
    """A bar over the logarithm of the value: the window, its preferred values, the value in use."""
    least = shown(window.least, RESISTANCE, 3) if window.least is not None else "no least"
    most = shown(window.most, RESISTANCE, 3) if window.most is not None else "no most"
    each = " each" if window.alike else ""
    if window.least is None and window.most is None:
        plate.say(f"all passes with any value between a thousandth and a thousand times its own{each}", indent=4)
    else:
        plate.say(f"all passes from {least} to {most}{each}", indent=4)
    if window.least is not None and window.most is not None and window.most > window.least:
        ratio = window.most / window.least

        bar = ["─"] * BAR
        for value, sign in (*((value, "┼") for value in window.preferred), (window.value, "●")):
            bar[min(BAR - 1, max(0, round((BAR - 1) * log(value / window.least) / log(ratio))))] = sign
        plate.say("".join(["├", *bar, "┤"]), indent=4)
    for bound, words in (("below", window.below), ("above", window.above)):
        if words:
            plate.quietly(f"{bound} it fails by {words}", indent=4)


