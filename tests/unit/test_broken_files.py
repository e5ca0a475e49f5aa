"""Broken design files: every mistake at its line, in words that say what to write; never anything but WrongInput."""

import errno
import os
import time
from pathlib import Path

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outboard.brief import read, read_text
from outboard.errors import Mistake, WrongInput

TYPES = frozenset({"7812", "7805", "BD140", "2N3055", "MJ2955"})

# Nineteen lines; a case replaces one of them or adds to the end.
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


def test_the_unbroken_files_are_accepted() -> None:
    read_text(STAGE, "stage.toml", TYPES)
    read_text(PARTS, "parts.toml", TYPES)


# text, line, replacement, column, pieces of the message
ONE_MISTAKE = [
    # quantities
    (STAGE, 3, 'voltage = ["16 V", "18 A", "20.5 V"]', 20, ["usual voltage in [input]: “18 A” is a current", "12 V"]),
    (STAGE, 3, 'voltage = ["18 V", "16 V", "20.5 V"]', 11, ["do not rise", "least, usual, most"]),
    (STAGE, 3, 'voltage = ["16 V", "18 V"]', 11, ["a list of 2", "the three"]),
    (STAGE, 3, "voltage = []", 11, ["a list of 0", "the three"]),
    (STAGE, 3, "voltage = true", 11, ["“true” is no quantity", "voltage"]),
    (STAGE, 4, 'resistance = "60 mV"', 14, ["is a voltage", "a resistance", 'resistance = "60 mΩ"']),
    (STAGE, 4, 'resistance = "-1 Ω"', 14, ["“-1 Ω” is out of bounds", "not less than 0 Ω"]),
    (STAGE, 4, "resistance = nan", 14, ["not finite", "resistance"]),
    (STAGE, 4, 'resistance = "0,06 Ω"', 14, ["comma", 'resistance = "0.06 Ω"']),
    (STAGE, 4, "resistance = { value = 1 }", 14, ["a table where one quantity is wanted"]),
    (STAGE, 6, "voltage = [1, 2, 3]", 11, ["a list where one quantity is wanted"]),
    (STAGE, 6, 'voltage = "-12 V"', (3, 11), ["a stage takes it from a negative input"]),
    (STAGE, 6, "voltage = 2024-01-01", 11, ["“2024-01-01” is no quantity"]),
    (STAGE, 7, 'tolerance = "150 %"', 13, ["out of bounds", "less than 100 %"]),
    (STAGE, 7, "tolerance = 0", 13, ["out of bounds", "more than 0 %"]),
    (STAGE, 8, 'load = "-2 A"', 8, ["out of bounds", "not less than 0 A"]),
    (STAGE, 10, "ambient = 25", 11, ["may be °C or K", 'ambient = "25 °C"']),
    (STAGE, 10, 'ambient = ["-10 °C", 15, "40 °C"]', 22, ["may be °C or K", '"15 °C"']),
    (STAGE, 10, 'ambient = "-300 °C"', 11, ["below absolute zero"]),
    # choices and texts
    (STAGE, 12, 'short_circuit = "forever"', 17, ["does not begin with a number", 'short_circuit = "for ever"']),
    (STAGE, 12, 'trust = "tipical"', 9, ["none of the choices", "typical or limits", 'trust = "typical"']),
    (STAGE, 12, 'derating = "strict"', 12, ["none of the choices"]),
    (STAGE, 1, "title = 12", 9, ["“12” where text is wanted"]),
    (STAGE, 1, 'title = ""', 9, ["the text is empty"]),
    # stage
    (STAGE, 14, 'arrangement = "compund"', 15, ["none of the choices", 'arrangement = "compound"']),
    (STAGE, 15, 'regulator = "7812X"', 13, ["the catalogue has no “7812X”", 'regulator = "7812"']),
    (STAGE, 15, 'regulatr = "7812"', 1, ["there is no such key", "regulator"]),
    (STAGE, 15, "# nothing", (13, 1), ["regulator in [stage]: this is missing", 'regulator = "7812"']),
    (STAGE, 16, "# nothing", (13, 1), ["driver in [stage]: this is missing", 'driver = "BD140"']),
    (STAGE, 18, 'bleed = "non"', 9, ["does not begin with a number", 'bleed = "none"']),
    (STAGE, 18, "bleed = 0", 9, ["out of bounds", "more than 0 Ω"]),
    (STAGE, 18, "count = 9", 9, ["out of bounds", "not less than 1 and not more than 8"]),
    (STAGE, 18, "count = 1.5", 9, ["“1.5” is not a whole number"]),
    (STAGE, 18, "count = 0", 9, ["out of bounds", "a whole number"]),
    (STAGE, 18, 'series = "E25"', 10, ["none of the choices", "E24"]),
    (STAGE, 18, 'R1 = "5 H"', 6, ["is an inductance", "a resistance"]),
    (STAGE, 18, 'handover = "300m"', 12, ["prefix without a unit", 'handover = "300 mA"']),
    # heat
    (STAGE, 20, 'main = "0.7 V"', 8, ["is a voltage", "a thermal resistance"]),
    (STAGE, 20, 'main = "0.7 K/W"\nambient = "0.7 K/W"', (21, 1), ["no name for a sink"]),
    (STAGE, 22, 'pass = { sink = "mian", pad = "1 K/W" }', 17, ["there is no sink “mian”", 'sink = "main"']),
    (STAGE, 22, 'pass = { sink = "main" }', 1, ["pad in [heat.pass]: this is missing"]),
    (STAGE, 22, 'pas = { sink = "main", pad = "1 K/W" }', 1, ["no such device of a stage", "write pass"]),
    (STAGE, 22, 'pass = "main"', 8, ["“main” where a table is wanted"]),
    # root
    (STAGE, 2, "[inptu]", 1, ["inptu: there is no such table or key", "write input"]),
    (STAGE, 2, "[[input]]", 1, ["input: a list where a table is wanted", "[input]"]),
    (PARTS, 1, "[[part]]", 1, ["part: there is no such table or key", "write parts"]),
    # parts
    (PARTS, 2, 'name = ""', 8, ["name of part 1: the text is empty"]),
    (PARTS, 2, 'nam = "R1"', 1, ["nam of part 1: there is no such field", "name"]),
    (PARTS, 2, 'name = "Q1"', (7, 8), ["there is a part “Q1” already", 'name = "Q2"']),
    (PARTS, 3, 'kind = "resistr"', 8, ["kind of R1: “resistr” is none of the choices", 'kind = "resistor"']),
    (PARTS, 3, "# nothing", (1, 1), ["kind of R1: this is missing"]),
    (PARTS, 4, 'pins = { a = "in" }', 1, ["pin b of R1: this is missing"]),
    (PARTS, 4, 'pins = { a = "in", c = "ground", b = "x" }', 20, ["there is no such pin of a resistor", "a b"]),
    (PARTS, 4, 'pins = { a = "in", b = 5 }', 24, ["“5” where text is wanted"]),
    (PARTS, 4, 'pins = { a = "in", b = " " }', 24, ["the text is empty"]),
    (PARTS, 4, 'pins = ["in", "ground"]', 8, ["a list where a table is wanted", "a = "]),
    (PARTS, 4, "", (1, 1), ["pins of R1: this is missing", 'pins = { a = "…", b = "…" }']),
    (PARTS, 5, 'resistanc = "4k7"', 1, ["resistanc of R1: there is no such field of a resistor", "write resistance"]),
    (PARTS, 5, 'resistance = "4k7 V"', 14, ["resistance of R1"]),
    (PARTS, 5, 'resistance = "-4k7"', 14, ["out of bounds", "not less than 0 Ω"]),
    (PARTS, 5, "# nothing", (1, 1), ["resistance of R1: this is missing", 'resistance = "4.7 kΩ"']),
    (PARTS, 9, "# nothing", (6, 1), ["polarity of Q1: this is missing", "npn or pnp"]),
    (PARTS, 9, 'polarity = "PNP"', 12, ["none of the choices", 'polarity = "pnp"']),
    (PARTS, 10, 'pins = { colector = "out", base = "x", emitter = "in" }', 10, ["such pin of a bipolar", "collector"]),
    (PARTS, 12, "forward_gain = 0", 16, ["out of bounds", "more than 0"]),
    (PARTS, 12, 'forward_gain = "30 %"', 16, ["is a ratio", "a plain number"]),
    (PARTS, 12, 'type = "2N3056"\nforward_gain = 3', 8, ["the catalogue has no “2N3056”", 'type = "2N3055"']),
    (PARTS, 12, 'forward_gain = 5\nmodel = "constant"', (13, 9), ["none of the choices", 'model = "constant_gain"']),
    (PARTS, 13, 'heat = { resistance = "1 K/W" }', 1, ["to of heat of Q1: this is missing"]),
    (PARTS, 13, 'heat = { to = "sink", resistance = "-1 K/W" }', 36, ["out of bounds", "not less than 0 K/W"]),
    (PARTS, 13, 'heat = { to = "sink", resistanse = "1 K/W" }', 23, ["there is no such key", "resistance"]),
    (PARTS, 18, "# nothing", (14, 1), ["what it draws is missing", 'draws = "3 A"']),
    (PARTS, 18, 'draws = "3 A"\nresistance = 4', (14, 1), ["draws, resistance do not go together"]),
    (PARTS, 18, 'battery = "12 V"', (14, 1), ["resistance missing", "battery and resistance of a battery"]),
    (PARTS, 18, 'draw = "3 A"', 1, ["draw of load: there is no such field of a load", "write draws"]),
    (PARTS, 18, 'draws = "3 A"\npolarity = "npn"', (19, 1), ["a load has no polarity"]),
    (PARTS, 18, 'draws = "3 A"\nheat = { to = "a", resistance = 1 }', (19, 1), ["a load has no temperature"]),
    (PARTS, 18, 'draws = "3 A"\ntype = "7812"', (19, 1), ["there are no types of load"]),
    (PARTS, 18, 'draws = "3 A"\nmodel = "fast"', (19, 1), ["a load has one model only"]),
    (PARTS, 23, 'set_voltage = "12 V"\nfoldback_start = "40 V"', (24, 18), ["the foldback ends before it starts"]),
    (PARTS, 23, 'set_voltage = "12 V"\nfoldback_end = "5 V"', (24, 16), ["foldback_end above 10 V"]),
]


