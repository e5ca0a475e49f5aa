"""The content of a design file: what was promised, what is to be built, in SI and with temperatures in kelvin."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from outboard.formulas.derating_policies import POLICIES, Policy, Shares, own_policy
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
    resistor_style: str | None = None

    @property
    def policy(self) -> Policy | None:
        """The derating policy with its numbers; None where ratings are used to the full."""
        own = self.own_derating
        if own is None:
            found = POLICIES.get(self.derating)
            return None if found is None else found.of_style(self.resistor_style)
        shares = Shares(own.voltage, own.current, own.power, below=own.junction_below, by=own.by, source="")
        return own_policy(shares, own.resistors)


@dataclass(frozen=True, slots=True)
class OwnDerating:
    """Shares of ratings that the file itself allows, and kelvins below the highest junction temperature.

    by  letter symbol of a rating -> share, where one rating has its own
    """

    voltage: float
    current: float
    power: float
    junction_below: float
    resistors: float
    by: Mapping[str, float] = field(default_factory=dict)


Shape = Literal["uniform", "normal"]


@dataclass(frozen=True, slots=True)
class Tolerances:
    """How units that are built lie within their tolerances; see the keys of [tolerances].

    limits_at   standard deviations between usual value and limit
    batch       correlation between devices of one type in parallel
    conditions  whether every unit is tried at all ends of input and ambient, or at one drawn pair
    """

    resistors: Shape = "uniform"
    gain: Shape = "normal"
    V_BE: Shape = "normal"
    leakage: Shape = "normal"
    regulator: Shape = "normal"
    forward_voltage: Shape = "normal"
    limits_at: float = 3.0
    batch: float = 0.8
    conditions: Literal["ends", "drawn"] = "ends"


@dataclass(frozen=True, slots=True)
class Dynamics:
    """What moves: bandwidth of the regulator's control [Hz], f_T [Hz] and C_ob at 10 V [F], edges and times [s].

    None: not said. phase_margin in degrees; step_tolerance as a fraction; entries.DYNAMICS says what each key is.
    """

    regulator_bandwidth: Span | None = None
    pass_f_T: float | None = None
    pass_C_ob: float | None = None
    driver_f_T: float | None = None
    driver_C_ob: float | None = None
    phase_margin: float = 45.0
    load_edge: float = 1e-6
    line_edge: float = 10e-6
    rise: float = 10e-3
    fall: float = 10e-3
    step_tolerance: float | None = None
    recovery: float | None = None


@dataclass(frozen=True, slots=True)
class Stage:
    """The arrangement and its parts; None stands for a value that is to be sized, or for a part that is not there.

    Resistors in [Ω], capacitors in [F], currents in [A], crowbar in [V], divider_tempco in [1/K];
    entries.STAGE says what each key is.
    """

    arrangement: str
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
    regulators: int = 1
    regulator_ballast: float | None = None
    RG: float | None = None
    gate_zener: str | None = None
    compensation: str | None = None
    sharing_diode: str | None = None
    share: float | None = None
    limiter: str | None = None
    limit: float | None = None
    foldback: float | None = None
    RS: float | None = None
    RF1: float | None = None
    RF2: float | None = None
    RA: float | None = None
    RB: float | None = None
    divider_series: str = "E96"
    divider_tolerance: float = 0.01
    divider_tempco: float | None = None
    reverse_diode: str | None = None
    output_diode: str | None = None
    crowbar: float | None = None
    thyristor: str | None = None
    trigger: str | None = None
    RT: float | None = None
    C1: float | None = None
    C2: float | None = None
    places: Mapping[str, tuple[int, int]] = field(default_factory=dict, compare=False)
    """Line and column of every value that the file gives."""


@dataclass(frozen=True, slots=True)
class Mount:
    """How a device sits on its sink: thermal resistance of the pad [K/W]."""

    sink: str
    pad: float


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A line for lasting current as a sheet's figure draws it: pairs of voltage [V] and current [A].

    case     temperature of the case that it is drawn for [K]
    derated  whether it falls at a hotter case as the power line does
    sheet    the document and the figure
    """

    points: tuple[tuple[float, float], ...]
    case: float
    derated: bool
    sheet: str


@dataclass(frozen=True, slots=True)
class HeatPaths:
    """Sinks by name with their thermal resistance to ambient [K/W], what is mounted on them by its role, and lines of
    safe areas by type."""

    sinks: Mapping[str, float]
    mounts: Mapping[str, Mount]
    areas: Mapping[str, DrawnLine] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Conductor:
    """A lead of copper: length one way [m], cross-section of each conductor [m²], its gauge where that was said."""

    length: float
    section: float
    gauge: int | None = None


@dataclass(frozen=True, slots=True)
class Feed:
    """What makes the input, as written: mains, transformer, rectifier, reservoir, fuse; feed_entries says what each is.

    Voltages [V] and currents [A] of mains and windings are effective ones; of a centre tap those of each half.
    """

    mains: Span
    frequency: float
    secondary: float
    rectifier: Literal["bridge", "centre tap"]
    reservoir: float
    primary: float | None = None
    power: float | None = None
    secondary_current: float | None = None
    regulation: float | None = None
    primary_winding: float | None = None
    secondary_winding: float | None = None
    diode: str | None = None
    forward_voltage: float | None = None
    forward_resistance: float | None = None
    leads: float = 0.0
    reservoir_tolerance: float = 0.2
    reservoir_ESR: float | None = None
    reservoir_voltage: float | None = None
    reservoir_ripple: float | None = None
    bleeder: float | None = None
    fuse: float | None = None
    fuse_melting: float | None = None
    places: Mapping[str, tuple[int, int]] = field(default_factory=dict, compare=False)
    """Line and column of every value that the file gives."""

    @property
    def rated_primary(self) -> float:
        """Voltage of the primary at which the secondary is rated [V]."""
        return self.mains.usual if self.primary is None else self.primary

    @property
    def rated_current(self) -> float:
        """Rated current of the secondary, with a centre tap of each half [A]."""
        if self.secondary_current is not None:
            return self.secondary_current
        halves = 2.0 if self.rectifier == "centre tap" else 1.0
        return (self.power or 0.0) / (halves * self.secondary)

    @property
    def rated_power(self) -> float:
        """Rated power of the transformer [VA]."""
        halves = 2.0 if self.rectifier == "centre tap" else 1.0
        return halves * self.secondary * self.rated_current if self.power is None else self.power


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
    tolerances: Tolerances = field(default_factory=Tolerances)
    wiring: Mapping[str, Conductor] = field(default_factory=dict)
    feed: Feed | None = None
    dynamics: Dynamics = field(default_factory=Dynamics)
