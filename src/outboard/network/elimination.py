"""The order in which a circuit's equations are eliminated, worked out once per structure.

Electrical unknowns go first, thermal ones last, so that the partial product of pivots is the electrical
determinant.  Within each group the sparsest pivot is taken (Markowitz): a node's own derivative, or the ±1 by
which a branch current enters a node's balance.

References
----------
[DuffErismanReid] Direct Methods for Sparse Matrices, 1986, ch. 7 (memory)
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Indices = NDArray[np.uint32]


@dataclass(frozen=True, slots=True)
class Elimination:
    """Places of the jacobian with fill, and the program that eliminates it; see tables.py for the arrays."""

    places: dict[tuple[int, int], int]
    entry_row: Indices
    entry_column: Indices
    pivot: Indices
    pivot_row: Indices
    pivot_column: Indices
    lower_start: Indices
    lower: Indices
    lower_row: Indices
    upper_start: Indices
    upper: Indices
    upper_column: Indices
    update_start: Indices
    target: Indices
    factor: Indices
    source: Indices
    thermal_from: int
    parity: float


def _indices(values: Sequence[int]) -> Indices:
    return np.array(values, dtype=np.uint32)


def _parity(order: Sequence[int]) -> float:
    """+1 for an even permutation, −1 for an odd one."""
    seen = [False] * len(order)
    sign = 1.0
    for first in range(len(order)):
        length, index = 0, first
        while not seen[index]:
            seen[index] = True
            index = order[index]
            length += 1
        if length and length % 2 == 0:
            sign = -sign
    return sign


class _Pattern:
    """The part of the matrix that is still to be eliminated, by rows and by columns."""

    def __init__(self, entries: set[tuple[int, int]]) -> None:
        self.rows: dict[int, set[int]] = {}
        self.columns: dict[int, set[int]] = {}
        for entry in entries:
            self.add(*entry)

    def add(self, row: int, column: int) -> None:
        self.rows.setdefault(row, set()).add(column)
        self.columns.setdefault(column, set()).add(row)

    def sparsest(self, candidates: set[tuple[int, int]]) -> tuple[int, int]:
        """The candidate that can cause the least fill; ties go to the lowest index, so that orders repeat."""
        return min(
            candidates,
            key=lambda entry: (
                (len(self.rows[entry[0]]) - 1) * (len(self.columns[entry[1]]) - 1),
                entry,
            ),
        )

    def take(self, row: int, column: int) -> tuple[list[int], list[int]]:
        """Removes a pivot's row and column: the other rows and the other columns that it touches."""
        others = sorted(self.columns.pop(column) - {row})
        ahead = sorted(self.rows.pop(row) - {column})
        for other in others:
            self.rows[other].discard(column)
        for column_ahead in ahead:
            self.columns[column_ahead].discard(row)
        for other in others:
            for column_ahead in ahead:
                self.add(other, column_ahead)
        return others, ahead


def eliminated(
    size: int,
    entries: set[tuple[int, int]],
    branches: dict[int, tuple[int, ...]],
    is_temperature: Sequence[bool],
) -> Elimination:
    """Program for a matrix of `size` unknowns.

    `branches` maps a branch unknown to the nodes whose balance it enters.
    """
    pattern = _Pattern(entries)
    steps: list[tuple[int, int, list[int], list[int]]] = []
    rows_left, columns_left = set(range(size)), set(range(size))
    thermal_from = 0
    for thermal in (False, True):
        while any(is_temperature[column] == thermal for column in columns_left):
            row, column = pattern.sparsest(_candidates(rows_left, columns_left, branches, is_temperature, thermal))
            others, ahead = pattern.take(row, column)
            steps.append((row, column, others, ahead))
            rows_left.discard(row)
            columns_left.discard(column)
        if not thermal:
            thermal_from = len(steps)
    return _program(entries, steps, thermal_from)


def _candidates(
    rows: set[int],
    columns: set[int],
    branches: dict[int, tuple[int, ...]],
    is_temperature: Sequence[bool],
    thermal: bool,
) -> set[tuple[int, int]]:
    """Pivots that are not small: own derivatives of nodes; for a branch, its ±1 in a node and then its own row.

    A branch row b, once its current has been taken from node a, is solved for that node's voltage: (b, a).
    """
    found = {(i, i) for i in rows & columns if is_temperature[i] == thermal and i not in branches}
    for branch, nodes in branches.items():
        for node in nodes:
            if node in rows and branch in columns:
                found.add((node, branch))
            if branch in rows and branch not in columns and node in columns and node not in rows:
                found.add((branch, node))
        if branch in rows and branch in columns and not any(node in rows for node in nodes):
            found.add((branch, branch))
    owed = {node for node in columns if node not in rows}
    waiting = {(row, column) for row, column in found if row in branches and column in owed}
    taken = {(node, branch) for node, branch in found if branch in branches and node != branch}
    if thermal:
        return found
    return waiting or taken or found


def _program(
    entries: set[tuple[int, int]], steps: list[tuple[int, int, list[int], list[int]]], thermal_from: int
) -> Elimination:
    filled = set(entries)
    for row, column, others, ahead in steps:
        filled.add((row, column))
        filled.update((other, column) for other in others)
        filled.update((row, column_ahead) for column_ahead in ahead)
    order = sorted(filled)
    places = {entry: place for place, entry in enumerate(order)}
    lower_start, upper_start, update_start = [0], [0], [0]
    lower: list[int] = []
    lower_row: list[int] = []
    upper: list[int] = []
    upper_column: list[int] = []
    target: list[int] = []
    factor: list[int] = []
    source: list[int] = []
    for row, column, others, ahead in steps:
        for other in others:
            lower.append(places[other, column])
            lower_row.append(other)
            target.extend(places[other, column_ahead] for column_ahead in ahead)
            factor.extend([places[other, column]] * len(ahead))
            source.extend(places[row, column_ahead] for column_ahead in ahead)
        upper.extend(places[row, column_ahead] for column_ahead in ahead)
        upper_column.extend(ahead)
        lower_start.append(len(lower))
        upper_start.append(len(upper))
        update_start.append(len(target))
    pivot_rows = [step[0] for step in steps]
    pivot_columns = [step[1] for step in steps]
    return Elimination(
        places=places,
        entry_row=_indices([row for row, _ in order]),
        entry_column=_indices([column for _, column in order]),
        pivot=_indices([places[row, column] for row, column in zip(pivot_rows, pivot_columns, strict=True)]),
        pivot_row=_indices(pivot_rows),
        pivot_column=_indices(pivot_columns),
        lower_start=_indices(lower_start),
        lower=_indices(lower),
        lower_row=_indices(lower_row),
        upper_start=_indices(upper_start),
        upper=_indices(upper),
        upper_column=_indices(upper_column),
        update_start=_indices(update_start),
        target=_indices(target),
        factor=_indices(factor),
        source=_indices(source),
        thermal_from=thermal_from,
        parity=_parity(pivot_rows) * _parity(pivot_columns),
    )