@pytest.mark.parametrize(("text", "line", "replacement", "place", "pieces"), ONE_MISTAKE)
def test_one_mistake_one_message(
    text: str, line: int, replacement: str, place: int | tuple[int, int], pieces: list[str]
) -> None:
    found = mistakes_of(with_line(text, line, replacement))
    assert len(found) == 1, [str(mistake) for mistake in found]
    message = str(found[0])
    for piece in pieces:
        assert piece in message, message
    assert found[0].file == "broken.toml"
    assert found[0].expected
    assert found[0].where
    assert (found[0].line, found[0].column) == ((line, place) if isinstance(place, int) else place), message


def bypass(*keys: str) -> str:
    lines = [line for line in STAGE.splitlines() if not line.startswith(("driver", "bleed"))]
    stage = lines.index("[stage]")
    return "\n".join([*lines[: stage + 1], *keys, *lines[stage + 1 :]]).replace("compound", "bypass") + "\n"


def test_a_bypass_has_neither_driver_nor_bleed_and_says_why() -> None:
    assert read_text(bypass(), "bypass.toml").stage is not None
    driver, bleed = mistakes_of(bypass('driver = "BD140"', 'bleed = "47 Ω"'))
    assert (driver.line, driver.column, driver.where) == (14, 1, "stage.driver")
    assert "because R1 drives its pass device directly" in driver.what
    assert (bleed.line, bleed.column, bleed.where) == (15, 1, "stage.bleed")
    assert "because R1 lies from base to emitter already" in bleed.what


