"""Every combination of input, ambient and the axes' ends, as rows of overrides that can say themselves in words."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from outboard.cases.axes import Axis
from outboard.network.circuit import AMBIENT_FIELD
from outboard.network.overrides import Overrides

USUAL = -1
"""Choice on an axis: neither end."""


@dataclass(frozen=True)
class Corners:
    """Rows of choices: choices[row, axis] picks an option (or USUAL); inputs [V], ambients [K] per row.

    usual   the numbers that parts have when an axis is not at an end
    input   name of the part whose voltage the inputs are; None when the circuit has none
    """

    axes: tuple[Axis, ...]
    choices: NDArray[np.int8]
    inputs: NDArray[np.float64]
    ambients: NDArray[np.float64]
    usual: Mapping[tuple[str, str], float]
    input: str | None

    def __len__(self) -> int:
        return len(self.choices)

    @cached_property
    def overrides(self) -> Overrides:
        """The rows as numbers for the network."""
        fields = list(self.usual)
        column = {field: j for j, field in enumerate(fields)}
        values = np.tile(np.array([self.usual[field] for field in fields], dtype=float), (len(self), 1))
        for a, axis in enumerate(self.axes):
            for o, option in enumerate(axis.options):
                rows = self.choices[:, a] == o
                for field, number in option.values.items():
                    values[rows, column[field]] = number
        names = [*fields, AMBIENT_FIELD]
        columns = [values, self.ambients[:, None]]
        if self.input is not None:
            names.append((self.input, "voltage"))
            columns.append(self.inputs[:, None])
        return Overrides(tuple(names), np.hstack(columns))

    def rows(self, chosen: "slice | NDArray[np.integer] | NDArray[np.bool_]") -> "Corners":
        """Some of the rows."""
        return Corners(
            self.axes, self.choices[chosen], self.inputs[chosen], self.ambients[chosen], self.usual, self.input
        )

    def pieces(self, size: int) -> Iterator["Corners"]:
        """The rows in pieces of at most `size`."""
        for start in range(0, len(self), size):
            yield self.rows(slice(start, start + size))

    def changed_one_by_one(self, row: int) -> "Corners":
        """That row, and after it the row with each axis in turn put back to usual."""
        choices = np.repeat(self.choices[row : row + 1], len(self.axes) + 1, axis=0)
        for a in range(len(self.axes)):
            choices[a + 1, a] = USUAL
        size = len(choices)
        return Corners(
            self.axes, choices, np.full(size, self.inputs[row]), np.full(size, self.ambients[row]), self.usual,
            self.input,
        )  # fmt: skip

    def word(self, row: int, axis: int) -> str:
        """Where a row stands on an axis."""
        choice = int(self.choices[row, axis])
        return "usual" if choice == USUAL else self.axes[axis].options[choice].word


def one_below_the_other(tables: Sequence[Corners]) -> Corners:
    """All rows of several tables that have axes, usual numbers and input in common."""
    first = tables[0]
    return Corners(
        first.axes, np.concatenate([table.choices for table in tables]),
        np.concatenate([table.inputs for table in tables]), np.concatenate([table.ambients for table in tables]),
        first.usual, first.input,
    )  # fmt: skip


def every_choice(axes: Sequence[Axis]) -> NDArray[np.int8]:
    """The usual design and every combination of ends, [row, axis]; without what is for a second look only."""
    firsts = ([o for o, option in enumerate(axis.options) if not option.second_look] for axis in axes)
    ends = product(*firsts) if axes else ()
    rows = [(USUAL,) * len(axes), *ends]
    return np.array(rows, dtype=np.int8).reshape(len(rows), len(axes))


def second_looks(axes: Sequence[Axis], row: Sequence[int], looks: Collection[str]) -> Iterator[tuple[int, ...]]:
    """A choice with each option in turn that is for a second look of one of these sorts."""
    for a, axis in enumerate(axes):
        for o, option in enumerate(axis.options):
            if option.second_look in looks:
                yield (*row[:a], o, *row[a + 1 :])


def corners_of(
    axes: Sequence[Axis],
    choices: NDArray[np.int8],
    surroundings: Sequence[tuple[float, float]],
    base: Mapping[tuple[str, str], float],
    input_name: str | None,
) -> Corners:
    """The choices, each at every pair of input voltage [V] and ambient temperature [K].

    `base` holds the usual number of every address that the axes move.
    """
    moved = dict.fromkeys(address for axis in axes for option in axis.options for address in option.values)
    return Corners(
        tuple(axes),
        np.tile(choices, (len(surroundings), 1)),
        np.repeat([voltage for voltage, _ in surroundings], len(choices)).astype(float),
        np.repeat([ambient for _, ambient in surroundings], len(choices)).astype(float),
        {address: base[address] for address in moved},
        input_name,
    )


def swept_loads(least: float, most: float, count: int, also: Sequence[float] = ()) -> NDArray[np.float64]:
    """Loads from least to most, dense at the light end where devices hand over, with `also` among them."""
    ladder = least + (most - least) * np.linspace(0.0, 1.0, count) ** 3
    return np.unique(np.concatenate([ladder, [value for value in also if least <= value <= most]]))
