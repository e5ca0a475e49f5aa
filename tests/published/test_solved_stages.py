"""Printed examples of boosted, shared, limited and adjusted regulators, put through the solver as networks of parts.

The books count with a fixed V_BE, a fixed gain or none: so does the constant-gain transistor here, with a gain so large
that its base current is below the printed digits where the book leaves it out.
"second-hand": the worked example was read in a written-out copy of the printed book.
"""

import numpy as np
import pytest

from outboard.formulas import limiting, regulator
from outboard.network.circuit import laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities.figures import collector_current, regulator_current
from outboard.quantities.regulation import regulation, regulator_headroom

ENDLESS = 1e6
"""A gain that the book takes for infinite."""


def source(voltage: float, net: str = "in", name: str = "input") -> Part:
    return Part(name, "source", {"plus": net, "minus": "ground"}, {"voltage": voltage})


def resistor(name: str, a: str, b: str, ohms: float) -> Part:
    return Part(name, "resistor", {"a": a, "b": b}, {"resistance": ohms})


def transistor(name: str, polarity: str, gain: float, v_be: float, c: str, b: str, e: str) -> Part:
    values = {"gain": gain, "base_emitter_voltage": v_be}
    return Part(name, "bipolar", {"collector": c, "base": b, "emitter": e}, values, polarity, "constant_gain")


def three_terminal(volts: float, ref: str = "ground", lead: str = "x", **more: float) -> Part:
    values = {"set_voltage": volts, "output_resistance": 1e-6, "quiescent_current": 0.0, "current_limit": 20.0}
    return Part("U1", "regulator", {"in": lead, "out": "out", "ref": ref}, values | more)


def drawing(amperes: float) -> Part:
    return Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": amperes})


def answer(*parts: Part, **cases: Overrides) -> Block:
    block = solved(laid_out(parts, 298.15), **cases)
    assert block.is_solved.all()
    return block


def test_nec_manual_4_2_total_current(printed):
    """B5. NEC user's manual G12702EJ8V0UM00, eq. 4.2, p. 17 (seen; number derived): 33.5 A leave the regulator 1 A."""
    block = answer(
        source(12.0), resistor("R1", "in", "x", 2.0), transistor("Q1", "pnp", 50.0, 0.7, "out", "x", "in"),
        three_terminal(5.0), drawing(33.5),
    )  # fmt: skip
    assert block.pin_current("U1", "in")[0, 0] == printed("1.000")
    assert collector_current(block, "Q1")[0, 0] == printed("32.50")


def test_nec_manual_4_3_total_limit(printed):
    """B6. The same manual, eq. 4.3 (seen; numbers ours): 0.7 V over 0.35 Ω and a limit of 1.5 A make 3.5 A.

    A second transistor, its base-emitter junction across R2, takes the first one's drive.
    """
    block = answer(
        source(12.0), resistor("R1", "in", "x", 100.0), resistor("R2", "in", "e", 0.35),
        transistor("Q1", "pnp", ENDLESS, 0.7, "out", "x", "e"), transistor("Q2", "pnp", ENDLESS, 0.7, "x", "e", "in"),
        three_terminal(5.0, current_limit=1.5),
        Part("load", "load", {"plus": "out", "minus": "ground"}, {"resistance": 1.0}),
    )  # fmt: skip
    assert regulation(block, "U1").limiting[0, 0]
    assert collector_current(block, "Q1")[0, 0] == printed("2.00")
    # the regulator's limit has a round corner of 0.2 mA
    assert block.pin_current("load", "plus")[0, 0] == printed("3.50")
    # all that the regulator draws beyond R1 comes through the limiting transistor
    through = 1.5 - 1.4 / 100.0
    assert collector_current(block, "Q2")[0, 0] == pytest.approx(through, abs=1e-3)


