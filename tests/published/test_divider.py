"""A divider of two resistors three ways: extreme values, root sum of squares, random draws.

5 V over two resistors of 10 kΩ, 1 % each.  No document prints this case; the numbers are exact arithmetic, derived
beside each test, and stand here as the handbooks' three methods of worst-case analysis set them against each other.
"""

import math

import pytest

from outboard.arrangements import designed
from outboard.brief import read_text
from outboard.checks.culprits import drivers
from outboard.checks.draw_run import run
from outboard.checks.draws import Lot, lot

DIVIDER = """
title = "Invented: a divider"
[output]
voltage = "2.5 V"
tolerance = "2 %"
load = "0 A"
[[parts]]
name = "supply"
kind = "source"
pins = { plus = "in", minus = "ground" }
voltage = "5 V"
[[parts]]
name = "R1"
kind = "resistor"
role = "base resistor"
pins = { a = "in", b = "out" }
resistance = "10 kΩ"
tolerance = "1 %"
rated_power = "0.25 W"
[[parts]]
name = "R2"
kind = "resistor"
role = "{role}"
pins = { a = "out", b = "ground" }
resistance = "10 kΩ"
tolerance = "1 %"
rated_power = "0.25 W"
"""
LIMITS = (2.45, 2.55)


@pytest.fixture(scope="module")
def divider() -> Lot:
    """R1 stands for itself among the corners; its role is but a way to say that."""
    return lot(designed(read_text(DIVIDER.replace("{role}", "lower half"), "divider.toml")), seed=1)


def test_extreme_values(divider, printed):
    """W1 (derived): 5·9.9/(10.1 + 9.9) = 2.475 V to 5·10.1/(9.9 + 10.1) = 2.525 V."""
    low, high = (tally.worst.value for tally in divider.tallies[:2])
    assert low == printed("2.475")
    assert high == printed("2.525")


def test_root_sum_of_squares(divider, printed):
    """W2 (derived): each resistor takes 5 V/4 · 1 % = 12.5 mV, together √2 · 12.5 mV = 17.68 mV."""
    for number in (0, 1):
        found = drivers(divider, number, None)
        assert found.usual == pytest.approx(50e-3, abs=1e-9)
        assert found.usual - found.root_sum_square == printed("17.68", 1e-3)


def test_random_draws(divider, printed):
    """W3 (derived): uniform within ±1 %, each has σ = 12.5 mV/√3, together √2/√3 · 12.5 mV = 10.206 mV.

    A million independent draws gave 10.204 mV elsewhere; here 16384 of Sobol's points, to three digits.
    """
    drawn = run(divider, 16384, 2).drawn
    mean, square = drawn.checks[0].sums.totals[:2] / drawn.draws
    assert math.sqrt(square - mean * mean) == printed("10.2", 1e-3)
    assert math.sqrt(square - mean * mean) == pytest.approx(math.sqrt(2.0 / 3.0) * 12.5e-3, rel=1e-3)
    assert mean == pytest.approx(50e-3, abs=0.01e-3)
    assert drawn.holds == drawn.draws


def test_each_resistor_has_half_of_it(divider):
    """Derived: the two are alike, so each makes half of the variance and half of the extreme."""
    found = drivers(divider, 0, run(divider, 4096, 2).drawn)
    assert sorted(one.axis for one in found.culprits[:2]) == ["R1", "other resistors"]
    assert found.explained == pytest.approx(1.0, abs=1e-3)
    for one in found.culprits[:2]:
        assert one.variance_share == pytest.approx(0.5, abs=5e-3)
        assert one.extreme_share == pytest.approx(0.5, abs=5e-3)
        # at 0.5 % half of its share is gained: 25 mV less 6.25 mV, of 2.475 V − 2.45 V
        assert one.grade == "0.5 %"
        assert one.tightened == pytest.approx(25e-3 + 6.25e-3, abs=0.1e-3)