def test_a_bypass_has_no_driver_to_mount() -> None:
    (mistake,) = mistakes_of(bypass() + 'driver = { sink = "main", pad = "1 K/W" }\n')
    assert "a bypass has no driver" in mistake.what


def test_devices_of_a_stage_are_mounted_only_when_there_is_a_stage() -> None:
    text = PARTS + '[heat.sinks]\nmain = "1 K/W"\n[heat]\npass = { sink = "main", pad = "1 K/W" }\n'
    (mistake,) = mistakes_of(text)
    assert "no [stage]" in mistake.what
    assert mistake.line == 28


def test_a_stage_needs_input_and_output() -> None:
    text = STAGE[: STAGE.index("[input]")] + STAGE[STAGE.index("[surroundings]") :]
    found = mistakes_of(text)
    assert [mistake.line for mistake in found] == [6, 6]
    assert "a stage needs [input]" in found[0].what
    assert "a stage needs [output]" in found[1].what


@pytest.mark.parametrize(
    "text",
    [
        '[surroundings]\nambient = "25 °C"\n',
        STAGE[: STAGE.index("[surroundings]")],  # input and output, and nothing between them
        "parts = []\n",
        'title = "nothing more"\n',
    ],
)
def test_a_file_without_a_circuit_has_nothing_to_solve(text: str) -> None:
    (mistake,) = mistakes_of(text)
    assert mistake.what == "nothing to solve"
    assert (mistake.line, mistake.column) == (1, 1)
    assert "[[parts]]" in mistake.expected


