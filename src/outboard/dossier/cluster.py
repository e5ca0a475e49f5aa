"""Draws on a cluster that is running already: its workers draw the shards, each from the text of the design file.

A shard that is lost with its worker is drawn again by another; the folder has each shard once, whoever drew it, so that
the whole is bit for bit what one machine of that kind would have drawn.  The package `distributed` is loaded here only.
"""

import json
import logging
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outboard.dossier.dossier import Dossier, opened_text
from outboard.dossier.draws import Wish, kept_in, lot_of_wish, plan_of
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:  # what a verb does not ask for is not loaded
    from distributed import Client, Future

    from outboard.checks.draw_run import Run, Stop, Watch
    from outboard.checks.draws import Lot
    from outboard.checks.shards import Shards

ANSWERS = 5
"""How long the cluster may take to answer, and then to name a worker [s]."""

REFUSED = "refused"


def drawn_by_cluster(
    dossier: Dossier, wish: Wish, watch: "Watch", stop: "Stop", folder: Path, address: str
) -> "Run":
    """All shards that a folder lacks, drawn by the workers of a cluster and kept there; WrongInput says what is wrong
    with the cluster."""
    from outboard.checks.draw_run import Run, blocks_of, draws_in, usual_shards
    from outboard.checks.drawn import Drawn, restored

    if find_spec("distributed") is None:
        what = "--dask: the package distributed is not installed"
        raise WrongInput([Mistake(what, "it beside Outboard", "pip install distributed", "--dask")])
    count = usual_shards(wish.draws)
    kept = kept_in(dossier, wish, folder, count)
    there = {number: found for number in range(1, count + 1) if (found := kept.read(number)) is not None}
    done = sum(found.draws for found in there.values())
    missing = [number for number in range(1, count + 1) if number not in there]
    watch(done, wish.draws)
    if missing:
        with _client(address) as client:
            for number, content in _results(client, plan_of(dossier, wish, count), missing, stop):
                there[number] = restored(content)
                kept.write(number, there[number])
                done += draws_in(blocks_of(wish.draws, number, count), wish.draws)
                watch(done, wish.draws)
    whole = Drawn.none(*_sizes(there, kept))
    for found in there.values():
        whole.merge(found)
    return Run(wish.draws, whole, whole.draws < wish.draws)


def _sizes(there: "dict[int, Any]", kept: "Shards") -> tuple[int, int]:
    """How many ways and checks the draws have; none where nothing was drawn."""
    return next(((found.ways, len(found.checks)) for found in there.values()), (0, 0))


@contextmanager
def _client(address: str) -> "Iterator[Client]":
    """A connection to the cluster; what is wrong with it becomes one mistake instead of many lines."""
    import dask
    from distributed import Client

    for name in [one for one in logging.root.manager.loggerDict if one.partition(".")[0] == "distributed"]:
        logging.getLogger(name).setLevel(logging.CRITICAL)
    with dask.config.set({"distributed.comm.timeouts.connect": f"{ANSWERS}s"}):
        try:
            client = Client(address, timeout=f"{ANSWERS}s", set_as_default=False)  # type: ignore[no-untyped-call]
        except (OSError, ValueError, TypeError) as error:
            reason = "" if isinstance(error, OSError) else f" ({str(error).splitlines()[0]})"
            what = f"--dask: no cluster answers at {address} within {ANSWERS} s{reason}"
            raise _mistake(what, "the address of a scheduler that is running", "--dask tcp://HOST:8786") from None
        try:
            try:
                client.wait_for_workers(1, timeout=ANSWERS)
            except TimeoutError:
                what = f"--dask: the cluster at {address} has no workers"
                raise _mistake(what, f"one that joins it within {ANSWERS} s", "") from None
            yield client
        finally:
            client.close(timeout=ANSWERS)  # type: ignore[no-untyped-call]


def _mistake(what: str, expected: str, write: str) -> WrongInput:
    return WrongInput([Mistake(what, expected, write, "--dask")])


def _results(
    client: "Client", plan: dict[str, Any], numbers: list[int], stop: "Stop"
) -> Iterator[tuple[int, dict[str, Any]]]:
    """Each shard once, with what its worker stored of it, in the order in which they come."""
    from outboard.checks.draw_run import LOOK

    name, text = f"outboard-{uuid.uuid4().hex}", json.dumps(plan, ensure_ascii=False)
    running: dict[Future[Any], int] = {
        client.submit(shard_by_plan, text, number, key=f"{name}-{number}", pure=False): number
        for number in numbers
    }
    while running and not stop():
        time.sleep(LOOK)  # the package's own waiting speaks to the wrong client where there are several
        for future in [one for one in running if one.done()]:  # type: ignore[no-untyped-call]
            yield running.pop(future), _content(future)
    client.cancel(list(running), force=True)  # type: ignore[no-untyped-call]


def _content(future: "Future[Any]") -> dict[str, Any]:
    """What a worker sent; WrongInput where the cluster could not."""
    if future.status == "cancelled" or future.status == "lost":
        raise _mistake("--dask: the cluster has gone", "the same command again: shards that are kept stay", "")
    try:
        content: dict[str, Any] = future.result()
    except Exception as error:
        first = (str(error).splitlines() or [""])[0]
        what = f"--dask: the cluster could not draw a shard ({type(error).__name__}: {first})"
        raise _mistake(what, "this version of Outboard on scheduler and workers, and workers that last", "") from error
    if REFUSED in content:
        raise _mistake(f"--dask: a worker refuses the design: {content[REFUSED]}",
                       "this version of Outboard and the person's own types on every worker", "")  # fmt: skip
    return content


def shard_by_plan(plan: str, number: int) -> dict[str, Any]:
    """What a worker does: the shard of that number, as an object that JSON keeps without loss."""
    from outboard.checks.draw_run import run
    from outboard.checks.drawn import stored

    draws = json.loads(plan)["draws"]
    try:
        lot = _lot_by_plan(plan)
    except WrongInput as refused:
        return {REFUSED: str(refused)}
    return stored(run(lot, draws, 1, only=number).drawn)


@lru_cache(maxsize=2)
def _lot_by_plan(plan: str) -> "Lot":
    """What a plan draws from; the corners are tried once in a worker, not for every shard."""
    content = json.loads(plan)
    dossier = opened_text(content["text"], content["file"])
    if dossier.inputs != content["inputs"]:
        raise WrongInput([Mistake("version, catalogue or own types are others than where the draws were begun")])
    return lot_of_wish(dossier, Wish(content["draws"], content["seed"], content["method"], 1, *content["narrowed"]))
