"""Units tried in the box of a design, the worst of every requirement kept with its point."""

import numpy as np
from numpy.typing import NDArray

from outboard.checks.box import LOAD, Box
from outboard.checks.drawn import Least
from outboard.checks.draws import BEYOND, RELEASED, SETTLED, Judged, Lanes, Lot, Units, lanes
from outboard.checks.margin_slopes import Piece, values
from outboard.checks.verification import steady_checks

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]


class Known:
    """Everything tried so far, the worst of each requirement kept with its point."""

    def __init__(self, found: Lot) -> None:
        self.lot, self.box = found, Box.of(found.setting, found.sampling)
        self.pieces = pieces_of(found)
        self.tried = 0
        self.opened = np.zeros(len(found.checks), dtype=np.intp)
        self.least: list[Least | None] = [None] * len(found.checks)
        self.points = np.zeros((len(found.checks), len(self.box.names)))

    @property
    def judged(self) -> Numbers:
        """The requirements that have a lane which can be judged."""
        return np.array([k for k, least in enumerate(self.least) if least is not None], dtype=np.intp)

    def rounding(self, number: int) -> float:
        """By less than this two solutions of one unit may differ."""
        check, known = self.lot.checks[number], self.least[number]
        return BEYOND * max(abs(known.limit - check.rest), abs(known.margin)) if known is not None else 0.0

    def add(self, points: Floats) -> tuple[Units, dict[str, Lanes]]:
        """Solves the units of points at all loads and at all pairs of input and ambient."""
        units = self.box.units(points, self.tried)
        solved = lanes(self.lot.setting, units.rows, self.lot.manners)
        for k, (check, manner) in enumerate(zip(self.lot.checks, self.lot.manners, strict=True)):
            judged = Judged.of(check, solved[manner], units)
            self.opened[k] += np.count_nonzero(judged.opened)
            unit = int(judged.margins.argmin())
            found = judged.least(unit, units)
            if found is not None:
                self.keep(k, found, points[unit])
        self.tried += len(points)
        return units, solved

    def keep(self, number: int, found: Least, point: Floats) -> None:
        """The worse of this and what is known, rounding apart."""
        known = self.least[number]
        if known is None or found.margin < known.margin - self.rounding(number):
            self.least[number] = found
            around = np.array([[found.input_voltage, found.ambient, found.load]])
            self.points[number] = self.box.at(point[None], around)[0]

    def keep_points(self, points: Floats, owners: Numbers) -> None:
        """Points solved each by itself, for the requirements that own them."""
        first = np.array([self.pieces[k][0] for k in range(len(self.pieces))], dtype=object)
        value, limit, margin = values(self.box, list(first), points, owners)
        around = self.box.surroundings(points)
        for row, owner in enumerate(owners.tolist()):
            if np.isfinite(margin[row]):
                numbers = (margin[row], value[row], limit[row], *around[row, :2])
                least, value_, limit_, source, ambient = (float(number) for number in numbers)
                load = float(around[row, LOAD]) if self.lot.manners[owner] == SETTLED else self._load_of(owner)
                found = Least(least, self.tried, value_, limit_, source, ambient, load)
                self.keep(owner, found, points[row])

    def weakest(self, points: Floats, numbers: Numbers) -> tuple[list[Piece], list[float]]:
        """Of like parts that with the least margin at each point, and this margin."""
        flat: list[Piece] = []
        owners: list[int] = []
        for row, k in enumerate(numbers):
            flat += self.pieces[k][1:]
            owners += [row] * (len(self.pieces[k]) - 1)
        margins = values(self.box, flat, points[owners], np.arange(len(flat)))[2]
        margins = np.where(np.isfinite(margins), margins, np.inf)
        found = []
        for row in range(len(numbers)):
            mine = np.flatnonzero(np.array(owners) == row)
            found.append(int(mine[margins[mine].argmin()]))
        return [flat[best] for best in found], [float(margins[best]) for best in found]

    def _load_of(self, number: int) -> float:
        return float(self.lot.setting.loads[0 if self.lot.manners[number] == RELEASED else -1])


def pieces_of(found: Lot) -> list[list[Piece]]:
    """Of each requirement itself, and then that of each like part by itself."""
    own = {(check.requirement, check.part): check for check in steady_checks(found.setting.design)}
    pieces = []
    for check, manner in zip(found.checks, found.manners, strict=True):
        alone = [own[check.requirement, part] for part in check.alike] or [check]
        pieces.append([Piece(check, manner), *(Piece(one, manner) for one in alone)])
    return pieces