def test_all_mistakes_are_told_at_once_in_the_order_of_the_file() -> None:
    text = with_line(with_line(with_line(STAGE, 4, "resistence = 1"), 10, "ambient = 25"), 18, 'bleed = "47 V"')
    found = mistakes_of(text)
    assert [mistake.line for mistake in found] == [4, 10, 18]
    assert [mistake.where for mistake in found] == ["input.resistence", "surroundings.ambient", "stage.bleed"]


def test_a_part_without_any_field_names_each_field_that_is_needed() -> None:
    text = '[[parts]]\nname = "U1"\nkind = "regulator"\npins = { in = "in", out = "out", ref = "ground" }\n'
    missing = mistakes_of(text)
    assert [mistake.where for mistake in missing] == ["parts.U1.set_voltage", "parts.U1.current_limit"]
    assert read_text(text + 'type = "7812"\n', "typed.toml", TYPES).parts[0].values == {}


def test_the_constant_gain_transistor_has_fields_of_its_own() -> None:
    text = with_line(PARTS, 12, 'model = "constant_gain"\ngain = 50\nbase_emitter_voltage = "0.7 V"')
    (mistake,) = mistakes_of(text)
    assert mistake.where == "parts.Q1.saturation_current"
    assert "no such field" in mistake.what


def test_inline_parts_are_located_too() -> None:
    text = 'parts = [\n  { name = "R1", kind = "resistor", pins = { a = "x", b = "y" }, resistance = "1 V" },\n]\n'
    (mistake,) = mistakes_of(text)
    assert (mistake.line, mistake.column) == (2, text.splitlines()[1].index('"1 V"') + 1)


def test_a_single_bracket_before_parts_is_explained() -> None:
    (mistake,) = mistakes_of('[parts]\nname = "R1"\n')
    assert mistake.write == "[[parts]]"
    assert (mistake.line, mistake.column) == (1, 1)


def test_more_mistakes_than_a_person_reads_end_early() -> None:
    start = time.perf_counter()
    found = mistakes_of("[[parts]]\n" * 50_000)
    assert len(found) == 200
    assert time.perf_counter() - start < 2


