"""Fuses: melting integrals of pulse shapes and numbers of pulses (Littelfuse); rows X1 and X2."""

from collections.abc import Callable
from typing import Any

import pytest

from outboard.formulas.fuse import (
    discharge_time,
    fuse_rating,
    integral_of_decay,
    integral_of_half_sine,
    integral_of_parabola,
    integral_of_trapezoid,
    integral_of_triangle,
    pulse_share,
)

Print = Callable[..., Any]


def test_x1_shapes_at_8_amperes_and_4_milliseconds(printed: Print) -> None:
    assert integral_of_half_sine(peak=8.0, length=4e-3) == printed("0.128")
    assert integral_of_triangle(peak=8.0, length=4e-3) == printed("0.0853")


def test_x1_shapes_by_arithmetic() -> None:
    """A trapezoid with equal sides is a rectangle, one that falls to nothing a triangle; parabola a fifth (chart 1)."""
    assert integral_of_trapezoid(peak=8.0, end=8.0, length=4e-3) == pytest.approx(0.256)
    assert integral_of_trapezoid(peak=8.0, end=0.0, length=4e-3) == integral_of_triangle(peak=8.0, length=4e-3)
    assert integral_of_parabola(peak=8.0, length=4e-3) == pytest.approx(0.256 / 5.0)
    assert integral_of_decay(peak=8.0, time_constant=4e-3) == pytest.approx(0.128)


@pytest.mark.parametrize(("pulses", "share"), [(100_000, 0.22), (10_000, 0.29), (1_000, 0.38), (100, 0.48), (500, 0.38)]
                         )  # fmt: skip
def test_x2_pulses(pulses: int, share: float) -> None:
    assert pulse_share(pulses) == share


def test_x2_beyond_the_chart_nothing_is_said() -> None:
    with pytest.raises(ValueError, match="chart ends"):
        pulse_share(100_001)


def test_small_fuses_are_asked_for_by_name() -> None:
    """R10 of ISO 3: 0.25, 0.315, 0.4 (from memory); three quarters are used."""
    assert fuse_rating(0.2) == 0.5
    assert fuse_rating(0.2, small=True) == 0.315


def test_a_bleeder_takes_its_time() -> None:
    """1 kΩ on 1000 µF is one second; from e times the voltage to it takes one time constant (exact)."""
    assert discharge_time(bleeder=1e3, capacitance=1e-3, first=2.718281828459045, last=1.0) == pytest.approx(1.0)
