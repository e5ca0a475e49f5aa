"""How the program starts and ends: quietly, with the exit code of what happened, and loading only what it needs."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from answer_shapes import FAILING, GOOD, ROOT, run


@pytest.mark.parametrize(
    "arguments",
    [["solve", GOOD], ["size", GOOD], ["divide", GOOD, "--points", "10"], ["verify", GOOD, "--input", "18V"],
     ["parts", "list"], ["parts", "show", "7812"], ["parts", "check"]],
    ids=lambda arguments: arguments[0],
)  # fmt: skip
def test_quiet_leaves_the_answer_to_the_exit_code(arguments: list[str | Path]) -> None:
    result = run(*arguments, "--quiet")
    assert (result.exit_code, result.output) == (0, "")


def test_quiet_keeps_exit_code_and_errors() -> None:
    assert (run("verify", FAILING, "--quiet").exit_code, run("verify", FAILING, "--quiet").output) == (1, "")
    wrong = run("solve", "absent.toml", "--quiet")
    assert wrong.exit_code == 2 and "no such file" in wrong.stderr


@pytest.mark.parametrize(
    ("ends_with", "code"),
    [(ZeroDivisionError("oops"), 70), (KeyboardInterrupt(), 130), (BrokenPipeError(), 141)],
)
def test_however_it_ends_the_exit_code_says_it(
    monkeypatch: pytest.MonkeyPatch, ends_with: BaseException, code: int
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ends_with

    monkeypatch.setattr("outboard.dossier.opened", broken)
    monkeypatch.delenv("OUTBOARD_DEBUG", raising=False)
    result = run("solve", GOOD)
    assert result.exit_code == code
    assert "Traceback" not in result.output
    assert ("bug of ours" in result.stderr) == (code == 70)


def test_a_bug_shows_its_place_when_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("oops")

    monkeypatch.setattr("outboard.dossier.opened", broken)
    monkeypatch.setenv("OUTBOARD_DEBUG", "1")
    assert "ZeroDivisionError: oops" in run("solve", GOOD).stderr


def process(*arguments: str | Path, code: str = "", **more: Any) -> subprocess.CompletedProcess[str]:
    """The program in a process of its own; `code` runs after it."""
    script = f"import sys\nfrom outboard.cli import main\nended = main()\n{code}\nsys.exit(ended)"
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src")}
    command = [sys.executable, "-X", "utf8", "-c", script, *map(str, arguments)]
    return subprocess.run(command, env=environment, text=True, check=False, **{"capture_output": True} | more)


SAY_MODULES = "print([name for name in ('numba', 'numpy', 'matplotlib', 'rich', 'tomlkit') if name in sys.modules])"


@pytest.mark.parametrize(
    ("arguments", "loaded"),
    [(["--help"], "[]"), (["--version"], "[]"), (["solve", "absent.toml", "--json"], "[]"), (["schema"], "[]"),
     (["solve", GOOD, "--json"], "['numba', 'numpy']"), (["parts", "list"], "['rich']")],
)  # fmt: skip
def test_nothing_is_loaded_before_it_is_needed(arguments: list[str | Path], loaded: str) -> None:
    assert process(*arguments, code=SAY_MODULES).stdout.splitlines()[-1] == loaded


def test_nobody_reading_on_is_no_verdict() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        for arguments in (["schema"], ["parts", "list"], ["solve", str(GOOD), "--json"]):
            ended = process(*arguments, capture_output=False, stdout=writing, stderr=subprocess.PIPE)
            assert (ended.returncode, ended.stderr) == (141, "")
    finally:
        os.close(writing)


@pytest.mark.skipif(not (ROOT / ".venv" / "outboard.stamp").exists(), reason="./run has not made its environment here")
def test_run_is_the_program(tmp_path: Path) -> None:
    ended = subprocess.run([ROOT / "run", "--version"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stdout.split()[0]) == (0, "outboard")
    ended = subprocess.run([ROOT / "run"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert ended.returncode == 0 and "verify" in ended.stdout