def test_nec_manual_4_4_and_4_5_sharing_with_diode(printed):
    """B7. The same manual, eqs. 4.4, 4.5 (seen, text scrambled; numbers derived): 0.4 Ω and 0.1 Ω share 5 A as 1 to 4.

    The diode is a transistor of the same V_BE with its collector at its base.
    """
    block = answer(
        source(12.0), resistor("R2", "in", "d", 0.4), transistor("D1", "pnp", ENDLESS, 0.7, "x", "x", "d"),
        resistor("R1", "in", "e", 0.1), transistor("Q1", "pnp", ENDLESS, 0.7, "out", "x", "e"),
        three_terminal(5.0), drawing(5.0),
    )  # fmt: skip
    assert regulator_current(block, "U1")[0, 0] == printed("1.000")
    assert collector_current(block, "Q1")[0, 0] == printed("4.000")


def test_floyd_17_7_and_17_8_external_transistor(printed):
    """B8, B9. Floyd, Electronic Devices, exs. 17.7 and 17.8, p. 572 (second-hand): 1.0 Ω, 30 V to 24 V on 10 Ω."""
    block = answer(
        source(30.0), resistor("R_ext", "in", "x", 1.0), transistor("Q", "pnp", ENDLESS, 0.7, "out", "x", "in"),
        three_terminal(24.0), Part("load", "load", {"plus": "out", "minus": "ground"}, {"resistance": 10.0}),
    )  # fmt: skip
    assert regulator_current(block, "U1")[0, 0] == printed("0.7")
    assert block.pin_current("load", "plus")[0, 0] == printed("2.4")
    assert collector_current(block, "Q")[0, 0] == printed("1.7")
    assert block.power("Q")[0, 0] == printed("10.2")


def test_floyd_17_4_constant_current_limit(printed):
    """B10. Floyd, ex. 17.4, p. 557 (second-hand): 0.7 V across 1 Ω limit a short to 0.7 A.

    Pass transistor with its base driven through 1 kΩ; the second one takes the drive away.
    """
    block = answer(
        source(12.0), resistor("drive", "in", "b", 1e3), transistor("Q1", "npn", ENDLESS, 0.7, "in", "b", "top"),
        transistor("Q2", "npn", ENDLESS, 0.7, "b", "top", "out"), resistor("R4", "top", "out", 1.0),
        Part("load", "load", {"plus": "out", "minus": "ground"}, {"resistance": 1e-3}),
    )  # fmt: skip
    assert collector_current(block, "Q1")[0, 0] == printed("0.7")
    assert block.pin_current("R4", "a")[0, 0] == printed("0.700")


def test_kit_manual_onset():
    """B11. Elenco power-supply kit manual, p. 5 (seen): 3 Ω and 0.6 V, so the bypass starts at 0.2 A and not before."""
    block = answer(
        source(12.0), resistor("R1", "in", "x", 3.0), transistor("Q1", "pnp", 50.0, 0.6, "out", "x", "in"),
        three_terminal(5.0), drawing(0.1), corners=Overrides.column("load", "draws", np.array([0.199, 0.201])),
    )  # fmt: skip
    before, after = collector_current(block, "Q1")[:, 0]
    assert before < 1e-9
    assert after == pytest.approx(0.001 * 50.0 / 51.0, rel=1e-3)


def test_article_sharing_without_diode(printed):
    """B12. Hobby article on an LM317T with bypass transistor (seen): 0.7 Ω, 0.3 Ω, limit 2 A, 0.7 V: 4.33 A in all."""
    block = answer(
        source(12.0), resistor("lead", "in", "x", 0.7), resistor("share", "in", "e", 0.3),
        transistor("Q1", "pnp", ENDLESS, 0.7, "out", "x", "e"), three_terminal(5.0, current_limit=2.0),
        Part("load", "load", {"plus": "out", "minus": "ground"}, {"resistance": 0.5}),
    )  # fmt: skip
    assert block.net_voltage("in")[0, 0] - block.net_voltage("x")[0, 0] == printed("1.40")
    assert block.net_voltage("in")[0, 0] - block.net_voltage("e")[0, 0] == printed("0.70")
    assert block.pin_current("load", "plus")[0, 0] == printed("4.33")


