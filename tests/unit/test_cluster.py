"""Draws on a cluster: a worker is killed in mid-run, a run is stopped and goes on; nothing is lost, nothing twice."""

import json
import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from outboard.arrangements import designed
from outboard.brief import read
from outboard.checks.draw_run import run, usual_shards
from outboard.checks.drawn import stored
from outboard.checks.draws import lot
from outboard.cli.program import program
from outboard.dossier import cluster, opened
from outboard.dossier.draws import Wish
from outboard.errors import WrongInput

distributed = pytest.importorskip("distributed", reason="the package distributed, for clusters, is not installed")

ROOT = Path(__file__).resolve().parents[2]
RAILWAY = ROOT / "examples" / "model-railway.toml"
DRAWS = 4000


@pytest.fixture
def two_workers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """Two processes with one thread each, made anew by their nanny when they die."""
    monkeypatch.setenv("PYTHONPATH", str(ROOT / "src"))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, local_directory=str(tmp_path / "scratch")
    ) as local, distributed.Client(local) as client:  # fmt: skip
        yield client


def test_a_killed_worker_loses_and_repeats_no_shard(two_workers: Any, tmp_path: Path) -> None:
    """Stopped after a few shards, gone on with, a worker killed at work: bit for bit what one process draws."""
    address, folder, wish = two_workers.scheduler.address, tmp_path / "kept", Wish(DRAWS)
    seen: list[int] = []
    first = cluster.drawn_by_cluster(
        opened(RAILWAY), wish, lambda done, wanted: seen.append(done), lambda: len(seen) > 3, folder, address
    )
    assert first.stopped and 0 < first.drawn.draws < DRAWS
    kept = {path.name: path.stat().st_ino for path in folder.glob("shard-*.json")}
    assert kept
    killed: list[int] = []

    def kill_one(done: int, wanted: int) -> None:
        """Once it has begun: one of the workers that have a shard in hand, without a word."""
        at_work = {worker: keys for worker, keys in two_workers.processing().items() if keys}
        if done > first.drawn.draws and not killed and at_work:
            killed.append(two_workers.run(os.getpid, workers=[next(iter(at_work))])[next(iter(at_work))])
            os.kill(killed[0], signal.SIGKILL)

    second = cluster.drawn_by_cluster(opened(RAILWAY), wish, kill_one, lambda: False, folder, address)
    assert killed and killed[0] != os.getpid()
    assert second.drawn.draws == DRAWS and not second.stopped
    assert len(list(folder.glob("shard-*.json"))) == usual_shards(DRAWS)
    assert all((folder / name).stat().st_ino == number for name, number in kept.items()), "what was kept stays"
    alone = run(lot(designed(read(RAILWAY)), seed=1), DRAWS, 2).drawn
    assert json.dumps(stored(second.drawn)) == json.dumps(stored(alone))


def test_a_worker_refuses_what_it_reads_otherwise() -> None:
    dossier = opened(RAILWAY)
    plan = cluster.plan_of(dossier, Wish(256), 1) | {"inputs": "of another version"}
    assert "version" in cluster.shard_by_plan(json.dumps(plan), 1)[cluster.REFUSED]


def test_a_cluster_that_does_not_answer_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "ANSWERS", 1)
    for address in ("tcp://127.0.0.1:9", "nonsense"):
        with pytest.raises(WrongInput, match=f"no cluster answers at {address}"):
            cluster.drawn_by_cluster(opened(RAILWAY), Wish(256), lambda *_: None, lambda: False, tmp_path, address)


def test_a_cluster_without_workers_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "ANSWERS", 1)
    with (
        distributed.LocalCluster(n_workers=0, processes=False, dashboard_address=None) as local,
        pytest.raises(WrongInput, match="has no workers"),
    ):
        cluster.drawn_by_cluster(
            opened(RAILWAY), Wish(256), lambda *_: None, lambda: False, tmp_path, local.scheduler_address
        )


def test_without_the_package_it_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "find_spec", lambda name: None)
    with pytest.raises(WrongInput, match="distributed is not installed"):
        cluster.drawn_by_cluster(opened(RAILWAY), Wish(256), lambda *_: None, lambda: False, tmp_path, "tcp://x:1")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--dask", "tcp://x:1"), "draws needs --draws, --save"),
        (("--dask", "tcp://x:1", "--draws", "10", "--save", "x", "--shard", "1/2"), "--shard and --dask at once"),
    ],
)
def test_mistakes_are_told(arguments: tuple[str, ...], words: str) -> None:
    told_off = CliRunner().invoke(program, ["draws", str(RAILWAY), *arguments])
    assert told_off.exit_code == 2 and words in told_off.stderr
