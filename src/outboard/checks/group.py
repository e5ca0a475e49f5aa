"""Parts that could change places are judged together: any of them may be the one that lies apart from the rest.

In every lane the weakest of them counts, so that what the corners find for the first of like devices stands for all.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from outboard.arrangements.design import DesignPart
from outboard.cases.alike import alike
from outboard.checks.check import Check, Floats
from outboard.network.solution import Block


def grouped(checks: Iterable[Check], parts: Sequence[DesignPart]) -> Iterator[Check]:
    """Checks with those of like parts made into one, under the name of the first."""
    others = alike(parts)
    every = list(checks)
    own = {(check.requirement, check.part): check for check in every}
    for check in every:
        names = others.get(check.part or "", ())
        like = [own[key] for name in names if (key := (check.requirement, name)) in own]
        if len(like) < 2:
            yield check
        elif check is like[0]:
            yield _weakest(like)


def _weakest(like: Sequence[Check]) -> Check:
    """One check of several: value and limit of whichever has the least margin, lane by lane.

    Where the limit of one of them is not known nothing passes, yet what is short for another is short.
    """

    def picked(block: Block) -> tuple[Floats, Floats]:
        values, limits, margins = (np.array(found) for found in zip(*(c.margins(block) for c in like), strict=True))
        known = np.where(np.isfinite(margins), margins, np.inf)
        place = known.argmin(axis=0)[None]
        value, limit, least = (np.take_along_axis(found, place, 0)[0] for found in (values, limits, known))
        told = np.isfinite(margins).all(axis=0) | (least < 0.0)
        return value, np.where(told, limit, np.nan)

    return replace(
        like[0],
        measure=lambda block: picked(block)[0],
        limit=lambda block: picked(block)[1],
        needs=tuple(dict.fromkeys(need for check in like for need in check.needs)),
        alike=tuple(check.part or "" for check in like),
    )
