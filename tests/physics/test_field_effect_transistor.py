"""The field-effect transistor where its law has a closed form, and the circuits of the books with their square law.

Strong inversion: I_D = K/(2n)·(V_GS − V_TH)² in saturation, K((V_GS − V_TH)·V_DS − n·V_DS²/2) below it; weak inversion:
a decade of current for n·V_T·ln 10 (textbook forms, memory).
"""

import math
from collections.abc import Callable

import numpy as np
import pytest

from outboard.constants import thermal_voltage
from outboard.errors import RefusedNetwork
from outboard.network.circuit import laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Heat, Part
from outboard.network.solution import Block

Solve = Callable[..., Block]
ROOM = 298.15
V_T = thermal_voltage(ROOM)
N, K, V_TH = 1.3, 2.0, 2.5
USUAL = {"threshold_voltage": V_TH, "transconductance": K, "slope": N}


def held(values: dict[str, float], polarity: str = "n-channel") -> list[Part]:
    """Gate and drain at ideal sources."""
    sign = -1.0 if polarity == "p-channel" else 1.0
    return [
        Part("gate", "source", {"plus": "g", "minus": "ground"}, {"voltage": sign * 5.0}),
        Part("drain", "source", {"plus": "d", "minus": "ground"}, {"voltage": sign * 10.0}),
        Part("Q", "mosfet", {"drain": "d", "gate": "g", "source": "ground"}, USUAL | values, polarity),
    ]


@pytest.mark.parametrize(("polarity", "sign"), [("n-channel", 1.0), ("p-channel", -1.0)])
def test_square_law(solve: Solve, polarity: str, sign: float) -> None:
    over = np.array([2.0, 2.5, 4.0, 8.0])  # weak inversion adds less than 1e-12 from 2 V on
    gates = Overrides.column("gate", "voltage", sign * (V_TH + over))
    block = solve(held({}, polarity), sweep=gates)
    saturated = K / (2.0 * N) * over**2
    assert sign * block.pin_current("Q", "drain")[0] == pytest.approx(saturated, rel=1e-11)
    assert (block.pin_current("Q", "gate") == 0.0).all()
    triode = solve(
        held({}, polarity), sweep=gates, corners=Overrides.column("drain", "voltage", np.array([sign * 0.2]))
    )
    current = sign * triode.pin_current("Q", "drain")[0]
    assert current == pytest.approx(K * (over * 0.2 - N * 0.2**2 / 2.0), rel=1e-9)


def test_weak_inversion_takes_n_v_t_ln_10_a_decade(solve: Solve) -> None:
    gates = V_TH - N * np.array([0.9, 0.8])
    block = solve(held({}), sweep=Overrides.column("gate", "voltage", gates))
    low, high = block.pin_current("Q", "drain")[0]
    assert (gates[1] - gates[0]) / math.log10(high / low) == pytest.approx(N * V_T * math.log(10.0), rel=1e-6)


@pytest.mark.parametrize("transconductance", [1e-3, 1.0, 1e3, 1e6, 1e12])
def test_follower_of_any_gain(solve: Solve, transconductance: float) -> None:
    """Saturated, with I through it: V_GS = V_TH + 2·n·V_T·ln(exp √(I/I_0) − 1), in weak inversion as in strong."""
    current = 0.3
    parts = [
        Part("gate", "source", {"plus": "g", "minus": "ground"}, {"voltage": 40.0}),
        Part("drain", "source", {"plus": "d", "minus": "ground"}, {"voltage": 60.0}),
        Part("Q", "mosfet", {"drain": "d", "gate": "g", "source": "s"},
             USUAL | {"transconductance": transconductance}, "n-channel"),
        Part("load", "load", {"plus": "s", "minus": "ground"}, {"draws": current}),
    ]  # fmt: skip
    root = math.sqrt(current / (2.0 * N * transconductance * V_T**2))
    wanted = V_TH + 2.0 * N * V_T * (root + math.log(-math.expm1(-root)))
    assert 40.0 - solve(parts).net_voltage("s")[0, 0] == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("resistance", [1e-9, 1e-3, 0.1, 10.0, 1e6])
