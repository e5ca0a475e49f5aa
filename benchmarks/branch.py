"""The branch of balances that heat and current lead along, followed through its turning points.

Written with NumPy alone, apart from the compiled balances of a circuit.  Load and state move together along the
length of the branch, so that a turning point (a fold) is no obstacle: what the branch crosses beyond it are the
balances that exist although they cannot last.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.network.circuit import Circuit
from outboard.network.compile import solver

Floats = NDArray[np.float64]
HOTTEST = 773.15
LONGEST, SHORTEST = 0.2, 1e-12
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


def terms(matrix: Floats, x: Floats) -> Floats:
    """The largest term of each balance, of which a rounding is a part."""
    return np.asarray(np.abs(matrix * x).max(axis=1))


def branch_from(circuit: Circuit, start: Floats, begin: Floats, finish: Floats, furthest: float = 1.0) -> Branch:
    """Followed from a balance `start` with the parameters `begin` towards `finish`, and on past turning points.

    It ends where the share of the way passes `furthest` or falls below 0, where a junction is past 500 °C, where the
    steps get too short (`end` "stuck"), or after `MOST_STEPS`.
    """
    n = len(circuit.unknowns)
    warm = np.asarray(circuit.tables.is_temperature)
    sizes = np.append(np.where(warm, KELVINS, 1.0), 1.0)

    def bordered(state: Floats, share: float) -> tuple[Floats, Floats, Floats]:
        p = begin + share * (finish - begin)
        matrix, residual = matrix_and_residual(circuit, state, p)
        small = 1e-6
        _, above = matrix_and_residual(circuit, state, begin + (share + small) * (finish - begin))
        _, below = matrix_and_residual(circuit, state, begin + (share - small) * (finish - begin))
        whole = np.column_stack([matrix, (above - below) / (2.0 * small)]) * sizes
        return whole, residual, 1e-12 + 64.0 * np.finfo(float).eps * terms(matrix, state[:n])

    def direction(whole: Floats, before: Floats) -> Floats:
        heights = np.abs(whole).max(axis=1, keepdims=True)
        right = np.append(np.zeros(n), 1.0)
        along = np.linalg.solve(np.vstack([whole / heights, before]), right)
        return np.asarray(along / np.linalg.norm(along))

    state, share, length = start.copy(), 0.0, 1e-3
    along = np.append(np.zeros(n), 1.0)
    try:
        along = direction(bordered(state, share)[0], along)
    except np.linalg.LinAlgError:
        return Branch(np.array([0.0]), state[None], "stuck")
    shares, states, end = [share], [state.copy()], "long"
    for _ in range(MOST_STEPS):
        stepped = corrected(bordered, state, share, along, length, sizes)
        if stepped is None:
            length *= 0.5
            if length < SHORTEST:
                end = "stuck"
                break
            continue
        ahead, beyond, used, whole = stepped
        turned = direction(whole, along)
        if turned @ along < 0.8 and length > 1e-9:  # a sharp bend: look closer
            length *= 0.5
            continue
        state, share, along = ahead, beyond, turned
        shares.append(share)
        states.append(state.copy())
        length = min(LONGEST, length * (2.0 if used <= 4 else 1.0 if used <= 6 else 0.5))
        if state[:n][warm].max() > HOTTEST:
            end = "hot"
            break
        if share > furthest or share < 0.0:
            end = "beyond" if share > furthest else "back"
            break
    return Branch(np.array(shares), np.array(states), end)


Bordered = Callable[[Floats, float], tuple[Floats, Floats, Floats]]


def corrected(
    bordered: Bordered, state: Floats, share: float, along: Floats, length: float, sizes: Floats
) -> tuple[Floats, float, int, Floats] | None:
    """A step of this length along the branch, brought back to it by Newton's method; None where that fails."""
    n = along.size - 1
    trial, beyond = state.copy(), share + length * along[n]
    trial[:n] += length * along[:n] * sizes[:n]
    moved = np.inf
    for used in range(12):
        with np.errstate(all="ignore"):
            whole, residual, allowed = bordered(trial, beyond)
        if not (np.isfinite(whole).all() and np.isfinite(residual).all()):
            return None
        if (np.abs(residual) <= allowed).all() or (moved < 1e-9 and used > 2):
            return trial, beyond, used, whole
        heights = np.abs(whole).max(axis=1)
        gone = np.append((trial[:n] - state[:n]) / sizes[:n], beyond - share)
        left = np.append(-residual / heights, length - gone @ along)
        try:
            step = np.linalg.solve(np.vstack([whole / heights[:, None], along]), left)
        except np.linalg.LinAlgError:
            return None
        moved = float(np.abs(step).max())
        if moved > 4.0 * max(length, 1e-9) + 1e-9:
            return None
        trial[:n] += step[:n] * sizes[:n]
        beyond += step[n]
    return None
