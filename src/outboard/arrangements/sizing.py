"""What sizing gives: each value with its formula, the numbers put in, the window it must lie in, its wattage."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from outboard.arrangements.design import RatedPower
from outboard.formulas import NoSolution, Worked
from outboard.parts.records import Origin


@dataclass(frozen=True, slots=True)
class PutIn:
    """A number that the formulas were given: in words, SI value ("°C": kelvin inside), where it comes from."""

    words: str
    value: float
    unit: str
    origin: Origin
    worked: Worked | None = None


@dataclass(frozen=True, slots=True)
class Bound:
    """One end of a window, worked out; or in words why there is none. `open`: none is needed at this end."""

    worked: Worked | None
    missing: str = ""
    open: bool = False

    @property
    def value(self) -> float | None:
        """The bound itself."""
        return None if self.worked is None else self.worked.value


def bound(work: Callable[[], Worked], needs: str) -> Bound:
    """The worked bound; without one when the formula has no solution, or none above zero (`needs` says why then)."""
    try:
        worked = work()
    except NoSolution as nothing:
        return Bound(None, str(nothing))
    return Bound(worked) if worked.value > 0 else Bound(None, needs)


@dataclass(frozen=True, slots=True)
class Window:
    """Between which values [Ω] a resistor must stay, and what happens beyond; the tolerance is the resistor's."""

    least: Bound
    most: Bound
    below: str
    above: str
    tolerance: float

    @property
    def least_nominal(self) -> float:
        """Least marked value: with its tolerance it still is not below the window."""
        return (self.least.value or 0.0) / (1.0 - self.tolerance)

    @property
    def most_nominal(self) -> float:
        """Greatest marked value."""
        return (self.most.value or float("inf")) / (1.0 + self.tolerance)

    @property
    def is_empty(self) -> bool:
        """Whether no value at all does."""
        lost = any(end.worked is None and not end.open for end in (self.least, self.most))
        return lost or self.least_nominal > self.most_nominal

    def holds(self, value: float) -> bool:
        """Whether a marked value lies inside."""
        return not self.is_empty and self.least_nominal <= value <= self.most_nominal


@dataclass(frozen=True, slots=True)
class SizedValue:
    """One resistor of a stage, or several equal ones.

    names         R1; R3 R4 … for ballast
    role          what it is for: "base resistor", "bleed", "ballast", "sense resistor" …
    key           the key of [stage] that states it
    chosen        the marked value [Ω]; None when it is left out
    exact         what the formula asks for [Ω]
    worked        that formula with its numbers; for a value from the file, what the value does
    direction     how the preferred value was taken, and why that is the safe side
    origin        "from the file" or "sized"
    dissipation   worst power with its formula
    needed        rating that this asks for, with its formula
    construction  the resistor chosen for it; "" when none of the list bears it
    """

    names: tuple[str, ...]
    role: str
    chosen: float | None
    exact: float
    worked: Worked | None
    series: str
    direction: str
    origin: Literal["from the file", "sized"]
    window: Window | None = None
    dissipation: Worked | None = None
    needed: Worked | None = None
    construction: str = ""
    rated_power: RatedPower | None = None
    key: str = ""

    @property
    def name(self) -> str:
        """The first of its names."""
        return self.names[0]


@dataclass(frozen=True, slots=True)
class DeviceCount:
    """How many pass devices the heat and the current ask for, each worked out; or in words why no number does."""

    chosen: int
    by_power: Bound
    by_current: Bound


@dataclass(frozen=True, slots=True)
class Fact:
    """What follows from the chosen values, worked out: in words what it is."""

    words: str
    worked: Worked


@dataclass(frozen=True, slots=True)
class Sizing:
    """Everything that sizing found out about a stage.

    handover         regulator current [A] at which bypass or driver starts
    handover_origin  "from the file" or "sized"
    headroom         lowest input that the stage needs, worked out
    facts            what follows from the chosen values
    offset           how far the output lies below what the regulator holds [V]
    figures          numbers that were put into the formulas, with their origins
    remarks          what a person should know
    """

    values: tuple[SizedValue, ...]
    count: DeviceCount
    handover: float
    handover_origin: Literal["from the file", "sized"]
    headroom: Worked | None
    figures: tuple[PutIn, ...]
    remarks: tuple[str, ...]
    facts: tuple[Fact, ...] = ()
    offset: float = 0.0

    def value(self, name: str) -> SizedValue:
        """The value of this name; KeyError when the stage has none."""
        for value in self.values:
            if name in value.names:
                return value
        raise KeyError(name)

    def with_role(self, role: str) -> SizedValue | None:
        """The value that serves one purpose, None when the stage has none."""
        return next((value for value in self.values if value.role == role), None)
