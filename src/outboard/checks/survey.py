"""Makes the map of how far a design holds.

At the corners of the map and of the promise, at both ends of ambient, all combinations of tolerances are tried at a few
loads, and those that are worst for some requirement there, or left open, are kept; with these the whole map is made, at
the ends of ambient and its usual value.  Where there are too many combinations, those that were worst in the
verification stand for them, with all that differ from one of these on one axis.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.cases.corners import USUAL, Corners, every_choice
from outboard.checks.check import Check
from outboard.checks.draws import RELEASED, SETTLED, STARTED, undecidable
from outboard.checks.reach import Flags, Floats, Mapped, Reach
from outboard.checks.setting import Setting
from outboard.checks.tally import Tally
from outboard.checks.verification import Tried
from outboard.network.outcome import RUNAWAY
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import released, solved

Choices = NDArray[np.int8]

INSIDE, ASIDE, LOADS, LOADS_BEYOND = 9, 4, 21, 5
"""Places of the map: inputs within the promise and on either side of it, loads within and beyond."""

BEYOND = 0.25
"""How far the map goes beyond the promised most load and beyond the promised span of the input, as shares of them."""

LEAST_WIDER = 0.15
"""How far it goes beyond the input at the least, as a share of the input: a span of one value has no width [1]."""

MOST_WIDER = 0.5
"""How far it goes towards nothing at the most, as a share of the input nearest to it [1]."""

FEW_LOADS = 8
"""Loads at which all combinations are tried, from nothing to the most of the map."""

MANY = 1000
"""Combinations up to which all are tried (our own choice)."""


def reach(found: Tried) -> Reach | None:
    """The map of a design whose corners were tried; None without a load that draws or without an input."""
    setting = found.setting
    least, most = float(setting.loads[0]), float(setting.loads[-1])
    if not setting.load_fields or setting.input is None or most <= 0.0:
        return None
    low, high = min(setting.inputs), max(setting.inputs)
    survey = _Survey(setting, _inputs(setting.inputs), _loads(setting.loads), _candidates(found))
    ran_away = np.zeros((len(survey.inputs), len(survey.loads)), dtype=np.bool_)
    maps: list[Mapped] = []
    most_tried = 0
    for manner, tallies in ((SETTLED, found.steady), (RELEASED, found.after), (STARTED, found.starts)):
        checks = [tally.check for tally in tallies]
        if checks:
            chosen = survey.telling(checks, manner, _worst(tallies, setting))
            most_tried = max(most_tried, len(chosen))
            margins, runaway = survey.least(checks, manner, chosen)
            ran_away |= runaway
            trust = setting.design.brief.requirements.trust
            maps += [_mapped(tally, trust, own) for tally, own in zip(tallies, margins, strict=True)]
    combinations = most_tried, len(every_choice(setting.axes))
    return Reach(survey.inputs, survey.loads, (low, high), (least, most), tuple(maps), ran_away, combinations)


def _mapped(tally: Tally, trust: str, margins: Floats) -> Mapped:
    """A requirement's map; one that cannot be decided keeps no number but where its rating is exceeded for certain."""
    check = tally.check
    missing = undecidable(check, trust)
    if missing:
        only_silent = missing == (check.silent,)
        margins = np.where((margins < 0.0) & only_silent, margins, np.nan)
    way = abs(tally.worst.limit - check.rest) if tally.worst is not None else 0.0
    unit = "°C" if check.unit == "K" else check.unit
    return Mapped(check.requirement, check.part, check.alike, unit, way or 1.0, missing, margins)


def _inputs(promised: Sequence[float]) -> Floats:
    """Inputs inside and outside of the promised span, its ends and the usual one among them; all of one sign."""
    low, high = min(promised), max(promised)
    wider = max(BEYOND * (high - low), LEAST_WIDER * max(abs(low), abs(high)))
    down = min(wider, MOST_WIDER * low) if low > 0.0 else wider
    up = min(wider, -MOST_WIDER * high) if high < 0.0 else wider
    below = np.linspace(low - down, low, ASIDE, endpoint=False)
    above = np.linspace(high + up, high, ASIDE, endpoint=False)
    return np.unique(np.concatenate([below, np.linspace(low, high, INSIDE), above, promised]))


def _loads(tried: Floats) -> Floats:
    """The loads of the verification, and further ones evenly from least to beyond most."""
    least, most = float(tried[0]), float(tried[-1])
    beyond = most + most * BEYOND * np.arange(1, LOADS_BEYOND + 1) / LOADS_BEYOND
    return np.unique(np.concatenate([tried, np.linspace(least, most, LOADS), beyond]))


