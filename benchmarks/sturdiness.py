"""How sturdy the solver is: random stages, each under loads from nothing to past its limit.

    python benchmarks/sturdiness.py [--plain] [--beside] [--stages 2000] [--first 0] [--seed 1] [--loads 50]

Every lane is either solved, which is checked anew with NumPy and without the solver's own code, or it must be shown
to be without a solution: a junction past 500 °C, a solution outside the model's range, a fold, that is a load towards
which the smallest singular value of the jacobian goes to zero, or hunting: a balance that exists but grows away from
itself, or a course in time that never comes to rest.  What is left over is listed with the numbers that make it again.
The stages are invented and wild on purpose: many of them nobody would build.
"""

import argparse
import sys
import time
from collections import Counter
from dataclasses import dataclass, field

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


def main() -> int:
    """Solves the stages, prints the table, and returns 1 if a lane is left unexplained."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, usual in (("stages", 2000), ("first", 0), ("seed", 1), ("loads", 50)):
        parser.add_argument(f"--{name}", type=int, default=usual)
    parser.add_argument("--beside", action="store_true", help="also solve three corners side by side and one by one")
    parser.add_argument("--plain", action="store_true", help="only bypass and compound stages, without options")
    chosen = parser.parse_args()
    stage = random_plain_stage if chosen.plain else random_stage
    tally = Tally()
    for number in range(chosen.first, chosen.first + chosen.stages):
        parts, ambient, most = stage(chosen.seed, number)
        draws = Overrides.column("load", "draws", np.linspace(0.0, most, chosen.loads))
        circuit = laid_out(parts, ambient)
        start = time.perf_counter()
        block = solved(circuit, sweep=draws, workers=1)
        tally.seconds += time.perf_counter() - start
        tally.add(block, f"seed {chosen.seed} stage {number}")
        if chosen.beside:
            together, others, wrong = beside(circuit, draws)
            tally.beside += together.outcomes.size
            tally.others += others
            tally.wrong += [f"seed {chosen.seed} stage {number} lane {lane} of those side by side" for lane in wrong]
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
