"""What a key of a design file is: its meaning, what may stand there, what it is when left out."""

from dataclasses import dataclass

from outboard.quantity import Dimension
from outboard.span import Span


@dataclass(frozen=True, slots=True)
class Entry:
    """One key: text when it has no dimension, else a quantity; `words` may stand in the place of the quantity."""

    meaning: str
    dimension: Dimension | None = None
    required: bool = False
    default: float | str | Span | None = None
    span: bool = False
    whole: bool = False
    choices: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    above: float | None = None
    least: float | None = None
    below: float | None = None
    most: float | None = None
    example: str = ""
