"""`outboard new`: what it writes can be verified, its reasons are stated, and nothing is written over unasked."""

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from outboard.arrangements import ARRANGEMENTS
from outboard.brief import read
from outboard.cli.program import program
from outboard.parts import find

ROOT = Path(__file__).resolve().parents[2]
ASKED = ("--input", "16 V to 20.5 V", "--output", "12V", "--load", "5A")
DRAWER = ("--have", "7812", "--have", "BD140", "--have", "2N3055")


def run(*arguments: object) -> Result:
    return CliRunner().invoke(program, [str(argument) for argument in arguments])


@pytest.mark.parametrize(
    ("source", "output", "load", "have"),
    [
        ("16 V to 20.5 V", "12 V", "5 A", ("7812", "BD140", "2N3055")),
        ("9.6 V to 10 V to 11 V", "5 V", "0.1 A to 3 A", ("7805", "TIP2955")),
        ("20 V", "15 V", "500 mA", ()),
        ("17 V to 22 V", "12 V", "6 A", ("MJ2955",)),
        ("18 V to 30 V", "12 V", "10 A", ("2N3055",)),
        ("20 V to 23 V", "13.8 V", "8 A", ("2N3055",)),
        ("9 V to 10 V", "3.3 V", "2 A", ("1085", "MJ2955")),
        ("-20 V to -24 V", "-15 V", "2 A", ()),
        ("-24 V to -20 V", "-12 V", "3 A", ("7912", "2N3055")),
    ],
)
def test_what_is_written_can_be_verified(
    source: str, output: str, load: str, have: tuple[str, ...], tmp_path: Path
) -> None:
    file = tmp_path / "first.toml"
    options = [word for name in have for word in ("--have", name)]
    made = run("new", file, "--input", source, "--output", output, "--load", load, *options, "--json")
    assert made.exit_code == 0, made.output
    found = json.loads(made.stdout)
    assert found["toml"] == file.read_text(encoding="utf-8") and found["reasons"]
    judged = run("verify", file, "--quiet")
    assert judged.exit_code in (0, 1, 3), judged.output
    stage = read(file).stage
    assert stage is not None and stage.arrangement in ARRANGEMENTS
    used = {stage.regulator, stage.driver, stage.pass_type}
    assert {find(name).name for name in have} <= used, "what lies in the drawer is used"


def test_the_drawer_decides_and_the_file_says_why(tmp_path: Path) -> None:
    file = tmp_path / "first.toml"
    assert run("new", file, *ASKED, *DRAWER).exit_code == 0
    stage = read(file).stage
    assert stage is not None
    assert (stage.arrangement, stage.driver, stage.pass_type, stage.count) == ("compound", "BD140", "2N3055", 1)
    text = file.read_text(encoding="utf-8")
    assert "#   in the drawer: 7812, BD140, 2N3055" in text and "bypass would do too" in text
    other = tmp_path / "other.toml"
    assert run("new", other, *ASKED, "--have", "MJ2955").exit_code == 0
    stage = read(other).stage
    assert stage is not None and (stage.arrangement, stage.pass_type) == ("bypass", "MJ2955")


def test_an_output_without_a_fixed_regulator_gets_an_adjustable_one(tmp_path: Path) -> None:
    file = tmp_path / "first.toml"
    assert run("new", file, "--input", "20 V to 23 V", "--output", "13.8 V", "--load", "4 A").exit_code == 0
    brief = read(file)
    assert brief.stage is not None and find(brief.stage.regulator).adjustable
    assert brief.stage.divider_tempco == 50e-6


def test_a_supply_below_ground_is_the_mirror_image(tmp_path: Path) -> None:
    file = tmp_path / "first.toml"
    assert run("new", file, "--input", "-20 V to -24 V", "--output", "-12 V", "--load", "3 A").exit_code == 0
    brief = read(file)
    assert brief.input is not None and brief.output is not None and brief.stage is not None
    assert (tuple(brief.input.voltage), brief.output.voltage) == ((-24.0, -22.0, -20.0), -12.0)
    assert find(brief.stage.regulator).name == "7912"
    polarities = {find(name).polarity for name in (brief.stage.pass_type, brief.stage.driver) if name}
    assert polarities <= {"npn", "pnp"} and (brief.stage.arrangement, polarities) != ("bypass", {"pnp"})


