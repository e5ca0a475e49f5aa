"""Lanes picked out of all that were tried, solved again with other thermal resistances or another ambient.

What was worst for any check is a lane: a corner of tolerances at one input, ambient and load.  A search moves a number
in all lanes at once and asks where the least margin turns.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.cases.corners import Corners, one_below_the_other
from outboard.checks.check import Check
from outboard.checks.setting import Setting
from outboard.checks.tally import Tally
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved

Floats = NDArray[np.float64]
Addresses = Sequence[tuple[str, str]]

STEPS = 9
"""Values tried between two ends of a bracket at once."""

CLOSE = 1e-4
"""A bracket is narrow enough when its ends differ by so little of the upper one."""

ROUNDS = 12


@dataclass(frozen=True)
class Lanes:
    """Some lanes of a setting, one below the other; every one a corner with a load [A]."""

    setting: Setting
    corners: Corners
    loads: Floats

    @classmethod
    def of(cls, setting: Setting, tallies: Iterable[Tally]) -> "Lanes | None":
        """The worst lanes of tallies, each once; None where there is none."""
        found = {}
        for worst in (tally.worst for tally in tallies):
            if worst is not None:
                row = worst.corners
                key = (row.choices.tobytes(), float(row.inputs[0]), float(row.ambients[0]), worst.load)
                found[key] = (row, worst.load or 0.0)
        if not found:
            return None
        return cls(setting, one_below_the_other([row for row, _ in found.values()]),
                   np.array([load for _, load in found.values()]))  # fmt: skip

    def and_also(self, other: "Lanes | None") -> "Lanes":
        """These and others."""
        if other is None:
            return self
        return Lanes(self.setting, one_below_the_other([self.corners, other.corners]),
                     np.concatenate([self.loads, other.loads]))  # fmt: skip

    def solved(self, addresses: Addresses = (), values: Floats | None = None, warmer: Floats | None = None) -> Block:
        """All lanes for each row of values [trial, address], trial after trial; `warmer` [trial] is added to ambient.

        Each is raised from nothing, as a supply comes up.
        """
        trials = next((len(moved) for moved in (values, warmer) if moved is not None), 1)
        rows = np.tile(np.arange(len(self.corners)), trials)
        corners = self.corners.rows(rows)
        if warmer is not None:
            ambients = corners.ambients + np.repeat(warmer, len(self.corners))
            corners = Corners(corners.axes, corners.choices, corners.inputs, ambients, corners.usual, corners.input)
        plain = corners.overrides
        fields, columns = list(plain.fields), [plain.values]
        if self.setting.load_fields:
            fields += self.setting.load_fields
            columns.append(np.tile(self.loads, trials)[:, None])
        if values is not None:
            fields += addresses
            columns.append(np.repeat(values, len(self.corners), axis=0))
        return solved(self.setting.circuit, Overrides(tuple(fields), np.hstack(columns)))


def least_margins(block: Block, checks: Sequence[Check], trials: int) -> Floats:
    """The least margin of any check in any lane, for each trial; below nothing where a lane has no solution."""
    margins = np.array([check.margins(block)[2][:, 0] for check in checks])
    margins = np.where(np.isfinite(margins), margins, np.inf).min(axis=0, initial=np.inf)
    margins = np.where(block.is_solved[:, 0], margins, -np.inf)
    return np.asarray(margins.reshape(trials, -1).min(axis=1))


def largest(holds: Callable[[Floats], NDArray[np.bool_]], low: float, high: float) -> float | None:
    """The largest value between two others up to which something holds; None where it does not even at the low end.

    `high` where it holds everywhere.  What holds must hold for everything below: the first that fails ends it.
    """
    for _ in range(ROUNDS):
        tried = np.geomspace(low, high, STEPS)
        good = holds(tried)
        if not good[0]:
            return None
        if good.all():
            return high
        first = int(np.argmin(good))
        low, high = float(tried[first - 1]), float(tried[first])
        if high - low <= CLOSE * high:
            break
    return low
