"""Charges: their slopes against finite differences at forty digits, and what they are made of."""

import random
from types import SimpleNamespace

import mpmath
import pytest

from outboard.devices.bipolar import BIPOLAR
from outboard.devices.charges.junctions import BIPOLAR_CHARGE, DIODE_CHARGE, depletion_charge
from outboard.devices.charges.plain import GLOWING_LAMP
from outboard.devices.charges.regulator import DELAYED_REGULATOR
from outboard.devices.mathematics import FLOATS
from outboard.devices.regulator import regulator_equations
from outboard.network.expansion import expanded
from outboard.network.moving import traced
from outboard.network.moving_expansion import moving
from outboard.network.part import Part

BIPOLAR_VALUES = {
    "saturation_current": 2e-12, "forward_gain": 60.0, "forward_early_voltage": 80.0, "forward_knee_current": 5.0,
    "forward_transit_time": 60e-9, "reverse_transit_time": 1e-6, "emitter_capacitance": 900e-12,
    "collector_capacitance": 400e-12,
}  # fmt: skip
REGULATOR_VALUES = {"set_voltage": 5.0, "current_limit": 2.0, "bandwidth": 10e3, "line_coefficient": 1e-4,
                    "quiescent_load_coefficient": 1e-3}  # fmt: skip
PINS = {"collector": "c", "base": "b", "emitter": "e"}


class Forty:
    """The mathematics of devices at forty digits."""

    exp, log, log1p, sqrt, tanh = mpmath.exp, mpmath.log, mpmath.log1p, mpmath.sqrt, mpmath.tanh
    above = staticmethod(lambda x, limit: x > limit)
    choose = staticmethod(lambda condition, yes, no: yes if condition else no)
    with_slope = staticmethod(lambda value, x, slope: value)


def piece(store, part):
    return next(one for one in moving(part) if one.device is store)


