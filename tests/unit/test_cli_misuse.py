"""Misuse of the command line: misspelt words, wrong options, files and networks that no verb takes; all told alike."""

from pathlib import Path

import pytest
from answer_shapes import ERRORS, GOOD, NETWORKS, RUNS_AWAY, answer, edited, run


def test_mistakes_in_a_file_are_told_all_at_once_with_their_places(tmp_path: Path) -> None:
    text = GOOD.read_text(encoding="utf-8").replace('"60 mΩ"', '"60 mV"').replace('"2N3055"', '"2N3505"')
    path = edited(tmp_path, text)
    errors = answer(ERRORS, "solve", path, code=2)["errors"]
    assert [(error["where"], error["file"]) for error in errors] == [
        ("input.resistance", str(path)), ("stage.pass", str(path))
    ]  # fmt: skip
    lines = text.splitlines()
    assert ["60 mV" in lines[errors[0]["line"] - 1], "2N3505" in lines[errors[1]["line"] - 1]] == [True, True]
    told = run("solve", path)
    assert (told.exit_code, told.stdout) == (2, "")
    assert [line.startswith(f"{path}:{error['line']}:{error['column']}: ") for line, error in
            zip(told.stderr.splitlines(), errors, strict=True)] == [True, True]  # fmt: skip
    assert all("; expected " in line and "; write " in line for line in told.stderr.splitlines())


@pytest.mark.parametrize(
    ("change", "where", "word"),
    [
        (('b = "ambient"', 'b = "nowhere"'), "parts.", "ambient"),
        (('b = "b" }', 'b = "elsewhere" }'), "parts.", "only one pin"),
        (('minus = "ground"', 'minus = "in"'), "parts.", "in"),
    ],
)
def test_a_network_that_cannot_be_solved_is_a_mistake_with_a_place(
    tmp_path: Path, change: tuple[str, str], where: str, word: str
) -> None:
    path = edited(tmp_path, RUNS_AWAY.replace(*change))
    (error,) = answer(ERRORS, "solve", path, code=2)["errors"]
    assert error["where"].startswith(where) and word in error["what"]
    assert RUNS_AWAY.splitlines()[error["line"] - 1] == "[[parts]]"


@pytest.mark.parametrize(
    ("arguments", "where", "write"),
    [
        (["solv", GOOD], "solv", "outboard solve"),
        (["solve"], "DESIGN.toml", "outboard solve DESIGN.toml"),
        (["solve", GOOD, "--laod", "3A"], "--laod", "--load"),
        (["solve", GOOD, "--load", "3V"], "--load", "--load"),
        (["solve", GOOD, "--load"], "--load", "--load"),
        (["solve", GOOD, "--load", "-3A"], "--load", "--load"),
        (["solve", GOOD, "--load", "nan"], "--load", "--load"),
        (["solve", GOOD, "--ambient", "25"], "--ambient", '"25 °C"'),
        (["solve", GOOD, "--ambient", "0K"], "--ambient", "--ambient"),
        (["solve", GOOD, "and more"], "and more", "--help"),
        (["divide", GOOD, "--points", "2"], "--points", "--points 10"),
        (["divide", GOOD, "--points", "²"], "--points", "--points 10"),
        (["divide", GOOD, "--figure", "division.pdf"], "--figure", ".svg"),
        (["divide", GOOD, "--csv", "no folder/x.csv"], "--csv", ""),
        (["parts", "sho"], "sho", "outboard parts show"),
        (["parts", "show"], "TYPE", "TYPE"),
        (["size", NETWORKS / "drop-out.toml"], "stage", "[stage]"),
        (["verify", NETWORKS / "drop-out.toml", "--load", "1A"], "output", "[output]"),
        (["--bogus"], "--bogus", "--help"),
    ],
)
def test_misuse_is_told_like_every_other_mistake(arguments: list[str | Path], where: str, write: str) -> None:
    (error,) = answer(ERRORS, *arguments, code=2)["errors"]
    assert error["where"] == where and write in error["write"]
    if arguments != ["solve", GOOD, "--load"]:  # there --json itself would be taken for the load
        told = run(*arguments)
        assert told.exit_code == 2 and told.stdout == "" and error["what"] in told.stderr


@pytest.mark.parametrize("name", ["absent.toml", "", "."])
def test_a_file_that_cannot_be_read_is_a_mistake(name: str, tmp_path: Path) -> None:
    for verb in ("size", "solve", "divide", "verify", "expand"):
        answer(ERRORS, verb, tmp_path / name if name else "", code=2)
