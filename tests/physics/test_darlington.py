"""The Darlington pair in one package against printed figures, balances, its mirror image and two separate transistors.

Printed: ON Semiconductor TIP120/D (TIP122, TIP127) p. 2; V_BE(on) STMicroelectronics TIP120-TIP127.
"""

from collections.abc import Callable

import pytest

from outboard.identify import bipolar
from outboard.identify.operating import active_point
from outboard.network.part import Heat, Part
from outboard.network.solution import Block
from outboard.parts import find

Solve = Callable[..., Block]
PINS = {"collector": "c", "base": "b", "emitter": "ground"}
R1, R2 = 8e3, 120.0
"""Built-in resistors of the TIP122, recalled."""


def pair(name: str = "TIP122", heat: Heat | None = None, **ends: str) -> Part:
    known, part_type = bipolar(find(name), 3.0), find(name)
    return Part("Q1", "bipolar", PINS, known.at(**ends), part_type.polarity, known.model, heat)


def driven(part: Part, base: float, collector: float, series: float = 1e-6) -> list[Part]:
    """Base current from a load that draws from the other side of a source; collector from a source."""
    sign = -1.0 if part.polarity == "pnp" else 1.0
    return [
        part,
        Part("supply", "source", {"plus": "s", "minus": "ground"}, {"voltage": sign * collector, "resistance": 0.0}),
        Part("lead", "resistor", {"a": "s", "b": "c"}, {"resistance": series}),
        Part("high", "source", {"plus": "h", "minus": "ground"}, {"voltage": sign * 10.0, "resistance": 0.0}),
        Part("base", "load", {"plus": "h", "minus": "b"} if sign > 0 else {"plus": "b", "minus": "h"}, {"draws": base}),
    ]


@pytest.mark.parametrize(("current", "voltage", "gain"), [(0.5, 3.0, 1000.0), (3.0, 3.0, 1000.0)])
@pytest.mark.parametrize("name", ["TIP122", "TIP127"])
def test_least_gain_in_the_network(solve: Solve, name: str, current: float, voltage: float, gain: float) -> None:
    known, part_type = bipolar(find(name), current), find(name)
    part = Part("Q1", "bipolar", PINS, known.at(gain="least"), part_type.polarity, known.model)
    block = solve(driven(part, current / gain, voltage))
    assert abs(block.pin_current("Q1", "collector")[0, 0]) == pytest.approx(current, rel=0.05)


def test_base_emitter_voltage_and_saturation_in_the_network(solve: Solve) -> None:
    """2.5 V at 3 A, 3 V at the most end; V_CE(sat) at most 2 V at 3 A, 12 mA and never below one junction."""
    part = pair(V_BE="most")
    base = 3.0 / 2600.0
    block = solve(driven(part, base, 3.0))
    assert block.pin_current("Q1", "collector")[0, 0] == pytest.approx(3.0, rel=0.1)
    assert block.net_voltage("b")[0, 0] == pytest.approx(2.5, rel=0.05)
    block = solve(driven(pair(), 12e-3, 30.0, series=29.0 / 3.0))
    assert block.pin_current("Q1", "collector")[0, 0] == pytest.approx(3.0, rel=0.05)
    assert 0.7 < block.net_voltage("c")[0, 0] <= 2.0


@pytest.mark.parametrize("current", [1e-3, 5e-3, 0.015, 0.03, 0.3, 3.0])
def test_the_fit_and_the_network_mean_the_same_pair(solve: Solve, current: float) -> None:
    """The base current that the fit reckons with drives the collector current in the network, and at its V_BE."""
    values = dict(pair().values) | {"cutoff_current": 0.0}
    voltage, base = active_point(values, current, 4.0)
    block = solve(driven(Part("Q1", "bipolar", PINS, values, "npn", "darlington"), base, 4.0))
    assert block.pin_current("Q1", "collector")[0, 0] == pytest.approx(current, rel=1e-3)
    assert block.net_voltage("b")[0, 0] == pytest.approx(voltage, rel=1e-3)


