"""Preferred values against IEC 60063.

IEC 60063:2015 itself: from memory.  The corrections to the rounded formula (E24: 27 to 47 one step up, 82 one
step down; E192: 920 for 919) and the tail of E96 were read in public program code; the sums for E48
and above are arithmetic.
"""

import pytest

from outboard.parts.preferred import SERIES, decade, preferred, series_values


@pytest.mark.parametrize(
    ("series", "count", "total"), [("E3", 3, 79), ("E6", 6, 195), ("E12", 12, 429), ("E24", 24, 901)]
)
def test_two_digit_series(series, count, total):
    """E1. Counts and sums."""
    assert len(decade(series)) == count
    assert sum(decade(series)) == total


def test_irregular_values_of_e24():
    """E1. 27 30 33 36 39 43 47 and 82 are not what the formula gives."""
    irregular = [value for step, value in enumerate(decade("E24")) if value != round(10 * 10 ** (step / 24))]
    assert irregular == [27, 30, 33, 36, 39, 43, 47, 82]


@pytest.mark.parametrize(("series", "count", "total"), [("E48", 48, 18313), ("E96", 96, 37070), ("E192", 192, 74599)])
def test_three_digit_series(series, count, total):
    """E2. Counts and sums."""
    assert len(decade(series)) == count
    assert sum(decade(series)) == total


def test_the_exception_of_e192():
    """E2. Member 185 is 920; the formula gives 919."""
    assert decade("E192")[185] == 920
    assert round(100 * 10 ** (185 / 192)) == 919
    assert 919 not in decade("E192")


def test_pieces_of_e96():
    """E3. Neighbours as printed in a table of the series."""
    values = decade("E96")
    start = values.index(487)
    assert values[start : start + 3] == (487, 499, 511)
    assert values[-3:] == (931, 953, 976)


def test_every_series_is_part_of_the_finer_one():
    """E1. Each series leaves out every other member of the next finer one of its kind."""
    assert decade("E12")[::2] == decade("E6")
    assert decade("E96")[::2] == decade("E48")
    assert list(SERIES) == ["E3", "E6", "E12", "E24", "E48", "E96", "E192"]


def test_series_values_over_decades():
    assert series_values("E3", 0.1, 10.0) == (0.1, 0.22, 0.47, 1.0, 2.2, 4.7, 10.0)
    assert series_values("E12", 8.3, 11.9) == (10.0,)


@pytest.mark.parametrize(
    ("value", "series", "direction", "found"),
    [
        (2.9, "E12", "nearest", 2.7),  # 2.9/2.7 = 1.074, 3.3/2.9 = 1.138
        (2.9, "E12", "up", 3.3),
        (2.9, "E12", "down", 2.7),
        (9.5, "E6", "up", 10.0),
        (9.2e3, "E192", "nearest", 9.2e3),
        (0.047, "E3", "up", 0.047),
        (0.047, "E3", "down", 0.047),
    ],
)
def test_preferred(value, series, direction, found):
    assert preferred(value, series, direction) == found


def test_a_computed_value_that_is_preferred_but_for_rounding_stays():
    assert preferred(0.1 + 0.2, "E24", "up") == 0.3
    assert preferred(4.7 * (1 + 1e-12), "E12", "up") == 4.7


@pytest.mark.parametrize(
    ("value", "series", "direction"), [(0.0, "E12", "up"), (1.0, "E7", "up"), (1.0, "E12", "left")]
)
def test_refused(value, series, direction):
    with pytest.raises(ValueError):
        preferred(value, series, direction)
