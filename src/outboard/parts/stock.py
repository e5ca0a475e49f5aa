"""What does not depend on the type: bare packages and the power ratings of resistors."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from outboard.errors import WrongInput
from outboard.parts.library import Reader
from outboard.parts.records import Figure
from outboard.quantity import POWER, RESISTANCE, TEMPERATURE, parse
from outboard.sources import source


@dataclass(frozen=True, slots=True)
class ResistorRating:
    """What one construction of resistor may dissipate: full power up to one temperature [K], none from another on."""

    name: str
    rated_power: float
    full_power_temperature: float
    zero_power_temperature: float | None
    least_resistance: float | None
    most_resistance: float | None
    source: str
    note: str = ""

    def suits(self, resistance: float) -> bool:
        """Whether the rating holds for this value [Ω]; a limit that is not printed does not exclude."""
        low = self.least_resistance is None or resistance >= self.least_resistance
        return low and (self.most_resistance is None or resistance <= self.most_resistance)


@cache
def resistor_ratings() -> tuple[ResistorRating, ...]:
    """Every resistor rating, smallest power first."""
    rows = tomllib.loads(_text("resistors.toml"))["ratings"]
    return tuple(sorted((_rating(row) for row in rows), key=lambda rating: rating.rated_power))


def _rating(row: Mapping[str, str]) -> ResistorRating:
    def temperature(key: str) -> float | None:
        return parse(row[key], TEMPERATURE) if key in row else None

    def resistance(key: str) -> float | None:
        return parse(row[key], RESISTANCE) if key in row else None

    return ResistorRating(
        name=row["name"],
        rated_power=parse(row["rated_power"], POWER),
        full_power_temperature=parse(row["full_power_temperature"], TEMPERATURE),
        zero_power_temperature=temperature("zero_power_temperature"),
        least_resistance=resistance("least_resistance"),
        most_resistance=resistance("most_resistance"),
        source=source(row["source"]).key,
        note=row.get("note", ""),
    )


@cache
def packages() -> Mapping[str, tuple[Figure, ...]]:
    """Thermal figures of each bare package: R_thJA without a sink, R_thCS by mounting."""
    reader = Reader("packages.toml")
    table = tomllib.loads(_text("packages.toml"))
    found = {name: tuple(reader.figures(figures, name)) for name, figures in table.items()}
    if reader.mistakes:
        raise WrongInput(reader.mistakes)
    return MappingProxyType(found)


def package_resistance(package: str) -> Figure | None:
    """The worst printed R_thJA of a bare package [K/W]; None when the package is not in the table."""
    rows = [figure for figure in packages().get(package, ()) if figure.name == "RthJA"]
    return max(rows, key=lambda row: row.most or row.typical or 0.0, default=None)


def _text(name: str) -> str:
    return (files("outboard.parts") / "data" / name).read_text(encoding="utf-8")
