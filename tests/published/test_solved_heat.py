"""Printed thermal examples with the part that makes the heat, electrical and thermal network solved together.

All second-hand: the worked examples were read in written-out copies of the printed books.  More chains, with a resistor
for the heat, are among the laws of physics.
"""

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.network.circuit import laid_out
from outboard.network.part import Heat, Part
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities.figures import case_temperature


def source(voltage: float) -> Part:
    return Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": voltage})


def answer(*parts: Part, ambient: float) -> Block:
    block = solved(laid_out(parts, ZERO_CELSIUS + ambient))
    assert block.is_solved.all()
    return block


def chain(*resistances: tuple[str, str, float]) -> list[Part]:
    return [
        Part(f"{a} to {b}", "thermal_resistance", {"a": a, "b": b}, {"resistance": kelvin_a_watt})
        for a, b, kelvin_a_watt in resistances
    ]


def test_franco_11_14_regulator_alone(printed):
    """T8. Franco, ex. 11.14, p. 531: 8 V to 5 V, 60 and 3 K/W, 50 °C: 150 °C at 1.67 W, case 145 °C, 0.556 A."""
    values = {
        "set_voltage": 5.0, "output_resistance": 1e-6, "quiescent_current": 0.0, "current_limit": 10.0,
        "shutdown_temperature": 500.0,
    }  # fmt: skip
    block = answer(
        source(8.0),
        Part("U1", "regulator", {"in": "in", "out": "out", "ref": "ground"}, values, heat=Heat("case", 3.0)),
        *chain(("case", "ambient", 57.0)),
        Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": 0.5556}), ambient=50.0,
    )  # fmt: skip
    assert block.power("U1")[0, 0] == printed("1.67")
    assert block.junction_temperature("U1")[0, 0] - ZERO_CELSIUS == printed("150")
    assert block.at(("heat", "case"))[0, 0] - ZERO_CELSIUS == printed("145")
    assert case_temperature(block, "U1", 3.0)[0, 0] - ZERO_CELSIUS == printed("145")


def test_rashid_4_4_case_temperature(printed):
    """T7. Rashid, Power Electronics, ex. 4.4: 0.4, 0.1, 0.5 K/W, 25 °C, 125 W: junction 150 °C, case 100 °C."""
    block = answer(
        source(50.0),
        Part("R", "resistor", {"a": "in", "b": "ground"}, {"resistance": 20.0}, heat=Heat("case", 0.4)),
        *chain(("case", "sink", 0.1), ("sink", "ambient", 0.5)), ambient=25.0,
    )  # fmt: skip
    assert block.power("R")[0, 0] == printed("125")
    assert block.junction_temperature("R")[0, 0] - ZERO_CELSIUS == printed("150")
    assert block.at(("heat", "case"))[0, 0] - ZERO_CELSIUS == printed("100")


@pytest.mark.parametrize(("ambient", "amperes"), [(25.0, 2.1875), (75.0, 1.5625)])
def test_mehta_12_17_current_of_a_hot_transistor(ambient, amperes, printed):
    """T11. Mehta, ex. 12.17, p. 324: 20 K/W, 4 V: 2.19 A at 25 °C (1.56 A at 75 °C) bring the junction to 200 °C.

    The full transistor model, its base driven so that this collector current flows.
    """
    base = amperes / 100.0
    values = {"saturation_current": 1e-16, "forward_gain": 100.0}
    block = answer(
        source(4.0), Part("drive", "load", {"plus": "in", "minus": "b"}, {"draws": base}),
        Part("Q", "bipolar", {"collector": "in", "base": "b", "emitter": "ground"}, values, "npn",
             heat=Heat("ambient", 20.0)),
        ambient=ambient,
    )  # fmt: skip
    assert block.pin_current("Q", "collector")[0, 0] == pytest.approx(amperes, rel=1e-6)
    # the book leaves the base's own heat out
    at_base = 20.0 * base * block.net_voltage("b")[0, 0]
    assert block.junction_temperature("Q")[0, 0] - at_base - ZERO_CELSIUS == printed("200.00")
