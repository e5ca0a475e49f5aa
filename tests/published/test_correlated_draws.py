"""Random draws that go together, against the worked example of correlated inputs in the guide to uncertainty."""

import numpy as np
import pytest

from outboard.cases.distributions import Way
from outboard.cases.sampling import BLOCK, Sampling, numbers

FAR = 8.0
"""Standard deviations at which the distributions are cut: what lies beyond weighs less than rounding."""


def test_u1_resistance_and_reactance_of_a_measured_element(printed):
    """U1. JCGM 100:2008, annex H.2, as GTC's documentation carries it (seen): voltage, current and phase of an element,
    correlated, and the resistance, reactance and impedance that follow, with their uncertainties and correlations.
    Drawn 2¹⁶ times; the guide's own 0.071 Ω comes from data that are not rounded (memory)."""
    measured = {"V": (4.999, 3.2e-3), "I": (19.661e-3, 9.5e-6), "phi": (1.04446, 7.5e-4)}
    ways = tuple(
        Way(name, name, name, "", ((name, "measured"),), (mean - FAR * u,), (mean,), (mean + FAR * u,), "normal")
        for name, (mean, u) in measured.items()
    )
    correlation = np.array([[1.0, -0.36, 0.86], [-0.36, 1.0, -0.65], [0.86, -0.65, 1.0]])
    sampling = Sampling(ways, correlation, FAR, seed=1)
    places = np.vstack([sampling.block(block)[0] for block in range((1 << 16) // BLOCK)])
    _, drawn = numbers(ways, places)
    voltage, current, phase = drawn.T
    found = np.array([voltage / current * np.cos(phase), voltage / current * np.sin(phase), voltage / current])
    for mean, said in zip(found.mean(axis=1), ("127.732", "219.85", "254.26"), strict=True):
        assert mean == printed(said)
    for deviation, said in zip(found.std(axis=1), ("0.070", "0.30", "0.24"), strict=True):
        assert deviation == printed(said)
    between = np.corrcoef(found)
    for (one, other), said in (((0, 1), "-0.59"), ((0, 2), "-0.49"), ((1, 2), "0.99")):
        assert between[one, other] == printed(said)
    assert np.corrcoef(drawn.T) == pytest.approx(correlation, abs=0.003)
