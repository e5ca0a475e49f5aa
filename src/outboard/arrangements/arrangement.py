"""What an arrangement is: which polarities it needs, how its values are sized, which parts it is made of."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from outboard.arrangements.design import DesignPart
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_types import Given


@dataclass(frozen=True, slots=True)
class Arrangement:
    """One way to put transistors beside a regulator.

    polarities  by key of [stage] that names a type
    sized       the stage's values from what was promised
    parts       the stage's parts with these values; notes on what could not be told
    """

    name: str
    polarities: Mapping[str, str]
    sized: Callable[[Given], Sizing]
    parts: Callable[[Given, Sizing], tuple[tuple[DesignPart, ...], tuple[str, ...]]]
