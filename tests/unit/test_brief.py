"""Design files that are right: what they say in SI, and the schema, which takes and refuses what reading does."""

import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from outboard.brief import Brief, Input, Mount, PartEntry, Stage, json_schema, read, read_text
from outboard.errors import WrongInput
from outboard.network.fields import KINDS, LOAD_FORMS, MODELS, PINS, fields
from outboard.network.part import Heat
from outboard.quantity import DIMENSIONS
from outboard.span import Span

DATA = Path(__file__).parents[1] / "data" / "design"
EXAMPLES = sorted(DATA.glob("*.toml"))
STAGE = DATA / "invented-compound-12V-5A.toml"


def part(brief: Brief, name: str) -> PartEntry:
    return next(entry for entry in brief.parts if entry.name == name)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_reads(path: Path) -> None:
    brief = read(path)
    assert brief.file == path
    assert brief.stage or brief.parts


def test_a_stage_in_si() -> None:
    brief = read(STAGE)
    assert brief.title == "Observatory mount and dew heaters, 12 V 5 A"
    assert brief.input == Input(Span(16.0, 18.0, 20.5), 0.06)
    assert brief.output is not None
    assert (brief.output.voltage, brief.output.tolerance, brief.output.load) == (12.0, 0.05, Span(0.0, 2.0, 5.0))
    assert brief.surroundings.ambient == Span(263.15, 288.15, 313.15)
    assert brief.requirements.short_circuit == "10 s"
    assert brief.stage == Stage(
        arrangement="compound", regulator="7812", driver="BD140", pass_type="2N3055", count=1, ballast=0.1,
        handover=0.3, R1=None, bleed=47.0, series="E12", resistors=0.05,
    )  # fmt: skip
    assert brief.heat.sinks == {"main": 0.7}
    assert brief.heat.mounts["driver"] == Mount("main", 1.5)
    assert brief.parts == ()


def test_what_is_left_out_is_the_default_or_to_be_sized() -> None:
    brief = read_text(
        '[input]\nvoltage = "18 V"\n[output]\nvoltage = 12\nload = "5 A"\n'
        '[stage]\narrangement = "bypass"\nregulator = "7812"\npass = "MJ2955"\n',
        "folder/plain.toml",
    )
    assert brief.title == "plain"
    assert brief.input == Input(Span.exactly(18.0), 0.0)
    assert brief.surroundings.ambient == Span.exactly(298.15)
    assert brief.requirements.short_circuit is None
    assert brief.requirements.trust == "typical"
    assert brief.stage == Stage("bypass", "7812", None, "MJ2955", 1, None, None, None, None, "E24", 0.05)


@pytest.mark.parametrize(
    ("written_as", "meant"), [('"none"', "none"), ('"47 Ω"', 47.0), ("47", 47.0), ('"0R47"', 0.47), (None, None)]
)
def test_the_bleed_is_a_value_or_none_or_to_be_sized(written_as: str | None, meant: float | str | None) -> None:
    line = "" if written_as is None else f"bleed = {written_as}"
    text = STAGE.read_text(encoding="utf-8")
    kept = [row for row in text.splitlines() if not row.startswith("bleed")]
    kept.insert(kept.index("[stage]") + 1, line)
    stage = read_text("\n".join(kept), "bleed.toml").stage
    assert stage is not None
    assert stage.bleed == meant


@pytest.mark.parametrize(
    ("written_as", "meant"),
    [('"none"', "none"), ('"for ever"', "for ever"), ('"10 s"', "10 s"), ("10", "10 s"), ('"1 min"', "60 s")],
)
def test_short_circuit_is_a_time_or_a_word(written_as: str, meant: str) -> None:
    text = STAGE.read_text(encoding="utf-8").replace('short_circuit = "10 s"', f"short_circuit = {written_as}")
    assert read_text(text, "short.toml").requirements.short_circuit == meant


def test_explicit_parts_in_si() -> None:
    brief = read(DATA / "internal-resistances.toml")
    assert brief.stage is None
    assert brief.input is None
    resistor = part(brief, "R2")
    assert resistor.values == {"resistance": 0.22, "temperature_coefficient": -0.0002}
    assert resistor.pins == {"a": "in", "b": "e"}
    assert resistor.heat is None
    transistor = part(brief, "Q1")
    assert (transistor.kind, transistor.polarity, transistor.model, transistor.type) == ("bipolar", "pnp", None, None)
    assert transistor.values["saturation_current"] == 2.1e-12
    assert transistor.values["reference_temperature"] == 300.15
    assert transistor.values["cutoff_doubling"] == 9.0
    assert transistor.heat == Heat("sink", 1.2)
    assert "forward_transit_time" not in transistor.values
    assert part(brief, "sink to air").values == {"resistance": 1.5}
    assert part(brief, "load").values == {"draws": 3.2}
    assert part(read(DATA / "negative-rail.toml"), "U1").polarity == "negative"


def test_a_part_knows_its_line() -> None:
    path = DATA / "internal-resistances.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    for entry in read(path).parts:
        line, column = entry.location
        assert column == 1
        assert lines[line - 1] == "[[parts]]"
        assert lines[line] == f'name = "{entry.name}"'


