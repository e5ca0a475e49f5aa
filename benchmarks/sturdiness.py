"""How sturdy the solver is: random stages, each under loads from nothing to past its limit.

    python benchmarks/sturdiness.py [--plain] [--beside] [--stages 2000] [--first 0] [--seed 1] [--loads 50]

Every lane is either solved, which is checked anew with NumPy and without the solver's own code, or it must be shown
to be without a solution: a junction past 500 °C, a solution outside the model's range, a fold, that is a load towards
which the smallest singular value of the jacobian goes to zero, or hunting: a balance that exists but grows away from
itself, or a course in time that never comes to rest.  What is left over is listed with the numbers that make it again.
The stages are invented and wild on purpose: many of them nobody would build.
"""

import argparse
import os
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, fields
from functools import partial
from multiprocessing import get_context

import numpy as np
from random_plain_stages import random_stage as random_plain_stage
from random_stages import random_stage
from recomputed import excess
from witnesses import cannot_last, reason

from outboard.network.circuit import Circuit, laid_out
from outboard.network.outcome import SOLVED, WORDS
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved

HANDFUL = 25
"""Stages that one worker takes at a time."""


def beside(circuit: Circuit, draws: Overrides) -> tuple[Block, int, list[int]]:
    """Three input voltages solved side by side; how many lanes differ from the same solved one by one, and which of
    these are no operating point.

    Where a circuit has two stable operating points the length of the steps may decide which one is found; a lane that
    is balanced and keeps still is then another one, and is only counted.
    """
    (slot, _), *_ = circuit.slots["input", "voltage"]
    corners = Overrides.column("input", "voltage", circuit.base[slot] * np.array([1.0, 0.97, 1.04]))
    together = solved(circuit, corners, draws, workers=1)
    closeness = excess(together).reshape(together.outcomes.shape)
    others, wrong = 0, []
    for row in range(len(corners)):
        alone = solved(circuit, corners.rows(slice(row, row + 1)), draws, workers=1)
        same = alone.outcomes[0] == together.outcomes[row]
        scale = 1e-6 * (1.0 + np.abs(alone.xs[0]))
        close = (np.abs(alone.xs[0] - together.xs[row]) <= scale).all(axis=1) | (alone.outcomes[0] != SOLVED)
        for point in np.flatnonzero(~(same & close)):
            others += 1
            lane = row * len(draws) + int(point)
            if together.outcomes[row, point] == SOLVED and (
                not closeness[row, point] <= 1.0 or cannot_last(together, lane)
            ):
                wrong.append(lane)
    return together, others, wrong


@dataclass
class Tally:
    """What came of all lanes."""

    outcomes: Counter[str] = field(default_factory=Counter)
    reasons: Counter[str] = field(default_factory=Counter)
    unexplained: list[str] = field(default_factory=list)
    beside: int = 0
    others: int = 0
    wrong: list[str] = field(default_factory=list)
    worst: float = 0.0
    jumps: int = 0
    iterations: float = 0.0
    seconds: float = 0.0

    def __iadd__(self, other: "Tally") -> "Tally":
        """Counts and lists put together."""
        for own in fields(self):
            mine, theirs = getattr(self, own.name), getattr(other, own.name)
            setattr(self, own.name, max(mine, theirs) if own.name == "worst" else mine + theirs)
        return self

    def add(self, block: Block, name: str) -> None:
        """Enters the lanes of one stage."""
        self.outcomes.update(WORDS[k] for k in block.outcomes.ravel())
        self.iterations += block.notes[0, :, 0].sum()
        self.jumps += int((block.notes[..., 2] * block.is_solved).sum())
        closeness, known = excess(block), {}
        for lane in range(block.outcomes.size):
            where = f"{name} lane {lane} ({block.sweep.values[lane, 0]:.4g} A)"
            if block.outcomes.ravel()[lane] != SOLVED:
                why = reason(block, lane, known)
                self.reasons[why] += 1
                if not why:
                    self.unexplained.append(f"{where}: {WORDS[block.outcomes.ravel()[lane]]}, nothing shows why")
                continue
            self.worst = max(self.worst, closeness[lane])
            if not closeness[lane] <= 1.0:
                self.unexplained.append(f"{where}: solved, but a balance is open {closeness[lane]:.3g} times too far")
            if cannot_last(block, lane):
                self.unexplained.append(f"{where}: solved, but a mode grows")


def tallied(numbers: range, seed: int, loads: int, plain: bool, side_by_side: bool) -> Tally:
    """What came of these stages."""
    tally = Tally()
    stage = random_plain_stage if plain else random_stage
    for number in numbers:
        parts, ambient, most = stage(seed, number)
        draws = Overrides.column("load", "draws", np.linspace(0.0, most, loads))
        circuit = laid_out(parts, ambient)
        start = time.perf_counter()
        block = solved(circuit, sweep=draws, workers=1)
        tally.seconds += time.perf_counter() - start
        tally.add(block, f"seed {seed} stage {number}")
        if side_by_side:
            together, others, wrong = beside(circuit, draws)
            tally.beside += together.outcomes.size
            tally.others += others
            tally.wrong += [f"seed {seed} stage {number} lane {lane} of those side by side" for lane in wrong]
    return tally


def main() -> int:
    """Solves the stages, prints the table, and returns 1 if a lane is left unexplained."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, usual in (("stages", 2000), ("first", 0), ("seed", 1), ("loads", 50), ("workers", os.cpu_count() or 1)):
        parser.add_argument(f"--{name}", type=int, default=usual)
    parser.add_argument("--beside", action="store_true", help="also solve three corners side by side and one by one")
    parser.add_argument("--plain", action="store_true", help="only bypass and compound stages, without options")
    chosen = parser.parse_args()
    last = chosen.first + chosen.stages
    handfuls = [range(k, min(k + HANDFUL, last)) for k in range(chosen.first, last, HANDFUL)]
    tally = Tally()
    with ProcessPoolExecutor(chosen.workers, get_context("spawn")) as pool:
        own = partial(tallied, seed=chosen.seed, loads=chosen.loads, plain=chosen.plain, side_by_side=chosen.beside)
        for number, part in enumerate(pool.map(own, handfuls), 1):
            tally += part
            print(f"{number} of {len(handfuls)} handfuls, {len(tally.unexplained)} lanes unexplained", file=sys.stderr)
            for line in part.unexplained:
                print(f"  {line}", file=sys.stderr)
            sys.stderr.flush()
    report(tally, chosen.stages * chosen.loads)
    return 1 if tally.unexplained or tally.wrong else 0


def report(tally: Tally, lanes: int) -> None:
    """Prints what was counted."""
    print(f"{lanes} lanes, {tally.seconds:.1f} s in the solver, {tally.iterations / lanes:.1f} iterations a lane")
    for word in WORDS:
        print(f"  {word:15s}{tally.outcomes[word]:8d}")
    print(f"of the solved ones {tally.jumps} were reached by settling past a fold or past an unstable point")
    print(f"worst residual, recomputed: {tally.worst:.2f} of 1e-12 plus eight roundings of the largest term")
    for why, lanes_of in tally.reasons.most_common():
        print(f"  {lanes_of:6d}  {why or 'unexplained'}")
    if tally.beside:
        print(
            f"{tally.beside} lanes side by side, {tally.others} found another operating point than one by one, ", end=""
        )
        print(f"{len(tally.wrong)} of these are no operating point")
        for line in tally.wrong[:50]:
            print(f"  {line}")
    print(f"unexplained: {len(tally.unexplained)}")
    for line in tally.unexplained[:200]:
        print(f"  {line}")


if __name__ == "__main__":
    sys.exit(main())
