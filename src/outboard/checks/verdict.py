"""From a tally to a finding: the verdict with its reasons, in the units that people read."""

from collections.abc import Mapping, Sequence

from outboard.checks import needs
from outboard.checks.check import Check
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding
from outboard.checks.tally import Tally, Worst
from outboard.constants import ZERO_CELSIUS


def finding(tally: Tally, trust: str, moved: Sequence[int]) -> Finding:
    """The finding of a tally; `moved` are the axes that matter at the worst corner, strongest first.

    FAIL needs a number and a known limit.  PASS needs every figure, every lane solved and judged, and where only
    limits are trusted, no weaker figure.
    """
    check, worst = tally.check, tally.worst
    missing = list(needs.missing(check.needs))
    weak = needs.weak(check.needs)
    if tally.unsolved:
        missing.append(f"{tally.unsolved} points have no solution")
    if tally.unjudged:
        missing.append(f"at {tally.unjudged} points the limit is not known")
    if worst is None and not missing:
        missing.append("no point was judged")
    if trust == "limits" and weak:
        missing.append("only limits are trusted, and this rests on " + ", ".join(weak))
    verdict = PASS
    if worst is not None and worst.margin < 0.0 and not needs.missing(check.needs):
        verdict = FAIL
    elif missing:
        verdict = UNDECIDED
    known = not needs.missing(check.needs)
    if worst is None:
        return Finding(
            check.requirement, check.part, UNDECIDED, rests_on=weak, missing=tuple(missing),
            limit_kind=check.origin.kind, source=check.origin.source,
        )  # fmt: skip
    return Finding(
        requirement=check.requirement,
        part=check.part,
        verdict=verdict,
        worst=_read(check, worst.value) if known else None,
        limit=_read(check, worst.limit) if known else None,
        margin=worst.margin if known else None,
        unit="°C" if check.unit == "K" else check.unit,
        limit_kind=check.origin.kind,
        source=check.origin.source,
        rests_on=weak,
        corner=_corner(worst, moved),
        in_words=corner_words(worst, moved),
        missing=tuple(missing),
        rest=_read(check, check.rest),
    )


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
        words.append(f"{_plain(worst.load)} A")
    words.append(f"{_plain(corners.ambients[row] - ZERO_CELSIUS)} °C")
    words += [f"{corners.word(row, axis)} {corners.axes[axis].name}" for axis in moved]
    return ", ".join(words)


def _plain(value: float) -> str:
    """A number as short as it can be said, with a true minus sign."""
    return f"{value:.4g}".replace("-", "−")
