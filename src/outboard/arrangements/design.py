"""A design as parts that know themselves: what they are for, what they may bear, where each number comes from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from outboard.brief import Brief
from outboard.identify import Identified
from outboard.network.part import Part
from outboard.parts import PartType, Rating, Ratings
from outboard.parts.records import Origin

NO_RATINGS: Ratings = MappingProxyType({})
NO_ORIGINS: Mapping[str, Origin] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class DesignPart:
    """One part of a design.

    part         the component that the network solves, with usual values
    role         what it is for: "input", "load", "regulator", "driver", "pass device", "base resistor", "bleed",
                 "ballast", "sink" …, or for a part that the file spells out the kind of part
    type         its type in the catalogue
    ratings      what it may bear, by letter symbol
    identified   what its sheet says about the spread of its values
    tolerance    of a resistor, as a fraction
    drift        greatest temperature coefficient of a resistor, either sign [1/K]; None where it is not known
    rated_power  of a resistor, with the temperatures between which it falls to nothing
    pad          thermal resistance between case and sink [K/W]; None where the case hangs in the air
    """

    part: Part
    role: str
    type: PartType | None = None
    ratings: Ratings = field(default_factory=lambda: NO_RATINGS)
    identified: Identified | None = None
    tolerance: float | None = None
    tolerance_origin: Origin | None = None
    rated_power: "RatedPower | None" = None
    pad: float | None = None
    drift: float | None = None

    @property
    def name(self) -> str:
        """Its name in the circuit."""
        return self.part.name

    def rating(self, symbol: str) -> Rating | None:
        """A rating by letter symbol, None when the sheet is silent."""
        return self.ratings.get(symbol)


@dataclass(frozen=True, slots=True)
class RatedPower:
    """What a resistor may dissipate [W]: in full up to one temperature [K], falling to nothing at another."""

    power: float
    full_power_temperature: float
    zero_power_temperature: float | None
    origin: Origin


@dataclass(frozen=True, slots=True)
class Design:
    """A brief with its parts laid out; `notes` are things worth saying to the person."""

    brief: Brief
    parts: tuple[DesignPart, ...]
    notes: tuple[str, ...] = field(default=())

    @property
    def components(self) -> tuple[Part, ...]:
        """The parts as the network sees them."""
        return tuple(part.part for part in self.parts)

    def part(self, name: str) -> DesignPart:
        """The part of this name; KeyError when there is none."""
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)

    def with_role(self, role: str) -> tuple[DesignPart, ...]:
        """All parts that serve one purpose, in order."""
        return tuple(part for part in self.parts if part.role == role)
