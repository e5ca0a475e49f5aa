"""From a tally to a finding: the verdict with its reasons, in the units that people read."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from outboard.checks import needs
from outboard.checks.check import Check
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding
from outboard.checks.needs import Need
from outboard.checks.tally import Tally, Worst
from outboard.constants import ZERO_CELSIUS
from outboard.quantity import CURRENT, shown


def finding(tally: Tally, trust: str, moved: Sequence[int]) -> Finding:
    """The finding of a tally; `moved` are the axes that matter at the worst corner, strongest first.

    FAIL needs a number and a known limit; a share that a policy does not tell keeps nothing from failing.  PASS needs
    every figure, every lane solved and judged.  Where only limits are trusted, a weaker figure leaves either undecided.
    Undecided carries no number, since it would be a guess.
    """
    check, worst = tally.check, tally.worst
    unknown = needs.missing(check.needs)
    weak = needs.weak((*check.needs, *_origins(worst, moved)))
    missing = [*unknown, *_open_points(tally, trust, weak)]
    judged = Finding(
        check.requirement, check.part, UNDECIDED if missing else PASS, unit="°C" if check.unit == "K" else check.unit,
        limit_kind=check.origin.kind, source=check.origin.source, rests_on=weak, missing=tuple(missing),
        derating=check.derating, alike=check.alike,
    )  # fmt: skip
    trusted = trust != "limits" or not weak
    fails = worst is not None and worst.margin < 0.0 and not unknown and trusted
    if worst is None or (missing and not fails):
        return judged
    return replace(
        judged,
        verdict=FAIL if fails else PASS,
        worst=_read(check, worst.value),
        limit=_read(check, worst.limit),
        margin=worst.margin,
        corner=_corner(worst, moved),
        in_words=corner_words(worst, moved),
        rest=_read(check, check.rest),
    )


def _open_points(tally: Tally, trust: str, weak: tuple[str, ...]) -> Iterator[str]:
    """What stands against a PASS although every figure is known."""
    if tally.unsolved:
        yield f"{tally.unsolved} points have no solution"
    if tally.check.silent:
        yield tally.check.silent
    if tally.unjudged and not needs.missing(tally.check.needs):
        yield f"at {tally.unjudged} points the limit is not known"
    if tally.worst is None and not tally.unsolved and not tally.unjudged:
        yield "no point was judged"
    if trust == "limits" and weak:
        yield "only limits are trusted, and this rests on " + ", ".join(weak)


def _origins(worst: Worst | None, moved: Sequence[int]) -> Iterator[Need]:
    """Where the ends come from that make the worst corner what it is."""
    if worst is not None:
        for axis in moved:
            option = worst.corners.axes[axis].options[int(worst.corners.choices[worst.row, axis])]
            yield from (Need(origin) for origin in option.origins)


def _read(check: Check, value: float) -> float:
    return value - ZERO_CELSIUS if check.unit == "K" else value


def _corner(worst: Worst, moved: Sequence[int]) -> Mapping[str, float | str]:
    """The conditions of the worst lane, with the axes that matter there."""
    corners, row = worst.corners, worst.row
    found: dict[str, float | str] = {}
    if corners.input is not None:
        found["input_V"] = round(float(corners.inputs[row]), 12)
    if worst.load is not None:
        found["load_A"] = round(worst.load, 12)
    found["ambient_C"] = round(float(corners.ambients[row]) - ZERO_CELSIUS, 9)
    for axis in moved:
        found[corners.axes[axis].name] = corners.word(row, axis)
    return found


def corner_words(worst: Worst, moved: Sequence[int]) -> str:
    """"20.5 V in, 5 A, 40 °C, least gain Q2"."""
    corners, row = worst.corners, worst.row
    words = []
    if corners.input is not None:
        words.append(f"{_plain(corners.inputs[row])} V in")
    if worst.load is not None:
        words.append(shown(worst.load, CURRENT, 4, zeros=False))
    words.append(f"{_plain(corners.ambients[row] - ZERO_CELSIUS)} °C")
    words += [_end_words(corners.word(row, axis), corners.axes[axis].name) for axis in moved]
    return ", ".join(words)


def _end_words(end: str, axis: str) -> str:
    """ "least gain Q2"; an end of several words comes behind: "V_BE Q2…Q5: least for Q2 only"."""
    return f"{axis}: {end}" if " " in end else f"{end} {axis}"


def _plain(value: float) -> str:
    """A number as short as it can be said, with a true minus sign."""
    return f"{value:.4g}".replace("-", "−")
