"""The result of reading a data sheet as a device: usual values, how far they spread, what stays open."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from outboard.parts.records import Figure, Origin

AXES = (
    "gain", "V_BE", "leakage", "set voltage", "drop-out", "limit", "quiescent current", "regulation", "forward voltage",
    "breakdown voltage", "threshold", "on-resistance",
)  # fmt: skip
"""Along what a device of one type differs from the next; the axes are independent of each other."""


@dataclass(frozen=True, slots=True)
class Spread:
    """The values that some fields take together at the least and at the most end of one axis.

    `apart_from` names axes whose ends must not be combined with this one's: the sheet guarantees the sum of both.
    """

    axis: str
    fields: tuple[str, ...]
    least: tuple[float, ...]
    most: tuple[float, ...]
    origins: tuple[Origin, Origin]
    apart_from: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.axis not in AXES or not len(self.fields) == len(self.least) == len(self.most):
            raise ValueError(f"no such spread: {self.axis}, {self.fields}, {self.least}, {self.most}")


@dataclass(frozen=True, slots=True)
class Identified:
    """Device parameters of one type: field names of the device models, SI, temperatures in kelvin.

    `undecided` names what the sheet does not allow to say, and why; `model` a model other than the kind's own.
    """

    values: Mapping[str, float]
    origins: Mapping[str, Origin]
    spreads: tuple[Spread, ...] = ()
    notes: tuple[str, ...] = ()
    undecided: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    model: str | None = None

    def spread(self, axis: str) -> Spread | None:
        """The spread along one axis, or None when the type has none."""
        return next((spread for spread in self.spreads if spread.axis == axis), None)

    def at(self, **ends: str) -> Mapping[str, float]:
        """The values with some axes at an end: at(gain="least", V_BE="most"); blanks and hyphens become underscores."""
        values = dict(self.values)
        for spread in self.spreads:
            end = ends.pop(spread.axis.replace(" ", "_").replace("-", "_"), "usual")
            if end != "usual":
                values |= zip(spread.fields, spread.least if end == "least" else spread.most, strict=True)
        if ends:
            raise KeyError(f"no axis {', '.join(ends)}")
        return MappingProxyType(values)


def default(words: str) -> Origin:
    """The origin of a value that is our own practice."""
    return Origin("default", "", f"default: {words}")


def derived(figure: Figure, side: str, words: str) -> Origin:
    """The origin of a value worked out from one printed side; it is worth what that figure is worth."""
    kind = figure.kind(side)
    return Origin(kind, figure.source, f"{kind}: {words}")