# text, line, column, pieces of the message; columns of unfinished or doubled things are where reading stopped
NOT_TOML = [
    ("[input]\nvoltage = 12 V\n", 2, 14, ["voltage = 12 V", "something follows", 'write voltage = "12 V"']),
    ("[stage]\nbleed = none\n", 2, 9, ["no value that can be read", 'write bleed = "none"']),
    ("[stage]\nbleed =\n", 2, 8, ["no value that can be read"]),
    ("[stage]\nbleed\n", 2, 6, ["without its ="]),
    ("[stage]\nbleed 47\n", 2, 7, ["without its ="]),
    ('[stage]\ndriver = "BD140\npass = "2N3055"\n', 2, 10, ["not closed", "quotation mark"]),
    ("[stage]\ndriver = 'BD140\n\n", 2, 10, ["not closed", "quotation mark"]),
    ('title = """endless\n\n', 1, 9, ["not closed"]),
    ('[input]\nvoltage = ["16 V", "18 V"\n\n[output]\n', 2, 11, ["the list is not closed"]),
    ('[input]\nvoltage = ["16 V" "18 V"]\n', 2, 19, ["the list is not closed", "a comma or ]"]),
    ('[[parts]]\npins = { a = "in"\n', 2, 8, ["braces are not closed"]),
    ("[stage]\ncount = 1\ncount = 2\n", 3, 1, ["count is written twice"]),
    ("[[parts]]\npins = { a = 'x', a = 'y' }\n", 2, 26, ["'a' is written twice"]),
    ("[input]\n[input]\n", 2, 7, ["same table is written twice"]),
    ("[stage\ncount = 1\n", 1, 7, ["header of a table is not closed"]),
    ("[[parts]\nname = 1\n", 1, 8, ["header of a part is not closed"]),
    ('title = "a \\q"\n', 1, 14, ["has no meaning"]),
    ('title = "\x01"\n', 1, 10, ["unprintable character"]),
    ("☃ = 1\n", 1, 1, ["neither a key"]),
    ("title = “Bench”\n", 1, 9, ["no value that can be read", 'write title = "Bench"']),
    ("title = 'a'\n= 3\n", 2, 1, ["neither a key"]),
    ("title = 'a'\0\n", 1, 12, ["NUL"]),
    ("count = " + "9" * 5000, 1, 9, ["thousands of figures"]),
    ("a." * 5000 + "a = 1\n", 1, 1, ["none of ours"]),
    ("a = " + "[" * 100_000 + "\n", 1, 100_004, ["nested too deeply"]),
    ("a = " + "{b = " * 100_000 + "\n", 1, 500_000, ["nested too deeply"]),
    ("", 1, 1, ["nothing in it"]),
    ("# only a remark\n\n", 1, 1, ["nothing in it", "at least [[parts]]"]),
    ("\ufeff\n", 1, 1, ["nothing in it"]),
]


@pytest.mark.parametrize(("text", "line", "column", "pieces"), NOT_TOML)
def test_what_is_not_toml_is_located(text: str, line: int, column: int, pieces: list[str]) -> None:
    start = time.perf_counter()
    (mistake,) = mistakes_of(text)
    seconds = time.perf_counter() - start
    assert (mistake.line, mistake.column) == (line, column), str(mistake)
    for piece in pieces:
        assert piece in str(mistake)
    assert mistake.expected
    assert mistake.write
    assert "\n" not in str(mistake)
    assert seconds < 2.0  # a person must not wait


def refusal(path: Path | str) -> Mistake:
    start = time.perf_counter()
    with pytest.raises(WrongInput) as caught:
        read(path)
    assert time.perf_counter() - start < 0.3
    (mistake,) = caught.value.mistakes
    assert mistake.file == str(path)
    return mistake