def test_drain_resistance_from_nothing_to_all(solve: Solve, resistance: float) -> None:
    """With the gate far up the channel is straight: V_DS shares out as K and R_D have it; R_D → ∞ takes everything."""
    values = {"drain_resistance": resistance, "slope": 1.0}
    fields = (("gate", "voltage"), ("drain", "voltage"))
    block = solve(held(values), corners=Overrides(fields, np.array([[V_TH + 20.0, 0.1]])))
    # i = K(20·v − v²/2), 0.1 = v + i·R
    a, b, c = resistance * K / 2.0, -(1.0 + 20.0 * K * resistance), 0.1
    inner = 2.0 * c / (-b + math.sqrt(b * b - 4.0 * a * c))
    assert block.pin_current("Q", "drain")[0, 0] == pytest.approx(K * (20.0 * inner - inner**2 / 2.0), rel=1e-9)
    without = solve(held({"slope": 1.0}), corners=Overrides(fields, np.array([[V_TH + 20.0, 0.1]])))
    if resistance == 1e-9:
        want = without.pin_current("Q", "drain")[0, 0]
        assert block.pin_current("Q", "drain")[0, 0] == pytest.approx(want, rel=1e-6)


@pytest.mark.parametrize("polarity", ["n-channel", "p-channel"])
def test_body_diode(solve: Solve, polarity: str) -> None:
    """Off and driven backwards: V_SD = V_T·ln(1 + I/I_S) + I·R_D."""
    rail, ends = (20.0, ("rail", "s")) if polarity == "n-channel" else (-20.0, ("s", "rail"))
    block = solve([
        Part("rail", "source", {"plus": "rail", "minus": "ground"}, {"voltage": rail}),
        Part("pull", "load", dict(zip(("plus", "minus"), ends, strict=True)), {"draws": 2.0}),
        Part("Q", "mosfet", {"drain": "ground", "gate": "s", "source": "s"},
             USUAL | {"body_saturation_current": 1e-12, "drain_resistance": 0.05}, polarity),
    ])  # fmt: skip
    forward = V_T * math.log1p(2.0 / 1e-12) + 2.0 * 0.05
    assert abs(block.net_voltage("s")[0, 0]) == pytest.approx(forward, rel=1e-6)


def test_no_body_diode_where_none_is_said(solve: Solve) -> None:
    """Drain and source are alike then: driven backwards with the gate at the drain it is a diode-connected device."""
    block = solve([
        Part("pull", "load", {"plus": "rail", "minus": "s"}, {"draws": 0.5}),
        Part("rail", "source", {"plus": "rail", "minus": "ground"}, {"voltage": 20.0}),
        Part("Q", "mosfet", {"drain": "ground", "gate": "s", "source": "s"}, USUAL, "n-channel"),
    ])  # fmt: skip
    # V_GS = 0, so V_P = −V_TH/n, and the drain is V_SD below the source: I = I_0·ln²(1 + exp((V_P + V_SD)/(2·V_T)))
    root = math.sqrt(0.5 / (2.0 * N * K * V_T**2))
    wanted = V_TH / N + 2.0 * V_T * (root + math.log(-math.expm1(-root)))
    assert block.net_voltage("s")[0, 0] == pytest.approx(wanted, rel=1e-9)


def test_hot_current_falls_in_strong_inversion_and_rises_in_weak(solve: Solve) -> None:
    """K falls as T^−1.5, the threshold by its coefficient: the square law at the temperature says by how much."""
    drift, hot = -5e-3, 100.0
    gates = Overrides.column("gate", "voltage", np.array([V_TH + 6.0]))
    block = solve(held({"threshold_tempco": drift}), hot, sweep=gates)
    t = 273.15 + hot
    want = K * (t / ROOM) ** -1.5 / (2.0 * N) * (6.0 - drift * (t - ROOM)) ** 2
    assert block.pin_current("Q", "drain")[0, 0] == pytest.approx(want, rel=1e-11)


def test_heat_of_drain_resistance_and_body_belongs_to_the_junction(solve: Solve) -> None:
    parts = held({"drain_resistance": 0.5, "body_saturation_current": 1e-12})
    parts[2] = Part("Q", "mosfet", parts[2].pins, parts[2].values, "n-channel", heat=Heat("ambient", 2.0))
    block = solve(parts)
    assert block.junction_temperature("Q")[0, 0] - ROOM == pytest.approx(2.0 * block.power("Q")[0, 0], rel=1e-9)


def test_gate_that_nothing_holds_is_refused() -> None:
    parts = [
        Part("drain", "source", {"plus": "d", "minus": "ground"}, {"voltage": 10.0}),
        Part("Q1", "mosfet", {"drain": "d", "gate": "g", "source": "ground"}, USUAL, "n-channel"),
        Part("Q2", "mosfet", {"drain": "d", "gate": "g", "source": "ground"}, USUAL, "n-channel"),
    ]
    with pytest.raises(RefusedNetwork, match="net 'g' floats"):
        laid_out(parts, ROOM)
