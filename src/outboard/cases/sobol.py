"""The scrambled sequence of Sobol', any piece of it at once, point by point that of scipy.stats.qmc.Sobol.

That class is a second's import and counts its way to a piece from the first point; its direction numbers, and SciPy's
habit of drawing the scramble, are all that is needed here.

Source of the numbers: S. Joe, F. Y. Kuo, SIAM J. Sci. Comput. 30 (2008) 2635; of the scramble by lower triangular
matrices and a shift: J. Matoušek, J. Complexity 14 (1998) 527 (memory).
"""

from functools import cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.uint32]

BITS = 30
NUMBERS = Path("stats") / "_sobol_direction_numbers.npz"


def sobol(dimensions: int, seed: int, first: int, count: int) -> NDArray[np.float64]:
    """Points `first` to `first + count` of the sequence that a seed scrambles [point, dimension], from 0 to below 1."""
    directions, shift = _scrambled(dimensions, seed)
    places = np.arange(first, first + count)
    grey = places ^ (places >> 1)
    points = np.tile(shift, (count, 1))
    for bit in range(min(BITS, int(first + count).bit_length())):
        points[(grey >> bit) & 1 == 1] ^= directions[:, bit]
    return np.asarray(points * 0.5**BITS)


@cache
def _scrambled(dimensions: int, seed: int) -> tuple[Whole, Whole]:
    """Direction numbers [dimension, bit] after the scramble, and the shift [dimension]."""
    (random,) = np.random.default_rng(seed).spawn(1)
    powers = 2 ** np.arange(BITS, dtype=np.uint32)
    shift = np.dot(random.integers(2, size=(dimensions, BITS), dtype=np.uint32), powers)
    lower = np.tril(random.integers(2, size=(dimensions, BITS, BITS), dtype=np.uint32))
    lower[:, range(BITS), range(BITS)] = 1
    leading = powers[::-1]
    bits = (_directions(dimensions)[:, None, :] & leading[None, :, None] != 0).astype(np.uint32)
    mixed = np.einsum("dij,djk->dik", lower, bits) & 1
    return np.einsum("dik,i->dk", mixed, leading).astype(np.uint32), shift.astype(np.uint32)


def _directions(dimensions: int) -> Whole:
    """Direction numbers of the first dimensions [dimension, bit], from their first few and a polynomial each."""
    found = find_spec("scipy")
    assert found is not None and found.submodule_search_locations
    with np.load(Path(found.submodule_search_locations[0]) / NUMBERS) as numbers:
        first, polynomials = numbers["vinit"][:dimensions], numbers["poly"][:dimensions]
    rows = np.ones((dimensions, BITS), dtype=np.int64)
    for row, known, polynomial in zip(rows[1:], first[1:], polynomials[1:].tolist(), strict=True):
        degree = int(polynomial).bit_length() - 1
        row[:degree] = known[:degree]
        for j in range(degree, BITS):
            row[j] = row[j - degree]
            for k in range(1, degree + 1):
                if (polynomial >> (degree - k)) & 1:
                    row[j] ^= row[j - k] << k
    return (rows << np.arange(BITS - 1, -1, -1)).astype(np.uint32)
