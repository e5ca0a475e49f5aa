"""Sized values written into a design file: they read back, and everything else in it stays."""

import math
import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outboard.brief import read, written
from outboard.errors import WrongInput

STAGE = Path(__file__).parents[1] / "data" / "design" / "invented-compound-12V-5A.toml"


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
