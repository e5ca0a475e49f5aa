"""Shards: runs that stop, are killed or go on, and the verbs that make and merge them."""

import contextlib
import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from drawn_units import RAILWAY, ROOT, lot_of, outboard, told
from hypothesis import settings

from outboard.checks.draw_run import run, together, usual_shards
from outboard.checks.shards import PLAN, Shards
from outboard.errors import WrongInput

# ---- shards ----------------------------------------------------------------------------------------------------------


def begun(folder: Path, draws: int = 1100, **plan: Any) -> Shards:
    content = {"inputs": "x", "draws": draws, "seed": 1, "method": "sobol", "shards": usual_shards(draws)} | plan
    return Shards.begun(folder, content | {"text": "", "file": "x"})


def test_a_run_that_is_stopped_goes_on_where_it_was(tmp_path: Path) -> None:
    found, draws = lot_of("model-railway"), 1100
    seen: list[int] = []
    first = run(found, draws, 1, lambda done, wanted: seen.append(done), lambda: len(seen) > 2, begun(tmp_path))
    assert first.stopped and 0 < first.drawn.draws < draws
    kept = {path.name: path.stat().st_mtime_ns for path in tmp_path.glob("shard-*.json")}
    assert kept
    second = run(found, draws, 2, kept=begun(tmp_path))
    assert not second.stopped and told(second.drawn) == told(run(found, draws, 1).drawn)
    assert all((tmp_path / name).stat().st_mtime_ns == when for name, when in kept.items())
    assert told(together(found, draws, begun(tmp_path)).drawn) == told(second.drawn)
    assert not list(tmp_path.glob(".*"))


def test_a_folder_of_something_else_is_refused(tmp_path: Path) -> None:
    begun(tmp_path)
    with pytest.raises(WrongInput, match="seed 1"):
        begun(tmp_path, seed=2)
    with pytest.raises(WrongInput, match="the design"):
        begun(tmp_path, inputs="y")
    found = begun(tmp_path)
    found.path(1).write_text("{}", encoding="utf-8")
    with pytest.raises(WrongInput, match="not a shard"):
        found.read(1)
    assert found.read(2) is None


def without_time(text: str) -> Any:
    found = json.loads(text)
    found["draws"].pop("seconds")
    found["conditions"].pop("seconds")
    return found


def started(*arguments: str, stderr: int | None = None) -> "subprocess.Popen[bytes]":
    call = "import sys; sys.argv[0] = 'outboard'; from outboard.cli import main; sys.exit(main())"
    here = dict(os.environ, PYTHONPATH=str(ROOT / "src"))
    return subprocess.Popen([sys.executable, "-c", call, *arguments], env=here, stdout=subprocess.PIPE, stderr=stderr)


def test_a_killed_run_loses_and_repeats_no_shard(tmp_path: Path) -> None:
    folder, draws = tmp_path / "kept", "12000"
    arguments = ("verify", str(RAILWAY), "--draws", draws, "--workers", "1", "--save", str(folder), "--json")
    kept: dict[str, int] = {}
    for least in (3, 8):
        process = started(*arguments)
        until = time.monotonic() + 60.0
        while len(list(folder.glob("shard-*.json"))) < least and process.poll() is None and time.monotonic() < until:
            time.sleep(0.01)
        assert process.poll() is None, "killed while it was at work"
        process.send_signal(signal.SIGKILL)
        process.communicate()
        there = {path.name: path.stat().st_ino for path in folder.glob("shard-*.json")}
        assert least <= len(there) < usual_shards(int(draws))
        assert kept.items() <= there.items(), "what was kept stays as it was"
        kept = there
    process = started(*arguments)
    resumed, _ = process.communicate(timeout=120)
    assert process.returncode == 0
    assert all((folder / name).stat().st_ino == number for name, number in kept.items())
    assert len(list(folder.glob("shard-*.json"))) == usual_shards(int(draws))
    uninterrupted = outboard("verify", str(RAILWAY), "--draws", draws, "--json")
    assert without_time(resumed.decode()) == without_time(uninterrupted.output)
    assert without_time(outboard("merge", str(folder), "--json").output) == without_time(uninterrupted.output)


def test_an_interrupted_run_gives_a_partial_verdict(tmp_path: Path) -> None:
    folder, draws = tmp_path / "kept", 100_000
    process = started("verify", str(RAILWAY), "--draws", str(draws), "--workers", "1", "--save", str(folder), "--json")
    until = time.monotonic() + 60.0
    while not list(folder.glob("shard-*.json")) and process.poll() is None and time.monotonic() < until:
        time.sleep(0.01)
    process.send_signal(signal.SIGINT)
    output, _ = process.communicate(timeout=60)
    assert process.returncode == 130
    found = json.loads(output)
    assert found["verdict"] == "PASS" and found["draws"]["partial"] is True
    assert 0 < found["draws"]["draws"] < draws == found["draws"]["wanted"]


