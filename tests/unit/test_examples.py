"""Every example: those without `wrong` in their name pass, every verb that people use has an answer for each."""

from pathlib import Path

import pytest

from outboard.cli.program import main
from outboard.dossier import opened

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
RIGHT = [file for file in EXAMPLES if "wrong" not in file.name]


def names(file: Path) -> str:
    return file.stem


@pytest.mark.parametrize("file", RIGHT, ids=names)
def test_examples_pass(file: Path) -> None:
    assert main(["verify", str(file), "--quiet"]) == 0


@pytest.mark.parametrize("file", EXAMPLES, ids=names)
def test_examples_say_that_they_are_invented(file: Path) -> None:
    assert file.read_text(encoding="utf-8").startswith("# Invented")


@pytest.mark.parametrize("file", RIGHT, ids=names)
def test_verbs_answer_for_each(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for verb in ("size", "solve", "divide"):
        assert main([verb, str(file)]) == 0, verb
    assert main(["faults", str(file), "--quiet"]) in (0, 1, 3)
    assert main(["draw", str(file), "--ribbons"]) == 0
    assert "<svg" in capsys.readouterr().out


def test_every_arrangement_has_an_example() -> None:
    from outboard.arrangements import ARRANGEMENTS

    stages = [opened(file).brief.stage for file in RIGHT]
    assert {stage.arrangement for stage in stages if stage is not None} == set(ARRANGEMENTS)
