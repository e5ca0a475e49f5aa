"""Design files that are right: what they say in SI, where their keys stand, their schema, and editing them."""

import math
import os
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from outboard.brief import Brief, Input, Mount, PartEntry, Stage, json_schema, read, read_text, written
from outboard.brief.places import Places
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


# --- places


def paths(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(deeper for key, element in inner for deeper in paths(element, (*path, key)))]


ODD = '''\
# a remark with "quotes" and [brackets]
top = """
three
[not.a.table]
""" # behind
'quoted key' = 'it is [ not ] = a table'
"es\\u0063aped" = "a \\" b"
when = 2024-01-01 12:30:00
list = [ # remark ]
  1, [2, 3], { x = 1, "y z" = [4] },
]
[a.b]
c.d = 1
c . e = 2
[[a.many]]
n = 1
[a.many.sub]
m = 2
[[a.many]]
n = 3
'''


@pytest.mark.parametrize(
    ("path", "place"),
    [
        (("top",), (2, 7)),
        (("quoted key",), (6, 16)),
        (("escaped",), (7, 18)),
        (("when",), (8, 8)),
        (("list", 0), (10, 3)),
        (("list", 1, 1), (10, 10)),
        (("list", 2, "y z", 0), (10, 32)),
        (("a", "b"), (12, 1)),
        (("a", "b", "c", "e"), (14, 9)),
        (("a", "many", 0, "n"), (16, 5)),
        (("a", "many", 0, "sub", "m"), (18, 5)),
        (("a", "many", 1), (19, 1)),
        (("a", "many", 1, "n"), (20, 5)),
        (("a", "many", 1, "missing"), (19, 1)),
        ((), (1, 1)),
    ],
)
def test_every_value_has_its_place(path: tuple[str | int, ...], place: tuple[int, int]) -> None:
    tomllib.loads(ODD)
    assert Places(ODD).value(path) == place


keys = st.text(alphabet="ab_-é .\"'[]#=", min_size=1, max_size=4)
leaves = st.one_of(st.integers(-5, 5), st.booleans(), st.text(max_size=6), st.floats(allow_nan=False))
documents = st.dictionaries(
    keys, st.recursive(leaves, lambda v: st.lists(v, max_size=3) | st.dictionaries(keys, v, max_size=3)), max_size=4
)


@settings(deadline=None)
@given(documents)
def test_every_key_of_any_document_is_found_where_it_is_written(document: dict[str, Any]) -> None:
    text = tomlkit.dumps(document).replace("\r\n", "\n")
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return  # the writer made something that no reader takes
    places = Places(text)
    lines = text.split("\n")
    for path in paths(table):
        if path:
            line, column = places.key(path)
            rest = lines[line - 1][column - 1 :]
            name = path[-1]
            assert rest, path
            if isinstance(name, str) and name.strip("abé_-") == "":
                assert name in rest, path


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


# --- editing


@pytest.fixture
def design(tmp_path: Path) -> Path:
    path = tmp_path / "design.toml"
    path.write_bytes(STAGE.read_bytes())
    return path


def test_sized_values_are_written_and_everything_else_stays(design: Path) -> None:
    before = design.read_text(encoding="utf-8").splitlines()
    brief = written(design, {"bleed": 39.0, "R1": 2.2, "count": 2, "series": "E24"})
    assert brief == read(design)
    assert brief.stage is not None
    assert (brief.stage.bleed, brief.stage.R1, brief.stage.count, brief.stage.series) == (39.0, 2.2, 2, "E24")
    after = design.read_text(encoding="utf-8").splitlines()
    changed = ("bleed", "count", "series", "R1")
    assert [line for line in after if not line.startswith(changed)] == [
        line for line in before if not line.startswith(changed)
    ]
    comments = [line.partition("#")[2] for line in before if "#" in line]
    assert [line.partition("#")[2] for line in after if "#" in line] == comments
    assert 'R1 = "2.2 Ω"' in after
    assert os.listdir(design.parent) == ["design.toml"]