CASES = {
    "npn": (BIPOLAR_CHARGE, Part("Q", "bipolar", PINS, BIPOLAR_VALUES, "npn"), (8.0, 0.72, 0.0, 320.0)),
    "npn saturated": (BIPOLAR_CHARGE, Part("Q", "bipolar", PINS, BIPOLAR_VALUES, "npn"), (0.1, 0.75, 0.0, 300.0)),
    "pnp": (BIPOLAR_CHARGE, Part("Q", "bipolar", PINS, BIPOLAR_VALUES, "pnp"), (-8.0, -0.72, 0.0, 320.0)),
    "diode": (DIODE_CHARGE, Part("D", "diode", {"anode": "a", "cathode": "k"},
              {"saturation_current": 1e-9, "transit_time": 4e-6, "junction_capacitance": 30e-12}),
              (0.6, 0.0, 310.0)),
    "regulator": (DELAYED_REGULATOR, Part("U", "regulator", {"in": "i", "out": "o", "ref": "ground"}, REGULATOR_VALUES),
                  (10.0, 4.99, 0.0, 310.0, 0.7)),
    "lamp": (GLOWING_LAMP, Part("load", "load", {"plus": "o", "minus": "ground"}, {"lamp_voltage": 12.0,
             "lamp_power": 21.0, "cold_resistance": 0.6, "time_constant": 0.02}), (9.0, 0.0, 0.5)),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_slopes_are_those_of_finite_differences_at_forty_digits(name: str) -> None:
    store, part, at = CASES[name]
    numbers = tuple(number.value for number in piece(store, part).numbers)
    known = traced(store)
    found = known.function(*at, *numbers)
    count = len(known.moves)
    p = SimpleNamespace(**{key: mpmath.mpf(value) for key, value in zip(store.parameters, numbers, strict=True)})
    with mpmath.workdps(40):
        step = mpmath.mpf(10) ** -15

        def values(equations, moved, by):
            x = [mpmath.mpf(value) + (by if k == moved else 0) for k, value in enumerate(at)]
            return equations(x, p, Forty)

        slopes = found[2 * count :]
        places = [(store.currents, place) for place in known.f_places]
        places += [(store.charges, place) for place in known.q_places]
        assert len(slopes) == len(places)
        for slope, (equations, (k, j)) in zip(slopes, places, strict=True):
            up, down = values(equations, j, step), values(equations, j, -step)
            wanted = (up[k] - down[k]) / (2 * step)
            assert slope == pytest.approx(float(wanted), rel=1e-9, abs=1e-24)


def test_depletion_capacitance_is_the_slope_of_its_charge_and_goes_on_along_its_tangent() -> None:
    size, potential, grading = 100e-12, 0.75, 0.33

    def slope(v: float) -> float:
        up, down = (depletion_charge(v + by, size, potential, grading, FLOATS) for by in (1e-6, -1e-6))
        return (up - down) / 2e-6

    for v in (-20.0, -3.0, 0.0, 0.3):  # C_J·(1 − v/V_J)^(−M), written out
        assert slope(v) == pytest.approx(size * (1.0 - v / potential) ** -grading, rel=1e-6)
    bend = 0.5 * potential
    at_bend = size * 0.5**-grading
    rise = size * grading / potential * 0.5 ** (-grading - 1.0)
    for v in (0.5, 0.9, 2.0):
        assert slope(v) == pytest.approx(at_bend + rise * (v - bend), rel=1e-6)


def test_charge_in_transit_is_collector_current_times_transit_time() -> None:
    """Deep in the active region, without Early effect: Q_BE = τ_F·I_C (Gummel and Poon)."""
    values = {"saturation_current": 1e-14, "forward_gain": 100.0, "forward_knee_current": 2.0,
              "forward_transit_time": 50e-9}  # fmt: skip
    part = Part("Q", "bipolar", PINS, values, "npn")
    at = (5.0, 0.8, 0.0, 298.15)
    stored = traced(BIPOLAR_CHARGE).function(*at, *(number.value for number in piece(BIPOLAR_CHARGE, part).numbers))
    inner = next(one for one in expanded(part).elements if one.device is BIPOLAR)
    flows = traced(BIPOLAR).function(*at, *(number.value for number in inner.numbers))
    base_charge, collector_current = stored[3 + 1], flows[0]
    assert base_charge == pytest.approx(50e-9 * collector_current, rel=1e-9)


def test_the_opposite_polarity_is_the_mirror_image() -> None:
    npn, pnp = (piece(BIPOLAR_CHARGE, CASES[name][1]) for name in ("npn", "pnp"))
    up = traced(BIPOLAR_CHARGE).function(*CASES["npn"][2], *(number.value for number in npn.numbers))
    down = traced(BIPOLAR_CHARGE).function(*CASES["pnp"][2], *(number.value for number in pnp.numbers))
    assert up[3:6] == pytest.approx([-charge for charge in down[3:6]], rel=1e-12)  # charges turn round
    assert up[6:] == pytest.approx(down[6:], rel=1e-12)  # capacitances do not


def test_a_control_at_rest_is_the_regulator_at_rest() -> None:
    """With I_want = V_err/R_o the delayed regulator carries what the regulator's own equations say, anywhere."""
    draw = random.Random(3)
    part = CASES["regulator"][1]
    delayed = piece(DELAYED_REGULATOR, part)
    for _ in range(200):
        at = (draw.uniform(0.0, 15.0), draw.uniform(0.0, 8.0), 0.0, draw.uniform(260.0, 400.0))
        numbers = {name: number.value for name, number in zip(delayed.device.parameters, delayed.numbers, strict=True)}
        p = SimpleNamespace(**numbers)
        plain = regulator_equations(at, p, FLOATS)
        wanted = -DELAYED_REGULATOR.currents((*at, 0.0), p, FLOATS)[-1]
        moved = DELAYED_REGULATOR.currents((*at, wanted), p, FLOATS)
        assert moved[:4] == pytest.approx(plain, rel=1e-9, abs=1e-12)
        assert moved[4] == pytest.approx(0.0, abs=1e-9 * max(1.0, abs(wanted)))
