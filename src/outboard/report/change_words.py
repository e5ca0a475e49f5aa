"""What a variant changes, as one says it at a bench: a clause for the largest change, a few words for the others."""

from collections.abc import Iterable

from outboard.checks.finding import UNDECIDED, Finding
from outboard.checks.outcomes import EVERYWHERE
from outboard.quantity import CURRENT, POWER, VOLTAGE, shown
from outboard.report.words import plain
from outboard.whatif.omit import Change

DIMENSIONS = {"V": VOLTAGE, "A": CURRENT, "W": POWER}

CLAUSES = {
    "output not too high": "the output climbs to {value}",
    "output not too low": "the output falls to {value}",
    "output released while hot not too high": "the output, released while hot, climbs to {value}",
    "output released while hot not too low": "the output, released while hot, stays at {value}",
    "output after a start into full load not too low": "a start into full load ends at {value}",
    "headroom above drop-out": "{part} keeps {value} above drop-out",
    "headroom above saturation": "{part} keeps {value} from collector to emitter",
    "current within the guaranteed range": "{part} carries {value}",
    "least load": "{part} carries no more than {value}",
    "resistor power": "{part} makes {value}",
    "power at case temperature": "{part} makes {value}",
    "dissipation": "{part} makes {value}",
    "junction temperature": "the junction of {part} reaches {value}",
    "base current": "the base of {part} takes {value}",
    "collector current": "the collector of {part} takes {value}",
}
"""Requirement -> what becomes of it."""

HIGHEST, LOWEST = "the highest output", "the lowest output"

SHORT = {
    "output not too high": HIGHEST,
    "output not too low": LOWEST,
    "output released while hot not too high": HIGHEST,
    "output released while hot not too low": LOWEST,
    "output after a start into full load not too low": LOWEST,
    "headroom above drop-out": "drop-out of {part}",
    "headroom above saturation": "saturation of {part}",
    "current within the guaranteed range": "current of {part}",
    "least load": "least load of {part}",
    "resistor power": "power of {part}",
    "power at case temperature": "power of {part}",
    "dissipation": "dissipation of {part}",
    "junction temperature": "junction temperature of {part}",
    EVERYWHERE: "an operating point at every corner",
}
"""Requirement -> the matter in a few words."""


def clause(found: Finding, other: Finding, other_is: str) -> str:
    """What happens, in a clause; in brackets what is allowed, and what the value is otherwise: "with it"."""
    if found.requirement == EVERYWHERE:
        return _no_point(found)
    if found.verdict == UNDECIDED or found.worst is None or found.limit is None:
        why = f": {found.missing[0]}" if found.missing else ""
        return f"nothing can be told of {matter(found)}{why}"
    said = CLAUSES.get(found.requirement, "{requirement} of {part} is {value}")
    words = said.format(part=_part(found), value=amount(found.worst, found), requirement=found.requirement)
    needed = found.margin is not None and (found.worst - found.limit) * found.margin > 0.0
    brackets = f"{amount(found.limit, found)} {'needed' if needed else 'allowed'}"
    if other.worst is not None:
        brackets += f", {amount(other.worst, other)} {other_is}"
    return f"{words} ({brackets})"


def matter(finding: Finding) -> str:
    """What it is about, in a few words."""
    said = SHORT.get(finding.requirement, "{requirement} of {part}" if finding.part else "{requirement}")
    return said.format(part=_part(finding), requirement=finding.requirement)


def matters(changes: Iterable[Change], besides: Change | None = None) -> list[str]:
    """What changes are about, each once, without what `besides` is about."""
    told = dict.fromkeys(matter(change.after) for change in changes)
    return [words for words in told if besides is None or words != matter(besides.after)]


def amount(value: float, finding: Finding) -> str:
    """A value of a finding with its unit."""
    if finding.unit in DIMENSIONS:
        return shown(value if abs(value) > 1e-9 else 0.0, DIMENSIONS[finding.unit], 3)
    return f"{plain(value, 1)} {finding.unit}"


def place(finding: Finding) -> str:
    """Where it was met."""
    return finding.in_words.replace(", ", " · ")


def _part(finding: Finding) -> str:
    if len(finding.alike) == 2:
        return " or ".join(finding.alike)
    return f"one of {finding.alike[0]}…{finding.alike[-1]}" if finding.alike else finding.part or ""


def _no_point(finding: Finding) -> str:
    if finding.verdict == UNDECIDED:
        return f"{finding.missing[0]}, so nothing is sure" if finding.missing else "nothing is sure"
    return "it finds no operating point under load" if "load" in finding.note else f"it runs away ({finding.note})"
