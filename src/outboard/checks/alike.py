"""Parts that could change places: devices of one type in parallel, and the equal resistors in their emitters.

The corners set only the first of such devices apart from the rest, since by symmetry any other would come to the same.
So what they find for the first stands for every one of them.
"""

from collections.abc import Sequence

from outboard.arrangements.design import DesignPart
from outboard.cases.axes import parallel_groups


def alike(parts: Sequence[DesignPart]) -> dict[str, tuple[str, ...]]:
    """For every part that has its like, the names of all of them."""
    groups: list[tuple[str, ...]] = []
    for group in parallel_groups(parts):
        if len(group) > 1:
            groups.append(tuple(part.name for part in group))
            groups.append(_ballasts(parts, {part.part.pins["emitter"] for part in group}))
    return {name: group for group in groups for name in group}


def _ballasts(parts: Sequence[DesignPart], emitters: set[str]) -> tuple[str, ...]:
    """Resistors that each lead from one emitter; none where they are not equal."""
    found = [
        part for part in parts if part.part.kind == "resistor" and len(emitters & set(part.part.pins.values())) == 1
    ]
    values = {(part.part.values["resistance"], part.tolerance) for part in found}
    return tuple(part.name for part in found) if len(emitters) == len(found) > 1 and len(values) == 1 else ()
