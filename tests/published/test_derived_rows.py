"""`derive` against further printed rows: limits, sharing with a diode, foldback, dividers, current source.

Each network is built of explicit parts; the algebra finds the formula, the printed figures only go in and are compared.
Where print has a formula, ours becomes it, letter for letter, once the gains are taken as endless (print leaves base
currents out).  Franco, *Design with Operational Amplifiers*; Floyd, *Electronic Devices*; Boylestad and Nashelsky,
*Electronic Devices and Circuit Theory*; and Mehta, *Principles of Electronics* were read in written-out copies of the
printed books (second-hand), NEC, LM340 and the hobby article as stored pages.

Rows of the same collection that are no network algebra at rest, so that nothing can be derived here:
B13's ripple of 1 V is an allowance on top of the drop-out that is derived below, and its 23 W a product of two results;
B15's 1.5 A and 4 A are the permitted power over the voltage across the device, its resistors are derived below;
B16's 0.400 V at 175 °C is the temperature coefficient of a junction, only its divider is derived below;
B21 and B22 (line and load regulation, output impedance, ripple rejection) are ratios of measured differences;
B2, B14 and B17 are numbers that the collection does not give out.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from hand_networks import ENDLESS, derivation, load, regulator, resistor, result, supply, table, transistor

from outboard.explain.asked import Derivation, Result
from outboard.explain.definitions import Definition, definition_value
from outboard.explain.expression import Expression, names, put_for, value
from outboard.explain.inverse import Inverse


def algebra(
    expression: Expression, definitions: Sequence[Definition], renamed: Mapping[str, str] | None = None,
    endless: tuple[str, ...] = (),
) -> Any:  # fmt: skip
    """An expression without short names, with printed letters, and with some of them endless."""
    from sympy import Symbol, limit, oo, together

    new = renamed or {}
    expression = put_for(expression, {entry.name: definition_value(entry) for entry in definitions})
    symbols = {name: Symbol(new.get(name, name), positive=True) for name in names(expression)}
    found = together(value(expression, symbols))
    for name in endless:
        found = limit(found, Symbol(name, positive=True), oo)
    return found


def print_says(text: str) -> Any:
    from sympy import Symbol, sympify

    letters = {"I_REG", "I_LIM", "I_Q", "R1", "R2", "R3", "R4", "V_BE", "V_O", "V_REF", "V_REG", "V_DO", "V_I", "I_1"}
    return sympify(text, locals={name: Symbol(name, positive=True) for name in letters})


def same(ours: Any, text: str) -> bool:
    from sympy import simplify

    return bool(simplify(ours - print_says(text)) == 0)


STEADY = {"r_DO": (0.0, 0.0, 0.0)}
"""A drop-out voltage that does not move with the current."""


def inverse(found: Result) -> Inverse:
    assert found.inverse is not None and found.inverse.why == ""
    return found.inverse


def gives_up(found: Derivation) -> Any:
    """The load at which the regulator limits itself."""
    (event,) = [event for event in found.loads if "limits its current" in event.event]
    assert event.formula is not None
    return event


# --- the bypass: base resistor, sense transistor, sharing with a diode ------------------------------------------------


def test_floyd_17_7(printed: Any) -> None:
    """B8, Floyd ex. 17.7 p. 572: 0.7 V and 0.7 A through the regulator want 1.0 Ω; R = V_BE/I."""
    parts = [supply(30), resistor("R1", "in", "x", 2), transistor("Q1", "pnp", "out", "x", "in", ENDLESS, 0.7),
             regulator(24), load(ohms=10)]  # fmt: skip
    found = inverse(result(derivation(parts, quantities=("I_REG",), find="R1", target=0.7), "I_REG"))
    assert found.value == printed("1.0")
    assert same(algebra(found.formula, (), {"V_BE1": "V_BE"}, ("h_FE1",)), "V_BE / I_REG")


def sense_limited() -> list[str]:
    """R2 in the lead of the bypass emitter, Q2 across it, its collector at the bypass base."""
    return [supply(20), resistor("R1", "in", "x", 2), resistor("R2", "in", "e", 0.1),
            transistor("Q1", "pnp", "out", "x", "e", ENDLESS, 0.7),
            transistor("Q2", "pnp", "x", "e", "in", ENDLESS, 0.7), regulator(5, limit=1.5), load(10)]  # fmt: skip


def test_nec_4_3() -> None:
    """B6, NEC G12702EJ8V0UM00 p. 17: I_O(max) = V_BE2/R2 + I_REG(max); the page prints no figures."""
    event = gives_up(derivation(sense_limited(), quantities=("I_REG",)))
    ours = algebra(event.formula, event.definitions, {"V_BE2": "V_BE", "I_lim": "I_LIM"}, ("h_FE1", "h_FE2"))
    assert same(ours, "V_BE / R2 + I_LIM")


def with_diode(amperes: float) -> list[str]:
    """R1 in the bypass emitter, R2 and a diode in the regulator's lead."""
    return [supply(20), resistor("R2", "in", "d", 0.4),
            table("D1", "diode", {"anode": "d", "cathode": "x"}, saturation_current=1e-12),
            resistor("R1", "in", "e", 0.1), transistor("Q1", "pnp", "out", "x", "e", ENDLESS, 0.7),
            regulator(5, limit=1.0), load(amperes)]  # fmt: skip


