"""Networks whose answer is known in closed form: junctions, thermal chains, thermal runaway.

"second-hand": the worked example was read in a written-out copy of the printed book.
"""

from collections.abc import Callable

import mpmath
import numpy as np
import pytest

from outboard.constants import thermal_voltage
from outboard.network.circuit import laid_out
from outboard.network.outcome import RUNAWAY, SOLVED
from outboard.network.overrides import Overrides
from outboard.network.part import Heat, Part
from outboard.network.solution import Block
from outboard.network.solve import solved

Solve = Callable[..., Block]
KELVIN = 273.15
ROOM = KELVIN + 25.0


def test_sedra_3_4_diode_and_resistor(solve: Solve) -> None:
    """Sedra and Smith, Microelectronic Circuits, ex. 3.4, p. 154 (second-hand).

    5 V, 1 kΩ, 0.7 V at 1 mA, 0.1 V a decade.  Printed 4.237 mA and 0.763 V; the exact answer is a Lambert function,
    computed here at forty digits.
    """
    n_vt = 0.1 / np.log(10.0)
    saturation = 1e-3 / np.expm1(0.7 / n_vt)
    block = solve([
        Part("supply", "source", {"plus": "s", "minus": "ground"}, {"voltage": 5.0}),
        Part("R", "resistor", {"a": "s", "b": "d"}, {"resistance": 1e3}),
        Part("D", "diode", {"anode": "d", "cathode": "ground"},
             {"saturation_current": saturation, "emission_coefficient": n_vt / thermal_voltage(ROOM)}),
    ])  # fmt: skip
    current, voltage = block.pin_current("D", "anode")[0, 0], block.net_voltage("d")[0, 0]
    assert 1e3 * current == pytest.approx(4.237, abs=0.0005)
    assert voltage == pytest.approx(0.763, abs=0.0005)
    with mpmath.workdps(40):
        i_s, scale = mpmath.mpf(float(saturation)), mpmath.mpf(float(n_vt)) / 1000
        exact = scale * mpmath.lambertw(i_s / scale * mpmath.exp((mpmath.mpf(5) / 1000 + i_s) / scale)) - i_s
    assert current == pytest.approx(float(exact), rel=1e-11)
    assert 1e3 * float(exact) == pytest.approx(4.237291, abs=5e-7)


def heated(power: float, junction: float, *chain: float) -> list[Part]:
    """A resistor that turns `power` into heat, behind thermal resistances from junction to ambient [K/W]."""
    places = [f"place {k}" for k in range(1, len(chain) + 1)] + ["ambient"]
    parts = [
        Part("supply", "source", {"plus": "s", "minus": "ground"}, {"voltage": 10.0}),
        Part("R", "resistor", {"a": "s", "b": "ground"}, {"resistance": 100.0 / power}, heat=Heat(places[0], junction)),
    ]
    for k, resistance in enumerate(chain):
        ends = {"a": places[k], "b": places[k + 1]}
        parts.append(Part(f"chain {k}", "thermal_resistance", ends, {"resistance": resistance}))
    return parts


@pytest.mark.parametrize(
    ("printed", "half_a_digit", "junction", "chain", "hottest", "ambient"),
    [
        pytest.param(13.1, 0.05, 3.12, (0.5, 4.0), 150.0, 50.0, id="Sedra and Smith, ex. 14.5, p. 1253"),
        pytest.param(32.0, 0.5, 3.12, (), 150.0, 50.0, id="Sedra and Smith, ex. 14.5, infinite sink"),
        pytest.param(61.54, 0.005, 0.5, (0.6, 1.5), 200.0, 40.0, id="Boylestad, ex. 12.18"),
        pytest.param(2.32, 0.005, 1.75, (50.0,), 150.0, 30.0, id="Neamen, ex. 8.2, p. 478, no sink"),
        pytest.param(15.48, 0.005, 1.75, (1.0, 5.0), 150.0, 30.0, id="Neamen, ex. 8.2, p. 478, with sink"),
    ],
)
def test_printed_thermal_chains(
    solve: Solve, printed: float, half_a_digit: float, junction: float, chain: tuple[float, ...], hottest: float,
    ambient: float,
) -> None:  # fmt: skip
    """All second-hand: the printed power takes the junction to its limit, within what half its last digit makes."""
    block = solve(heated(printed, junction, *chain), ambient)
    kelvin_a_watt = junction + sum(chain)
    assert block.junction_temperature("R")[0, 0] - KELVIN == pytest.approx(hottest, abs=half_a_digit * kelvin_a_watt)
    assert block.power("R")[0, 0] == pytest.approx(printed, rel=1e-12)
    for k, resistance in enumerate(chain):
        assert block.pin_current(f"chain {k}", "a")[0, 0] == pytest.approx(printed, rel=1e-10), resistance