def test_a_standing_load_beside_many_devices_has_a_name_of_its_own(tmp_path: Path) -> None:
    """The ballast of the seventh device is R9, which is what the standing load is called beside fewer."""
    file = tmp_path / "many.toml"
    devices = ("--have", "2N3055", "--have", "7812", "--have", "BD242C")
    asked = ("--input", "16 V to 18 V", "--output", "12V", "--load", "80A")
    assert run("new", file, *asked, *devices).exit_code == 0
    brief = read(file)
    assert brief.stage is not None and brief.stage.count is not None and brief.stage.count > 6
    (standing,) = (part for part in brief.parts if part.role == "standing load")
    assert standing.name == f"R{3 + brief.stage.count}"
    file.write_text(file.read_text(encoding="utf-8").replace(f'"{standing.name}"', '"R9"'), encoding="utf-8")
    refused = run("solve", file)
    assert refused.exit_code == 2 and "R9 is the ballast of the stage, not a standing load" in refused.stderr


def test_a_file_is_not_written_over_unless_asked(tmp_path: Path) -> None:
    file = tmp_path / "first.toml"
    file.write_text("mine", encoding="utf-8")
    refused = run("new", file, *ASKED)
    assert refused.exit_code == 2 and "--replace" in refused.stderr and file.read_text(encoding="utf-8") == "mine"
    assert run("new", file, *ASKED, "--replace").exit_code == 0
    assert "[stage]" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), ("--input", "--output", "--load")),
        (("--input", "16 V", "--output", "12 V"), ("--load",)),
        ((*ASKED, "--have", "2N3056"), ("2N3056", "2N3055")),
        (("--input", "10 V", "--output", "12 V", "--load", "1 A"), ("leaves nothing",)),
        (("--input", "20 V to 16 V", "--output", "12 V", "--load", "1 A"), ("rise",)),
        (("--input", "20 A", "--output", "12 V", "--load", "1 A"), ("--input", "20 A")),
        (("--input", "20 V", "--output", "12 V", "--load", "0 A"), ("more than 0 A",)),
        (("--input", "20 V", "--output", "0.9 V", "--load", "1 A"), ("0.9 V", "1.24 V", "parts add")),
        (("--input", "60 V", "--output", "40 V", "--load", "1 A"), ("60 V", "parts add")),
        (("--input", "20 V", "--output", "-5 V", "--load", "1 A"), ("different sides", "-9 V")),
        (("--input", "-10 V", "--output", "-12 V", "--load", "1 A"), ("leaves nothing", "-16 V")),
        (("--input", "2 kV", "--output", "12 V", "--load", "1 kA"), ("no arrangement",)),
        ((*ASKED, "--ambient", "-300 °C"), ("--ambient",)),
    ],
)
def test_what_cannot_be_is_told(options: tuple[str, ...], words: tuple[str, ...], tmp_path: Path) -> None:
    file = tmp_path / "first.toml"
    refused = run("new", file, *options)
    assert refused.exit_code == 2
    assert all(word in refused.stderr for word in words), refused.stderr
    assert list(tmp_path.iterdir()) == []


def test_somebody_at_the_keyboard_is_asked(tmp_path: Path) -> None:
    """A real dialogue over a terminal of the system's own."""
    ours, theirs = pty.openpty()
    code = "from outboard.cli import main; import sys; sys.exit(main())"
    process = subprocess.Popen(
        [sys.executable, "-c", code, "new", str(tmp_path / "first.toml")],
        stdin=theirs, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT / "src")},
    )  # fmt: skip
    os.close(theirs)
    os.write(ours, b"16 V to 20 V\n12 V\n5 A\n7812 BD140 2N3055\n")
    out, err = process.communicate(timeout=60)
    os.close(ours)
    assert process.returncode == 0, err
    assert "written" in out and "Load" in err
    stage = read(tmp_path / "first.toml").stage
    assert stage is not None and stage.pass_type == "2N3055"
