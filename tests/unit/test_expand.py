"""A design written out as explicit parts gives the same solution and loses nothing."""

from dataclasses import replace
from pathlib import Path

import pytest

from outboard.arrangements import designed, expanded_text
from outboard.brief import read, read_text
from outboard.network.circuit import laid_out
from outboard.network.solve import solved

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))

BRIEF = """\
title = 'quotes " and \\ and °'
[input]
voltage = ["16 V", "18.1 V", "20 V"]
resistance = "33 mΩ"
[output]
voltage = "12 V"
tolerance = "4 %"
load = ["0 A", "7.7 A", "15 A"]
[surroundings]
ambient = ["-10 °C", "17.3 °C", "40 °C"]
[requirements]
short_circuit = "10 s"
[stage]
arrangement = "{arrangement}"
regulator = "7812"
{types}
count = {count}
series = "E24"
[heat.sinks]
main = "0.31 K/W"
[heat]
pass = {{ sink = "main", pad = "0.3 K/W" }}
regulator = {{ sink = "main", pad = "1.1 K/W" }}
"""
TYPES = {"bypass": 'pass = "MJ2955"', "compound": 'driver = "BD140"\npass = "2N3055"'}
PAIRS = {"bypass": 'pass = "TIP127"', "compound": 'driver = "BD140"\npass = "TIP122"'}


def solution(design):
    """Every unknown by its node."""
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual)
    block = solved(circuit)
    assert block.is_solved.all()
    return {node: float(block.at(node)[0, 0]) for node in circuit.unknowns}


def expanded(design):
    return designed(read_text(expanded_text(design), "expanded.toml"))


@pytest.mark.parametrize("count", range(1, 9))
@pytest.mark.parametrize("arrangement", TYPES)
def test_expanded_design_has_the_same_solution(arrangement, count):
    text = BRIEF.format(arrangement=arrangement, types=TYPES[arrangement], count=count)
    design = designed(read_text(text, "design.toml"))
    before, after = solution(design), solution(expanded(design))
    assert before.keys() == after.keys()
    assert len(before) > 5 + count
    assert max(abs(before[node] - after[node]) for node in before) <= 1e-12


@pytest.mark.parametrize("arrangement", PAIRS)
def test_a_pair_is_written_out_by_its_type(arrangement):
    """`model` goes with the type and is not written; the solution stays."""
    text = BRIEF.format(arrangement=arrangement, types=PAIRS[arrangement], count=2)
    design = designed(read_text(text, "design.toml"))
    assert sum(part.part.model == "darlington" for part in design.parts) == 2
    assert "model" not in expanded_text(design)
    before, after = solution(design), solution(expanded(design))
    assert max(abs(before[node] - after[node]) for node in before) <= 1e-12


@pytest.mark.parametrize("file", EXAMPLES, ids=[file.stem for file in EXAMPLES])
def test_expanded_example_loses_nothing(file):
    design = designed(read(file))
    again = expanded(design)
    assert again.brief.stage is None
    assert [part.name for part in again.parts] == [part.name for part in design.parts]
    for before, after in zip(design.parts, again.parts, strict=True):
        assert (after.part, after.role, after.type, after.ratings, after.pad) == (
            before.part, before.role, before.type, before.ratings, before.pad,
        )  # fmt: skip
        assert after.identified == before.identified
        assert after.tolerance == before.tolerance
        if before.rated_power is None:
            assert after.rated_power is None
        else:
            assert replace(after.rated_power, origin=before.rated_power.origin) == before.rated_power


def test_promises_are_kept():
    design = designed(read_text(BRIEF.format(arrangement="bypass", types=TYPES["bypass"], count=2), "design.toml"))
    again = expanded(design).brief
    for promise in ("title", "input", "output", "surroundings", "requirements"):
        assert getattr(again, promise) == getattr(design.brief, promise), promise


STATED = """\
[[parts]]
name = "supply"
kind = "source"
pins = { plus = "a", minus = "ground" }
voltage = 0.1234567890123456789
[[parts]]
name = "Q5"
kind = "bipolar"
polarity = "npn"
pins = { collector = "a", base = "a", emitter = "b" }
type = "2N3055"
forward_gain = 33.3
reference_temperature = "31.7 °C"
heat = { to = "case", resistance = "1.7 K/W", pad = "0.123 K/W" }
[[parts]]
name = "Q6"
kind = "bipolar"
polarity = "npn"
model = "constant_gain"
pins = { collector = "a", base = "a", emitter = "b" }
gain = 50
base_emitter_voltage = "0.7 V"
[[parts]]
name = "case"
kind = "thermal_resistance"
pins = { a = "case", b = "ambient" }
resistance = "3 K/W"
[[parts]]
name = "Rb"
kind = "resistor"
pins = { a = "b", b = "ground" }
resistance = "1 Ω"
tolerance = "1 %"
rated_power = "0.6 W"
zero_power_temperature = "155 °C"
"""


def test_stated_values_models_and_awkward_numbers_come_back_exactly():
    design = designed(read_text(STATED, "design.toml"))
    again = expanded(design)
    assert again.components == design.components
    assert again.part("Q5").identified == design.part("Q5").identified
    assert again.part("Q5").pad == 0.123
    assert again.part("Rb").rated_power.zero_power_temperature == design.part("Rb").rated_power.zero_power_temperature
    assert expanded_text(again) == expanded_text(design)
