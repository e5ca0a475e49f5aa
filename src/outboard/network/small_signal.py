"""Small signals about a point: (J + s·C)·x = b, with J = ∂f/∂x and C = ∂q/∂x.

Output impedance, rejection and loop gain are answers x to excitations b over frequency; natural frequencies are the s
at which there is an answer to none.

References
----------
[Bode-return] H. W. Bode, Network Analysis and Feedback Amplifier Design, 1945: return ratio and return difference
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Complex = NDArray[np.complex128]

TURN = 2.0 * np.pi
BALANCE = 1e6
"""Angular frequency at which rows and columns are brought to like size [1/s]; any in the midst of what matters does."""

BEYOND = 1e12
"""A natural frequency above this is none, but what rounding makes of an infinite one [1/s]."""


def answers(by_f: Floats, by_q: Floats, excitation: Floats, frequencies: Floats) -> Complex:
    """x of (J + jω·C)·x = b at every frequency [Hz], [frequency, unknown]."""
    s = 2j * np.pi * np.asarray(frequencies, dtype=float)[:, None, None]
    matrices = by_f + s * by_q
    rows = 1.0 / np.abs(matrices).max(axis=2, keepdims=True)
    matrices = matrices * rows
    columns = 1.0 / np.abs(matrices).max(axis=1, keepdims=True)
    right = rows * np.asarray(excitation, dtype=float)[:, None]
    found = np.linalg.solve(matrices * columns, right)
    return np.asarray(columns[:, 0, :] * found[:, :, 0])


def return_ratio(by_f: Floats, by_q: Floats, broken: Sequence[int], frequencies: Floats) -> Complex:
    """Loop gain of controlled sources at every frequency [Hz]: positive for negative feedback at low frequency.

    T = −(what returns)/(what was sent): the unknowns `broken` are held at 1, everything else answers, and what their
    own rows then ask of them comes back.  Row k must read x_k·(1 + s·τ_k) = g(other unknowns).  Several sources are
    sent alike, and what returns is their mean: their loop in common.
    """
    broken = list(broken)
    kept = [k for k in range(len(by_f)) if k not in broken]
    s = 2j * np.pi * np.asarray(frequencies, dtype=float)[:, None, None]
    whole = by_f + s * by_q
    inner = whole[:, kept][:, :, kept]
    sent = whole[:, kept][:, :, broken].sum(axis=2, keepdims=True)
    rows = 1.0 / np.abs(inner).max(axis=2, keepdims=True)
    scaled = inner * rows
    columns = 1.0 / np.abs(scaled).max(axis=1, keepdims=True)
    x = -columns.swapaxes(1, 2) * np.linalg.solve(scaled * columns, rows * sent)
    returned = (whole[:, broken][:, :, kept] @ x)[:, :, 0]
    own = whole[:, broken, broken]
    return np.asarray((returned / own).mean(axis=1))


def natural_frequencies(by_f: Floats, by_q: Floats) -> Complex:
    """All finite s with det(J + s·C) = 0 [1/s], the fastest growing first; a positive real part grows.

    Generalised eigenvalues of the pencil (−J, C) by the QZ method, its rows and columns brought to like size.
    """
    from scipy.linalg import eigvals

    size = np.abs(by_f) + BALANCE * np.abs(by_q)
    rows = 1.0 / np.sqrt(size.max(axis=1))
    size = size * rows[:, None]
    columns = 1.0 / size.max(axis=0)
    scale = rows[:, None] * columns
    above, below = eigvals(-by_f * scale, BALANCE * by_q * scale, homogeneous_eigvals=True)
    finite = np.abs(above) * BALANCE < BEYOND * np.abs(below)
    found = BALANCE * above[finite] / below[finite]
    return np.asarray(found[np.argsort(-found.real, kind="stable")])


def crossings(values: Floats, level: float) -> list[int]:
    """Places k where a curve passes a level between k and k + 1."""
    return [int(k) for k in np.flatnonzero((values[:-1] > level) != (values[1:] > level))]