def test_two_devices_share_a_sink(solve: Solve) -> None:
    """1 W and 3 W on one sink: the sink sees both, each junction only its own besides."""
    block = solve([
        Part("supply", "source", {"plus": "s", "minus": "ground"}, {"voltage": 10.0}),
        Part("A", "resistor", {"a": "s", "b": "ground"}, {"resistance": 100.0}, heat=Heat("sink", 2.0)),
        Part("B", "resistor", {"a": "s", "b": "ground"}, {"resistance": 100.0 / 3.0}, heat=Heat("sink", 5.0)),
        Part("air", "thermal_resistance", {"a": "sink", "b": "ambient"}, {"resistance": 4.0}),
    ])  # fmt: skip
    assert block.at(("heat", "sink"))[0, 0] - ROOM == pytest.approx(16.0, rel=1e-10)
    assert block.junction_temperature("A")[0, 0] - ROOM == pytest.approx(18.0, rel=1e-10)
    assert block.junction_temperature("B")[0, 0] - ROOM == pytest.approx(31.0, rel=1e-10)


I_S, V_CE, R_TH = 1e-12, 20.0, 10.0


def fixed_base_emitter_voltage() -> list[Part]:
    """A transistor whose base is held: every kelvin brings more current, and nothing takes it back."""
    return [
        Part("supply", "source", {"plus": "c", "minus": "ground"}, {"voltage": V_CE}),
        Part("base", "source", {"plus": "b", "minus": "ground"}, {"voltage": 0.0}),
        Part("Q", "bipolar", {"collector": "c", "base": "b", "emitter": "ground"},
             {"saturation_current": I_S, "forward_gain": 100.0}, "npn", heat=Heat("ambient", R_TH)),
    ]  # fmt: skip


def fold_voltage() -> float:
    """The largest base voltage at which T = T_a + R_th·V_CE·I_C(T) has an answer, worked out from the formulas alone.

    Base current adds V_BE·I_C/β to the heat.  At the fold the line T − T_a touches the curve of the heat.
    """

    def excess(v: float, t: float) -> float:
        law = (t / ROOM) ** 3 * np.exp(1.11 / thermal_voltage(1.0) * (1.0 / ROOM - 1.0 / t))
        i_c = I_S * law * np.exp(v / thermal_voltage(t))
        return float(t - ROOM - R_TH * i_c * (V_CE + v / 100.0))

    temperatures = np.linspace(ROOM, ROOM + 100.0, 20001)
    low, high = 0.4, 0.8
    for _ in range(60):
        middle = 0.5 * (low + high)
        has_answer = max(excess(middle, t) for t in temperatures) > 0.0
        low, high = (middle, high) if has_answer else (low, middle)
    return low


@pytest.fixture(scope="module")
def fold() -> float:
    return fold_voltage()


def test_thermal_runaway_begins_at_the_fold(fold: float) -> None:
    grid = fold + 1e-5 * np.arange(-20.5, 20.0)
    circuit = laid_out(fixed_base_emitter_voltage(), ROOM)
    block = solved(circuit, sweep=Overrides.column("base", "voltage", np.concatenate([[0.4], grid])))
    outcomes = block.outcomes[0, 1:]
    assert (outcomes[grid < fold] == SOLVED).all()
    assert (outcomes[grid > fold] == RUNAWAY).all()


