"""Which corners a variant is tried at: first those that were worst for the design as it is.

A variant that breaks something there is broken, whatever the others say; more corners could only show by how much.
So it is looked at once more with each axis in turn at its ends beside these.  Where points have no solution, or the
design has more than `MANY` combinations, that is left out.  A variant that holds is tried at all combinations, beyond
`MANY` at those that were worst and beside them.

Against all combinations, on designs that have 385 and 769 of them: every variant had the same verdict, broke the same
requirements and had the same largest change.  Its size differed by up to 3 % where points have no solution and by
less than 0.5 % elsewhere; changes further down the list by up to four fifths and up to 2 %.
"""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from outboard.cases.axes import Axis
from outboard.cases.corners import USUAL, every_choice
from outboard.checks.verification import Choices, Tried

MANY = 1000
"""Combinations of tolerances up to which a variant that holds is tried at all of them (our own choice)."""

Words = Mapping[str, tuple[str, tuple[str, ...]]]
"""axis -> word of its option, parts that it moves."""

Rows = NDArray[np.int8]


def at_worst(found: Tried) -> Choices:
    """The usual unit and the choices that were worst for any check of a design that was tried."""
    worst = list(_worst(found))

    def chosen(axes: Sequence[Axis]) -> Rows:
        return _table(_starts(axes, worst), axes)

    return chosen


def beside_worst(found: Tried) -> Choices:
    """Those, and what differs from one of them on one axis: an axis that only the variant has is tried at its ends."""
    worst = list(_worst(found))

    def chosen(axes: Sequence[Axis]) -> Rows:
        starts = _starts(axes, worst)
        rows = set(starts)
        for row in starts:
            for a, axis in enumerate(axes):
                ends = (o for o, option in enumerate(axis.options) if not option.second_look)
                rows |= {(*row[:a], end, *row[a + 1 :]) for end in ends}
        return _table(rows, axes)

    return chosen


def most_corners(found: Tried) -> Choices:
    """What a variant that holds is tried at."""
    return beside_worst(found) if is_thinned(found) else every_choice


def joined(some: Choices, others: Choices) -> Choices:
    """What either of two would try."""
    return lambda axes: np.unique(np.concatenate([some(axes), others(axes)]), axis=0)


def is_thinned(found: Tried) -> bool:
    """Whether even variants that hold are tried at some of the corners only."""
    return len(every_choice(found.setting.axes)) > MANY


def _worst(found: Tried) -> Iterator[Words]:
    """The worst choice of every check, in words: a variant has other axes, or the same with other parts."""
    for tally in (*found.steady, *found.after, *found.starts):
        if tally.worst is not None:
            yield {
                axis.name: (axis.options[int(choice)].word, axis.parts)
                for axis, choice in zip(found.setting.axes, tally.worst.corners.choices[0], strict=True)
                if choice != USUAL
            }


def _starts(axes: Sequence[Axis], worst: Sequence[Words]) -> set[tuple[int, ...]]:
    return {(USUAL,) * len(axes)} | {tuple(_option(axis, words) for axis in axes) for words in worst}


def _table(rows: set[tuple[int, ...]], axes: Sequence[Axis]) -> Rows:
    return np.array(sorted(rows), dtype=np.int8).reshape(len(rows), len(axes))


def _option(axis: Axis, words: Words) -> int:
    """The option of an axis that says the same; of an axis that lost or gained a part as far as it can."""
    known = words.get(axis.name)
    if known is None:
        sort = axis.name.rpartition(" ")[0]
        known = next((of for name, of in words.items() if name.rpartition(" ")[0] == sort and {*of[1]} & {*axis.parts}),
                     None)  # fmt: skip
    if known is None:
        return USUAL
    places = {option.word: place for place, option in enumerate(axis.options)}
    return next((places[word] for word in _as_said_here(known[0], axis) if word in places), USUAL)


def _as_said_here(word: str, axis: Axis) -> Iterator[str]:
    """"least for Q2 only" is least where Q2 stands alone; without Q2 another one is apart from the rest."""
    yield word
    end, _, alone = word.removesuffix(" only").partition(" for ")
    if alone and axis.parts:
        yield f"{end} for {axis.parts[0]} only"
    yield end
