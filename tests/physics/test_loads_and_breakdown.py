"""Breakdown, loads of every kind, parts at rest and regulators held from outside, against closed forms."""

import math
from collections.abc import Callable

import mpmath
import numpy as np
import pytest

from outboard.constants import thermal_voltage
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block

Solve = Callable[..., Block]
V_T = thermal_voltage(298.15)
REGULATOR = {"set_voltage": 5.0, "current_limit": 2.0, "quiescent_current": 5e-3}


def supply(voltage: float, resistance: float, net: str = "out") -> list[Part]:
    return [
        Part("supply", "source", {"plus": "s", "minus": "ground"}, {"voltage": voltage}),
        Part("R", "resistor", {"a": "s", "b": net}, {"resistance": resistance}),
    ]


def load(net: str = "out", **values: float) -> Part:
    return Part("load", "load", {"plus": net, "minus": "ground"}, values)


@pytest.mark.parametrize("voltage", [60.0, 300.0])
@pytest.mark.parametrize("resistance", [100.0, 1.0])
@pytest.mark.parametrize("series", [0.0, 0.5, 7.0])
@pytest.mark.parametrize("emission", [1.0, 3.0])
def test_breakdown_from_cold(solve: Solve, voltage: float, resistance: float, series: float, emission: float) -> None:
    """i = I_ZT·exp((v_z − V_Z)/(n_Z·V_T)), V = v_z + i(R + R_Z): a Lambert function, here at forty digits."""
    zener = {"saturation_current": 1e-14, "breakdown_voltage": 5.1, "breakdown_resistance": series,
             "breakdown_emission": emission, "breakdown_current": 20e-3}  # fmt: skip
    block = solve([
        *supply(voltage, resistance), Part("D", "diode", {"anode": "ground", "cathode": "out"}, zener),
    ])  # fmt: skip
    with mpmath.workdps(40):
        scale, whole = mpmath.mpf(emission * V_T), mpmath.mpf(resistance) + mpmath.mpf(series)
        drop = (mpmath.mpf(voltage) - mpmath.mpf("5.1")) / scale
        exact = scale / whole * mpmath.lambertw(whole * mpmath.mpf("0.02") / scale * mpmath.exp(drop))
    assert -block.pin_current("D", "anode")[0, 0] == pytest.approx(float(exact), rel=1e-9)


def test_breakdown_resistance_leaves_the_forward_branch_alone(solve: Solve) -> None:
    """The resistances of the two branches stand beside each other, not in one another's way."""
    values = {"saturation_current": 1e-14, "series_resistance": 0.2}
    forward = [*supply(5.0, 10.0), Part("D", "diode", {"anode": "out", "cathode": "ground"}, values)]
    zener = values | {"breakdown_voltage": 5.1, "breakdown_resistance": 50.0}
    both = [*forward[:2], Part("D", "diode", forward[2].pins, zener)]
    assert solve(both).net_voltage("out")[0, 0] == pytest.approx(solve(forward).net_voltage("out")[0, 0], abs=1e-9)


def test_no_breakdown_resistance_is_the_limit_of_a_small_one(solve: Solve) -> None:
    def held(series: float) -> float:
        values = {"saturation_current": 1e-14, "breakdown_voltage": 5.1, "breakdown_resistance": series}
        block = solve([*supply(24.0, 470.0), Part("D", "diode", {"anode": "ground", "cathode": "out"}, values)])
        return float(block.net_voltage("out")[0, 0])

    assert held(1e-8) == pytest.approx(held(0.0), abs=1e-8)


def test_power_load(solve: Solve) -> None:
    """V = (E + √(E² − 4PR))/2 while the source can give P; past E²/(4R) the load pulls the rail below its cut-in."""
    powers = np.array([0.0, 5.0, 20.0, 30.0, 35.9])
    parts = [*supply(12.0, 1.0), load(power=1.0, cut_in_voltage=2.0)]
    block = solve(parts, sweep=Overrides.column("load", "power", powers))
    want = 0.5 * (12.0 + np.sqrt(144.0 - 4.0 * powers))
    assert block.net_voltage("out")[0] == pytest.approx(want, rel=1e-9)
    assert block.power("load")[0] == pytest.approx(powers, rel=1e-9)
    collapsed = solve(parts, sweep=Overrides.column("load", "power", np.array([40.0])))
    below = 4.0 / 40.0  # below V_c it is a resistance V_c²/P
    assert collapsed.net_voltage("out")[0, 0] == pytest.approx(12.0 * below / (1.0 + below), rel=1e-9)


def test_lamp_at_its_voltage_and_behind_a_resistance(solve: Solve) -> None:
    values = {"lamp_voltage": 12.0, "lamp_power": 21.0, "cold_resistance": 0.5}
    at_rated = solve([*supply(12.0, 1e-9), load(**values)])
    assert at_rated.power("load")[0, 0] == pytest.approx(21.0, rel=1e-6)
    cold = solve([*supply(1e-3, 1e-9), load(**values)])
    assert cold.pin_current("load", "plus")[0, 0] == pytest.approx(1e-3 / 0.5, rel=1e-4)
    # half the current of the hot state: R from R² − R_c·R = (R_h − R_c)v²/P with v = i·R, a straight equation for R
    hot, current = 144.0 / 21.0, 0.9
    resistance = 0.5 / (1.0 - (hot - 0.5) * current**2 / 21.0)
    given = solve([*supply(current * (resistance + 2.0), 2.0), load(**values)])
    assert given.pin_current("load", "plus")[0, 0] == pytest.approx(current, rel=1e-9)