@pytest.mark.parametrize(
    ("written_as", "values"),
    [
        ('draws = "3 A"', {"draws": 3.0}),
        ('resistance = "4R7"', {"resistance": 4.7}),
        ('power = "5 W"', {"power": 5.0}),
        ('power = 5\ncut_in_voltage = "2 V"', {"power": 5.0, "cut_in_voltage": 2.0}),
        ('battery = "12.6 V"\nresistance = "50 mΩ"', {"battery": 12.6, "resistance": 0.05}),
        (
            'lamp_voltage = "12 V"\nlamp_power = "21 W"\ncold_resistance = "0.5 Ω"\ntime_constant = "50 ms"',
            {"lamp_voltage": 12.0, "lamp_power": 21.0, "cold_resistance": 0.5, "time_constant": 0.05},
        ),
    ],
)
def test_every_form_of_a_load(written_as: str, values: dict[str, float]) -> None:
    text = f'[[parts]]\nname = "load"\nkind = "load"\npins = {{ plus = "out", minus = "ground" }}\n{written_as}\n'
    assert read_text(text, "load.toml").parts[0].values == values
    assert accepted(tomllib.loads(text))


def test_the_transistor_of_hand_algebra() -> None:
    text = (
        '[[parts]]\nname = "Q1"\nkind = "bipolar"\nmodel = "constant_gain"\npolarity = "npn"\n'
        'pins = { collector = "c", base = "b", emitter = "e" }\ngain = 50\nbase_emitter_voltage = "0.7 V"\n'
    )
    entry = read_text(text, "hand.toml").parts[0]
    assert entry.model == "constant_gain"
    assert entry.values == {"gain": 50.0, "base_emitter_voltage": 0.7}
    assert accepted(tomllib.loads(text))


def test_a_type_is_kept_and_may_be_overridden() -> None:
    text = (
        '[[parts]]\nname = "Q2"\nkind = "bipolar"\npolarity = "npn"\ntype = "2N3055"\nforward_gain = 30\n'
        'pins = { collector = "in", base = "y", emitter = "e2" }\n'
    )
    entry = read_text(text, "typed.toml", {"2N3055"}).parts[0]
    assert (entry.type, entry.values) == ("2N3055", {"forward_gain": 30.0})


def test_fields_pins_and_dimensions_fit_together() -> None:
    assert KINDS.keys() == PINS.keys()
    for kind, model in [(kind, None) for kind in KINDS] + list(MODELS):
        for name, field in fields(kind, model).items():
            assert field.dimension in DIMENSIONS, name
            if field.default is not None:
                assert field.above is None or field.default > field.above, name
                assert field.least is None or field.default >= field.least, name
                assert field.below is None or field.default < field.below, name
    for needs, may in LOAD_FORMS.values():
        assert needs | may <= fields("load").keys()


# --- schema


SCHEMA = jsonschema.Draft202012Validator(json_schema())


def accepted(document: dict[str, Any]) -> bool:
    return not list(SCHEMA.iter_errors(document))


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema())


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_schema_accepts_every_example(path: Path) -> None:
    assert accepted(tomllib.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ('resistance = "60 mΩ"', 'resistance = "60 mV"'),
        ('resistance = "60 mΩ"', "resistance = -1"),
        ('voltage   = "12 V"', "voltage   = true"),
        ('tolerance = "5 %"', "tolerance = 2"),
        ('ambient = ["-10 °C", "15 °C", "40 °C"]', "ambient = 25"),
        ('"15 °C", ', ""),
        ('arrangement = "compound"', 'arrangement = "bypass"'),
        ('arrangement = "compound"', 'arrangement = "compond"'),
        ('driver      = "BD140"', ""),
        ("count       = 1", "count       = 9"),
        ("count       = 1", "count       = 1.5"),
        ('bleed       = "47 Ω"', 'bleed       = "non"'),
        ('series      = "E12"', 'series      = "E13"'),
        ("[requirements]", "[requirement]"),
        ('main = "0.7 K/W"', 'main = "0.7 W/K"'),
        ('{ sink = "main", pad = "1 K/W" }', '{ sink = "main" }'),
        ("[heat] ", "[heat]\nboard = 1\n"),
        ("handover", "hand_over"),
    ],
)
def test_the_schema_and_reading_refuse_the_same_stage(right: str, wrong: str) -> None:
    text = STAGE.read_text(encoding="utf-8")
    assert right in text
    broken = text.replace(right, wrong, 1)
    assert not accepted(tomllib.loads(broken))
    with pytest.raises(WrongInput):
        read_text(broken, "broken.toml")


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ('kind = "source"', 'kind = "sauce"'),
        ('pins = { plus = "in", minus = "ground" }', 'pins = { plus = "in" }'),
        ('pins = { plus = "in", minus = "ground" }', 'pins = { plus = "in", minus = "ground", third = "x" }'),
        ('voltage = "18 V"', ""),
        ('voltage = "18 V"', 'voltage = "18 A"'),
        ('polarity = "pnp"', ""),
        ("forward_gain = 72", ""),
        ("forward_gain = 72", "forward_gain = 0"),
        ("forward_gain = 72", "gain = 72"),
        ('heat = { to = "ambient", resistance = "60 K/W" }', 'heat = { to = "ambient" }'),
        ('draws = "3.2 A"', ""),
        ('draws = "3.2 A"', 'draws = "3.2 A"\nresistance = 4'),
        ('draws = "3.2 A"', 'draws = "3.2 A"\ntype = "lamp"'),
    ],
)
def test_the_schema_and_reading_refuse_the_same_parts(right: str, wrong: str) -> None:
    text = (DATA / "internal-resistances.toml").read_text(encoding="utf-8")
    assert right in text
    broken = text.replace(right, wrong, 1)
    assert not accepted(tomllib.loads(broken))
    with pytest.raises(WrongInput):
        read_text(broken, "broken.toml")
