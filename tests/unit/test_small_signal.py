"""Small signals against closed forms, scipy's own linear systems, and exact solutions of random networks."""

import math
import random

import numpy as np
import pytest
from moving_networks import begun, capacitor, inductor, resistor, source
from scipy import linalg, signal

from outboard.network.small_signal import answers, natural_frequencies, return_ratio

FREQUENCIES = np.geomspace(1.0, 1e7, 71)


def resonant():  # type: ignore[no-untyped-def]
    ohms, henries, farads = 5.0, 1e-4, 1e-6
    circuit, x = begun([source(0.0), inductor("L", "in", "out", henries, series_resistance=ohms),
                        capacitor("C", "out", "ground", farads)])  # fmt: skip
    point = circuit.evaluation(x, circuit.numbers({}, 0.0))
    return circuit, point, (ohms, henries, farads)


def test_a_filter_answers_as_scipy_says_of_its_transfer_function() -> None:
    circuit, point, (ohms, henries, farads) = resonant()
    drive = np.zeros(circuit.size)
    drive[circuit.index["branch", "input", "current"]] = 1.0
    mine = answers(point.by_f, point.by_q, drive, FREQUENCIES)[:, circuit.place("out")]
    _, other = signal.freqs([1.0], [henries * farads, ohms * farads, 1.0], worN=2.0 * math.pi * FREQUENCIES)
    assert mine == pytest.approx(other, rel=1e-9)


def test_natural_frequencies_of_a_resonant_circuit_are_the_roots_of_its_polynomial() -> None:
    _, point, (ohms, henries, farads) = resonant()
    mine = np.sort_complex(natural_frequencies(point.by_f, point.by_q))
    assert mine == pytest.approx(np.sort_complex(np.roots([henries * farads, ohms * farads, 1.0])), rel=1e-9)


def test_a_ladder_has_the_natural_frequencies_of_its_state_matrix() -> None:
    """Ten sections of R and C, values over four decades; A = −C⁻¹·G written out, by scipy's standard eigenvalues."""
    draw = random.Random(11)
    ohms = [10.0 ** draw.uniform(0.0, 4.0) for _ in range(10)]
    farads = [10.0 ** draw.uniform(-10.0, -6.0) for _ in range(10)]
    nets = ["in", *(f"n{k}" for k in range(10))]
    parts = [source(0.0)]
    for k in range(10):
        parts.append(resistor(f"R{k}", nets[k], nets[k + 1], ohms[k]))
        parts.append(capacitor(f"C{k}", nets[k + 1], "ground", farads[k]))
    circuit, x = begun(parts)
    point = circuit.evaluation(x, circuit.numbers({}, 0.0))
    conductances = np.zeros((10, 10))
    for k in range(10):
        conductances[k, k] += 1.0 / ohms[k]
        if k:
            conductances[k - 1, k - 1] += 1.0 / ohms[k]
            conductances[k - 1, k] -= 1.0 / ohms[k]
            conductances[k, k - 1] -= 1.0 / ohms[k]
    other = np.sort(linalg.eigvals(-conductances / np.array(farads)[:, None]).real)
    mine = np.sort(natural_frequencies(point.by_f, point.by_q).real)
    assert mine == pytest.approx(other, rel=1e-6)


def random_network(seed: int, size: int = 6):  # type: ignore[no-untyped-def]
    """Random conductances and capacitances between all nodes and ground, and a controlled source as last unknown.

    Its row says x = g·(v_a − v_b); its current flows from c to ground.
    """
    draw = np.random.default_rng(seed)
    by_f, by_q = np.zeros((size + 1, size + 1)), np.zeros((size + 1, size + 1))
    for i in range(size):
        for j in range(i, size):
            for matrix, value in ((by_f, 10.0 ** draw.uniform(-5.0, -2.0)), (by_q, 10.0 ** draw.uniform(-12.0, -8.0))):
                matrix[i, i] += value
                if j > i:
                    matrix[j, j] += value
                    matrix[i, j] -= value
                    matrix[j, i] -= value
    a, b, c, port = draw.permutation(size)[:4]
    by_f[size, size] = 1.0
    by_f[size, a], by_f[size, b] = -10.0 ** draw.uniform(-2.0, 0.0), 10.0 ** draw.uniform(-2.0, 0.0)
    by_f[c, size] = draw.choice([-1.0, 1.0])
    return by_f, by_q, int(port)


@pytest.mark.parametrize("seed", range(12))
def test_blackman_gives_the_impedance_of_an_exact_solution(seed: int) -> None:
    """L9. Z = Z_D·(1 + T_sc)/(1 + T_oc) (Blackman): source dead, port shorted, port open; the circuit is random."""
    by_f, by_q, port = random_network(seed)
    control = len(by_f) - 1
    drive = np.zeros(len(by_f))
    drive[port] = 1.0
    exact = answers(by_f, by_q, drive, FREQUENCIES)[:, port]
    dead = by_f.copy()
    dead[control, :control] = 0.0
    without = answers(dead, by_q, drive, FREQUENCIES)[:, port]
    keep = [k for k in range(len(by_f)) if k != port]
    shorted = return_ratio(by_f[np.ix_(keep, keep)], by_q[np.ix_(keep, keep)], [len(keep) - 1], FREQUENCIES)
    opened = return_ratio(by_f, by_q, [control], FREQUENCIES)
    assert without * (1.0 + shorted) / (1.0 + opened) == pytest.approx(exact, rel=1e-8)


@pytest.mark.parametrize("seed", range(6))
def test_return_difference_is_the_ratio_of_determinants(seed: int) -> None:
    """1 + T = Δ/Δ0, Δ0 with the controlled source dead (Bode)."""
    by_f, by_q, _ = random_network(seed)
    dead = by_f.copy()
    dead[-1, :-1] = 0.0
    for frequency in (10.0, 1e4, 1e6):
        s = 2j * math.pi * frequency
        ratio = np.linalg.det((by_f + s * by_q) * 1e3) / np.linalg.det((dead + s * by_q) * 1e3)
        (found,) = return_ratio(by_f, by_q, [len(by_f) - 1], np.array([frequency]))
        assert 1.0 + found == pytest.approx(ratio, rel=1e-8)


def test_a_growing_mode_has_a_positive_real_part() -> None:
    """A negative resistance across a resonant circuit: s = α ± jω with α = G/2C > 0."""
    by_f = np.array([[-1e-3, 1.0], [1.0, 0.0]])
    by_q = np.array([[1e-9, 0.0], [0.0, -1e-6]])
    found = natural_frequencies(by_f, by_q)
    assert found.real == pytest.approx([0.5e-3 / 1e-9] * 2, rel=1e-9)
