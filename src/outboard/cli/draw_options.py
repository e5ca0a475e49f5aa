"""Options of the verbs that draw at random, and what a person sees while they do."""

import os
import re
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TYPE_CHECKING, Any

import click

from outboard.cli.options import Verb, whole
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.checks.draw_run import Stop, Watch
    from outboard.dossier.draws import Wish

METHODS = ("sobol", "latin", "plain")
MOST = 100_000_000
"""Draws at the most; it would take a day."""

MOST_SEED = 999_999_999


def _method(ctx: click.Context, param: click.Parameter, value: str) -> str:
    if value not in METHODS:
        raise WrongInput([Mistake(f"--sampling: there is no “{value}”", " or ".join(METHODS), "--sampling sobol",
                                  "--sampling")])  # fmt: skip
    return value


def cores() -> int:
    """Threads unless a person says it: as many as this process may use at once."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def drawing_options(verb: Verb) -> Verb:
    """--seed, --sampling, --workers and --save."""
    save = click.option("--save", "folder", metavar="FOLDER",
                        help="Keep the draws there, shard by shard; a run that was ended goes on there.")  # fmt: skip
    workers = click.option("--workers", callback=whole(1, 256), default=str(cores()), metavar="NUMBER",
                           help="Threads; as many as there are cores unless said. The result is the same.")  # fmt: skip
    method = click.option("--sampling", callback=_method, default="sobol", metavar="METHOD",
                          help="sobol (points of Sobol', evenly spread), latin (hypercubes) or plain.")  # fmt: skip
    seed = click.option("--seed", callback=whole(0, MOST_SEED), default="1", metavar="NUMBER",
                        help="Where chance begins; 1 unless said.")  # fmt: skip
    return seed(method(workers(save(verb))))


def number_of_draws(ctx: click.Context, param: click.Parameter, value: str | None) -> int | None:
    """A number of draws, or none."""
    return None if value is None else int(whole(1, MOST)(ctx, param, value))


def check_options(draws: int | None, extremes: bool, folder: str | None) -> None:
    """What goes only with --draws, and what not."""
    if extremes and draws is not None:
        raise WrongInput([Mistake("--extremes and --draws at once", "one of them", "two runs", "--extremes")])
    if extremes and folder is not None:
        what = "--extremes draws no units that --save could keep"
        raise WrongInput([Mistake(what, "no --save; --json keeps all that is found", "--extremes --json", "--save")])
    if folder is not None and draws is None:
        write = f"--draws 10000 --save {folder}"
        raise WrongInput([Mistake("--save needs draws", "a number of them", write, "--save")])


def wished(draws: int, options: dict[str, Any], mapped: bool = False) -> "Wish":
    """What the options ask for."""
    from outboard.dossier.draws import Wish

    return Wish(
        draws, options["seed"], options["sampling"], options["workers"], options.get("input_voltage"),
        options.get("load"), options.get("ambient"), mapped,
    )  # fmt: skip


def shard_of(ctx: click.Context, param: click.Parameter, value: str | None) -> tuple[int, int] | None:
    """ "3/16" as (3, 16)."""
    if value is None:
        return None
    found = re.fullmatch(r"(\d{1,3})/(\d{1,3})", value, re.ASCII)
    if found is None or not 1 <= int(found[1]) <= int(found[2]):
        raise WrongInput([Mistake(f"--shard: “{value}” does not do", "which of how many, such as 3/16", "--shard 3/16",
                                  "--shard")])  # fmt: skip
    return int(found[1]), int(found[2])


@contextmanager
def stopped_by_hand() -> Iterator["Stop"]:
    """Ctrl-C once ends the draws after the blocks at hand and keeps what was found; a second time it ends all."""
    asked = False
    before = signal.getsignal(signal.SIGINT)

    def ask(number: int, frame: FrameType | None) -> None:
        nonlocal asked
        asked = True
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, ask)
    try:
        yield lambda: asked
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def progress(quiet: bool) -> Iterator["Watch"]:
    """A bar with rate and time left on stderr, where that is a terminal; else nothing."""
    if quiet or not sys.stderr.isatty():
        yield lambda done, wanted: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("draws"), BarColumn(30), TextColumn("{task.fields[done]}"), TextColumn("{task.fields[rate]}"),
        TimeRemainingColumn(),
    )  # fmt: skip
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("draws", total=None, done="corners first", rate="")
        yield _watcher(bar, task)


def _watcher(bar: Any, task: Any) -> Callable[[int, int], None]:
    def watch(done: int, wanted: int) -> None:
        speed = bar.tasks[task].speed
        rate = f"{speed:.0f} a second" if speed else ""
        bar.update(task, completed=done, total=wanted, done=f"{done} of {wanted}", rate=rate)

    return watch