def test_a_terminal_sees_how_far_it_is_and_nobody_else(tmp_path: Path) -> None:
    ours, theirs = os.openpty()
    shard = ("--draws", "3000", "--shard", "1/1", "--save", str(tmp_path), "--json")  # its answer is short
    process = started("draws", str(RAILWAY), *shard, stderr=theirs)
    os.close(theirs)
    seen = b""
    with contextlib.suppress(OSError):  # how a terminal says that the other side has gone
        while piece := os.read(ours, 65536):
            seen += piece
    output, _ = process.communicate(timeout=60)
    assert process.returncode == 0
    assert json.loads(output)["draws"] == 3000
    words = re.sub(rb"\x1b\[[0-9;?]*[A-Za-z]", b"", seen).decode()
    assert re.search(r"\d+ of 3000", words) and "a second" in words and re.search(r"\d:\d\d:\d\d", words)
    quiet = started("verify", str(RAILWAY), "--draws", "300", "--json", stderr=subprocess.PIPE)
    assert quiet.communicate(timeout=60)[1] == b""


# ---- the command line ------------------------------------------------------------------------------------------------


def test_shards_of_several_machines_make_the_same_verdict(tmp_path: Path) -> None:
    folder = str(tmp_path / "kept")
    for shard in ("2/3", "3/3"):
        done = outboard("draws", str(RAILWAY), "--draws", "700", "--shard", shard, "--save", folder, "--json")
        assert done.exit_code == 0 and json.loads(done.output)["stopped"] is False
    partial = outboard("merge", folder, "--json")
    assert partial.exit_code == 3 and json.loads(partial.output)["draws"]["partial"] is True
    assert outboard("draws", str(RAILWAY), "--draws", "700", "--shard", "1/3", "--save", folder).exit_code == 0
    whole = outboard("verify", str(RAILWAY), "--draws", "700", "--json")
    assert without_time(outboard("merge", folder, "--json").output) == without_time(whole.output)


def test_words_say_yield_likelihood_drivers_and_reach(tmp_path: Path) -> None:
    figure, reach = tmp_path / "margins.svg", tmp_path / "reach.svg"
    shown = outboard("verify", str(RAILWAY), "--draws", "300", "--figure", str(figure), "--reach", str(reach))
    assert shown.exit_code == 0
    for words in ("Drawn at random", "300 hold, 0 fail, 0 are open", "of all units hold", "what drives the margins",
                  "how far it holds", "no draw beyond the corners"):  # fmt: skip
        assert words in " ".join(shown.output.split())
    assert all(len(line) <= 80 for line in shown.output.splitlines())
    assert figure.read_text(encoding="utf-8").count("<title>") == 1
    assert reach.exists()
    alone = outboard("verify", str(RAILWAY), "--draws", "300")
    assert "how far it holds" not in alone.output, "a map takes long: it is made when asked for"


def test_one_draw_again_in_words_and_json() -> None:
    found = json.loads(outboard("draws", str(RAILWAY), "--number", "299", "--json").output)
    assert found["draw"] == 299 and 2.09 <= found["parts"]["R1"]["resistance"] <= 2.31
    many = json.loads(outboard("verify", str(RAILWAY), "--draws", "300", "--json").output)["draws"]
    for finding in many["findings"]:
        if finding["least"]["draw"] == 299:
            (own,) = (one for one in found["findings"]
                      if (one["requirement"], one["part"]) == (finding["requirement"], finding["part"]))  # fmt: skip
            assert own["worst"] == finding["least"]
    words = outboard("draws", str(RAILWAY), "--number", "299")
    assert words.exit_code == 0 and "draw 299" in words.output


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("verify", str(RAILWAY), "--save", "x"), "--save needs draws"),
        (("verify", str(RAILWAY), "--draws", "0"), "--draws"),
        (("verify", str(RAILWAY), "--draws", "10", "--sampling", "dice"), "sobol or latin or plain"),
        (("verify", str(RAILWAY), "--draws", "10", "--figure", "x.jpeg"), "svg"),
        (("draws", str(RAILWAY)), "--shard"),
        (("draws", str(RAILWAY), "--shard", "4/3"), "3/16"),
        (("merge", "nowhere-at-all"), PLAN),
    ],
)
def test_mistakes_are_told(arguments: tuple[str, ...], words: str) -> None:
    told_off = outboard(*arguments)
    assert told_off.exit_code == 2
    assert words in told_off.stderr


settings.register_profile("draws", deadline=None)
settings.load_profile("draws")
