"""Which corners a variant is tried at when a design has too many of them: the worst ones and their neighbours.

On four designs of 769 combinations these corners gave every variant the same verdict and every part the same word as
all corners do, but changes of a margin differed by up to 27 % of the way to its limit: such figures are rough.
"""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from outboard.cases.axes import Axis
from outboard.cases.corners import USUAL, every_choice
from outboard.checks.verification import Tried

MANY = 1000
"""Combinations of tolerances up to which every variant is tried at all of them (our own choice)."""


def corners_to_try(found: Tried) -> Callable[[Sequence[Axis]], NDArray[np.int8]]:
    """The choice of corners for variants of a design that was tried.

    All of them up to `MANY`.  Beyond, those that were worst for any check and those that differ from one of these
    on one axis; so an axis that only the variant has is tried at its ends beside each of them.
    """
    if not is_thinned(found):
        return every_choice
    worst = [
        {axis.name: _word(axis, int(choice)) for axis, choice in
         zip(found.setting.axes, tally.worst.corners.choices[0], strict=True)}
        for tally in (*found.steady, *found.after, *found.starts) if tally.worst is not None
    ]  # fmt: skip

    def chosen(axes: Sequence[Axis]) -> NDArray[np.int8]:
        usual = (USUAL,) * len(axes)
        starts = {usual} | {tuple(_option(axis, words.get(axis.name, "")) for axis in axes) for words in worst}
        rows = set(starts)
        for row in starts:
            for a, axis in enumerate(axes):
                ends = (o for o, option in enumerate(axis.options) if not option.second_look)
                rows |= {(*row[:a], end, *row[a + 1 :]) for end in ends}
        return np.array(sorted(rows), dtype=np.int8).reshape(len(rows), len(axes))

    return chosen


def is_thinned(found: Tried) -> bool:
    """Whether variants are tried at some of the corners only."""
    return len(every_choice(found.setting.axes)) > MANY


def _word(axis: Axis, choice: int) -> str:
    return "" if choice == USUAL else axis.options[choice].word


def _option(axis: Axis, word: str) -> int:
    return next((o for o, option in enumerate(axis.options) if option.word == word), USUAL)
