"""E4. Letter and digit code of IEC 60062 (memory): 4R7, R47, 4K7, 1M0, 0R1, R10; 4µ7; tolerance letters."""

import pytest

from outboard.quantity import DIMENSIONS, parse
from outboard.quantity.reading import marked_resistance


@pytest.mark.parametrize(
    ("marking", "ohms"), [("4R7", 4.7), ("R47", 0.47), ("4K7", 4700.0), ("1M0", 1e6), ("0R1", 0.1), ("R10", 0.1)]
)
def test_values_of_resistors(marking, ohms):
    assert parse(marking, DIMENSIONS["resistance"]) == ohms
    assert marked_resistance(marking) == (ohms, None)


@pytest.mark.parametrize(("marking", "farads"), [("µ7", 0.7e-6), ("4µ7", 4.7e-6)])
def test_values_of_capacitors(marking, farads):
    assert parse(marking, DIMENSIONS["capacitance"]) == farads


@pytest.mark.parametrize(
    ("letter", "percent"),
    [("B", 0.1), ("C", 0.25), ("D", 0.5), ("F", 1.0), ("G", 2.0), ("J", 5.0), ("K", 10.0), ("M", 20.0)],
)
def test_tolerance_letters(letter, percent):
    ohms, tolerance = marked_resistance(f"4K7{letter}")
    assert ohms == 4700.0
    assert 100.0 * tolerance == pytest.approx(percent)
