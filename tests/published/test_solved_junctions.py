"""Printed examples of transistors, pairs and leakage, put through the solver as networks of parts.

"second-hand": the worked example was read in a written-out copy of the printed book.
"""

from math import log

import numpy as np
import pytest

from outboard.analysis.sensitivity import slopes
from outboard.constants import ZERO_CELSIUS, thermal_voltage
from outboard.network.circuit import AMBIENT_FIELD, laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved

ROOM = ZERO_CELSIUS + 25.0


def source(voltage: float, net: str, name: str = "supply") -> Part:
    return Part(name, "source", {"plus": net, "minus": "ground"}, {"voltage": voltage})


def resistor(name: str, a: str, b: str, ohms: float) -> Part:
    return Part(name, "resistor", {"a": a, "b": b}, {"resistance": ohms})


def hand(name: str, polarity: str, gain: float, v_be: float, c: str, b: str, e: str) -> Part:
    """The transistor of hand algebra."""
    values = {"gain": gain, "base_emitter_voltage": v_be}
    return Part(name, "bipolar", {"collector": c, "base": b, "emitter": e}, values, polarity, "constant_gain")


def answer(*parts: Part, ambient: float = ROOM, **cases: Overrides) -> Block:
    block = solved(laid_out(parts, ambient), **cases)
    assert block.is_solved.all()
    return block


@pytest.mark.parametrize(
    ("emitter_resistance", "milliamperes", "volts"), [(0.0, "2.15", "2.85"), (2e3, "1.07", "3.93")]
)
def test_millman_5_1_active_region(emitter_resistance, milliamperes, volts, printed):
    """P7. Millman and Halkias, Integrated Electronics, ex. 5.1, p. 133 (second-hand); 20 nA of leakage left out."""
    emitter = [resistor("RE", "e", "ground", emitter_resistance)] if emitter_resistance else []
    block = answer(
        source(5.0, "bb", "base supply"), source(10.0, "cc"), resistor("RB", "bb", "b", 200e3),
        resistor("RC", "cc", "c", 3e3), hand("Q", "npn", 100.0, 0.7, "c", "b", "e" if emitter else "ground"), *emitter,
    )  # fmt: skip
    assert block.pin_current("Q", "collector")[0, 0] == printed(milliamperes, 1e-3)
    assert (block.net_voltage("c") - block.net_voltage("b"))[0, 0] == printed(volts)


def test_sedra_3_6_incremental_resistance(printed):
    """P8. Sedra and Smith, ex. 3.6, p. 162 (second-hand): 10 V, 10 kΩ, n = 2, 0.7 V, 1 V of ripple, V_T 25 mV.

    The slope of the solved diode voltage by the input, without a formula for the incremental resistance.
    """
    direct, two_vt = (10.0 - 0.7) / 10e3, 2 * 25e-3
    temperature = 25e-3 / thermal_voltage(1.0)
    saturation = direct / np.expm1(0.7 / two_vt)
    block = answer(
        source(10.0, "s"), resistor("R", "s", "d", 10e3),
        Part("D", "diode", {"anode": "d", "cathode": "ground"},
             {"saturation_current": saturation, "emission_coefficient": 2.0, "reference_temperature": temperature}),
        ambient=temperature,
    )  # fmt: skip
    assert block.net_voltage("d")[0, 0] == printed("0.7")
    found = slopes(block, [lambda b: b.net_voltage("d")], [("supply", "voltage")])[0, 0, 0]
    assert 1.0 * found == printed("5.35", 1e-3)


def test_sedra_3_3_and_3_4_tenth_of_a_volt_a_decade(printed):
    """P3, P4. Sedra and Smith, ex. 3.3, p. 150 (second-hand): 6.9e-16 A and 0.7 V are 1 mA at V_T 25 mV."""
    temperature = 25e-3 / thermal_voltage(1.0)
    block = answer(
        source(0.7, "d"),
        Part("D", "diode", {"anode": "d", "cathode": "ground"},
             {"saturation_current": 1e-3 * np.exp(-28.0), "reference_temperature": temperature}),
        ambient=temperature, corners=Overrides.column("supply", "voltage", np.array([0.7, 0.7 + 25e-3 * log(10.0)])),
    )  # fmt: skip
    one, ten = block.pin_current("D", "anode")[:, 0]
    assert block.number("D", "saturation_current")[0, 0] == printed("6.9", 1e-16)
    assert (one, ten) == (printed("1.000", 1e-3), printed("10.00", 1e-3))


def test_darlington_gain():
    """C1. Hobby electronics course (seen): gains 300 and 100 make 30 400, not the product."""
    block = answer(
        source(10.0, "cc"), Part("drive", "load", {"plus": "cc", "minus": "b"}, {"draws": 1e-6}),
        resistor("RC", "cc", "c", 1.0), hand("Q1", "npn", 300.0, 0.6, "c", "b", "m"),
        hand("Q2", "npn", 100.0, 0.6, "c", "m", "ground"),
    )  # fmt: skip
    collectors = block.pin_current("RC", "a")[0, 0]
    assert collectors / block.pin_current("Q1", "base")[0, 0] == pytest.approx(30400.0, rel=1e-6)


