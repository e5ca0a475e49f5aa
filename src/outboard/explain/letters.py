"""The letters of a derivation: sign, value at the point, range over the tolerance box, unit, origin."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

SOURCES = ("V", "A")
"""Units of what drives a circuit: a result is linear in letters with these."""


@dataclass(frozen=True, slots=True)
class Letter:
    """One constant of the ideal network, SI; `least` and `most` are its ends in the tolerance box.

    `counts` is true of the number of devices side by side, which is what the parts say and no free constant.
    """

    name: str
    value: float
    least: float
    most: float
    unit: str
    meaning: str
    origin: str = ""
    counts: bool = False

    @property
    def drives(self) -> bool:
        """Whether it is a voltage or a current."""
        return self.unit in SOURCES

    @property
    def varies(self) -> bool:
        """Whether the tolerance box has an extent along it."""
        return self.most > self.least


Letters = Mapping[str, Letter]


def index_of(part: str) -> str:
    """What a part's name adds to its letters: 1 of Q1; the whole name where it is not a letter with a number."""
    numbered = re.fullmatch(r"[A-Za-z]{1,2}(\d+)", part)
    return numbered.group(1) if numbered else re.sub(r"\W+", "", part)


def resistor_letter(part: str) -> str:
    """R1 stays R1; a resistor of another name gets it as an index."""
    plain = re.sub(r"\W+", "", part)
    return plain if re.fullmatch(r"R\w*", plain) else f"R_{plain}"


def current_letter(part: str) -> str:
    """The current through a two-terminal part."""
    return f"I_{resistor_letter(part).removeprefix('R_')}"
