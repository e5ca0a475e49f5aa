"""Rows of numbers that replace parts' usual ones, addressed by part and field."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.network.circuit import Circuit

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Overrides:
    """fields: (part, field) per column; values [row, column] in SI."""

    fields: tuple[tuple[str, str], ...]
    values: Floats

    def __post_init__(self) -> None:
        if self.values.ndim != 2 or self.values.shape[1] != len(self.fields):
            raise ValueError(f"{len(self.fields)} fields but values of shape {self.values.shape}")

    @classmethod
    def none(cls, rows: int = 1) -> "Overrides":
        """Rows that change nothing."""
        return cls((), np.empty((rows, 0)))

    @classmethod
    def column(cls, part: str, field: str, values: Floats) -> "Overrides":
        """One number that takes these values row by row."""
        return cls(((part, field),), np.asarray(values, dtype=np.float64).reshape(-1, 1))

    def __len__(self) -> int:
        return len(self.values)

    def rows(self, chosen: "slice | NDArray[np.integer] | NDArray[np.bool_]") -> "Overrides":
        """Some of the rows."""
        return Overrides(self.fields, self.values[chosen])

    def stored(self, circuit: Circuit) -> tuple[NDArray[np.uint32], Floats]:
        """Slots of the circuit and the numbers as it stores them; KeyError for a field that it lacks."""
        slots: list[int] = []
        columns: list[Floats] = []
        for j, field in enumerate(self.fields):
            for slot, numbers in circuit.values(field, self.values[:, j]):
                slots.append(slot)
                columns.append(numbers)
        values = np.column_stack(columns) if columns else np.empty((len(self), 0))
        return np.array(slots, dtype=np.uint32), np.ascontiguousarray(values)