def test_nec_4_4_and_4_5(printed: Any) -> None:
    """B7, same page, 0.1 Ω and 0.4 Ω: I_1 = (R2/R1)·I_REG and I_O(max) = I_REG(max)·(R1 + R2)/R1; 1 A gives 5 A."""
    cancels = {"V_F1": (0.7, 0.7, 0.7)}
    found = derivation(with_diode(4.0), quantities=("I_REG", "I_E1"), values=cancels)
    event = gives_up(found)
    assert event.at == printed("5")
    drops = {"V_F1": "V_BE", "V_BE1": "V_BE"}
    ours = algebra(event.formula, event.definitions, drops | {"I_lim": "I_LIM"}, ("h_FE1",))
    assert same(ours, "I_LIM * (R1 + R2) / R1")
    both = [algebra(one.exact, one.definitions, drops, ("h_FE1",)) for one in found.results]
    assert same(both[1] / both[0], "R2 / R1")


def test_drop_out_of_the_sharing_pair(printed: Any) -> None:
    """B13, hobby article: 3 V for the regulator and 2 A·0.7 Ω; with 1 V of ripple on top 5.4 V (printed 5.5 by 1.5 V).

    The algebra finds what the network needs at rest; the article adds the ripple.
    """
    parts = [supply(20), resistor("R2", "in", "x", 0.7), resistor("R1", "in", "e", 0.3),
             transistor("Q1", "pnp", "out", "x", "e", ENDLESS, 0.7),
             regulator(5).replace("[[parts]]", "[[parts]]\ndropout_voltage = 3.0"),
             load(2.0 + 0.7 / 0.3)]  # fmt: skip
    (event,) = [event for event in derivation(parts, values=STEADY).inputs if "drops out" in event.event]
    assert event.formula is not None
    assert event.at - 5.0 + 1.0 == printed("5.4")


# --- Franco: foldback (ex. 11.10 p. 522) and a thermal-shutdown divider (ex. 11.11 p. 523) ----------------------------


def foldback(sense: float, upper: float, lower: float) -> list[str]:
    """Output held by a source; R1 in the pass emitter, R3 and R4 tap the pass emitter for the sense transistor's base.

    A rail of its own drives the pass transistor (in print the error amplifier does); the sense transistor takes what is
    too much.
    """
    return [supply(8), table("driver", "source", {"plus": "d", "minus": "ground"}, voltage="15 V"),
            resistor("RD", "d", "b", 100), transistor("Q1", "npn", "in", "b", "e", ENDLESS, 0.7),
            resistor("R1", "e", "out", sense), resistor("R3", "e", "t", upper), resistor("R4", "t", "ground", lower),
            transistor("Q3", "npn", "b", "t", "out", ENDLESS, 0.7),
            table("rail", "source", {"plus": "out", "minus": "ground"}, voltage="5 V")]  # fmt: skip


@pytest.mark.parametrize(("output", "amperes"), [(5.0, "4.0"), (0.0, "1.5")])
def test_franco_11_10_foldback(output: float, amperes: str, printed: Any) -> None:
    """B15: 0.6087 Ω with 163.3 Ω and 536.7 Ω: 4 A with 5 V at the output, 1.5 A into a short."""
    held = {"V_rail": (output, output, output)}
    found = result(derivation(foldback(0.6087, 163.3, 536.7), quantities=("I_R1",), values=held), "I_R1")
    assert found.value == printed(amperes)
    ours = algebra(found.exact, found.definitions, {"V_BE3": "V_BE", "V_rail": "V_O"}, ("h_FE1", "h_FE3"))
    assert same(ours, "((V_O + V_BE) * (R3 + R4) / R4 - V_O) / R1")


