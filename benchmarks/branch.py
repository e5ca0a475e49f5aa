"""The branch of balances that heat and current lead along, followed through its turning points.

Written with NumPy alone, apart from the compiled balances of a circuit.  Load and state move together along the
length of the branch, so that a turning point (a fold) is no obstacle: what the branch crosses beyond it are the
balances that exist although they cannot last.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from outboard.network.circuit import Circuit
from outboard.network.compile import solver

Floats = NDArray[np.float64]
HOTTEST = 773.15
FIRST, LONGEST, SHORTEST = 1e-3, 0.2, 1e-12
STRAIGHT, BEND, ROUND = 0.8, 1e-9, 1e-5
MOST_STEPS = 6000
KELVINS = 50.0
"""A step of 1 along the branch is 1 V or A, or as many kelvins."""
WAYS_OUT = {"back": "turns back to where it came from", "hot": "leads past 500 °C first"}
"""Ends of a branch after which it comes to no further load, and what to say of them."""


@dataclass
class Branch:
    """Points in order: the share of the way from one set of parameters to another, and the state."""

    shares: Floats
    states: Floats
    end: str

    def crossings(self, share: float) -> list[Floats]:
        """States near the places where the branch has this share."""
        ahead = (self.shares - share) * np.roll(self.shares - share, -1)
        found = []
        for k in np.flatnonzero(ahead[:-1] <= 0.0):
            low, high = self.shares[k], self.shares[k + 1]
            inside = 0.0 if high == low else (share - low) / (high - low)
            found.append(self.states[k] + inside * (self.states[k + 1] - self.states[k]))
        return found


def matrix_and_residual(circuit: Circuit, x: Floats, p: Floats) -> tuple[Floats, Floats]:
    """Dense jacobian and the residual of every balance."""
    n = len(circuit.unknowns)
    residual, places = np.zeros(n + 1), np.zeros(len(circuit.tables.entry_row) + 1)
    solver().balances(x, p, circuit.tables, residual, places)
    matrix = np.zeros((n, n))
    matrix[circuit.tables.entry_row, circuit.tables.entry_column] = places[:-1]
    return matrix, residual[:n]


class Point(NamedTuple):
    """A place on the branch: the state, its share of the way, and the way on as a unit vector of scaled changes.

    `side` is +1 or −1, on which side of the branch the balances lie: the same before and after a bend.
    """

    state: Floats
    share: float
    along: Floats
    side: float


def direction(slopes: Floats) -> Floats:
    """Along the branch, one way or the other: what the balances do not notice."""
    return np.asarray(np.linalg.svd(slopes / np.abs(slopes).max(axis=1, keepdims=True))[2][-1])


def side(slopes: Floats, along: Floats) -> float:
    """+1 or −1: the sign of the determinant of the balances' slopes with the way on below them."""
    return float(np.linalg.slogdet(np.vstack([slopes / np.abs(slopes).max(axis=1, keepdims=True), along]))[0])


