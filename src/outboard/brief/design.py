"""The content of a design file: what was promised, what is to be built, in SI and with temperatures in kelvin."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from outboard.network.part import Heat
from outboard.span import Span


@dataclass(frozen=True, slots=True)
class Input:
    """What feeds the circuit: voltage [V] without load, and the resistance behind it [Ω]."""

    voltage: Span
    resistance: float


@dataclass(frozen=True, slots=True)
class Output:
    """What is promised: voltage [V], its tolerance as a fraction, load current [A]; what the load withstands [V]."""

    voltage: float
    tolerance: float
    load: Span
    withstands: float | None = None


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Where the circuit stands: ambient temperature [K]."""

    ambient: Span


@dataclass(frozen=True, slots=True)
class Requirements:
    """How long a short circuit must be borne ("10 s", "none", "for ever"; None: not said), and which figures count."""

    short_circuit: str | None
    trust: Literal["typical", "limits"]
    derating: Literal["none", "workshop", "MIL-STD-975M", "own"]
    own_derating: "OwnDerating | None" = None


@dataclass(frozen=True, slots=True)
class OwnDerating:
    """Shares of ratings that the file itself allows, and kelvins below the highest junction temperature."""

    voltage: float
    current: float
    power: float
    junction_below: float
    resistors: float


@dataclass(frozen=True, slots=True)
class Stage:
    """The arrangement and its parts; None stands for a value that is to be sized. Resistors in [Ω], handover in [A]."""

    arrangement: Literal["bypass", "compound"]
    regulator: str
    driver: str | None
    pass_type: str
    count: int
    ballast: float | None
    handover: float | None
    R1: float | None
    bleed: float | Literal["none"] | None
    series: str
    resistors: float
    places: Mapping[str, tuple[int, int]] = field(default_factory=dict, compare=False)
    """Line and column of every value that the file gives."""


@dataclass(frozen=True, slots=True)
class Mount:
    """How a device sits on its sink: thermal resistance of the pad [K/W]."""

    sink: str
    pad: float


@dataclass(frozen=True, slots=True)
class HeatPaths:
    """Sinks by name with their thermal resistance to ambient [K/W], and what is mounted on them, by its role."""

    sinks: Mapping[str, float]
    mounts: Mapping[str, Mount]


@dataclass(frozen=True, slots=True)
class PartEntry:
    """One explicit part as written: only the values that the file gives; `location` is its line and column.

    `role` is what it is for, `pad` the thermal resistance between case and sink that its heat path contains [K/W].
    """

    name: str
    kind: str
    polarity: str | None
    model: str | None
    pins: Mapping[str, str]
    type: str | None
    values: Mapping[str, float]
    heat: Heat | None
    location: tuple[int, int]
    role: str | None = None
    pad: float | None = None


@dataclass(frozen=True, slots=True)
class Brief:
    """A whole design file."""

    title: str
    file: Path
    input: Input | None
    output: Output | None
    surroundings: Surroundings
    requirements: Requirements
    stage: Stage | None
    heat: HeatPaths
    parts: tuple[PartEntry, ...]
