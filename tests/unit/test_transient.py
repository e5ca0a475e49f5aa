"""Steps through time against closed forms, and against another integrator on the same equations."""

import math

import numpy as np
import pytest
from moving_networks import begun, capacitor, inductor, load, resistor, seen, source
from scipy.integrate import solve_ivp

from outboard.devices.mathematics import BOLTZMANN_VOLTAGE
from outboard.network.part import Part
from outboard.network.transient import course

INPUT = ("input", "voltage")


def ramp(edge: float):  # type: ignore[no-untyped-def]
    return lambda time: min(1.0, max(0.0, time / edge))


def test_a_capacitor_charges_as_the_exponential_says() -> None:
    """v = 1 − exp(−t/RC), R 1 kΩ, C 1 µF."""
    circuit, x = begun([source(0.0), resistor("R", "in", "out", 1e3), capacitor("C", "out", "ground", 1e-6)])
    way = course(circuit, x, {INPUT: lambda _: 1.0}, 5e-3, relative=1e-5, absolute=1e-6)
    assert seen(circuit, way.xs[1:], "out") == pytest.approx(1.0 - np.exp(-way.times[1:] / 1e-3), abs=2e-4)


def test_an_inductor_takes_its_current_as_the_exponential_says() -> None:
    """i = (1 − exp(−R·t/L))/R, L 1 mH with 2 Ω of its own and 8 Ω beside it."""
    circuit, x = begun([source(0.0), resistor("R", "in", "m", 8.0),
                        inductor("L", "m", "ground", 1e-3, series_resistance=2.0)])  # fmt: skip
    way = course(circuit, x, {INPUT: lambda _: 1.0}, 5e-4, relative=1e-5, absolute=1e-6)
    current = way.xs[:, circuit.index["branch", "L", "current"]]
    assert current[1:] == pytest.approx(0.1 * (1.0 - np.exp(-way.times[1:] / 1e-4)), abs=2e-5)


def test_a_resonant_circuit_rings_as_its_closed_form_says() -> None:
    """v = 1 − e^(−αt)(cos ω_d t + α/ω_d sin ω_d t), α = R/2L, over the first ten swings."""
    ohms, henries, farads = 2.0, 1e-5, 1e-6
    circuit, x = begun([source(0.0), inductor("L", "in", "out", henries, series_resistance=ohms),
                        capacitor("C", "out", "ground", farads)])  # fmt: skip
    way = course(circuit, x, {INPUT: lambda _: 1.0}, 2e-4, relative=1e-6, absolute=1e-7)
    alpha, own = ohms / (2.0 * henries), 1.0 / math.sqrt(henries * farads)
    swing = math.sqrt(own**2 - alpha**2)
    t = way.times[1:]
    exact = 1.0 - np.exp(-alpha * t) * (np.cos(swing * t) + alpha / swing * np.sin(swing * t))
    assert seen(circuit, way.xs[1:], "out") == pytest.approx(exact, abs=1e-3)


def test_a_tighter_tolerance_comes_nearer() -> None:
    circuit, x = begun([source(0.0), inductor("L", "in", "out", 1e-5, series_resistance=1.0),
                        capacitor("C", "out", "ground", 1e-6)])  # fmt: skip
    alpha, swing = 5e4, math.sqrt(1e11 - 25e8)
    errors = []
    for relative in (1e-3, 1e-5):
        way = course(circuit, x, {INPUT: lambda _: 1.0}, 5e-5, relative=relative, absolute=0.1 * relative)
        t = way.times[1:]
        exact = 1.0 - np.exp(-alpha * t) * (np.cos(swing * t) + alpha / swing * np.sin(swing * t))
        errors.append(np.abs(seen(circuit, way.xs[1:], "out") - exact).max())
    assert errors[1] < errors[0] / 5.0


