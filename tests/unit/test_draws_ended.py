"""Draws that are ended early: killed at every step of the disk, interrupted once, twice, before the first unit."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from outboard.arrangements import designed
from outboard.brief import read
from outboard.cases.sampling import BLOCK
from outboard.checks import draw_run, shards
from outboard.checks.draw_run import blocks_of, run, usual_shards
from outboard.checks.drawn import Drawn, stored
from outboard.checks.draws import Lot, lot
from outboard.checks.finding import UNDECIDED
from outboard.checks.shards import PLAN, Shards
from outboard.dossier import opened, ran
from outboard.dossier.draws import Wish, with_draws

ROOT = Path(__file__).resolve().parents[2]
RAILWAY = ROOT / "examples" / "model-railway.toml"
DRAWS = 2 * BLOCK + 100


@cache
def railway() -> Lot:
    return lot(designed(read(RAILWAY)), seed=1)


@cache
def whole() -> str:
    return json.dumps(stored(run(railway(), DRAWS, 1).drawn))


def begun(folder: Path) -> Shards:
    plan = {"inputs": "x", "draws": DRAWS, "seed": 1, "method": "sobol", "shards": usual_shards(DRAWS)}
    return Shards.begun(folder, plan | {"text": "", "file": "x"})


def killed_at(step: int, before: bool, folder: Path) -> bool:
    """A process of its own draws into a folder and is killed before or after a step of the disk; False when it got
    through without one of that number."""
    child = os.fork()
    if child == 0:
        steps = 0

        def deadly(real: Callable[..., Any]) -> Callable[..., Any]:
            def call(*arguments: Any, **more: Any) -> Any:
                nonlocal steps
                steps += 1
                if before and steps == step:
                    os.kill(os.getpid(), signal.SIGKILL)
                try:
                    return real(*arguments, **more)
                finally:
                    if steps == step:
                        os.kill(os.getpid(), signal.SIGKILL)

            return call

        try:
            shards.tempfile.mkstemp = deadly(shards.tempfile.mkstemp)
            for name in ("fsync", "link", "replace", "unlink"):
                setattr(os, name, deadly(getattr(os, name)))
            run(railway(), DRAWS, 1, kept=begun(folder))
        finally:
            os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


@pytest.mark.parametrize("before", [True, False], ids=["before", "after"])
def test_a_kill_at_any_step_loses_and_repeats_no_shard(
    before: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is there is whole; who goes on draws exactly the blocks of the shards that are not, and ends at the same."""
    whole()
    real, drawn = draw_run.drawn_block, list[int]()

    def counted(found: Lot, block: int, draws: int) -> Drawn:
        drawn.append(block)
        return real(found, block, draws)

    monkeypatch.setattr(draw_run, "drawn_block", counted)
    kept_at_once = set()
    for step in range(1, 100):
        folder = tmp_path / f"{step}"
        if not killed_at(step, before, folder):
            break
        there = {path.name for path in folder.glob("shard-*.json")}
        kept_at_once.add(len(there))
        assert (folder / PLAN).exists() or not there
        drawn.clear()
        kept = begun(folder)
        missing = [number for number in range(1, kept.count + 1) if kept.path(number).name not in there]
        found = run(railway(), DRAWS, 1, kept=kept)
        assert sorted(drawn) == [block for number in missing for block in blocks_of(DRAWS, number, kept.count)], step
        assert json.dumps(stored(found.drawn)) == whole()
        assert len(list(folder.glob("shard-*.json"))) == kept.count
    assert step == 4 * (1 + usual_shards(DRAWS)) + 1, "every step of plan and shards was tried"
    assert kept_at_once == set(range(usual_shards(DRAWS) + 1))


# ---- Ctrl-C ----------------------------------------------------------------------------------------------------------


def started(*arguments: str) -> "subprocess.Popen[str]":
    call = "import sys; sys.argv[0] = 'outboard'; from outboard.cli import main; sys.exit(main())"
    here = dict(os.environ, PYTHONPATH=str(ROOT / "src"))
    return subprocess.Popen([sys.executable, "-c", call, *arguments], env=here, stdout=subprocess.PIPE,
                            stderr=subprocess.PIPE, text=True)  # fmt: skip


def wait_for(folder: Path, pattern: str, process: "subprocess.Popen[str]") -> None:
    until = time.monotonic() + 60.0
    while not list(folder.glob(pattern)) and process.poll() is None and time.monotonic() < until:
        time.sleep(0.01)
    assert process.poll() is None, "still at work"


def test_words_after_an_interrupt_say_partial_and_how_far(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    process = started("verify", str(RAILWAY), "--draws", "100000", "--workers", "1", "--save", str(folder))
    wait_for(folder, "shard-*.json", process)
    process.send_signal(signal.SIGINT)
    words, errors = process.communicate(timeout=60)
    assert process.returncode == 130 and errors == ""
    assert "partial: " in words and "of 100 000 draws" in words and "of all units hold" in words


def test_a_shard_that_is_interrupted_is_not_kept(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    shard = ("--draws", "1000000", "--shard", "1/2", "--workers", "1", "--save", str(folder))
    process = started("draws", str(RAILWAY), *shard, "--json")
    wait_for(folder, PLAN, process)
    time.sleep(1.0)
    process.send_signal(signal.SIGINT)
    answer, _ = process.communicate(timeout=60)
    found = json.loads(answer)
    assert process.returncode == 130 and found["stopped"] is True and found["draws"] < found["wanted"]
    assert found["wanted"] == 1953 * BLOCK, "half of 3907 blocks"
    assert not list(folder.glob("shard-*.json"))


def test_a_second_interrupt_ends_all_in_one_line(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    process = started("verify", str(RAILWAY), "--draws", "100000", "--workers", "1", "--save", str(folder))
    wait_for(folder, "shard-*.json", process)
    process.send_signal(signal.SIGINT)
    time.sleep(0.002)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    assert process.returncode == 130 and errors.count("\n") <= 1 and "Traceback" not in errors


def test_stopped_before_the_first_unit_there_is_no_claim() -> None:
    """No yield, no quantile, and whether draws lie beyond the corners is undecided; the corners' verdict stays."""
    dossier = with_draws(opened(RAILWAY), Wish(1000), lambda done, wanted: None, lambda: True)
    draws, verdict = ran(dossier.draws), ran(dossier.verdict)
    assert draws.stopped and draws.draws == 0 and draws.yields == (0.0, 1.0)
    assert all(finding.missing == ("nothing was drawn",) and not finding.quantiles for finding in draws.findings)
    last = verdict.findings[-1]
    assert (last.verdict, last.missing) == (UNDECIDED, ("nothing was drawn",))
    assert verdict.verdict == UNDECIDED