def test_balances_and_mirror_image(solve: Solve) -> None:
    """Currents of the package add up to nothing, its heat is what they take up; the PNP is the mirror image."""
    heat = Heat("ambient", 2.0)
    npn = pair(heat=heat)
    pnp = Part("Q1", "bipolar", PINS, npn.values, "pnp", npn.model, heat)
    one, other = solve(driven(npn, 0.5e-3, 10.0)), solve(driven(pnp, 0.5e-3, 10.0))
    c, b, e = (one.pin_current("Q1", pin)[0, 0] for pin in ("collector", "base", "emitter"))
    assert c + b + e == pytest.approx(0.0, abs=1e-11)
    taken = c * one.net_voltage("c")[0, 0] + b * one.net_voltage("b")[0, 0]
    assert one.power("Q1")[0, 0] == pytest.approx(taken, rel=1e-9)
    assert one.junction_temperature("Q1")[0, 0] == pytest.approx(298.15 + 2.0 * taken, rel=1e-9)
    assert other.pin_current("Q1", "collector")[0, 0] == pytest.approx(-c, rel=1e-9)
    assert other.net_voltage("b")[0, 0] == pytest.approx(-one.net_voltage("b")[0, 0], rel=1e-9)


def test_one_package_is_two_transistors_and_two_resistors(solve: Solve) -> None:
    """The same values as separate parts, all at ambient temperature, carry the same currents."""
    values = dict(pair().values)
    shared = {k: v for k, v in values.items() if not k.startswith("driver_") and k != "output_base_resistor"}
    shared |= {"emitter_leakage_current": 0.0}
    first = shared | {"emitter_resistance": 0.0, "collector_resistance": 0.0, "cutoff_current": 0.0} | {
        name: values[f"driver_{name}"] for name in ("saturation_current", "forward_gain", "forward_knee_current")
    }  # fmt: skip
    second = shared | {"collector_resistance": 0.0, "emitter_resistance": 0.0}
    parts = [
        Part("Q1", "bipolar", {"collector": "ci", "base": "b", "emitter": "m"}, first, "npn"),
        Part("Q2", "bipolar", {"collector": "ci", "base": "m", "emitter": "ei"}, second, "npn"),
        Part("Rc", "resistor", {"a": "c", "b": "ci"}, {"resistance": values["collector_resistance"]}),
        Part("Re", "resistor", {"a": "ei", "b": "ground"}, {"resistance": values["emitter_resistance"]}),
        Part("Ra", "resistor", {"a": "b", "b": "m"}, {"resistance": R1}),
        Part("Rb", "resistor", {"a": "m", "b": "ei"}, {"resistance": R2}),
    ]
    rest = driven(pair(), 1e-3, 6.0)[1:]
    apart, together = solve([*parts, *rest]), solve(driven(pair(), 1e-3, 6.0))
    current = together.pin_current("Q1", "collector")[0, 0]
    assert current > 1.0
    assert apart.pin_current("Rc", "a")[0, 0] == pytest.approx(current, rel=1e-7)
    assert apart.net_voltage("b")[0, 0] == pytest.approx(together.net_voltage("b")[0, 0], rel=1e-9)


def test_open_base_leakage_stays_below_its_limit(solve: Solve) -> None:
    """I_CEO at most 0.5 mA at 50 V with the most leakage: R_2 keeps the output transistor off."""
    block = solve(driven(pair(leakage="most"), 0.0, 50.0))
    assert 0.1e-3 < block.pin_current("Q1", "collector")[0, 0] <= 0.5e-3


def test_two_junctions_fall_twice_as_fast_with_temperature(solve: Solve) -> None:
    """−1.6 to −2.3 mV/K a silicon junction (recalled); the pair has two.  The collector is held at 0.5 A."""
    volts = []
    for ambient in (25.0, 75.0):
        known = dict(pair().values) | {"gain_temperature_exponent": 0.0, "emitter_resistance": 1e-3}
        part = Part("Q1", "bipolar", PINS, known, "npn", "darlington")
        block = solve(driven(part, 0.25e-3, 5.0), ambient)
        assert block.pin_current("Q1", "collector")[0, 0] == pytest.approx(0.5, rel=0.2)
        volts.append(block.net_voltage("b")[0, 0])
    assert -4.6e-3 < (volts[1] - volts[0]) / 50.0 < -3.2e-3
