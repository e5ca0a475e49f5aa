"""Generated broken design files through the whole program: refused at their line, or judged because they still are one.

`benchmarks/broken_files.py` does the same with as many as wanted and with every verb.
"""

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import pytest
from broken_designs import KINDS, WHOLE, broken_design, misconduct
from click.testing import CliRunner

from outboard.cli.program import program

ROOT = Path(__file__).resolve().parents[2]
VERBS = ("solve", "expand", "size")
SLOWEST = 2.0
"""Seconds of the processor's time: others may be at work on the machine."""

START = "import sys; from outboard.cli import main; sys.exit(main(sys.argv[1:]))"


def children_time() -> float:
    """Seconds that processes of ours have used."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


@pytest.fixture(scope="module", autouse=True)
def loaded() -> None:
    """What the first solution of a process loads, or compiles, is not the broken file's time."""
    CliRunner().invoke(program, ["solve", str(ROOT / "examples" / "observatory.toml"), "--quiet"])


def test_the_designs_are_whole_before_they_are_broken(tmp_path: Path) -> None:
    assert len(WHOLE) >= 6
    for number, text in enumerate(WHOLE):
        path = tmp_path / f"{number}.toml"
        path.write_text(text, encoding="utf-8")
        assert CliRunner().invoke(program, ["expand", str(path)]).exit_code == 0


@pytest.mark.parametrize("seed", range(8 * len(KINDS)))
def test_a_broken_design_is_refused_at_its_line_or_still_is_one(seed: int, tmp_path: Path) -> None:
    broken = broken_design(seed, tmp_path)
    start = time.process_time()
    result = CliRunner().invoke(program, [VERBS[seed // len(KINDS) % len(VERBS)], str(broken.path)])
    seconds = time.process_time() - start
    assert misconduct(broken, result.exit_code, result.stdout, result.stderr, seconds, SLOWEST) == []


@pytest.mark.parametrize("seed", range(0, 8 * len(KINDS), 31))
def test_a_broken_design_as_a_process_of_its_own(seed: int, tmp_path: Path) -> None:
    broken = broken_design(seed, tmp_path)
    start = children_time()
    ended = subprocess.run(
        [sys.executable, "-c", START, "expand", str(broken.path)], capture_output=True, text=True, timeout=60,
        env=os.environ | {"PYTHONPATH": str(ROOT / "src")}, check=False,
    )  # fmt: skip
    seconds = children_time() - start
    assert misconduct(broken, ended.returncode, ended.stdout, ended.stderr, seconds, SLOWEST) == []


def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    if os.geteuid() == 0:
        pytest.skip("root may read everything; tests/unit/test_broken_files.py feigns it")
    path = tmp_path / "shut.toml"
    path.write_text(WHOLE[0], encoding="utf-8")
    path.chmod(0)
    result = CliRunner().invoke(program, ["solve", str(path)])
    assert result.exit_code == 2 and "may not be read" in result.stderr


def test_bad_conduct_is_seen(tmp_path: Path) -> None:
    """The judge of the tests above: what it must object to."""
    broken = broken_design(list(KINDS).index("wrong key"), tmp_path)
    good = f"{broken.path}:3:1: no such key\n"
    assert misconduct(broken, 2, "", good, 0.1, SLOWEST) == []
    for code, stdout, stderr, seconds in (
        (70, "", "a bug of ours\n", 0.1), (0, "fine", "", 0.1), (2, "", "", 0.1), (2, "words", good, 0.1),
        (2, "", f"{broken.path}: no such key\n", 0.1), (2, "", f"{broken.path}:9999:1: no such key\n", 0.1),
        (2, "", "no such key\n", 0.1), (2, "", good, 3.0), (2, "", f"{good}Traceback (most recent call last)\n", 0.1),
    ):  # fmt: skip
        assert misconduct(broken, code, stdout, stderr, seconds, SLOWEST) != []
