"""A first design put down as a design file, with a remark behind what a person will want to change."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from outboard.arrangements.mirror import mirrored_span
from outboard.arrangements.stage_devices import FIRST_BALLAST
from outboard.arrangements.stage_types import is_adjustable
from outboard.parts import PartType
from outboard.quantity import CURRENT, POWER, RESISTANCE, TEMPERATURE, THERMAL_RESISTANCE, VOLTAGE, Dimension, shown
from outboard.quantity.showing import MINUS
from outboard.span import Span

TOLERANCE, ADJUSTED_TOLERANCE = 0.06, 0.08
"""How far the output may be off in a first design: what a fixed regulator of 5 % keeps with its load regulation, and
what an adjustable one keeps with a divider of 1 %."""

BALLAST = 0.1
"""In each emitter of several devices [Ω] (common practice, no source)."""

WATTAGES = (0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0)
"""Usual power ratings of resistors [W] (common practice, no source)."""

PADS = {"pass": 0.5, "driver": 1.5, "regulator": 1.0}
"""Thermal resistance of a pad with grease under TO-3, TO-126 and TO-220 [K/W] (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is wanted: input [V], output [V], load [A], ambient [K], types in the drawer.

    Of a negative supply (`negative`) the voltages are those of its mirror image, positive.
    """

    title: str
    input: Span
    output: float
    load: Span
    ambient: Span
    have: tuple[str, ...] = ()
    negative: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """An arrangement with its types by key of [stage], the number of pass devices, their sink [K/W], and why.

    `standing` is a resistor from output to ground that draws the leakage of the transistors away [Ω].
    """

    arrangement: str
    types: Mapping[str, PartType]
    count: int = 1
    sink: float = 1.0
    reasons: tuple[str, ...] = field(default=())
    standing: float | None = None

    @property
    def adjustable(self) -> bool:
        """Whether the output is set by a divider."""
        return is_adjustable(self.types["regulator"])

    @property
    def tolerance(self) -> float:
        """How far the output may be off."""
        return ADJUSTED_TOLERANCE if self.adjustable else TOLERANCE


def text_of(wishes: Wishes, choice: Choice) -> str:
    """The design file."""
    return "\n".join(_lines(wishes, choice)) + "\n"


def _lines(wishes: Wishes, choice: Choice) -> Iterator[str]:
    yield "# A first design, to be changed. `outboard size` shows how its values come about, `verify` whether it holds."
    yield from (f"#   {reason}" for reason in choice.reasons)
    yield ""
    yield f"title = {_text(wishes.title)}"
    yield from ("", "[input]                         # without load: least, usual, most, over all the mains may do")
    yield f"voltage    = {_span(mirrored_span(wishes.input) if wishes.negative else wishes.input, VOLTAGE)}"
    yield 'resistance = "50 mΩ"            # of cable and source; measure it'
    yield from ("", "[output]")
    yield f"voltage   = {_quantity(-wishes.output if wishes.negative else wishes.output, VOLTAGE)}"
    yield f'tolerance = "{choice.tolerance * 100:g} %"'
    yield f"load      = {_span(wishes.load, CURRENT)}"
    yield from ("", "[surroundings]                  # where the circuit stands, inside its case")
    yield f"ambient = {_span(wishes.ambient, TEMPERATURE)}"
    yield from ("", "[requirements]", 'short_circuit = "none"          # "none" is promised, "10 s" or "for ever"')
    yield 'trust         = "typical"       # "limits": what rests on typical figures stays undecided'
    yield 'derating      = "none"          # "workshop": a fifth of every rating is kept in reserve'
    yield from ("", "[stage]", f"arrangement = {_text(choice.arrangement)}")
    yield from (f"{key:<11} = {_text(part_type.name)}" for key, part_type in choice.types.items())
    if choice.count > 1:
        yield f"count       = {choice.count}"
        yield f"ballast     = {_quantity(BALLAST, RESISTANCE)}          # in each emitter, so that they share"
    if choice.adjustable:
        yield 'divider_tempco = "50 ppm/K"     # of the divider that sets the output, 1 % resistors'
    yield 'series      = "E12"'
    yield 'resistors   = "5 %"             # what is left out is sized; `size --write` writes it in'
    yield from ("", "[heat.sinks]", f"main = {_quantity(choice.sink, THERMAL_RESISTANCE)}")
    yield from ("", "[heat]                          # pads of mica and grease, assumed")
    yield from (
        f'{key:<9} = {{ sink = "main", pad = "{PADS.get(key, 1.0):g} K/W" }}' for key in choice.types if key in PADS
    )
    if choice.standing is not None:
        name = f"R{max(9, FIRST_BALLAST + choice.count)}"
        yield from _standing(name, wishes, choice.tolerance, choice.standing)


def _standing(name: str, wishes: Wishes, tolerance: float, resistance: float) -> Iterator[str]:
    power = ((1.0 + tolerance) * wishes.output) ** 2 / resistance
    rated = next((one for one in WATTAGES if one >= 2.0 * power), 2.0 * power)
    yield from ("", "# Draws away what the hot transistors leak, so that the output does not rise without load.")
    yield from ("[[parts]]", f'name = "{name}"', 'kind = "resistor"', 'role = "standing load"')
    yield 'pins = { a = "out", b = "ground" }'
    yield f"resistance  = {_quantity(resistance, RESISTANCE)}"
    yield f"rated_power = {_quantity(rated, POWER)}"


def _span(span: Span, dimension: Dimension) -> str:
    if span.least == span.most:
        return _quantity(span.usual, dimension)
    return "[" + ", ".join(_quantity(end, dimension) for end in span) + "]"


def _quantity(value: float, dimension: Dimension) -> str:
    return _text(shown(value, dimension, 6, zeros=False).replace(MINUS, "-"))


def _text(text: str) -> str:
    """Text in quotation marks; the escapes of JSON are those of TOML."""
    return json.dumps(text, ensure_ascii=False)