def test_article_headroom(printed):
    """B13. The same article (seen): 3 V of drop-out, 1.4 V across 0.7 Ω, 1 V of ripple: 5.4 V above the output."""
    block = answer(
        source(12.0 + 5.4), resistor("lead", "in", "x", 0.7),
        three_terminal(12.0, dropout_voltage=3.0, dropout_resistance=1e-6), drawing(2.0),
    )  # fmt: skip
    assert regulator_headroom(block, "U1")[0, 0] == printed("1.0")
    assert regulator_headroom(block, "U1")[0, 0] == printed("1.000")


@pytest.mark.parametrize(("output", "amperes"), [(0.0, "1.5"), (5.0, "4")])
def test_franco_11_10_foldback(output, amperes, printed):
    """B15. Franco, Design with Operational Amplifiers, ex. 11.10, p. 522 (second-hand): 1.5 A into a short, 4 A at 5 V.

    Resistors as the formulas give them, unrounded (0.6087 Ω, 163.3 Ω, 536.7 Ω); the output is held by a source.
    R4 goes to ground: tied to the output it would make a limit that does not fold back.
    """
    plain = limiting.sense_resistor(base_emitter_voltage=0.7, limit_current=1.5)
    folded = limiting.foldback_resistor(
        plain_sense_resistance=plain, foldback_current=4.0, short_circuit_current=1.5, output_voltage=5.0
    )
    ratio = limiting.foldback_divider_ratio(foldback_resistance=folded, plain_sense_resistance=plain)
    lower = limiting.foldback_divider_resistor(base_emitter_voltage=0.7, divider_current=1e-3, divider_ratio=ratio)
    upper = limiting.foldback_divider_partner(divider_ratio=ratio, divider_resistance=lower)
    block = answer(
        source(8.0), source(15.0, "supply", "drive supply"), resistor("drive", "supply", "b", 1e3),
        transistor("Q1", "npn", ENDLESS, 0.7, "in", "b", "top"), resistor("R_FB", "top", "out", folded),
        transistor("Q2", "npn", ENDLESS, 0.7, "b", "tap", "out"), resistor("R3", "top", "tap", upper),
        resistor("R4", "tap", "ground", lower), source(output, "out", "output"),
    )  # fmt: skip
    assert block.pin_current("R_FB", "a")[0, 0] == printed(amperes)
    assert block.pin_current("R_FB", "a")[0, 0] == pytest.approx(float(amperes), rel=1e-4)
    assert (8.0 - output) * block.pin_current("R_FB", "a")[0, 0] == printed("12.0")


def test_foldback_of_a_bypass_against_its_formula():
    """Derived: with sense resistor and divider in a bypass the limit falls as the voltage across the stage grows."""
    ratio, sense, output = 0.05, 0.3, 5.0
    block = answer(
        source(8.0), resistor("R1", "in", "x", 100.0), resistor("R_S", "in", "e", sense),
        transistor("Q1", "pnp", ENDLESS, 0.7, "out", "x", "e"), transistor("Q2", "pnp", ENDLESS, 0.7, "x", "tap", "in"),
        resistor("R_a", "e", "tap", 10.0 * ratio), resistor("R_b", "tap", "out", 10.0),
        three_terminal(12.0, current_limit=1.0, dropout_voltage=0.5), source(output, "out", "output"),
        corners=Overrides.column("input", "voltage", np.array([8.0, 10.0, 14.0])),
    )  # fmt: skip
    for voltage, current in zip((8.0, 10.0, 14.0), collector_current(block, "Q1")[:, 0], strict=True):
        limit = limiting.bypass_foldback_limit(
            base_emitter_voltage=0.7, divider_ratio=ratio, input_voltage=voltage, output_voltage=output,
            sense_resistance=sense,
        )  # fmt: skip
        through_divider = (voltage - 0.7 - output) / 10.0
        assert current + through_divider == pytest.approx(limit, rel=1e-5)


