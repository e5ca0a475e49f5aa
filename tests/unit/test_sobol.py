"""The sequence of Sobol' against SciPy's own, to the bit."""

import numpy as np
import pytest
from scipy.stats import qmc

from outboard.cases.sobol import BITS, sobol


@pytest.mark.parametrize("dimensions", [1, 2, 14, 80])
@pytest.mark.parametrize("seed", [0, 20261125])
def test_points_are_those_of_scipy(dimensions: int, seed: int) -> None:
    points = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(seed)).random(2048)
    np.testing.assert_array_equal(sobol(dimensions, seed, 0, 2048), points)
    np.testing.assert_array_equal(sobol(dimensions, seed, 768, 256), points[768:1024])


def test_pieces_far_out_are_those_of_scipy() -> None:
    engine = qmc.Sobol(3, scramble=True, rng=np.random.default_rng(1)).fast_forward(1_000_192)
    np.testing.assert_array_equal(sobol(3, 1, 1_000_192, 256), engine.random(256))


def test_the_last_piece_is_there_and_inside() -> None:
    last = sobol(5, 3, 2**BITS - 256, 256)
    assert ((last >= 0.0) & (last < 1.0)).all() and (np.unique(last[:, 0]).size == 256)
