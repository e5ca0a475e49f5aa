"""What a person asks of a derivation, and what comes of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from outboard.explain.beside import Difference
from outboard.explain.boundaries import Boundary
from outboard.explain.definitions import Definition, Line
from outboard.explain.expression import Expression
from outboard.explain.forms import Named
from outboard.explain.gap import Gap
from outboard.explain.inverse import Inverse
from outboard.explain.letters import Letter
from outboard.explain.neglect import Neglect, Shortest
from outboard.explain.recognised import Published
from outboard.explain.sensitivity import Sensitivity


@dataclass(frozen=True, slots=True)
class Asked:
    """The question.

    quantities      letters of what is wanted; none: the currents of the devices that conduct
    input_voltage, load, ambient   instead of the usual ones [V, A, K]
    values          letters with least, usual and most of their own, SI
    within          the shortest formula that keeps this share over the tolerance box
    find, target    the letter that is to be found so that the first quantity becomes `target`
    exact           count the regulator's output resistance and the load's share of its quiescent current too
    """

    quantities: tuple[str, ...] = ()
    input_voltage: float | None = None
    load: float | None = None
    ambient: float | None = None
    values: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    within: float | None = None
    find: str | None = None
    target: float | None = None
    sensitivities: bool = False
    gap: bool = False
    order_free: bool = False
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Coincides:
    """A formula of ours that a published one says too; `left_out` are letters that this one does not count."""

    ours: str
    published: Published
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Result:
    """One quantity.

    exact, gain     the exact result; the gain of several devices together that it is written with
    told            the same, from its main terms; what neglects start from
    solved_value    what the full solution gives at the same point; None where there is none
    good_from       the load from which the shortest formula keeps its promise, with all greater loads
    too_long        the result has so many terms that small ones were not looked for
    """

    name: str
    meaning: str
    unit: str
    value: float
    solved_value: float | None
    definitions: tuple[Definition, ...]
    lines: tuple[Line, ...]
    substitutions: tuple[Line, ...]
    exact: Expression
    gain: Named | None
    told: Expression
    numbers: Mapping[str, float]
    coincides: tuple[Coincides, ...]
    neglects: tuple[Neglect, ...]
    shortest: Shortest | None = None
    good_from: float | None = None
    sensitivities: tuple[Sensitivity, ...] = ()
    inverse: Inverse | None = None
    difference: Difference | None = None
    gap: Gap | None = None
    too_long: bool = False


@dataclass(frozen=True, slots=True)
class Derivation:
    """Everything that was derived at one point.

    doing       what each part does there: (part, words)
    loads       events along the load, up to `load_end`; `inputs` those on the way down from the input voltage
    overview    nobody asked for a quantity: the first is told in full, the others in short
    """

    title: str
    doing: tuple[tuple[str, str], ...]
    letters: Mapping[str, Letter]
    values: Mapping[str, float]
    results: tuple[Result, ...]
    loads: tuple[Boundary, ...]
    load: float | None
    load_end: float | None
    inputs: tuple[Boundary, ...]
    other: str = ""
    notes: tuple[str, ...] = ()
    overview: bool = False