def test_a_missing_file_names_its_likely_neighbour(tmp_path: Path) -> None:
    (tmp_path / "supply.toml").write_text(PARTS, encoding="utf-8")
    mistake = refusal(tmp_path / "suply.toml")
    assert mistake.what == "there is no such file"
    assert mistake.write == str(tmp_path / "supply.toml")


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    assert refusal(tmp_path).what == "this is a folder"
    assert refusal(tmp_path / "nothing" / "there.toml").what == "there is no such file"


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "closed.toml"
    path.write_text(PARTS, encoding="utf-8")
    path.chmod(0)

    def closed(*_: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    if os.geteuid() == 0:  # root may read everything
        monkeypatch.setattr(Path, "open", closed)
    assert refusal(path).what == "this file may not be read"


def test_a_link_to_itself(tmp_path: Path) -> None:
    path = tmp_path / "loop.toml"
    path.symlink_to(path)
    assert refusal(path).what == "this link leads back to itself"


def test_a_pipe_and_a_device_are_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    assert refusal(pipe).what == "this is no ordinary file"
    assert refusal("/dev/zero").what == "this is no ordinary file"


def test_odd_names(tmp_path: Path) -> None:
    assert refusal("\0").what == "this is no name of a file"
    assert refusal(tmp_path / ("n" * 5000)).what == "the name is too long for a file"


def test_a_file_that_is_not_text_names_the_first_bad_place(tmp_path: Path) -> None:
    path = tmp_path / "latin.toml"
    path.write_bytes(b'title = "a"\nx = "47 ' + "µ".encode("latin-1") + b'F"\n')
    mistake = refusal(path)
    assert mistake.what == "this is not text in UTF-8"
    assert (mistake.line, mistake.column) == (2, 9)
    path.write_bytes(PARTS.encode("utf-16"))
    assert refusal(path).line == 1
    path.write_bytes(bytes(range(256)) * 20)
    refusal(path)


def test_a_file_of_more_than_a_megabyte(tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * 1_000_001)
    assert refusal(path).what == "this file is larger than 1 MB"


def test_line_ends_and_a_byte_order_mark_of_other_systems(tmp_path: Path) -> None:
    path = tmp_path / "other.toml"
    path.write_bytes(b"\xef\xbb\xbf" + PARTS.replace("\n", "\r\n").encode())
    assert len(read(path).parts) == 4
    path.write_bytes(with_line(PARTS, 5, 'resistance = "4k7 V"').replace("\n", "\r\n").encode())
    mistake = refusal(path)
    assert (mistake.line, mistake.column) == (5, 14)


def only_wrong_input(text: str) -> None:
    try:
        read_text(text, "garbage.toml", TYPES)
    except WrongInput as wrong:
        assert wrong.mistakes
        for mistake in wrong.mistakes:
            assert mistake.line is not None
            assert 1 <= mistake.line <= text.count("\n") + 1
            assert "\n" not in str(mistake)


@given(st.text())
def test_garbage_is_wrong_input(text: str) -> None:
    only_wrong_input(text)


SIGNS = [*"[]{}=.,\"'#\n \\ae1-+", '"""', "'''", "parts", "stage", "pins"]


@given(st.lists(st.sampled_from(SIGNS), max_size=60))
def test_garbage_of_toml_signs_is_wrong_input(pieces: list[str]) -> None:
    only_wrong_input("".join(pieces))


texts = st.sampled_from(["", "4k7", "12 V", "x", "none", "1 K/W", "resistor", "load", "bipolar", "compound", "bypass"])
scalars = st.one_of(st.booleans(), st.integers(), st.floats(), texts)
words = st.sampled_from(
    [
        *("title", "input", "output", "stage", "heat", "parts", "sinks", "name", "kind", "pins", "voltage"),
        *("resistance", "load", "bleed", "count", "pass", "model", "type", "polarity", "to", "a", "main", "draws"),
        "arrangement",
    ]
)
trees = st.recursive(scalars, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(words, inner, max_size=5))


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.dictionaries(words, trees, max_size=6))
def test_any_table_is_a_brief_or_wrong_input(tree: dict[str, object]) -> None:
    only_wrong_input(tomlkit.dumps(tree))


@given(st.integers(1, 24), st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=30))
def test_any_line_may_be_damaged(line: int, replacement: str) -> None:
    only_wrong_input(with_line(PARTS, line, replacement))
