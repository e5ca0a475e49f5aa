"""How far a design holds: every requirement over load × input, within what was promised and somewhat beyond.

The usual unit and every choice of tolerances that was worst for some requirement are solved on a grid; a place on the
map has the least margin of them all, at the worse end of ambient.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from outboard.cases.corners import USUAL
from outboard.checks.verification import Tried
from outboard.network.solve import solved

Floats = NDArray[np.float64]

INPUTS, LOADS = 13, 26
"""Places of the map in each direction."""

BEYOND = 0.25
"""How far the map goes beyond the promised most load and beyond the promised span of the input, as shares of them."""

LEAST_WIDER = 0.15
"""How far it goes beyond the input at the least, as a share of the input: a span of one value has no width [1]."""


@dataclass(frozen=True)
class Reach:
    """Margins by requirement on a grid [input, load]; not a number where a unit has no solution or no limit is known.

    requirements   (requirement, part) in the order of `margins` [requirement, input, load]
    alike          for each of them all parts that it stands for, where there are several
    """

    inputs: Floats
    loads: Floats
    promised_inputs: tuple[float, float]
    promised_load: tuple[float, float]
    requirements: tuple[tuple[str, str | None], ...]
    alike: tuple[tuple[str, ...], ...]
    margins: Floats

    def holds(self, number: int) -> NDArray[np.bool_]:
        """Where a requirement holds [input, load]; an open place does not."""
        return np.asarray(self.margins[number] >= 0.0)

    def most_load(self, number: int) -> float | None:
        """Largest load up to which it holds at every promised input; None where it holds at none."""
        low, high = self.promised_inputs
        inside = (self.inputs >= low) & (self.inputs <= high)
        return _reached(self.loads, np.asarray(self.holds(number)[inside].all(axis=0)))

    def input_span(self, number: int) -> tuple[float, float] | None:
        """Inputs around the promised ones at which it holds at every promised load; None where it does not."""
        low, high = self.promised_load
        inside = (self.loads >= low) & (self.loads <= high)
        good = np.asarray(self.holds(number)[:, inside].all(axis=1))
        start = int(np.argmin(np.abs(self.inputs - self.promised_inputs[0])))
        if not good[start]:
            return None
        first = last = start
        while first > 0 and good[first - 1]:
            first -= 1
        while last + 1 < len(good) and good[last + 1]:
            last += 1
        return float(self.inputs[first]), float(self.inputs[last])


def _reached(places: Floats, good: NDArray[np.bool_]) -> float | None:
    """The last place up to which all is good."""
    count = len(good) if good.all() else int(np.argmin(good))
    return float(places[count - 1]) if count else None


def reach(found: Tried) -> Reach | None:
    """The map of a design whose corners were tried; None without a load that draws or without an input."""
    setting = found.setting
    if not setting.load_fields or setting.input is None:
        return None
    tallies = (*found.steady, *found.after, *found.starts)
    worst = {tuple(tally.worst.corners.choices[0]) for tally in tallies if tally.worst}
    chosen = np.array(sorted({(USUAL,) * len(setting.axes), *worst}), dtype=np.int8)
    low, high = min(setting.inputs), max(setting.inputs)
    inputs = _widened(low, high)
    loads = _loads(float(setting.loads[0]), float(setting.loads[-1]))
    ambients = sorted({min(setting.ambients), max(setting.ambients)})
    rows = setting.corners(chosen, list(product(inputs.tolist(), ambients)))
    block = solved(setting.circuit, rows.overrides, setting.sweep(loads))
    maps = []
    for tally in found.steady:
        _, _, margins = tally.check.margins(block)
        margins = np.where(block.is_solved & np.isfinite(margins), margins, np.nan)
        maps.append(margins.reshape(len(inputs), -1, len(loads)).min(axis=1))
    names = tuple((tally.check.requirement, tally.check.part) for tally in found.steady)
    ends = (float(setting.loads[0]), float(setting.loads[-1]))
    alike = tuple(tally.check.alike for tally in found.steady)
    return Reach(inputs, loads, (low, high), ends, names, alike, np.array(maps))


def _widened(low: float, high: float) -> Floats:
    """Inputs inside and outside of the promised span, its ends among them."""
    aside = max(BEYOND * (high - low), LEAST_WIDER * abs(low))
    third = INPUTS // 3
    inside = np.linspace(low, high, INPUTS - 2 * third)
    below, above = np.linspace(low - aside, low, third, endpoint=False), np.linspace(high, high + aside, third + 1)[1:]
    return np.unique(np.concatenate([below, inside, above]))


def _loads(least: float, most: float) -> Floats:
    """Loads from least to beyond most, most among them."""
    inside = np.linspace(least, most, round(LOADS / (1.0 + BEYOND)) + 1)
    step = max(most - least, most) * BEYOND / 5.0
    return np.unique(np.concatenate([inside, most + step * np.arange(1, 6)]))