@dataclass
class Way:
    """The straight way from one set of parameters to another, on which the branch lies."""

    circuit: Circuit
    begin: Floats
    finish: Floats

    def __post_init__(self) -> None:
        self.warm = np.asarray(self.circuit.tables.is_temperature)
        self.sizes = np.append(np.where(self.warm, KELVINS, 1.0), 1.0)

    def at(self, share: float) -> Floats:
        return np.asarray(self.begin + share * (self.finish - self.begin))

    def moved(self, state: Floats, along: Floats, length: float) -> Floats:
        """The state so far along."""
        ahead = state.copy()
        ahead[: along.size - 1] += length * (along * self.sizes)[:-1]
        return ahead

    def slopes(self, state: Floats, share: float) -> tuple[Floats, Floats, Floats]:
        """Slopes of the balances by scaled unknowns and share [n, n + 1], the balances, and how far they may be off."""
        n, small = self.warm.size, 1e-6
        matrix, residual = matrix_and_residual(self.circuit, state, self.at(share))
        above, below = (matrix_and_residual(self.circuit, state, self.at(share + d))[1] for d in (small, -small))
        allowed = 1e-12 + 64.0 * np.finfo(float).eps * np.abs(matrix * state[:n]).max(axis=1)
        return np.column_stack([matrix, (above - below) / (2.0 * small)]) * self.sizes, residual, allowed

    def start(self, state: Floats) -> Point:
        slopes = self.slopes(state, 0.0)[0]
        along = direction(slopes)
        along *= np.sign(along[-1]) or 1.0
        return Point(state.copy(), 0.0, along, side(slopes, along))

    def corrected(self, here: Point, length: float) -> tuple[Floats, float, int, Floats] | None:
        """A step of this length, brought back to the branch by Newton's method; None where that fails."""
        n = self.warm.size
        trial, share, moved = self.moved(here.state, here.along, length), here.share + length * here.along[n], np.inf
        for used in range(12):
            slopes, residual, allowed = self.slopes(trial, share)
            if not (np.isfinite(slopes).all() and np.isfinite(residual).all()):
                return None
            if (np.abs(residual) <= allowed).all() or (moved < 1e-9 and used > 2):
                return trial, share, used, slopes
            heights = np.abs(slopes).max(axis=1)
            gone = np.append((trial[:n] - here.state[:n]) / self.sizes[:n], share - here.share)
            try:
                step = np.linalg.solve(
                    np.vstack([slopes / heights[:, None], here.along]),
                    np.append(-residual / heights, length - gone @ here.along),
                )
            except np.linalg.LinAlgError:
                return None
            moved = float(np.abs(step).max())
            if moved > 4.0 * max(length, BEND) + BEND:
                return None
            trial, share = self.moved(trial, step, 1.0), share + step[n]
        return None

    def round_the_bend(self, here: Point) -> Point:
        """The same place with the way on as it is seen a little beyond a bend sharper than a right angle."""
        slopes = self.slopes(self.moved(here.state, here.along, 1e-6), here.share)[0]
        along = direction(slopes)
        return here._replace(along=along * here.side * side(slopes, along))


def branch_from(circuit: Circuit, start: Floats, begin: Floats, finish: Floats) -> Branch:
    """Followed from a balance `start` with the parameters `begin` towards `finish`, and on past turning points.

    It ends where the share of the way passes 1 ("beyond") or falls below 0 ("back"), where a junction is past 500 °C
    ("hot"), where the steps get too short ("stuck"), or after `MOST_STEPS` ("long").
    """
    with np.errstate(all="ignore"):
        way = Way(circuit, begin, finish)
        here, length, rounded = way.start(start), FIRST, False
        points = [here]
        for _ in range(MOST_STEPS):
            stepped = way.corrected(here, length)
            if stepped is None and length < 2.0 * SHORTEST:
                if rounded:
                    return _branch(points, "stuck")
                here, length, rounded = way.round_the_bend(here), ROUND, True
                continue
            if stepped is None:
                length *= 0.5
                continue
            state, share, used, slopes = stepped
            along = direction(slopes)
            along *= np.sign(along @ here.along) or 1.0
            if along @ here.along < STRAIGHT:
                if length > BEND:  # look closer
                    length *= 0.5
                    continue
                along *= here.side * side(slopes, along)
            here, rounded = Point(state, share, along, side(slopes, along)), False
            points.append(here)
            length = min(LONGEST, length * (2.0 if used <= 4 else 1.0 if used <= 6 else 0.5))
            if state[: way.warm.size][way.warm].max() > HOTTEST:
                return _branch(points, "hot")
            if not 0.0 <= share <= 1.0:
                return _branch(points, "beyond" if share > 1.0 else "back")
    return _branch(points, "long")


def _branch(points: list[Point], end: str) -> Branch:
    return Branch(np.array([point.share for point in points]), np.array([point.state for point in points]), end)
