"""The keys of a design file as data: what each one means, what may stand there, what it is when left out.

Reading, the JSON Schema and editing all use these tables.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from outboard.network.fields import Field
from outboard.quantity import (
    CURRENT,
    DIMENSIONS,
    NUMBER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    THERMAL_RESISTANCE,
    TIME,
    VOLTAGE,
    Dimension,
)
from outboard.span import Span


@dataclass(frozen=True, slots=True)
class Entry:
    """One key: text when it has no dimension, else a quantity; `words` may stand in the place of the quantity."""

    meaning: str
    dimension: Dimension | None = None
    required: bool = False
    default: float | str | Span | None = None
    span: bool = False
    whole: bool = False
    choices: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    above: float | None = None
    least: float | None = None
    below: float | None = None
    most: float | None = None
    example: str = ""


INPUT = {
    "voltage": Entry(
        "voltage at the input without load: one value, or least, usual and most", VOLTAGE, required=True, span=True,
        example='["16 V", "18 V", "20.5 V"]',
    ),
    "resistance": Entry(
        "resistance of the feed", RESISTANCE, default=0.0, least=0.0, example='"60 mΩ"'
    ),
}  # fmt: skip

OUTPUT = {
    "voltage": Entry("promised voltage", VOLTAGE, required=True, example='"12 V"'),
    "tolerance": Entry(
        "how far the voltage may be off, either way", RATIO, default=0.05, above=0.0, below=1.0, example='"5 %"'
    ),
    "load": Entry(
        "current of the load: one value, or least, usual and most", CURRENT, required=True, span=True, least=0.0,
        example='["0 A", "2 A", "5 A"]',
    ),
    "withstands": Entry("the most that the load may see, even in a fault", VOLTAGE, above=0.0, example='"15 V"'),
}  # fmt: skip

SURROUNDINGS = {
    "ambient": Entry(
        "temperature of the surroundings: one value, or least, usual and most", TEMPERATURE,
        default=Span.exactly(298.15), span=True, above=0.0, example='["-10 °C", "15 °C", "40 °C"]',
    ),
}  # fmt: skip

REQUIREMENTS = {
    "short_circuit": Entry(
        "how long a short circuit at the output must be borne; left out, the question stays undecided", TIME,
        words=("none", "for ever"), above=0.0, example='"10 s"',
    ),
    "trust": Entry(
        "whether typical figures count, or leave a check undecided", default="typical", choices=("typical", "limits"),
        example='"typical"',
    ),
    "derating": Entry(
        "distance to the ratings: none; workshop: 80 % of everything and 25 K; MIL-STD-975M; own: table [derating]",
        default="none", choices=("none", "workshop", "MIL-STD-975M", "own"), example='"workshop"',
    ),
}  # fmt: skip


def _share(meaning: str, example: str) -> Entry:
    """A share of ratings, all of them when left out."""
    return Entry(meaning, RATIO, default=1.0, above=0.0, most=1.0, example=example)


DERATING = {
    "voltage": _share("share of voltage ratings that may be used", '"75 %"'),
    "current": _share("share of current ratings that may be used", '"75 %"'),
    "power": _share("share of power ratings that may be used", '"50 %"'),
    "junction_below": Entry(
        "how far a junction stays below its highest temperature", TEMPERATURE_DIFFERENCE, default=0.0, least=0.0,
        example='"25 K"',
    ),
    "resistors": _share("share of resistors' rated power that may be used", '"50 %"'),
}  # fmt: skip

SERIES = ("E3", "E6", "E12", "E24", "E48", "E96", "E192")

STAGE = {
    "arrangement": Entry(
        "bypass: PNP pass device beside the regulator; compound: PNP driver and NPN pass device", required=True,
        choices=("bypass", "compound"), example='"compound"',
    ),
    "regulator": Entry("type of the regulator", required=True, example='"7812"'),
    "driver": Entry("type of the driver, PNP; only in a compound stage", example='"BD140"'),
    "pass": Entry("type of the pass device", required=True, example='"2N3055"'),
    "count": Entry("pass devices in parallel", NUMBER, default=1.0, whole=True, least=1.0, most=8.0, example="1"),
    "ballast": Entry("resistor in each emitter when there are several", RESISTANCE, least=0.0, example='"0.1 Ω"'),
    "handover": Entry(
        "regulator current at which the bypass or driver starts to conduct; gives R1 unless R1 is written", CURRENT,
        above=0.0, example='"0.3 A"',
    ),
    "R1": Entry("base resistor, in the lead to the regulator's input", RESISTANCE, above=0.0, example='"2.2 Ω"'),
    "bleed": Entry(
        "base to emitter of the pass device; none leaves it out; only in a compound stage", RESISTANCE,
        words=("none",), above=0.0, example='"47 Ω"',
    ),
    "series": Entry("series of preferred values of the resistors", default="E24", choices=SERIES, example='"E12"'),
    "resistors": Entry("tolerance of the resistors", RATIO, default=0.05, least=0.0, below=1.0, example='"5 %"'),
}  # fmt: skip

SINK = Entry("thermal resistance of the sink to ambient", THERMAL_RESISTANCE, least=0.0, example='"0.7 K/W"')

MOUNT = {
    "sink": Entry("the sink it is mounted on", required=True, example='"main"'),
    "pad": Entry(
        "thermal resistance between case and sink", THERMAL_RESISTANCE, required=True, least=0.0, example='"0.5 K/W"'
    ),
}  # fmt: skip

ROLES = ("pass", "driver", "regulator")
"""Which devices of a stage may be mounted on a sink."""

PART_HEAT = {
    "to": Entry("thermal node that takes the heat", required=True, example='"sink"'),
    "resistance": Entry(
        "thermal resistance from the junction to that node", THERMAL_RESISTANCE, required=True, least=0.0,
        example='"1.5 K/W"',
    ),
    "pad": Entry(
        "the piece of it between case and sink", THERMAL_RESISTANCE, least=0.0, example='"0.5 K/W"'
    ),
}  # fmt: skip

PART_ROLE = Entry("what the part is for: driver, pass device, bleed, ballast …", example='"pass device"')

TITLE = Entry("what this is", example='"Bench supply, 12 V 5 A"')

SECTIONS: Mapping[str, Mapping[str, Entry]] = {
    "input": INPUT,
    "output": OUTPUT,
    "surroundings": SURROUNDINGS,
    "requirements": REQUIREMENTS,
    "derating": DERATING,
    "stage": STAGE,
}
"""The tables of a design file that hold nothing but keys with values."""

ROOT = ("title", *SECTIONS, "heat", "parts")
"""Everything that may stand at the top of a design file."""


EXAMPLES = {
    "saturation_current": '"1 pA"', "forward_gain": "80", "gain": "50", "base_emitter_voltage": '"0.7 V"',
    "current_limit": '"2.2 A"', "set_voltage": '"12 V"',
}  # fmt: skip
"""What to write for fields whose order of magnitude is not that of their dimension's own example."""


def field_entry(name: str, field: Field) -> Entry:
    """A field of a part as a key of the design file."""
    dimension = DIMENSIONS[field.dimension]
    plain = dimension.example if dimension.name in ("number", "energy_eV") else f'"{dimension.example}"'
    return Entry(
        dimension.phrase, dimension, field.required, field.default, above=field.above, least=field.least,
        below=field.below, example=EXAMPLES.get(name, plain),
    )  # fmt: skip
