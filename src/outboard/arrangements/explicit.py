"""Parts that the file spells out, [[parts]]: a type of the catalogue overlaid with what is written."""

from collections.abc import Mapping, Sequence

from outboard.arrangements.catalogued import device
from outboard.arrangements.design import DesignPart
from outboard.arrangements.resistors import written_resistor
from outboard.arrangements.stage_types import complement
from outboard.brief import Brief, PartEntry
from outboard.errors import Mistake, WrongInput
from outboard.network.fields import fields
from outboard.network.part import Part
from outboard.parts import PartType, UnknownType, find


def explicit_parts(brief: Brief, roles: Mapping[str, str]) -> tuple[DesignPart, ...]:
    """Every explicit part; `roles` are those of the stage's parts, which a part of the same name takes over.

    Raises WrongInput with every mistake at its place.
    """
    mistakes = [_another(entry, roles[entry.name], brief) for entry in brief.parts
                if entry.role is not None and roles.get(entry.name, entry.role) != entry.role]  # fmt: skip
    parts = [_part(entry, brief, roles.get(entry.name, entry.kind), mistakes) for entry in brief.parts]
    if mistakes:
        raise WrongInput(mistakes)
    return tuple(part for part in parts if part is not None)


def _another(entry: PartEntry, role: str, brief: Brief) -> Mistake:
    """A part that would push one of the stage aside by its name, though it is there for something else."""
    what = f"role of {entry.name}: {entry.name} is the {role} of the stage, not a {entry.role}"
    write = f'name = "{entry.name}0", or no role, if it is to take the place of the {role}'
    return Mistake(what, "a name of its own", write, f"parts.{entry.name}.role", str(brief.file), *entry.location)


def _part(entry: PartEntry, brief: Brief, role: str, mistakes: list[Mistake]) -> DesignPart | None:
    role = entry.role or role
    if entry.type is not None:
        part_type = _type(entry, brief, mistakes)
        if part_type is None:
            return None
        return device(entry.name, role, part_type, entry.pins, entry.heat, entry.pad, entry.values)
    if entry.kind == "resistor":
        usual = brief.stage.resistors if brief.stage is not None else None
        return written_resistor(entry.name, role, entry.pins, entry.values, entry.heat, entry.pad, usual)
    part = Part(entry.name, entry.kind, entry.pins, entry.values, entry.polarity, entry.model, entry.heat)
    return DesignPart(part, role, pad=entry.pad)


def _type(entry: PartEntry, brief: Brief, mistakes: list[Mistake]) -> PartType | None:
    """The type of a part, when there is one and it is what the part says it is."""

    def mistake(key: str, what: str, expected: str, write: str) -> None:
        said, where = f"{key} of {entry.name}: {what}", f"parts.{entry.name}.{key}"
        mistakes.append(Mistake(said, expected, write, where, str(brief.file), *entry.location))

    name = entry.type or ""
    try:
        part_type = find(name)
    except UnknownType as unknown:
        write = " or ".join(f'type = "{near}"' for near in unknown.near)
        mistake("type", f"the catalogue has no '{name}'", "a type of the catalogue", write)
        return None
    if part_type.kind != entry.kind:
        mistake("kind", f"{name} is a {part_type.kind}, not a {entry.kind}", f"kind of {name}",
                f'kind = "{part_type.kind}"')  # fmt: skip
        return None
    if entry.model is not None:
        mistake("model", f"the values of {name} are those of the kind's own model", "no model, or no type", "")
        return None
    foreign = sorted(entry.values.keys() - fields(entry.kind, part_type.inside).keys())
    if foreign:
        what = f"{name} holds a pair of transistors, which has no such value"
        mistake(foreign[0], what, "another value, or a type of one transistor", "")
        return None
    if entry.polarity not in (None, part_type.polarity):
        like = complement(part_type, entry.polarity)
        write = f'polarity = "{part_type.polarity}"' + (f' or type = "{like}"' if like else "")
        mistake("polarity", f"{name} is {in_words(part_type.polarity)}, not {in_words(entry.polarity)}",
                f"polarity of {name}", write)  # fmt: skip
        return None
    return part_type


def in_words(polarity: str | None) -> str:
    """A polarity as people say it: NPN, PNP, positive, negative."""
    return (polarity or "").upper() if polarity in ("npn", "pnp") else polarity or "without polarity"


def replaced(parts: Sequence[DesignPart], explicit: Sequence[DesignPart]) -> tuple[DesignPart, ...]:
    """The parts, those of the same name replaced in their place, the others behind."""
    own = {part.name: part for part in explicit}
    kept = [own.pop(part.name, part) for part in parts]
    return (*kept, *own.values())
