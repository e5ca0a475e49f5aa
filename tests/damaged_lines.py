"""Two design files to damage line by line, and the mistakes that reading the damaged text tells."""

import pytest

from outboard.brief import read_text
from outboard.errors import Mistake, WrongInput

TYPES = frozenset({"7812", "7805", "BD140", "2N3055", "MJ2955"})

# Twenty-two lines; a case replaces one of them or adds to the end.
STAGE = """\
title = "Bench supply"
[input]
voltage = ["16 V", "18 V", "20.5 V"]
resistance = "60 mΩ"
[output]
voltage = "12 V"
tolerance = "5 %"
load = ["0 A", "2 A", "5 A"]
[surroundings]
ambient = ["-10 °C", "15 °C", "40 °C"]
[requirements]
short_circuit = "none"
[stage]
arrangement = "compound"
regulator = "7812"
driver = "BD140"
pass = "2N3055"
bleed = "47 Ω"
[heat.sinks]
main = "0.7 K/W"
[heat]
pass = { sink = "main", pad = "0.5 K/W" }
"""

PARTS = """\
[[parts]]
name = "R1"
kind = "resistor"
pins = { a = "in", b = "ground" }
resistance = "4k7"
[[parts]]
name = "Q1"
kind = "bipolar"
polarity = "pnp"
pins = { collector = "out", base = "x", emitter = "in" }
saturation_current = "1 pA"
forward_gain = 72
heat = { to = "sink", resistance = "1.3 K/W" }
[[parts]]
name = "load"
kind = "load"
pins = { plus = "out", minus = "ground" }
draws = "3 A"
[[parts]]
name = "U1"
kind = "regulator"
pins = { in = "x", out = "out", ref = "ground" }
set_voltage = "12 V"
current_limit = "2.2 A"
"""


def mistakes_of(text: str) -> tuple[Mistake, ...]:
    with pytest.raises(WrongInput) as caught:
        read_text(text, "broken.toml", TYPES)
    return caught.value.mistakes


def with_line(text: str, line: int, replacement: str) -> str:
    lines = text.splitlines()
    lines[line - 1] = replacement
    return "\n".join(lines) + "\n"