@pytest.mark.parametrize("negative", [False, True])
@pytest.mark.parametrize("reverse", [False, True])
def test_battery_on_the_output_with_the_input_off(solve: Solve, negative: bool, reverse: bool) -> None:
    """A 12.6 V battery at the output of a 12 V regulator whose input is dead but for what comes back through it.

    With a reverse path: 12.6 V less its threshold, over its resistance, the battery's and the load at the input.
    """
    values = (
        REGULATOR | {"set_voltage": 12.0} | ({"reverse_voltage": 0.6, "reverse_resistance": 0.2} if reverse else {})
    )
    ends = ("ground", "out") if negative else ("out", "ground")
    block = solve([
        Part("bleeder", "resistor", {"a": "in", "b": "ground"}, {"resistance": 10.0}),
        Part("U1", "regulator", {"in": "in", "out": "out", "ref": "ground"}, values,
             "negative" if negative else "positive"),
        Part("battery", "load", dict(zip(("plus", "minus"), ends, strict=True)), {"battery": 12.6, "resistance": 0.1}),
    ])  # fmt: skip
    sign = -1.0 if negative else 1.0
    fed = sign * block.net_voltage("in")[0, 0]
    if reverse:
        quiescent = 5e-3 * -math.expm1(-fed)
        current = (12.6 - 0.6 + 10.0 * quiescent) / (10.0 + 0.2 + 0.1)
        assert fed == pytest.approx(10.0 * (current - quiescent), rel=1e-6)
        assert block.pin_current("battery", "plus")[0, 0] == pytest.approx(-current, rel=1e-6)
    else:
        # all that is left is the tail with which the quiescent current dies away
        tail = 5e-3 * -math.expm1(-0.01 * math.log1p(math.exp(fed / 0.01)))
        assert fed == pytest.approx(-10.0 * tail, rel=1e-6)
        assert abs(block.pin_current("battery", "plus")[0, 0]) < 1e-6


def test_battery_with_a_source_at_nothing(solve: Solve) -> None:
    block = solve([
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 0.0}),
        Part("U1", "regulator", {"in": "in", "out": "out", "ref": "ground"}, REGULATOR | {"divider_resistance": 5e3}),
        load(battery=12.6, resistance=0.1),
    ])  # fmt: skip
    assert block.net_voltage("out")[0, 0] == pytest.approx(12.6 * 5e3 / 5000.1, rel=1e-9)


@pytest.mark.parametrize("negative", [False, True])
def test_adjustable_regulator(solve: Solve, negative: bool) -> None:
    """V = V_ref(1 + R_2/R_1) + I_adj·R_2, less what the load takes through the output resistance of the reference."""
    sign = -1.0 if negative else 1.0
    upper, lower, adjust, drawn = 240.0, 1680.0, 50e-6, 0.5
    values = {"set_voltage": 1.25, "output_resistance": 1e-3, "quiescent_current": adjust, "current_limit": 2.0}
    ends = ("ground", "out") if negative else ("out", "ground")
    block = solve([
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": sign * 18.0}),
        Part("U1", "regulator", {"in": "in", "out": "out", "ref": "adj"}, values,
             "negative" if negative else "positive"),
        Part("R1", "resistor", {"a": "out", "b": "adj"}, {"resistance": upper}),
        Part("R2", "resistor", {"a": "adj", "b": "ground"}, {"resistance": lower}),
        Part("load", "load", dict(zip(("plus", "minus"), ends, strict=True)), {"draws": drawn}),
    ])  # fmt: skip
    held = sign * (block.net_voltage("out") - block.net_voltage("adj"))[0, 0]
    assert held == pytest.approx(1.25 - 1e-3 * (drawn + held / upper), rel=1e-9)
    away = -math.expm1(-(18.0 - held * lower / upper - adjust * lower))  # c(V_in − V_ref)
    assert sign * block.net_voltage("out")[0, 0] == pytest.approx(
        held * (1.0 + lower / upper) + adjust * away * lower, rel=1e-9
    )
    assert -sign * block.pin_current("U1", "ref")[0, 0] == pytest.approx(adjust * away, rel=1e-9)


def test_parts_that_store_are_nothing_and_a_wire_at_rest(solve: Solve) -> None:
    block = solve([
        Part("supply", "source", {"plus": "s", "minus": "ground"}, {"voltage": 10.0}),
        Part("L1", "inductor", {"a": "s", "b": "m"}, {"inductance": 1e-3}),
        Part("L2", "inductor", {"a": "m", "b": "out"}, {"inductance": 1e-3, "series_resistance": 0.5}),
        Part("C", "capacitor", {"a": "out", "b": "ground"}, {"capacitance": 1e-6, "series_resistance": 0.1}),
        Part("R", "resistor", {"a": "out", "b": "ground"}, {"resistance": 9.5}),
        Part("mass", "thermal_capacitance", {"a": "plate", "b": "ambient"}, {"heat_capacity": 20.0}),
        Part("air", "thermal_resistance", {"a": "plate", "b": "ambient"}, {"resistance": 2.0}),
    ])  # fmt: skip
    assert block.net_voltage("m")[0, 0] == pytest.approx(10.0, rel=1e-12)
    for part, pin in (("L1", "a"), ("L2", "a"), ("R", "a")):
        assert block.pin_current(part, pin)[0, 0] == pytest.approx(1.0, rel=1e-12)
    assert block.pin_current("C", "a")[0, 0] == 0.0
    assert block.pin_current("mass", "a")[0, 0] == 0.0