def test_a_diode_that_charges_a_capacitor_as_another_integrator_has_it() -> None:
    """Against Radau of scipy on dv/dt = i/C with the junction law written out here; a ramp of 1 V/ms drives it."""
    ohms, farads, still = 10.0, 1e-6, 1e-12
    diode = Part("D", "diode", {"anode": "m", "cathode": "out"}, {"saturation_current": still})
    circuit, x = begun([source(0.0), resistor("R", "in", "m", ohms), diode, capacitor("C", "out", "ground", farads)])
    drive = {INPUT: lambda time: 5.0 * min(1.0, time / 5e-3)}
    way = course(circuit, x, drive, 1e-2, (5e-3,), relative=1e-6, absolute=1e-7)
    vt = BOLTZMANN_VOLTAGE * 298.15

    def current(across: float) -> float:
        low, high = -1e-9, max(0.0, across) / ohms + 1e-9
        for _ in range(200):
            i = 0.5 * (low + high)
            if ohms * i + vt * math.log1p(max(i, -0.999 * still) / still) < across:
                low = i
            else:
                high = i
        return 0.5 * (low + high)

    other = solve_ivp(lambda t, v: [current(5.0 * min(1.0, t / 5e-3) - v[0]) / farads], (0.0, 1e-2), [0.0],
                      method="Radau", rtol=1e-8, atol=1e-9, t_eval=np.linspace(1e-3, 1e-2, 10))  # fmt: skip
    mine = np.interp(other.t, way.times, seen(circuit, way.xs, "out"))
    assert mine == pytest.approx(other.y[0], abs=2e-3)


def test_no_charge_is_lost() -> None:
    """Two capacitors through a resistor, nothing else: C_1·v_1 + C_2·v_2 stays, Σ i = 0."""
    circuit, x = begun([source(1.0, ohms=1.0), resistor("leak", "a", "in", 1e3), resistor("R", "a", "b", 10.0),
                        capacitor("C1", "a", "ground", 1e-6), capacitor("C2", "b", "ground", 3e-6)])  # fmt: skip
    x = x.copy()
    x[circuit.place("b")] = 0.0
    way = course(circuit, x, {("leak", "resistance"): lambda _: 1e9}, 2e-4)
    total = 1e-6 * seen(circuit, way.xs, "a") + 3e-6 * seen(circuit, way.xs, "b")
    assert total == pytest.approx(total[0], rel=2e-5)
    assert seen(circuit, way.xs[-1], "a") == pytest.approx(0.25, abs=1e-3)


def test_what_never_comes_to_rest_is_given_up_with_a_reason() -> None:
    circuit, x = begun([source(0.0), inductor("L", "in", "out", 1e-6), capacitor("C", "out", "ground", 1e-9)])
    way = course(circuit, x, {INPUT: ramp(1e-9)}, 1.0, (1e-9,))
    assert way.broken and way.times[-1] < 1.0


def test_a_load_step_on_a_bare_capacitor_falls_by_its_resistance_and_then_along_a_line() -> None:
    drive = {("load", "draws"): ramp(1e-9)}
    circuit, x = begun([source(5.0, "out", 1e6), capacitor("C", "out", "ground", 47e-6, series_resistance=0.05),
                        load(0.0)], {("load", "draws"): lambda _: 0.0})  # fmt: skip
    way = course(circuit, x, drive, 2e-6, (1e-9,))
    assert 5.0 - seen(circuit, way.xs[-1], "out") == pytest.approx(0.05 + 2e-6 / 47e-6, rel=1e-3)


def test_a_first_step_that_is_far_too_long_is_noticed() -> None:
    """After a bend the first step is a hundredth of a second, a thousand time constants of the circuit."""
    circuit, x = begun([source(0.0), resistor("R", "in", "out", 1e3), capacitor("C", "out", "ground", 1e-8)])
    way = course(circuit, x, {INPUT: ramp(1e-7)}, 1.0, (1e-7,))
    inside = (way.times > 2e-6) & (way.times < 5e-5)
    assert inside.sum() > 5
    exact = 1.0 - np.exp(-(way.times[inside] - 0.5e-7) / 1e-5)
    assert seen(circuit, way.xs[inside], "out") == pytest.approx(exact, abs=2e-3)