@pytest.mark.parametrize(
    ("lower", "adjustment", "volts"),
    [(2.4e3, 100e-6, "13.99"), (1.8e3, 100e-6, "10.8"), (1.8e3, 100e-6, "10.805"), (2.4e3, 0.0, "13.75")],
)
def test_adjusted_outputs(lower, adjustment, volts, printed):
    """B18, B19: Boylestad and Nashelsky, exs. 15.15, 15.16; B20: Mehta, ex. 17.20, p. 463 (all second-hand)."""
    block = answer(
        source(25.0), three_terminal(1.25, "adj", "in", quiescent_current=adjustment),
        resistor("R1", "out", "adj", 240.0), resistor("R2", "adj", "ground", lower),
    )  # fmt: skip
    assert block.net_voltage("out")[0, 0] == printed(volts)


def test_franco_11_1_figures_of_merit(printed):
    """B21. Franco, ex. 11.1, p. 502 (second-hand): 0.0033 %/V and 0.2 %/A, read off four solved circuits.

    The regulator has the book's 3 mV over 18 V of input and 5 mV over 0.5 A as its own slopes.
    """
    cases = np.array([[7.0, 0.5], [25.0, 0.5], [10.0, 0.25], [10.0, 0.75]])
    block = answer(
        source(10.0),
        three_terminal(5.0, lead="in", line_coefficient=3e-3 / 18.0 / 5.0, output_resistance=0.01, foldback_start=40.0,
                       foldback_end=50.0, dropout_voltage=0.5),
        drawing(0.5), corners=Overrides((("input", "voltage"), ("load", "draws")), cases),
    )  # fmt: skip
    low, high, light, heavy = block.net_voltage("out")[:, 0]
    line = regulator.line_regulation(output_change=high - low, input_change=18.0, output_voltage=5.0)
    load = regulator.load_regulation(output_change=light - heavy, load_change=0.5, output_voltage=5.0)
    assert line == printed("0.0033", 0.01)
    assert load == printed("0.2", 0.01)
    assert regulator.output_resistance(output_change=light - heavy, load_change=0.5) == printed("0.01")


def test_floyd_17_2_load_regulation(printed):
    """B22. Floyd, ex. 17.2, p. 553 (second-hand): 12 V falls to 11.9 V at 10 mA: 0.840 %, through 10 Ω."""
    block = answer(
        source(20.0), three_terminal(12.0, lead="in", output_resistance=10.0), drawing(0.0),
        corners=Overrides.column("load", "draws", np.array([0.0, 10e-3])),
    )  # fmt: skip
    empty, full = block.net_voltage("out")[:, 0]
    assert (empty, full) == (printed("12.0"), printed("11.9"))
    # at rest the regulator's corner of 0.2 mA leaves the output 5 mV off: the book's no-load voltage is taken
    assert regulator.full_load_regulation(no_load_voltage=12.0, full_load_voltage=full) == printed("0.840", 0.01)


@pytest.mark.parametrize("load", [0.1, 5.0, 12.0])
def test_lm340_current_source(load, printed):
    """B23. LM340 series data sheet, fig. 14 (Motorola, onsemi; seen): 5 V type, 5 Ω, 1 A up to V_in − 7 V = 13 V."""
    block = answer(
        source(20.0), three_terminal(5.0, "bottom", "in", dropout_voltage=2.0, dropout_resistance=1e-6),
        resistor("R1", "out", "bottom", 5.0), resistor("load", "bottom", "ground", load),
    )  # fmt: skip
    assert block.pin_current("load", "a")[0, 0] == printed("1.000")


def test_lm340_current_source_ends_at_its_compliance():
    """B23. Beyond 13 V the regulator has dropped out and the current falls."""
    block = answer(
        source(20.0), three_terminal(5.0, "bottom", "in", dropout_voltage=2.0, dropout_resistance=1e-6),
        resistor("R1", "out", "bottom", 5.0), resistor("load", "bottom", "ground", 14.0),
    )  # fmt: skip
    assert regulation(block, "U1").dropped_out[0, 0]
    assert block.pin_current("load", "a")[0, 0] == pytest.approx(18.0 / 19.0, rel=1e-3)