def test_franco_11_10_resistors(printed: Any) -> None:
    """B15: R_FB for 4 A at 5 V is 0.61 Ω and the upper resistor 163.3 Ω; without the tap R_SC is 0.47 Ω for 1.5 A."""
    asked = {"quantities": ("I_R1",), "target": 4.0}
    parts = foldback(0.6, 163.3, 536.7)
    assert inverse(result(derivation(parts, find="R1", **asked), "I_R1")).value == printed("0.61")
    parts = foldback(0.6087, 150, 536.7)
    assert inverse(result(derivation(parts, find="R3", **asked), "I_R1")).value == printed("163.3")
    plain = [part for part in foldback(0.5, 1, 1) if '"R3"' not in part and '"R4"' not in part]
    plain = [part.replace('base = "t"', 'base = "e"') for part in plain]
    found = inverse(result(derivation(plain, quantities=("I_R1",), find="R1", target=1.5), "I_R1"))
    assert found.value == printed("0.47")


def test_franco_11_11_divider(printed: Any) -> None:
    """B16: 0.400 V at the base (175 °C) with 1 mA in the divider: R8 400 Ω; from 1.282 V R7 880 Ω, exactly 882 Ω."""
    parts = [supply(1.282), resistor("R7", "in", "t", 800), resistor("R8", "t", "ground", 500),
             resistor("RC", "in", "c", 10e3), transistor("Q1", "npn", "c", "t", "ground", ENDLESS, 0.4)]  # fmt: skip
    lower = inverse(result(derivation(parts, quantities=("I_R8",), find="R8", target=1e-3), "I_R8"))
    assert lower.value == printed("400")
    parts[2] = resistor("R8", "t", "ground", 400)
    starts = inverse(result(derivation(parts, quantities=("I_R7",), find="R7", target=1e-3), "I_R7"))
    assert starts.value == printed("882")


# --- adjustable and as a current source -------------------------------------------------------------------------------


def adjustable(upper: float, lower: float, adjust: float) -> list[str]:
    """1.25 V between output and reference pin."""
    held = table("U1", "regulator", {"in": "in", "out": "out", "ref": "r"}, set_voltage="1.25 V",
                 quiescent_current=adjust, current_limit=1.5, output_resistance=1e-6)  # fmt: skip
    return [supply(20), held, resistor("R1", "out", "r", upper), resistor("R2", "r", "ground", lower), load(0.5)]


@pytest.mark.parametrize(("lower", "adjust", "volts"), [
    (2400, 100e-6, "13.99"),  # B18, Boylestad and Nashelsky ex. 15.15
    (1800, 100e-6, "10.8"),   # B19, ex. 15.16
    (2400, 0.0, "13.75"),     # B20, Mehta ex. 17.20 p. 463, current of the reference pin left out
])  # fmt: skip
def test_adjustable_output(lower: float, adjust: float, volts: str, printed: Any) -> None:
    """V_O = V_REF·(1 + R2/R1) + I_ADJ·R2 with 240 Ω; without the last term in Mehta."""
    found = result(derivation(adjustable(240, lower, adjust), quantities=("V_O",)), "V_O")
    assert found.value == printed(volts)
    last = " + I_Q * R2" if adjust else ""
    assert same(algebra(found.exact, found.definitions, {"V_REG": "V_REF"}), f"V_REF * (1 + R2 / R1){last}")


def current_source(ohms: float, drop_out: float = 2.0) -> list[str]:
    """The reference pin at the output of the whole, the resistor from the regulator's output to it."""
    held = table("U1", "regulator", {"in": "in", "out": "y", "ref": "out"}, set_voltage="5 V", quiescent_current=0.0,
                 current_limit=1.5, output_resistance=1e-6, dropout_voltage=drop_out)  # fmt: skip
    return [supply(20), held, resistor("R1", "y", "out", ohms), load(ohms=4)]


def test_current_source_of_a_fixed_regulator(printed: Any) -> None:
    """B23, LM340 data sheet fig. 14: 1 A from 5 V wants 5 Ω, and the load may have V_I − 7 V (2 V of drop-out)."""
    found = derivation(current_source(6), quantities=("I_O",), find="R1", target=1.0)
    assert inverse(result(found, "I_O")).value == printed("5")
    (event,) = [event for event in derivation(current_source(5), quantities=("V_O",), values=STEADY).inputs
                if "drops out" in event.event]  # fmt: skip
    output = result(derivation(current_source(5), quantities=("V_O",), values=STEADY), "V_O").value
    assert event.at - output == printed("7")
