"""The types that a stage names, found in the catalogue and checked against what the arrangement needs."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import SequenceMatcher

from outboard.arrangements.mirror import mirrored_polarity, mirrored_span, mirrored_type
from outboard.brief import Brief, Input, Output, Stage
from outboard.errors import Mistake, WrongInput
from outboard.parts import PartType, UnknownType, catalogue, find

NEEDS = {
    "positive": "a positive regulator", "negative": "a negative regulator", "npn": "an NPN transistor",
    "pnp": "a PNP transistor", "n-channel": "an N-channel MOSFET", "p-channel": "a P-channel MOSFET",
    "diode": "a diode", "thyristor": "a thyristor",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Given:
    """A brief that has a stage, as a positive supply, with the types found by their key of [stage].

    A negative supply is sized as its mirror image: input and output are magnitudes, the types' polarities turned.
    """

    brief: Brief
    stage: Stage
    input: Input
    output: Output
    types: Mapping[str, PartType]

    @property
    def adjustable(self) -> bool:
        """Whether the regulator is set by a divider."""
        return is_adjustable(self.types["regulator"])


def is_adjustable(part_type: PartType) -> bool:
    """Whether a regulator's sheet prints a reference voltage."""
    return bool(part_type.rows("VREF"))


def is_negative(brief: Brief) -> bool:
    """Whether the brief's output lies below ground."""
    return brief.output is not None and brief.output.voltage < 0


def given(brief: Brief, polarities: Mapping[str, str]) -> Given:
    """The stage of a brief with its types; WrongInput when one is unknown or of the wrong polarity.

    `polarities` says what a positive stage needs for each key of [stage] that may name a type.
    """
    stage, source, output = brief.stage, brief.input, brief.output
    if stage is None or source is None or output is None:
        raise ValueError("a stage needs [input] and [output]")
    negative = is_negative(brief)
    finding = _Finding(brief, stage, negative, [])
    types: dict[str, PartType] = {}
    for key, polarity in polarities.items():
        name = stage.pass_type if key == "pass" else getattr(stage, key)
        if name is None:
            continue
        found = finding.found(key, name, polarity if not negative else mirrored_polarity(polarity) or "")
        if found is not None:
            types[key] = mirrored_type(found) if negative else found
    if "regulator" in types:
        finding.check_divider(types["regulator"], output)
    if finding.mistakes:
        raise WrongInput(finding.mistakes)
    if negative:
        source = replace(source, voltage=mirrored_span(source.voltage))
        output = replace(output, voltage=-output.voltage)
    return Given(brief, stage, source, output, types)


@dataclass(frozen=True, slots=True)
class _Finding:
    """Types while they are looked up, with the mistakes found on the way."""

    brief: Brief
    stage: Stage
    negative: bool
    mistakes: list[Mistake]

    def note(self, key: str, what: str, expected: str, write: str) -> None:
        """A mistake at a key of [stage]."""
        said, where = f"{key} in [stage]: {what}", f"stage.{key}"
        place = self.stage.places.get(key, (None, None))
        self.mistakes.append(Mistake(said, expected, write, where, str(self.brief.file), *place))

    def found(self, key: str, name: str, polarity: str) -> PartType | None:
        """The type of a key, when there is one and it is what the stage needs there."""
        try:
            part_type = find(name)
        except UnknownType as unknown:
            write = " or ".join(f'{key} = "{near}"' for near in unknown.near)
            self.note(key, f"the catalogue has no '{name}'", NEEDS[polarity], write)
            return None
        if (part_type.polarity or part_type.kind) != polarity:
            like = complement(part_type, polarity)
            wanted = f"{NEEDS[polarity]} for a {'negative ' if self.negative else ''}{self.stage.arrangement} stage"
            self.note(key, f"{name} is {_named(part_type)}", wanted, f'{key} = "{like}"' if like else "")
            return None
        return part_type

    def check_divider(self, regulator: PartType, output: Output) -> None:
        """Only an adjustable regulator has a divider, and it cannot go below its reference voltage."""
        if not is_adjustable(regulator):
            for key in ("RA", "RB", "divider_tempco"):
                if getattr(self.stage, key) is not None:
                    self.note(key, f"{regulator.name} is a fixed regulator, its divider is inside", f"no {key}, or an "
                              "adjustable regulator", "")  # fmt: skip
            return
        reference = max((row.typical or row.most or 0.0 for row in regulator.rows("VREF")), default=0.0)
        if abs(output.voltage) < abs(reference):
            what = f"{regulator.name} holds its {abs(reference):.4g} V from output to reference pin and goes no lower"
            self.note("regulator", what, "an output of at least that", "")


def _named(part_type: PartType) -> str:
    """What a type is, with its article: “an NPN transistor”, “a diode”, “a regulator”."""
    return NEEDS.get(part_type.polarity or "", f"a {part_type.kind}") if part_type.kind != "regulator" else (
        "a negative regulator" if part_type.polarity == "negative" else "a regulator"
    )  # fmt: skip


def complement(part_type: PartType, polarity: str | None) -> str | None:
    """The type of another polarity that resembles one most: by what it is for, then by its name."""
    like = [other for other in catalogue().values() if other.polarity == polarity and other.kind == part_type.kind]

    def likeness(other: PartType) -> float:
        same = SequenceMatcher(None, other.description, part_type.description).ratio()
        return same + 0.1 * SequenceMatcher(None, other.name, part_type.name).ratio()

    return max(like, key=likeness).name if like else None
