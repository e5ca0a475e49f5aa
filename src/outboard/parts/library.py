"""The catalogue on disk: reads the tables of types and refuses what has no source, no unit or no order."""

import difflib
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from outboard.errors import Mistake, OutboardError, WrongInput
from outboard.parts.dimensions import CONDITIONS, FIGURES, RANGES, WORDS
from outboard.parts.records import DARLINGTON, Conditions, Figure, PartType, Range
from outboard.parts.shelf import shelf
from outboard.quantity import Dimension, QuantityMistake, parse
from outboard.sources import sources

KINDS = {
    "bipolar": ("npn", "pnp"), "mosfet": ("n-channel", "p-channel"), "diode": (None,),
    "regulator": ("positive", "negative"), "thyristor": (None,),
}  # fmt: skip
INSIDE = {"bipolar": (None, DARLINGTON)}
"""What a package of a kind may hold besides the one device that its kind names."""

JUNCTIONS = ("", "Schottky", "Zener")
KEYS = ("name", "kind", "polarity", "description", "packages", "aliases", "figures", "members", "suffixes",
        "junction", "inside")  # fmt: skip
SIDES = ("least", "typical", "most")


class UnknownType(OutboardError):
    """A type name that the catalogue does not have, with the names that come near it."""

    def __init__(self, name: str, near: tuple[str, ...]) -> None:
        self.name = name
        self.near = near
        super().__init__(f"no type {name} in the catalogue" + (f"; near: {', '.join(near)}" if near else ""))


def catalogue() -> Mapping[str, PartType]:
    """Every type by its name, in the order of the names; own types of `beside` in place of the catalogue's."""
    own = shelf().types
    return _library()[0] if not own else MappingProxyType(dict(sorted({**_library()[0], **own}.items())))


def catalogued(name: str) -> PartType | None:
    """The type of the catalogue itself that answers to a name, whatever a person has beside it."""
    return _library()[1].get(name.strip().casefold())


def find(name: str) -> PartType:
    """The type behind a name, an alias or a member of a family (1N4007); UnknownType with near misses.

    An own type goes before the catalogue's; WrongInput with its mistakes when its file cannot be read.
    """
    own, known = shelf(), _library()[1]
    if mistakes := own.mistakes(name):
        raise WrongInput(mistakes)
    found = own.found(name) or catalogued(name)
    if found is None:
        known = {**known, **{name.casefold(): part_type for name, part_type in own.types.items()}}
        near = difflib.get_close_matches(name.strip().casefold(), known, n=4, cutoff=0.6)
        raise UnknownType(name, tuple(dict.fromkeys(known[spelling].name for spelling in near)))
    return found


@cache
def _library() -> tuple[Mapping[str, PartType], Mapping[str, PartType]]:
    """Types by name, and types and members by every spelling."""
    types: dict[str, PartType] = {}
    spellings: dict[str, PartType] = {}
    folder = files("outboard.parts") / "data" / "types"
    for entry in sorted(folder.iterdir(), key=lambda place: place.name.removesuffix(".toml")):
        if entry.name.endswith(".toml"):
            family = read_types(entry.read_text(encoding="utf-8"), entry.name)
            types[family[0].name] = family[0]
            for part_type in family:
                for spelling in (part_type.name, *part_type.aliases):
                    if spellings.setdefault(spelling.casefold(), part_type) is not part_type:
                        raise ValueError(f"{entry.name}: two types answer to {spelling}")
    return MappingProxyType(types), MappingProxyType(spellings)


def read_types(text: str, file: str) -> tuple[PartType, ...]:
    """One file of the catalogue: the type, then the members of its family; WrongInput lists every mistake."""
    table = tomllib.loads(text)
    reader = Reader(file)
    figures = tuple(reader.figures(table.get("figures", {}), "figures"))
    members = _with_suffixes(table.get("members", {}), table.get("suffixes", {}))
    whole = reader.part_type(table, figures, tuple(members))
    family = [reader.member(whole, name, change) for name, change in members.items()]
    if reader.mistakes:
        raise WrongInput(reader.mistakes)
    plain = tuple(figure for figure in figures if figure.conditions.group is None)
    return replace(whole, figures=plain), *family


def _with_suffixes(
    members: Mapping[str, Mapping[str, object]], suffixes: Mapping[str, str]
) -> Mapping[str, Mapping[str, object]]:
    """The members of a family, each followed by itself with every suffix, as a member of the suffix's group."""
    found: dict[str, Mapping[str, object]] = {}
    for name, change in members.items():
        found[name] = change
        found |= {name + suffix: {**change, "group": group} for suffix, group in suffixes.items()}
    return found