@given(st.floats(1e-3, 1e6))
@settings(deadline=None, max_examples=30)
def test_a_written_value_reads_back(value: float) -> None:
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        path = Path(folder) / "design.toml"
        path.write_bytes(STAGE.read_bytes())
        stage = written(path, {"R1": value}).stage
    assert stage is not None
    assert stage.R1 is not None
    assert math.isclose(stage.R1, value, rel_tol=1e-12)


def test_new_keys_follow_the_last_key_of_the_stage(design: Path) -> None:
    text = STAGE.read_text(encoding="utf-8").replace("[heat.sinks]", "# the sinks,\n# measured\n[heat.sinks]")
    design.write_text(text, encoding="utf-8")
    written(design, {"R1": 2.2})
    expected = text.replace('resistors   = "5 %"\n', 'resistors   = "5 %"\nR1 = "2.2 Ω"\n')
    assert design.read_text(encoding="utf-8") == expected


@pytest.mark.parametrize(
    "text",
    [
        'input = { voltage = 18 }\noutput = { voltage = 12, load = 5 }\n'
        'stage = { arrangement = "bypass", regulator = "7812", pass = "2N3055" }  # remark\n',
        'input.voltage = 18\noutput.voltage = 12\noutput.load = 5\nstage.arrangement = "bypass"\n'
        'stage.regulator = "7812"\nstage.pass = "2N3055"  # remark\n',
        '[output]\nvoltage = 12\nload = 5\n[input]\nvoltage = 18\n'
        '[stage]\narrangement = "bypass"\nregulator = "7812"\npass = "2N3055"  # remark',
    ],
    ids=["inline", "dotted", "at the end"],
)
def test_a_stage_is_edited_in_whatever_way_it_is_written(design: Path, text: str) -> None:
    design.write_text(text, encoding="utf-8")
    stage = written(design, {"R1": 2.2, "count": 3}).stage
    assert stage is not None
    assert (stage.R1, stage.count, stage.pass_type) == (2.2, 3, "2N3055")
    assert "# remark" in design.read_text(encoding="utf-8")


def test_none_may_be_written_for_the_bleed(design: Path) -> None:
    stage = written(design, {"bleed": "none"}).stage
    assert stage is not None
    assert stage.bleed == "none"


def test_line_ends_a_mark_of_byte_order_and_rights_stay(design: Path) -> None:
    design.write_bytes(b"\xef\xbb\xbf" + STAGE.read_bytes().replace(b"\n", b"\r\n"))
    design.chmod(0o640)
    written(design, {"R1": 2.2})
    content = design.read_bytes()
    assert content.startswith(b"\xef\xbb\xbf#")
    assert content.count(b"\n") == content.count(b"\r\n")
    assert design.stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(design: Path) -> None:
    link = design.with_name("link.toml")
    link.symlink_to(design)
    written(link, {"R1": 2.2})
    assert link.is_symlink()
    assert 'R1 = "2.2 Ω"' in design.read_text(encoding="utf-8")


@pytest.mark.parametrize("values", [{"R1": -1.0}, {"count": 9}, {"series": "E13"}, {"bleed": "some"}])
def test_a_value_that_would_not_read_is_not_written(design: Path, values: dict[str, float | int | str]) -> None:
    before = design.read_bytes()
    with pytest.raises(WrongInput):
        written(design, values)
    assert design.read_bytes() == before
    assert os.listdir(design.parent) == ["design.toml"]


def test_a_key_that_no_stage_has_is_a_programmers_mistake(design: Path) -> None:
    with pytest.raises(KeyError):
        written(design, {"R7": 1.0})


def test_a_failed_replacement_leaves_the_file_and_no_remains(design: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    before = design.read_bytes()
    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(WrongInput, match="No space left"):
        written(design, {"R1": 2.2})
    assert design.read_bytes() == before
    assert os.listdir(design.parent) == ["design.toml"]
