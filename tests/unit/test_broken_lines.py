"""Design files with a wrong line: every mistake at its line, in words that say what to write."""

import time

import pytest
from damaged_lines import PARTS, STAGE, TYPES, mistakes_of, with_line

from outboard.brief import read_text


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