def test_complementary_gain():
    """C2. Public transistor guide (seen): gains 100 and 100 make 10 100; one V_BE turns the pair on."""
    block = answer(
        source(10.0, "cc"), Part("drive", "load", {"plus": "cc", "minus": "b"}, {"draws": 1e-6}),
        resistor("RC", "cc", "c", 1.0), hand("Q1", "npn", 100.0, 0.6, "m", "b", "ground"),
        hand("Q2", "pnp", 100.0, 0.6, "ground", "m", "c"),
    )  # fmt: skip
    assert block.pin_current("RC", "a")[0, 0] / block.pin_current("Q1", "base")[0, 0] == pytest.approx(
        10100.0, rel=1e-6
    )
    assert block.net_voltage("b")[0, 0] == pytest.approx(0.6, rel=1e-6)


def test_leakage_against_bleeder():
    """C3. Questions and answers on leakage, TIP125 (seen): 8 kΩ and 0.5 V bear 62.5 µA; 12.8 µA do not turn it on."""
    leaks = np.array([12.8e-6, 62.4e-6, 63e-6])
    block = answer(
        source(12.0, "cc"), Part("leak", "load", {"plus": "cc", "minus": "b"}, {"draws": 1e-6}),
        resistor("bleeder", "b", "ground", 8e3), hand("Q", "npn", 1000.0, 0.5, "c", "b", "ground"),
        resistor("RC", "cc", "c", 1.0), corners=Overrides.column("leak", "draws", leaks),
    )  # fmt: skip
    hot, nearly, more = block.pin_current("Q", "collector")[:, 0]
    assert max(hot, nearly) < 1e-6
    assert more == pytest.approx(1000.0 * 0.5e-6, rel=1e-3)


@pytest.mark.parametrize(
    ("leakage_at_25", "cold", "hot"), [(5e-6, ("205", 1e-6), ("1640", 1e-6)), (0.1e-6, ("4.1", 1e-6), ("32.8", 1e-6))]
)
def test_mehta_9_36_open_base(leakage_at_25, cold, hot, printed):
    """C4, C5. Mehta, Principles of Electronics, ex. 9.36, pp. 230-231 (second-hand): gain 40, 25 °C and 55 °C.

    The full transistor model with a leakage I_CBO; its base hangs on a load that draws nothing.
    """
    values = {
        "saturation_current": 1e-14, "forward_gain": 40.0, "cutoff_current": leakage_at_25, "cutoff_doubling": 10.0,
    }  # fmt: skip
    block = answer(
        source(10.0, "c"), Part("open", "load", {"plus": "b", "minus": "ground"}, {"draws": 0.0}),
        Part("Q", "bipolar", {"collector": "c", "base": "b", "emitter": "ground"}, values, "npn"),
        corners=Overrides((AMBIENT_FIELD,), np.array([[ROOM], [ROOM + 30.0]])),
    )  # fmt: skip
    at_25, at_55 = block.pin_current("Q", "collector")[:, 0]
    assert at_25 == printed(*cold)
    assert at_55 == printed(*hot)


def test_worked_example_5_12_largest_base_resistor(printed):
    """C7. Worked example 5.12, p. 5.28, book not named (inputs second-hand, result derived).

    2 µA at 25 °C are 90.51 µA at 80 °C; through 54.14 kΩ they leave 0.1 V of the 5 V that hold the transistor off.
    """
    values = {"saturation_current": 1e-14, "forward_gain": 50.0, "cutoff_current": 2e-6, "cutoff_doubling": 10.0}
    block = answer(
        source(10.0, "c"), source(-5.0, "bb", "bias"), resistor("RB", "bb", "b", 54.14e3),
        Part("Q", "bipolar", {"collector": "c", "base": "b", "emitter": "ground"}, values, "npn"),
        ambient=ZERO_CELSIUS + 80.0,
    )  # fmt: skip
    assert -block.pin_current("RB", "a")[0, 0] == printed("90.51", 1e-6)
    assert block.net_voltage("b")[0, 0] == printed("-0.10")


def test_bleed_onset(printed):
    """C9. 0.65 V over 47 Ω (derived): the pass device starts at 13.83 mA of driver current."""
    currents = np.array([13.82e-3, 13.84e-3, 20e-3])
    block = answer(
        source(12.0, "cc"), Part("driver", "load", {"plus": "cc", "minus": "b"}, {"draws": 1e-3}),
        resistor("R2", "b", "ground", 47.0), hand("Q2", "npn", 50.0, 0.65, "cc", "b", "ground"),
        corners=Overrides.column("driver", "draws", currents),
    )  # fmt: skip
    before, just, on = block.pin_current("Q2", "collector")[:, 0]
    assert before < 1e-6 < just
    assert currents[2] - on / 50.0 == printed("13.83", 1e-3)
