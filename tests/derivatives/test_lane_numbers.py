"""The elementary functions of the lane kernels against mpmath at 40 digits, and the lanes against NumPy."""

from collections.abc import Callable
from typing import Any

import mpmath
import numba
import numpy as np
import pytest

from outboard.network import lane_numbers
from outboard.network.compile import solver
from outboard.network.lane_numbers import WIDTH, choose, every, lane, put

RANDOM = np.random.default_rng(20261125)
SMALLEST = np.finfo(float).tiny


def over_lanes(function: Any) -> Callable[[np.ndarray], np.ndarray]:
    """A function of lane numbers as one of arrays."""

    @numba.njit
    def run(x: np.ndarray, y: np.ndarray) -> None:
        for place in range(np.uint64(x.size // WIDTH)):
            put(y, place, function(lane(x, place)))

    def whole(x: np.ndarray) -> np.ndarray:
        padded = np.resize(x, -(-x.size // WIDTH) * WIDTH)
        y = np.empty_like(padded)
        run(padded, y)
        return y[: x.size]

    return whole


ARGUMENTS = {
    "exp": np.concatenate([RANDOM.uniform(-700, 700, 2000), RANDOM.uniform(-1, 1, 2000), [0.0, -0.0, 1e-300, 80.0]]),
    "log": np.concatenate([np.exp(RANDOM.uniform(-600, 600, 2000)), RANDOM.uniform(0.5, 2.0, 2000), [1.0, SMALLEST]]),
    "log1p": np.concatenate([RANDOM.uniform(0, 1, 2000), np.exp(RANDOM.uniform(-300, 0, 2000)), [0.0, 1.0]]),
    "tanh": np.concatenate([RANDOM.uniform(-30, 30, 2000), [0.0, 1.0, -1.0, 700.0]]),
}
UNITS = {"exp": 2.0, "log": 2.0, "log1p": 2.5}
"""Units in the last place; tanh is held to the last digit of 1 instead, since a difference from ±1 is what counts."""


@pytest.mark.parametrize("name", ARGUMENTS)
def test_elementary_functions(name: str) -> None:
    x = ARGUMENTS[name]
    found = over_lanes(getattr(solver(), f"lane_{name}"))(x)
    with mpmath.workdps(40):
        exact = [getattr(mpmath, name)(mpmath.mpf(float(one))) for one in x]
        off = np.array([float(abs(mpmath.mpf(float(y)) - e)) for y, e in zip(found, exact, strict=True)])
        size = np.array([float(abs(e)) for e in exact])
    unit = np.finfo(float).eps if name == "tanh" else UNITS[name] * np.spacing(np.maximum(size, SMALLEST))
    assert (off <= unit).all(), (x[off > unit][:5], (off / unit).max())


def test_far_below_nothing_is_left_and_nothing_overflows() -> None:
    small = over_lanes(solver().lane_exp)(np.array([-709.0, -1e4, -1e308]))
    assert ((small >= 0.0) & (small < 1e-300)).all()


def test_lanes_do_what_numpy_does() -> None:
    """Every operation, lane by lane, with numbers that are none among them."""
    x = np.concatenate([RANDOM.normal(size=61), [np.nan, np.inf, -0.0]])

    @numba.njit
    def mixed(v: Any) -> Any:
        low = (v < 0.5) & ~(v <= -0.5)
        return choose(low | (v > 1.5), -v * 2.0 - 1.0 / v, choose(v > 0.25, v, every(0.25)) + 3.0)

    low = (x < 0.5) & ~(x <= -0.5)
    with np.errstate(divide="ignore"):
        expected = np.where(low | (x > 1.5), -x * 2.0 - 1.0 / x, np.where(x > 0.25, x, 0.25) + 3.0)
    np.testing.assert_allclose(over_lanes(mixed)(x), expected, rtol=4e-16, atol=0.0)
    np.testing.assert_array_equal(over_lanes(lane_numbers.size_of)(x), np.abs(x))
    positive = np.abs(x) + 0.1
    np.testing.assert_array_equal(over_lanes(lane_numbers.lane_sqrt)(positive), np.sqrt(positive))
    mantissa, exponent = np.frexp(positive[np.isfinite(positive)])
    np.testing.assert_array_equal(over_lanes(lane_numbers.mantissa_of)(positive[np.isfinite(positive)]), 2.0 * mantissa)
    found = over_lanes(lane_numbers.exponent_of)(positive[np.isfinite(positive)])
    np.testing.assert_array_equal(found, exponent - 1.0)
