"""Text that is no design: what is not TOML is located, and garbage is never anything but WrongInput."""

import time

import pytest
import tomlkit
from damaged_lines import PARTS, TYPES, mistakes_of, with_line
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outboard.brief import read_text
from outboard.errors import WrongInput

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
