"""Rows that differ in the name alone, told once: “Q2–Q5”."""

import re
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import TypeVar

Rest = TypeVar("Rest")

NUMBERED = re.compile(r"(\D+)(\d+)")


def told_once(rows: Iterable[tuple[str, Rest]]) -> list[tuple[tuple[str, ...], Rest]]:
    """Rows that follow each other with the same behind the name, as one with all the names."""
    groups = groupby(rows, key=lambda row: row[1])
    return [(tuple(name for name, _ in group), rest) for rest, group in groups]


def names_in_words(names: Sequence[str]) -> str:
    """ "Q2"; "Q2, Q3"; "Q2–Q5" where the numbers follow each other."""
    found = [NUMBERED.fullmatch(name) for name in names]
    if len(names) > 2 and all(found):
        heads = {one[1] for one in found if one is not None}
        numbers = [int(one[2]) for one in found if one is not None]
        if len(heads) == 1 and numbers == list(range(numbers[0], numbers[0] + len(numbers))):
            return f"{names[0]}–{names[-1]}"
    return ", ".join(names)


def each(names: Sequence[object]) -> str:
    """ ", each" behind several names."""
    return ", each" if len(names) > 1 else ""
