"""Very many draws: blocks on several threads, parts of the whole kept in a folder, stopped and taken up again.

The blocks are divided among shards.  A shard that is done is a file; a run that was killed goes on with the shards that
are not there yet.  The result is the same, bit for bit, with any number of threads, in one go or in many.
"""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass

from outboard.cases.sampling import BLOCK
from outboard.checks.drawn import Drawn
from outboard.checks.draws import Lot, drawn_block
from outboard.checks.shards import Shards

Watch = Callable[[int, int], None]
"""Told after every block: draws done, draws wanted."""

Stop = Callable[[], bool]
"""Asked between blocks whether somebody wants it to end."""

LOOK = 0.2
"""How often it is asked at the least [s]."""

AHEAD = 2
"""Blocks that are handed out for each thread, so that none waits."""


def unwatched(done: int, wanted: int) -> None:
    """Nobody looks on."""


def never() -> bool:
    """Nobody stops it."""
    return False


@dataclass(frozen=True, slots=True)
class Run:
    """What came of it: the draws that were wanted, those that were made, and whether somebody stopped it."""

    wanted: int
    drawn: Drawn
    stopped: bool


def blocks_of(draws: int, shard: int, shards: int) -> range:
    """The blocks of a shard, counted from 1; all shards together have every block once."""
    blocks = -(-draws // BLOCK)
    return range(blocks * (shard - 1) // shards, blocks * shard // shards)


def usual_shards(draws: int) -> int:
    """How many shards a run has unless a person says it: one for each block, 64 at most."""
    return min(64, max(1, -(-draws // BLOCK)))


def draws_in(blocks: Sequence[int], draws: int) -> int:
    """How many draws lie in some blocks."""
    return sum(min(BLOCK, draws - block * BLOCK) for block in blocks)


def run(
    lot: Lot, draws: int, workers: int, watch: Watch = unwatched, stop: Stop = never, kept: Shards | None = None,
    only: int | None = None,
) -> Run:  # fmt: skip
    """Draws, all shards or only one; what is kept already is read, what is new is kept.  `stop` ends it early."""
    count = kept.count if kept is not None else usual_shards(draws)
    whole = Drawn.none(len(lot.sampling.ways), len(lot.checks))
    numbers = range(1, count + 1) if only is None else (only,)
    wanted = sum(draws_in(blocks_of(draws, number, count), draws) for number in numbers)
    missing: list[int] = []
    for number in numbers:
        found = kept.read(number) if kept is not None else None
        if found is None:
            missing.append(number)
        else:
            whole.merge(found)
    watch(whole.draws, wanted)
    for number, piece in _done(lot, draws, workers, stop, {n: blocks_of(draws, n, count) for n in missing}, whole):
        if piece is None:
            watch(whole.draws, wanted)
        elif kept is not None:
            kept.write(number, piece)
    return Run(wanted, whole, whole.draws < wanted)


def together(lot: Lot, draws: int, kept: Shards) -> Run:
    """The shards that a folder has, merged; stopped where some are missing."""
    whole = Drawn.none(len(lot.sampling.ways), len(lot.checks))
    for number in range(1, kept.count + 1):
        found = kept.read(number)
        if found is not None:
            whole.merge(found)
    return Run(draws, whole, whole.draws < draws)


def _done(
    lot: Lot, draws: int, workers: int, stop: Stop, shards: dict[int, range], whole: Drawn
) -> Iterator[tuple[int, Drawn | None]]:
    """Solves the shards block by block: (shard, nothing) after every block, (shard, its draws) when one is complete.

    Every block goes into `whole` too as soon as it is done, so that nothing is lost to whoever stops in between.
    """
    left = {number: len(blocks) for number, blocks in shards.items()}
    pieces = {number: Drawn.none(whole.ways, len(whole.checks)) for number in shards}
    yield from ((number, piece) for number, piece in pieces.items() if not left[number])
    jobs = ((number, block) for number, blocks in shards.items() for block in blocks)
    running: dict[Future[Drawn], int] = {}
    pool = ThreadPoolExecutor(workers)
    try:
        while True:
            for number, block in jobs:
                running[pool.submit(drawn_block, lot, block, draws)] = number
                if len(running) >= AHEAD * workers:
                    break
            if not running or stop():
                return
            for future in wait(running, LOOK, FIRST_COMPLETED).done:
                number = running.pop(future)
                piece = future.result()
                whole.merge(piece)
                pieces[number].merge(piece)
                left[number] -= 1
                yield number, None
                if not left[number]:
                    yield number, pieces.pop(number)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
