"""Broken design files through the whole program: exit code 2, every mistake at its place, never a traceback."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from outboard.cli.program import program

ROOT = Path(__file__).resolve().parents[2]
GOOD = (ROOT / "examples" / "observatory.toml").read_text(encoding="utf-8")
VERBS = ("solve", "divide", "verify", "size", "expand")

LOOP = """\
[[parts]]
name = "input"
kind = "source"
pins = { plus = "in", minus = "ground" }
voltage = "12 V"

[[parts]]
name = "other"
kind = "source"
pins = { plus = "in", minus = "ground" }
voltage = "13 V"

[[parts]]
name = "R1"
kind = "resistor"
pins = { a = "in", b = "ground" }
resistance = "1 kΩ"
"""
"""Two ideal sources in parallel."""

STANDING = """
[[parts]]
name = "R9"
kind = "resistor"
role = "standing load"
pins = { a = "out", b = "ground" }
resistance  = "1.5 kΩ"
rated_power = "0.4 W"
"""
assert STANDING.strip() in GOOD

CASES = [
    # what is broken, the file, the line with the mistake, pieces of the message
    ("wrong unit", GOOD.replace('"60 mΩ"', '"60 mV"'), '"60 mV"', ["is a voltage", "60 mΩ"]),
    ("wrong key", GOOD.replace("regulator   =", "regulater   ="), "regulater", ["no such key", "regulator"]),
    ("missing key", GOOD.replace('regulator   = "7812"', ""), "[stage]", ["regulator"]),
    ("not a number", GOOD.replace('"60 mΩ"', "nan"), "nan", ["not finite"]),
    ("negative resistor", GOOD.replace('"1.5 kΩ"', '"-1.5 kΩ"'), '"-1.5 kΩ"', ["out of bounds"]),
    ("unknown type", GOOD.replace('"2N3055"', '"2N3505"'), '"2N3505"', ["2N3505", "2N3055"]),
    ("wrong polarity", GOOD.replace('"2N3055"', '"TIP2955"'), '"TIP2955"', ["PNP", "NPN"]),
    ("duplicate names", GOOD + STANDING, 'name = "R9"', ["R9"]),
    ("missing pin", GOOD.replace('pins = { a = "out", b = "ground" }', 'pins = { a = "out" }'), "pins = { a", ["b"]),
    ("not TOML", GOOD.replace("[output]", "[output"), "[output", []),
    ("unknown kind", GOOD.replace('kind = "resistor"', 'kind = "resister"'), '"resister"', ["resister", "resistor"]),
]
NETWORK = [
    ("floating net", GOOD + STANDING.replace('"R9"', '"R8"').replace('b = "ground"', 'b = "nowhere"'), "nowhere"),
    ("ideal loop", LOOP, "other' closes a loop of ideal sources"),
]
"""What only the network can refuse; `size` and `expand` do not solve it."""


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(program, [str(argument) for argument in arguments])


def refused(verb: str, path: Path) -> list[dict[str, object]]:
    """The mistakes that a verb tells, as words and as an object; both must agree."""
    told, asked = run(verb, path), run(verb, path, "--json")
    assert (told.exit_code, asked.exit_code) == (2, 2), told.output
    assert told.stdout == "" and "Traceback" not in told.output
    errors: list[dict[str, object]] = json.loads(asked.stdout)["errors"]
    lines = told.stderr.splitlines()
    assert len(lines) == len(errors)
    for line, error in zip(lines, errors, strict=True):
        place = ":".join(str(error[key]) for key in ("file", "line", "column") if error[key] is not None)
        assert line.startswith(f"{place}: {error['what']}")
    return errors


@pytest.mark.parametrize("verb", VERBS)
@pytest.mark.parametrize(("text", "at", "pieces"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_a_mistake_in_the_file_is_told_at_its_place(
    tmp_path: Path, verb: str, text: str, at: str, pieces: list[str]
) -> None:
    path = tmp_path / "design.toml"
    path.write_text(text, encoding="utf-8")
    (error,) = refused(verb, path)
    line, column = error["line"], error["column"]
    assert isinstance(line, int) and isinstance(column, int)
    assert at in text.splitlines()[line - 1] or at in text.splitlines()[max(0, line - 2)]
    words = " ".join(str(error[key]) for key in ("what", "expected", "write"))
    assert all(piece in words for piece in pieces), words


@pytest.mark.parametrize("verb", ["solve", "divide", "verify"])
@pytest.mark.parametrize(("text", "word"), [case[1:] for case in NETWORK], ids=[case[0] for case in NETWORK])
def test_a_network_without_a_solution_is_told_at_the_part(tmp_path: Path, verb: str, text: str, word: str) -> None:
    path = tmp_path / "design.toml"
    path.write_text(text, encoding="utf-8")
    (error, *_) = refused(verb, path)
    assert word in str(error["what"])
    assert isinstance(error["line"], int)
    assert text.splitlines()[error["line"] - 1] == "[[parts]]"


def odd_files(folder: Path) -> Iterator[tuple[Path, str]]:
    """Files that are no text of a design, with a piece of what is said."""
    for name, content, word in (
        ("empty.toml", b"", "nothing"),
        ("blank.toml", b"\n\n  \n", "nothing"),
        ("binary.toml", bytes(range(256)) * 8, "UTF-8"),
        ("zeros.toml", b"\0" * 64, ""),
    ):
        (folder / name).write_bytes(content)
        yield folder / name, word
    yield folder, "folder"
    yield folder / "absent" / "design.toml", "no such file"


@pytest.mark.parametrize("verb", VERBS)
def test_what_is_no_design_file_is_told(tmp_path: Path, verb: str) -> None:
    for path, word in odd_files(tmp_path):
        (error,) = refused(verb, path)
        assert error["file"] == str(path)
        words = " ".join(str(error[key]) for key in ("what", "expected"))
        assert word in words, (path, words)


def test_only_design_files_are_suggested_for_one_that_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "nope"\n', encoding="utf-8")
    (tmp_path / "nopes.toml").write_text('[project]\nname = "nope"\n', encoding="utf-8")
    (error,) = refused("verify", tmp_path / "nope.toml")
    assert error["write"] == "" and "examples" in str(error["expected"])
    (tmp_path / "hope.toml").write_text(GOOD, encoding="utf-8")
    (error,) = refused("verify", tmp_path / "nope.toml")
    assert error["write"] == str(tmp_path / "hope.toml")
    (error,) = refused("verify", tmp_path / "something else.toml")
    assert error["write"] == ""


def test_several_mistakes_are_told_together(tmp_path: Path) -> None:
    path = tmp_path / "design.toml"
    text = GOOD.replace('"60 mΩ"', '"60 mV"').replace('"2N3055"', '"2N3505"').replace('"1.5 kΩ"', '"-1 Ω"')
    path.write_text(text, encoding="utf-8")
    assert len(refused("verify", path)) == 3


def test_a_process_of_its_own_ends_alike(tmp_path: Path) -> None:
    path = tmp_path / "design.toml"
    path.write_text(GOOD.replace('"60 mΩ"', '"60 mV"'), encoding="utf-8")
    code = "import sys\nfrom outboard.cli import main\nsys.exit(main())"
    ended = subprocess.run(
        [sys.executable, "-X", "utf8", "-c", code, "verify", str(path)], capture_output=True, text=True, check=False,
        env={"PYTHONPATH": str(ROOT / "src"), "PATH": ""},
    )  # fmt: skip
    assert (ended.returncode, ended.stdout) == (2, "")
    assert ended.stderr.startswith(f"{path}:") and "Traceback" not in ended.stderr
