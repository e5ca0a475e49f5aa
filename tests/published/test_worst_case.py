"""Worst case of a divider and of a power transfer: ends, root sum of squares, random draws, count of corners.

W1 to W3 are exact arithmetic (derived; no publication), put through the solver here: networks of explicit parts, slopes
from the solved system.  W1 is in test_divider.py, as a design file and its verdict.  W4 is a statement of method from
the abstract of a chapter by R. Boyd (seen): n parameters have 2^n corners, and trying them can beat the signs of the
usual slopes where a figure is not monotonic.
"""

from itertools import product

import numpy as np
import pytest

from outboard.analysis.descent import Search, descend
from outboard.analysis.sensitivity import Address, root_sum_square, slopes
from outboard.network.circuit import Circuit, laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved

RESISTORS = [("R1", "resistance"), ("R2", "resistance")]


def divider(upper: float = 10e3, lower: float = 10e3, voltage: float = 5.0) -> Circuit:
    parts = [
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": voltage}),
        Part("R1", "resistor", {"a": "in", "b": "out"}, {"resistance": upper}),
        Part("R2", "resistor", {"a": "out", "b": "ground"}, {"resistance": lower}),
    ]
    return laid_out(parts, 298.15)


def output(block: Block) -> np.ndarray:
    return block.net_voltage("out")


def test_w2_root_sum_of_squares(printed):
    """W2 (derived). The same divider: ± 17.68 mV."""
    by_resistor = slopes(solved(divider()), [output], RESISTORS)
    assert root_sum_square(by_resistor, np.full(2, 100.0))[0, 0] == printed("17.68", 1e-3)


def test_w3_random_draws_from_uniform_tolerances(printed):
    """W3 (derived). Uniform ± 1 %: 10.206 mV by slopes; 60 000 solved draws within four standard errors."""
    by_resistor = slopes(solved(divider()), [output], RESISTORS)
    by_slopes = root_sum_square(by_resistor, np.full(2, 100.0 / np.sqrt(3.0)))[0, 0]
    assert by_slopes == printed("10.206", 1e-3)
    drawn = 10e3 * np.random.default_rng(1).uniform(0.99, 1.01, (60_000, 2))
    spread = output(solved(divider(), Overrides(tuple(RESISTORS), drawn)))[:, 0].std()
    # a sum of two uniform deviations has kurtosis 2.4, so its σ has the relative error √((2.4 − 1)/(4N))
    assert spread == pytest.approx(by_slopes, rel=4.0 * np.sqrt(1.4 / (4 * 60_000)))


def power(block: Block) -> np.ndarray:
    return block.power("R2")


def most_power(circuit: Circuit, ends: dict[Address, tuple[float, float]]) -> Search:
    """The search of the worst case, with exact slopes, for the greatest power into R2 from the middle of a box."""
    least, most = np.array(list(ends.values())).T

    def values(points: np.ndarray, owners: np.ndarray) -> np.ndarray:
        return -power(solved(circuit, Overrides(tuple(ends), points)))[:, 0]

    def steepness(points: np.ndarray, owners: np.ndarray) -> np.ndarray:
        return -slopes(solved(circuit, Overrides(tuple(ends), points)), [power], list(ends))[0]

    start = 0.5 * (least + most)
    search = Search(start, float(values(start[None], np.zeros(1))[0]), 1e-12)
    descend([search], values, steepness, least, most)
    return search


def test_w4_corners_beat_signs_where_a_figure_turns():
    """W4 (seen, method). Power into R2 is greatest at R2 = R1: inside the box, where no corner lies.

    Three parameters, 2³ = 8 corners, none better than the one that signs name; the search finds V²/(4·R1), the
    textbook's matched load (memory), at the most voltage and the least R1.
    """
    ends = {("input", "voltage"): (4.0, 6.0), RESISTORS[0]: (90.0, 110.0), RESISTORS[1]: (50.0, 900.0)}
    circuit = divider(100.0, 150.0)
    least, most = np.array(list(ends.values())).T
    corners = np.array(list(product(*ends.values())))
    assert len(corners) == 8
    by_corner = power(solved(circuit, Overrides(tuple(ends), corners)))[:, 0]
    usual = slopes(solved(circuit), [power], list(ends))[0, 0]
    by_signs = power(solved(circuit, Overrides(tuple(ends), np.where(usual > 0.0, most, least)[None])))[0, 0]
    found = most_power(circuit, ends)
    assert -found.value == pytest.approx(36.0 / (4.0 * 90.0), rel=1e-6)
    assert found.at[2] == pytest.approx(90.0, rel=1e-2)
    assert found.settled
    assert by_signs <= by_corner.max() < -found.value


def test_w4_signs_at_the_usual_values_name_the_wrong_corner():
    """W4. Usual 300 Ω: power falls with R2, so signs name 5 Ω for the most; 900 Ω is the better corner."""
    circuit = divider(100.0, 300.0)
    usual = slopes(solved(circuit), [power], [RESISTORS[1]])[0, 0, 0]
    assert usual < 0.0
    low, high = power(solved(circuit, Overrides((RESISTORS[1],), np.array([[5.0], [900.0]]))))[:, 0]
    assert high > low
    assert -most_power(circuit, {RESISTORS[1]: (5.0, 900.0)}).value == pytest.approx(25.0 / 400.0, rel=1e-6)