def test_junction_at_the_fold_is_where_one_kelvin_brings_one_kelvin(fold: float) -> None:
    """Just below the fold the thermal loop gain R_th·dP/dT, taken from the formulas, is nearly one."""
    circuit = laid_out(fixed_base_emitter_voltage(), ROOM)
    block = solved(circuit, sweep=Overrides.column("base", "voltage", np.array([0.4, fold - 1e-7])))
    assert block.is_solved.all()
    t = block.junction_temperature("Q")[0, 1]
    power = (t - ROOM) / R_TH
    by_kelvin = 3.0 / t + (1.11 - fold) / (thermal_voltage(1.0) * t * t)  # d ln(I_S)/dT less V_BE's own part
    assert R_TH * power * by_kelvin == pytest.approx(1.0, abs=0.01)


def test_more_cooling_takes_the_runaway_away(fold: float) -> None:
    circuit = laid_out(fixed_base_emitter_voltage(), ROOM)
    fields = (("base", "voltage"), ("Q", "heat.resistance"))
    cooling = Overrides(fields, np.array([[fold + 1e-3, R_TH], [fold + 1e-3, 2.0]]))
    assert solved(circuit, cooling).outcomes[:, 0].tolist() == [RUNAWAY, SOLVED]


@pytest.mark.parametrize("devices", [2, 3, 4])
def test_devices_alike_without_ballast_do_not_stay_alike(devices: int) -> None:
    """Hot devices in parallel that share a current: the even division is a balance on the edge, and one takes over.

    Loop gain of the difference between two, R_th·V_CE·I·|dV_BE/dT|/V_T (common practice, no source), far above one.
    """
    parts = [
        Part("supply", "source", {"plus": "c", "minus": "ground"}, {"voltage": 20.0}),
        Part("base", "source", {"plus": "b", "minus": "ground"}, {"voltage": 10.0}),
        Part("sink of current", "load", {"plus": "e", "minus": "ground"}, {"draws": 0.5 * devices}),
    ]
    for k in range(devices):
        pins = {"collector": "c", "base": "b", "emitter": "e"}
        values = {"saturation_current": 1e-12, "forward_gain": 50.0}
        parts.append(Part(f"Q{k}", "bipolar", pins, values, "npn", heat=Heat("ambient", 8.0)))
    block = solved(laid_out(parts, ROOM))
    shares = sorted(block.pin_current(f"Q{k}", "collector")[0, 0] for k in range(devices))
    if block.is_solved.all():
        assert shares[-1] > 0.9 * sum(shares)
    else:
        assert block.outcomes[0, 0] == RUNAWAY


def test_ballast_keeps_devices_alike() -> None:
    """The same three with 1 Ω in each emitter lead: loop gain 8·10·0.5·0.002/(0.03/0.5 + 1) is far below one."""
    parts = [
        Part("supply", "source", {"plus": "c", "minus": "ground"}, {"voltage": 20.0}),
        Part("base", "source", {"plus": "b", "minus": "ground"}, {"voltage": 10.0}),
        Part("sink of current", "load", {"plus": "e", "minus": "ground"}, {"draws": 1.5}),
    ]
    for k in range(3):
        pins = {"collector": "c", "base": "b", "emitter": f"e{k}"}
        values = {"saturation_current": 1e-12 * (1.0 + 0.2 * k), "forward_gain": 50.0}
        parts.append(Part(f"Q{k}", "bipolar", pins, values, "npn", heat=Heat("ambient", 8.0)))
        parts.append(Part(f"R{k}", "resistor", {"a": f"e{k}", "b": "e"}, {"resistance": 1.0}))
    block = solved(laid_out(parts, ROOM))
    assert block.is_solved.all() and not block.notes[0, 0, 2]
    shares = [block.pin_current(f"Q{k}", "collector")[0, 0] for k in range(3)]
    assert max(shares) < 1.05 * min(shares)
