"""The types that a stage names, found in the catalogue and checked against what the arrangement needs."""

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher

from outboard.brief import Brief, Input, Output, Stage
from outboard.errors import Mistake, WrongInput
from outboard.parts import PartType, UnknownType, catalogue, find

NEEDS = {"positive": "a positive regulator", "npn": "an NPN transistor", "pnp": "a PNP transistor"}


@dataclass(frozen=True, slots=True)
class Given:
    """A brief that has a stage, with the types found: by "regulator", "driver", "pass"."""

    brief: Brief
    stage: Stage
    input: Input
    output: Output
    types: Mapping[str, PartType]


def given(brief: Brief, polarities: Mapping[str, str]) -> Given:
    """The stage of a brief with its types; WrongInput when one is unknown or of the wrong polarity.

    `polarities` says what the arrangement needs for each key of [stage] that names a type.
    """
    stage, source, output = brief.stage, brief.input, brief.output
    if stage is None or source is None or output is None:
        raise ValueError("a stage needs [input] and [output]")
    names = {"regulator": stage.regulator, "driver": stage.driver, "pass": stage.pass_type}
    mistakes: list[Mistake] = []
    types: dict[str, PartType] = {}
    for key, polarity in polarities.items():
        found = _found(brief, stage, key, names[key] or "", polarity, mistakes)
        if found is not None:
            types[key] = found
    if mistakes:
        raise WrongInput(mistakes)
    return Given(brief, stage, source, output, types)


def _found(
    brief: Brief, stage: Stage, key: str, name: str, polarity: str, mistakes: list[Mistake]
) -> PartType | None:
    def mistake(what: str, expected: str, write: str) -> None:
        said, where = f"{key} in [stage]: {what}", f"stage.{key}"
        place = stage.places.get(key, (None, None))
        mistakes.append(Mistake(said, expected, write, where, str(brief.file), *place))

    try:
        part_type = find(name)
    except UnknownType as unknown:
        write = " or ".join(f'{key} = "{near}"' for near in unknown.near)
        mistake(f"the catalogue has no '{name}'", NEEDS[polarity], write)
        return None
    if part_type.polarity != polarity:
        like = complement(part_type, polarity)
        kind = f"{(part_type.polarity or '').upper()} transistor" if part_type.kind == "bipolar" else part_type.kind
        wanted = f"{NEEDS[polarity]} for a {stage.arrangement} stage"
        mistake(f"{name} is a {kind}", wanted, f'{key} = "{like}"' if like else "")
        return None
    return part_type


def complement(part_type: PartType, polarity: str | None) -> str | None:
    """The type of another polarity that resembles one most: by what it is for, then by its name."""
    like = [other for other in catalogue().values() if other.polarity == polarity and other.kind == part_type.kind]

    def likeness(other: PartType) -> float:
        same = SequenceMatcher(None, other.description, part_type.description).ratio()
        return same + 0.1 * SequenceMatcher(None, other.name, part_type.name).ratio()

    return max(like, key=likeness).name if like else None
