"""Where a person's own parts lie, and what is read from there."""

import os
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from outboard.errors import Mistake, WrongInput
from outboard.own_parts.short_form import name_in, read_own
from outboard.parts import PartType
from outboard.parts.library import catalogued
from outboard.parts.shelf import Shelf

BESIDE = "parts"
"""The folder beside a design file that is read too."""

MOST_FILES = 1000
"""More files than this are no person's parts."""


def person_folder() -> Path | None:
    """$OUTBOARD_PARTS, else outboard/parts in the person's configuration; None where nobody has a home."""
    if own := os.environ.get("OUTBOARD_PARTS"):
        return Path(own)
    if configuration := os.environ.get("XDG_CONFIG_HOME"):
        return Path(configuration, "outboard", "parts")
    try:
        return Path.home() / ".config" / "outboard" / "parts"
    except RuntimeError:
        return None


def own_shelf(beside: Path) -> Shelf:
    """Every own type that a design in this folder may name; those beside it go before the person's others."""
    types: dict[str, PartType] = {}
    broken: dict[str, tuple[Mistake, ...]] = {}
    for folder in (person_folder(), beside / BESIDE):
        if folder is None:
            continue
        near_types, near_broken = _read(folder)
        for name in (*near_types, *near_broken):
            types = {own: one for own, one in types.items() if own.casefold() != name.casefold()}
            broken = {own: one for own, one in broken.items() if own.casefold() != name.casefold()}
        types |= near_types
        broken |= near_broken
    return Shelf(MappingProxyType(types), MappingProxyType(broken))


def own_types_said(types: Iterable[PartType]) -> Iterator[str]:
    """One sentence for each own type among some, and whose place it takes."""
    for part_type in sorted({part.name: part for part in types if part.own_file}.values(), key=lambda part: part.name):
        yield f"{part_type.name} is a part of your own: {part_type.own_file}{shadowed(part_type)}"


def shadowed(part_type: PartType) -> str:
    """That an own type stands in front of one of the catalogue, in words; empty when it does not."""
    spellings = (part_type.name, *part_type.aliases)
    hidden = dict.fromkeys(found.name for spelling in spellings if (found := catalogued(spelling)) is not None)
    return f", in place of the catalogue's {' and '.join(hidden)}" if hidden else ""


def _read(folder: Path) -> tuple[dict[str, PartType], dict[str, tuple[Mistake, ...]]]:
    """The types of one folder by name, and the mistakes of its other files by the name that each stands for."""
    types: dict[str, PartType] = {}
    broken: dict[str, tuple[Mistake, ...]] = {}
    for path in _files(folder):
        try:
            found = read_own(path)
        except WrongInput as wrong:
            broken[_stands_for(path)] = wrong.mistakes
            continue
        first = next((own for own in types.values() if own.name.casefold() == found.name.casefold()), None)
        if first is None:
            types[found.name] = found
        else:
            what, expected = f"{found.name} is described in {first.own_file} too", "one file for each part"
            broken[found.name] = (Mistake(what, expected, "one of the two", "name", str(path), 1, 1),)
            del types[first.name]
    return types, {name: tuple(replace(one, file=one.file or str(folder)) for one in found)
                   for name, found in broken.items()}  # fmt: skip


def _files(folder: Path) -> list[Path]:
    """The files of a folder that may describe parts; none when there is no such folder."""
    try:
        names = sorted(entry.name for entry in os.scandir(folder) if entry.name.endswith(".toml"))
    except OSError:
        return []
    return [folder / name for name in names if not name.startswith(".")][:MOST_FILES]


def _stands_for(path: Path) -> str:
    try:
        if not path.is_file():  # a pipe would be waited for
            return path.stem
        with path.open("rb") as file:
            return name_in(file.read(100_000).decode(errors="replace"), path.stem)
    except OSError:
        return path.stem
