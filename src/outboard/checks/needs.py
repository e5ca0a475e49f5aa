"""What a check must know before it may decide: ratings, parameters, branches of the models."""

from collections.abc import Iterable
from dataclasses import dataclass

from outboard.arrangements.design import DesignPart
from outboard.parts import Rating
from outboard.parts.records import Origin

WEAK_KINDS = ("typical", "recalled", "default")
"""Kinds of figures that a verdict may rest on only when it says so."""


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that a check rests on: where it comes from, or why it is missing."""

    origin: Origin | None
    missing: str = ""


def rating(part: DesignPart, symbol: str) -> Need:
    """A rating of the part's type."""
    found = part.rating(symbol)
    if found is None:
        return Need(None, f"{symbol} of {titled(part)} is not known")
    return Need(found.origin)


def parameter(part: DesignPart, field: str) -> Need:
    """A number of the part's model, with the figure that it came from."""
    if part.identified is None or field not in part.identified.origins:
        if field in part.part.values:
            return Need(Origin("stated", "", f"{field} of {part.name} as the file states it"))
        return Need(None, f"{field} of {titled(part)} is not known")
    return Need(part.identified.origins[field])


def spread(part: DesignPart, axis: str, end: str) -> Need:
    """How far devices of this type differ along an axis, at one end."""
    found = part.identified.spread(axis) if part.identified is not None else None
    if found is None:
        return Need(None, f"the spread of {axis} of {titled(part)} is not known")
    return Need(found.origins[0 if end == "least" else 1])


def allowed(part: DesignPart, *subjects: str) -> Iterable[Need]:
    """Subjects that the part's sheet may leave open, such as hot leakage."""
    if part.identified is None:
        if part.type is None:
            yield from (Need(None, f"{subject} of {titled(part)} is not known") for subject in subjects)
        return
    for subject in subjects:
        if subject in part.identified.undecided:
            yield Need(None, f"{subject} of {titled(part)}: {part.identified.undecided[subject]}")


def heat_path(part: DesignPart) -> Need:
    """A way for the part's heat to the surroundings."""
    if part.part.heat is None:
        return Need(None, f"no heat path of {titled(part)} is given")
    return Need(Origin("stated", "", f"heat path of {part.name}"))


def value(found: Rating | None) -> float:
    """The number of a rating; not a number where it is missing, so that nothing can pass on it."""
    return found.value if found is not None else float("nan")


def titled(part: DesignPart) -> str:
    """Name and type: "Q2 (2N3055)"."""
    return f"{part.name} ({part.type.name})" if part.type is not None else part.name


def missing(needs: Iterable[Need]) -> tuple[str, ...]:
    """What is missing, in words, each once."""
    return tuple(dict.fromkeys(need.missing for need in needs if need.missing))


def weak(needs: Iterable[Need]) -> tuple[str, ...]:
    """Typical, recalled and default figures among the needs, in words, each once."""
    return tuple(
        dict.fromkeys(need.origin.words for need in needs if need.origin and need.origin.kind in WEAK_KINDS)
    )