def _worst(tallies: Sequence[Tally], setting: Setting) -> set[tuple[int, ...]]:
    """Usual tolerances, and those that were worst for some requirement."""
    worst = (tally.worst.corners.choices[0].tolist() for tally in tallies if tally.worst is not None)
    return {(USUAL,) * len(setting.axes), *(tuple(choice) for choice in worst)}


def _candidates(found: Tried) -> Choices:
    """All combinations of tolerances, or of too many those that may be worst; see the module's words."""
    axes = found.setting.axes
    every = every_choice(axes)
    if len(every) <= MANY:
        return every
    worst = _worst((*found.steady, *found.after, *found.starts), found.setting)
    ends = [[o for o, option in enumerate(axis.options) if not option.second_look] for axis in axes]
    near = {(*row[:a], end, *row[a + 1 :]) for row in worst for a in range(len(axes)) for end in ends[a]}
    return np.array(sorted(worst | near), dtype=np.int8)


@dataclass(frozen=True)
class _Survey:
    """The grid, and the combinations of tolerances that may be worst somewhere on it."""

    setting: Setting
    inputs: Floats
    loads: Floats
    candidates: Choices

    def telling(self, checks: Sequence[Check], manner: str, worst: set[tuple[int, ...]]) -> Choices:
        """Those of the candidates that are worst or open for some check at some coarse place, besides the worst."""
        setting, most = self.setting, float(self.setting.loads[-1])
        wanted = np.linspace(self.loads[0], self.loads[-1], FEW_LOADS)
        if manner == STARTED:  # hardest into much; raising the sources anew for each load takes its time
            wanted = np.array([most, self.loads[-1]])
        few = np.unique(np.abs(self.loads[:, None] - wanted).argmin(axis=0))
        ends = (self.inputs[0], min(setting.inputs), max(setting.inputs), self.inputs[-1])
        chosen: set[int] = set()
        for voltage in sorted(set(ends)):
            for ambient in sorted({self._ambients[0], self._ambients[-1]}):
                rows = setting.corners(self.candidates, [(voltage, ambient)])
                margins, _ = _margins(setting, checks, manner, rows, self.loads[few])
                opened = np.isnan(margins)
                chosen |= set(np.where(opened, np.inf, margins).argmin(axis=1).ravel().tolist())
                chosen |= set(opened.argmax(axis=1)[opened.any(axis=1)].tolist())
        found = worst | {tuple(choice) for choice in self.candidates[sorted(chosen)].tolist()}
        return np.array(sorted(found), dtype=np.int8)

    def least(self, checks: Sequence[Check], manner: str, choices: Choices) -> tuple[Floats, Flags]:
        """Least margins of the whole map [check, input, load], and where some unit runs away [input, load]."""
        found, away = [], []
        for voltage in self.inputs.tolist():
            rows = self.setting.corners(choices, [(voltage, ambient) for ambient in self._ambients])
            margins, runaway = _margins(self.setting, checks, manner, rows, self.loads)
            opened = np.isnan(margins)
            least = np.where(opened, np.inf, margins).min(axis=1)
            found.append(np.where((least < 0.0) | ~opened.any(axis=1), least, np.nan))
            away.append(runaway.any(axis=0))
        return np.stack(found, axis=1), np.array(away)

    @property
    def _ambients(self) -> list[float]:
        return sorted(set(self.setting.ambients))


def _margins(
    setting: Setting, checks: Sequence[Check], manner: str, rows: Corners, loads: Floats
) -> tuple[Floats, Flags]:
    """Margins [check, row, load], not a number where a lane is open, and where it runs away [row, load].

    Released: from each load to the least, junctions still hot.  Started: from nothing into each load.
    """
    block = solved(setting.circuit, rows.overrides, setting.sweep(loads), raise_each=manner == STARTED)
    runaway = np.asarray(block.outcomes == RUNAWAY)
    if manner != RELEASED:
        return np.stack([_judged(check, block, block.is_solved) for check in checks]), runaway
    each = Overrides(rows.overrides.fields, np.repeat(rows.overrides.values, len(loads), axis=0))
    before = Overrides.column("load", "draws", np.tile(loads, len(rows)))
    after = Overrides.column("load", "draws", np.full(len(each), loads[0]))
    let_go = released(setting.circuit, each, before, after, block.xs.reshape(len(each), -1))
    usable = block.is_solved & let_go.is_solved.reshape(runaway.shape)
    # reshaped, since a release is a row of its own for every load
    return np.stack([_judged(check, let_go, usable.reshape(-1, 1)).reshape(runaway.shape) for check in checks]), runaway


def _judged(check: Check, block: Block, usable: Flags) -> Floats:
    margins = check.margins(block)[2]
    return np.where(usable & np.isfinite(margins), margins, np.nan)
