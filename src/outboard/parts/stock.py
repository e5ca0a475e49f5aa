"""What does not depend on the type: bare packages, resistors, capacitors and heat sinks.

Each entry is also a record like that of a type, of the kind "package", "resistor", "capacitor" or "heat sink", so that
it is listed, shown and checked in the same way.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from outboard.errors import WrongInput
from outboard.parts.library import Reader
from outboard.parts.records import Conditions, Figure, Origin, PartType, printed
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
    series: str = ""

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
        series=row["series"],
    )


@dataclass(frozen=True, slots=True)
class HeatSink:
    """One heat sink: its resistance to still air at the rise that its maker assumed [K/W], and its size in words."""

    name: str
    resistance: float
    size: str
    origin: Origin


@cache
def heat_sinks() -> tuple[HeatSink, ...]:
    """Every heat sink, smallest resistance first; those from memory say so."""
    found = []
    for name, rows in _figures("heat_sinks.toml", "sinks").items():
        for row in rows:
            if row.typical is not None:
                origin = printed(row, "typical", name)
                found.append(HeatSink(name, row.typical, row.conditions.size or "", origin))
    return tuple(sorted(found, key=lambda sink: sink.resistance))


@cache
def sink_corrections() -> Mapping[str, tuple[Figure, ...]]:
    """What a sink's resistance is multiplied by: "rise_factor", "length_factor", "air_factor", as printed points."""
    rows = _figures("heat_sinks.toml", "corrections")["corrections"]
    return MappingProxyType({name: tuple(row for row in rows if row.name == name) for name in {r.name for r in rows}})


@cache
def stock() -> Mapping[str, PartType]:
    """Every package, resistor series, family of capacitors and heat sink as a record, by its name."""
    series = _figures("resistors.toml", "series")
    found = [
        *(_record(name, "package", rows) for name, rows in packages().items()),
        *(_record(name, "resistor", (*_rated(name), *rows)) for name, rows in series.items()),
        *(_record(name, "capacitor", rows) for name, rows in _figures("capacitors.toml").items()),
        *(_record(name, "heat sink", rows) for name, rows in _figures("heat_sinks.toml", "sinks").items()),
        _record("sink corrections", "heat sink", _figures("heat_sinks.toml", "corrections")["corrections"]),
    ]
    return MappingProxyType({record.name: record for record in found})


def find_stock(name: str) -> PartType | None:
    """The record of a package, resistor series, family of capacitors or heat sink; None where there is none.

    x stands for ×, and capitals do not matter.
    """
    spelled = {_folded(record): found for record, found in stock().items()}
    return spelled.get(_folded(name))


def _folded(name: str) -> str:
    return " ".join(name.replace("×", "x").casefold().split())


def _record(name: str, kind: str, rows: tuple[Figure, ...]) -> PartType:
    return PartType(name, kind, None, (), (), "", rows)


def _rated(series: str) -> Iterator[Figure]:
    """The ratings of one series as figures."""
    for rating in resistor_ratings():
        if rating.series == series:
            ends = rating.least_resistance, rating.most_resistance
            limits = None if ends[0] is None or ends[1] is None else (ends[0], ends[1])
            given = Conditions(resistance=limits, ambient_temperature=rating.full_power_temperature, text=rating.name)
            yield Figure("P_rated", None, None, rating.rated_power, given, rating.source, rating.note)


@cache
def _figures(file: str, part: str = "") -> Mapping[str, tuple[Figure, ...]]:
    """The tables of figures in a file, or in one part of it, by their names."""
    reader = Reader(file)
    table = tomllib.loads(_text(file))
    inside = table if not part else table[part] if part != "corrections" else {part: table[part]}
    found = {name: tuple(reader.figures(figures, name)) for name, figures in inside.items()}
    if reader.mistakes:
        raise WrongInput(reader.mistakes)
    return MappingProxyType(found)


@cache
def packages() -> Mapping[str, tuple[Figure, ...]]:
    """Figures of each bare package: R_thJA without a sink, R_thCS by mounting, mounting torque."""
    return _figures("packages.toml")


def package_resistance(package: str) -> Figure | None:
    """The worst printed R_thJA of a bare package [K/W]; None when the package is not in the table."""
    rows = [figure for figure in packages().get(package, ()) if figure.name == "RthJA"]
    return max(rows, key=lambda row: row.most or row.typical or 0.0, default=None)


def _text(name: str) -> str:
    return (files("outboard.parts") / "data" / name).read_text(encoding="utf-8")