class Reader:
    """Reads one file and collects its mistakes."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.mistakes: list[Mistake] = []

    def part_type(self, table: Mapping[str, object], figures: tuple[Figure, ...], members: tuple[str, ...]) -> PartType:
        kind, polarity = str(table.get("kind", "")), table.get("polarity")
        if kind not in KINDS:
            self.refuse("kind", f"no kind {kind!r}", " | ".join(KINDS))
        elif polarity not in KINDS[kind]:
            self.refuse("polarity", f"no polarity {polarity!r} of a {kind}", " | ".join(map(str, KINDS[kind])))
        inside = table.get("inside")
        if inside not in INSIDE.get(kind, (None,)):
            self.refuse("inside", f"nothing called {inside!r} inside a {kind}", f'"{DARLINGTON}" or nothing')
        for key in sorted(set(table) - set(KEYS)):
            self.refuse(key, f"unknown key {key}", ", ".join(KEYS))
        return PartType(
            name=str(table.get("name", "")),
            kind=kind,
            polarity=None if polarity is None else str(polarity),
            packages=_texts(table.get("packages")),
            aliases=_texts(table.get("aliases")),
            description=str(table.get("description", "")),
            figures=figures,
            members=members,
            junction=self.junction(table),
            inside=None if inside is None else str(inside),
        )

    def junction(self, table: Mapping[str, object]) -> str:
        written = str(table.get("junction", ""))
        if written not in JUNCTIONS:
            self.refuse("junction", f"no junction {written!r}", " | ".join(JUNCTIONS[1:]))
        return written

    def member(self, whole: PartType, name: str, change: Mapping[str, object]) -> PartType:
        """A member of a family: the family's figures, with those replaced that the member prints itself."""
        group, packages = change.get("group"), _texts(change.get("packages")) or whole.packages
        plain = {key: rows for key, rows in change.items() if key not in ("group", "packages")}
        own = tuple(self.figures(plain, f"members.{name}"))
        replaced = {figure.name for figure in own}
        figures = [figure for figure in whole.figures if figure.name not in replaced]
        selected = {(row.name, row.conditions.collector_current) for row in figures if row.conditions.group == group}
        if group is None:
            selected = set()
        kept = [
            row for row in figures
            if row.conditions.group == group
            or (row.conditions.group is None and (row.name, row.conditions.collector_current) not in selected)
        ]  # fmt: skip
        return replace(whole, name=name, packages=packages, aliases=(), members=(), figures=(*kept, *own))

    def figures(self, table: object, place: str) -> Iterator[Figure]:
        """All rows of a table of figures."""
        for name, rows in (table if isinstance(table, dict) else {}).items():
            if name not in FIGURES:
                self.refuse(f"{place}.{name}", f"unknown figure {name}", "a name of outboard.parts.dimensions.FIGURES")
                continue
            for number, row in enumerate(rows, 1):
                yield self.figure(name, row, f"{place}.{name} row {number}")

    def figure(self, name: str, row: Mapping[str, object], place: str) -> Figure:
        """One row; it must have a known source and rise from least to most."""
        least, typical, most = (self.number(row.get(side), FIGURES[name], f"{place} {side}") for side in SIDES)
        present = [value for value in (least, typical, most) if value is not None]
        if not any(side in row for side in SIDES):
            self.refuse(place, "no value", "least, typical or most")
        if present != sorted(present):
            self.refuse(place, "the values do not rise", "least ≤ typical ≤ most")
        key = row.get("source")
        if not isinstance(key, str) or not self.is_source(key):
            what = f"unknown source {key!r}" if key else "no source"
            self.refuse(place, what, 'a key of outboard.sources or "recalled"')
        return Figure(
            name, least, typical, most, self.conditions(row, place), str(key), str(row.get("note", "")),
            bool(row.get("derived", False)), bool(row.get("recalled_conditions", False)),
        )  # fmt: skip

    def is_source(self, key: str) -> bool:
        """Whether a key names a document."""
        return key in sources()

    def conditions(self, row: Mapping[str, object], place: str) -> Conditions:
        """The conditions among the keys of a row."""
        given: dict[str, object] = {}
        for key, written in row.items():
            if key in (*SIDES, "source", "note", "derived", "recalled_conditions"):
                continue
            if key in WORDS:
                given[key] = str(written)
            elif key in RANGES:
                given[key] = self.range(written, CONDITIONS[key], f"{place} {key}")
            elif key in CONDITIONS:
                given[key] = self.number(written, CONDITIONS[key], f"{place} {key}")
            else:
                self.refuse(f"{place} {key}", f"unknown condition {key}", ", ".join((*CONDITIONS, *WORDS)))
        return Conditions(**given)  # type: ignore[arg-type]

    def range(self, written: object, dimension: Dimension, place: str) -> Range | None:
        ends = written if isinstance(written, list) else [written, written]
        values = [self.number(end, dimension, place) for end in ends]
        if len(values) != 2 or values[0] is None or values[1] is None or values[0] > values[1]:
            self.refuse(place, "no range", "one value, or [least, most]")
            return None
        return values[0], values[1]

    def number(self, written: object, dimension: Dimension, place: str) -> float | None:
        if written is None:
            return None
        try:
            return parse(written, dimension)
        except QuantityMistake as mistake:
            self.refuse(place, mistake.what, mistake.expected, mistake.write)
            return None

    def refuse(self, where: str, what: str, expected: str, write: str = "") -> None:
        self.mistakes.append(Mistake(what=what, expected=expected, write=write, where=where, file=self.file))


def _texts(written: object) -> tuple[str, ...]:
    return tuple(map(str, written)) if isinstance(written, list) else ()
