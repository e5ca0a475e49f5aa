"""How many random units lie outside of what `verify` and `verify --extremes` bound, design by design.

    python benchmarks/draws.py [--draws 1000000] [--designs 20] [--workers 2] [--seed 1]

The draws are shared out among the examples and invented variants of them; all spreads are uniform, which reaches the
ends of the box more often than the bells that `verify` assumes. The corners take parts that are alike together and
are no strict bound for parts that differ one by one; what is held to be one are the extremes. Exit code 1 when a
draw lies outside of these.

A million draws over 20 designs take 10 to 20 minutes on two cores; a line on stderr says every ten seconds how far it
is, so that it may run in the background:

    python benchmarks/draws.py > draws.txt 2> draws-progress.txt &
"""

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from varied_examples import texts

from outboard.checks.draw_run import run
from outboard.checks.drawn import CheckDraws
from outboard.checks.draws import BEYOND, Lot
from outboard.checks.rungs import edge_of
from outboard.dossier import opened_text, ran
from outboard.dossier.draws import Wish, lot_of_wish, with_extremes

EVERY = 10.0
"""Between two words on how far it is [s]."""


@dataclass(frozen=True)
class Against(Lot):
    """Draws held against other margins than the corners'; −∞ where there is none."""

    margins: tuple[float, ...]

    @cached_property
    def bounds(self) -> tuple[float, ...]:
        """The margins, less what rounding may do."""
        return tuple(
            margin - BEYOND * max(abs(margin), abs(tally.worst.limit - tally.check.rest) if tally.worst else 0.0)
            for margin, tally in zip(self.margins, self.tallies, strict=True)
        )


def against_extremes(text: str, name: str, seed: int) -> tuple[Lot, Against]:
    """Draws of a design held against its corners, and the same held against its extremes."""
    dossier = opened_text(text, name)
    corners = lot_of_wish(dossier, Wish(1, seed))
    found = {finding.title: finding.margin for finding in ran(with_extremes(dossier).verdict).findings}
    margins = (found.get(check.title) for check in corners.checks)
    kept = tuple(float("-inf") if margin is None else margin for margin in margins)
    return corners, Against(corners.corners, corners.sampling, kept)


def certainly_below(kept: CheckDraws, bound: float) -> int:
    """How many margins lie on rungs that end below a bound."""
    return sum(count for rung, count in kept.ladder.counts.items() if edge_of(rung + 1) <= bound)


def watcher(name: str, place: str) -> Callable[[int, int], None]:
    """A word every so often."""
    began = last = time.perf_counter()

    def watch(done: int, wanted: int) -> None:
        nonlocal last
        now = time.perf_counter()
        if now - last >= EVERY:
            last = now
            rate = done / (now - began)
            print(f"{place} {name}: {done} of {wanted}, {rate:.0f}/s", file=sys.stderr, flush=True)

    return watch


def one(text: str, name: str, draws: int, seed: int, workers: int, place: str) -> tuple[int, int]:
    """Draws of one design; prints its row and what lies outside. Draws made, and how many margins lie outside."""
    began = time.perf_counter()
    corners, found = against_extremes(text, name, seed)
    looked = time.perf_counter() - began
    drawn = run(found, draws, workers, watcher(name, place)).drawn
    seconds = time.perf_counter() - began - looked
    beyond = sum(check.outside for check in drawn.checks)
    pairs = list(zip(found.checks, corners.bounds, found.bounds, drawn.checks, strict=True))
    beyond_corners = sum(certainly_below(kept, bound) for _, bound, _, kept in pairs)
    unbounded = sum(bound == float("-inf") for bound in found.bounds)
    print(f"{name:36s}{seed:6d}{drawn.draws:9d}{drawn.points:12d}{looked:8.1f}{seconds:8.1f}{drawn.open:7d}"
          f"{unbounded:7d}{beyond_corners:9d}{beyond:10d}", flush=True)  # fmt: skip
    for check, corner, bound, kept in pairs:
        if kept.outside and kept.least is not None:
            print(f"    {check.title}: {kept.outside} below {bound:.6g} (corners {corner:.6g}), least "
                  f"{kept.least.margin:.6g} (draw {kept.least.draw})", flush=True)  # fmt: skip
    return drawn.draws, beyond


def main() -> int:
    """Prints a row for every design, and how many margins lay outside in all."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--draws", type=int, default=1_000_000)
    options.add_argument("--designs", type=int, default=20)
    options.add_argument("--workers", type=int, default=2)
    options.add_argument("--seed", type=int, default=1)
    given = options.parse_args()
    print(f"{'':36s}{'seed':>6s}{'draws':>9s}{'points':>12s}{'found s':>8s}{'drawn s':>8s}{'open':>7s}{'no end':>7s}"
          f"{'corners':>9s}{'extremes':>10s}", flush=True)  # fmt: skip
    chosen = texts(given.designs)
    made = outside = 0
    for number, (name, text) in enumerate(chosen.items()):
        place = f"{number + 1}/{len(chosen)}"
        share = given.draws * (number + 1) // len(chosen) - given.draws * number // len(chosen)
        draws, beyond = one(text, name, share, given.seed + number, given.workers, place)
        made, outside = made + draws, outside + beyond
    print(f"{made} draws of {len(chosen)} designs: {outside} margins outside of the extremes")
    return 1 if outside else 0


if __name__ == "__main__":
    sys.exit(main())
