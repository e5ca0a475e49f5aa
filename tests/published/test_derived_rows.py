"""`derive` against every printed row of the collection that is network algebra: bypass, limits, sharing, foldback,
dividers, current source (B1 to B23) and pairs (C1, C2, C9).

Each network is built of explicit parts; the algebra finds the formula, the printed figures only go in and are compared.
Where print has a formula, ours becomes it, letter for letter, once the gains are taken as endless (print leaves base
currents out).  Franco, *Design with Operational Amplifiers*; Floyd, *Electronic Devices*; Boylestad and Nashelsky,
*Electronic Devices and Circuit Theory*; and Mehta, *Principles of Electronics* were read in written-out copies of the
printed books (second-hand), NEC, LM340 and the hobby article as stored pages.

Rows of the same collection that are no network algebra at rest, so that nothing can be derived here:
B13's ripple of 1 V is an allowance on top of the drop-out that is derived below, and its 23 W a product of two results;
B15's 1.5 A and 4 A are the permitted power over the voltage across the device, its resistors are derived below;
B16's 0.400 V at 175 °C is the temperature coefficient of a junction, only its divider is derived below;
B21's line regulation and ripple rejection rest on a dependence on the input that the ideal regulator has not;
B2, B14 and B17 are numbers that the collection does not give out.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from hand_networks import ENDLESS, compound, derivation, load, regulator, resistor, result, supply, table, transistor

from outboard.explain.asked import Derivation, Result
from outboard.explain.definitions import Definition, definition_value, put_through
from outboard.explain.expression import Expression, names, value
from outboard.explain.inverse import Inverse
from outboard.explain.writing import written


def algebra(
    expression: Expression, definitions: Sequence[Definition], renamed: Mapping[str, str] | None = None,
    endless: tuple[str, ...] = (),
) -> Any:  # fmt: skip
    """An expression without short names, with printed letters, and with some of them endless."""
    from sympy import Symbol, limit, oo, together

    new = renamed or {}
    expression = put_through(expression, definitions)
    symbols = {name: Symbol(new.get(name, name), positive=True) for name in names(expression)}
    found = together(value(expression, symbols))
    for name in endless:
        found = limit(found, Symbol(name, positive=True), oo)
    return found


def print_says(text: str) -> Any:
    from sympy import Symbol, sympify

    letters = set(re.findall(r"[A-Za-z]\w*", text))
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


# --- a transistor past the regulator: B1, B3, B4 ----------------------------------------------------------------------


def bypass(load_of: str, gain: float = 15, v_be: float = 1.0, base: float = 7) -> list[str]:
    """A PNP transistor past a 5 V regulator; without other words the example's 7 Ω, V_EB(on) = 1 V and gain of 15."""
    return [supply(12), resistor("R1", "in", "x", base), transistor("Q1", "pnp", "out", "x", "in", gain, v_be),
            regulator(5), load_of]  # fmt: skip


def test_b1_roy_choudhury_6_1_below_turn_on(printed: Any) -> None:
    """B1: 100 Ω take 50 mA, all of it through the regulator, 350 mV across R1; the transistor is off."""
    found = derivation(bypass(load(ohms=100)), quantities=("I_REG", "I_C1", "I_O", "I_R1"))
    assert ("Q1", "off") in found.doing
    assert 1e3 * result(found, "I_REG").value == printed("50")
    assert 1e3 * result(found, "I_O").value == printed("50")
    assert 7e3 * result(found, "I_R1").value == printed("350")
    assert result(found, "I_C1").value == pytest.approx(0.0, abs=1e-12)


def test_b3_roy_choudhury_6_1_at_5_amperes(printed: Any) -> None:
    """B3: 1 Ω: regulator 446 mA, transistor 4.55 A, and both formulas are named after the book."""
    found = derivation(bypass(load(ohms=1)), quantities=("I_REG", "I_C1"))
    assert 1e3 * result(found, "I_REG").value == printed("446")
    assert result(found, "I_C1").value == printed("4.55")
    found = derivation(bypass(load(5)), quantities=("I_REG", "I_C1"))
    for name in ("I_REG", "I_C1"):
        (as_printed,) = [entry for entry in result(found, name).coincides if entry.ours == name]
        assert as_printed.published.source == "RoyChoudhury-6.1" and as_printed.left_out == ()


def test_b4_base_resistor_of_the_same_example(printed: Any) -> None:
    """B4, LM340 data sheet as corrected: R1 = h_FE·V_BE/[I_REG(h_FE + 1) − I_O]; 446.4286 mA at 5 A give 7.000 Ω."""
    asked = {"quantities": ("I_REG",), "find": "R1", "target": 0.446428571}
    found = inverse(result(derivation(bypass(load(5)), **asked), "I_REG"))
    assert found.value == printed("7.000")
    assert same(algebra(found.formula, (), {"h_FE1": "h_FE", "V_BE1": "V_BE"}),
                "h_FE * V_BE / (I_REG * (h_FE + 1) - I_O)")  # fmt: skip


def test_b5_nec_4_1_and_4_2(printed: Any) -> None:
    """B5, NEC G12702EJ8V0UM00 p. 17: V_BE 0.7 V, h_FE 50, 1 A through the regulator, 2 Ω make 33.5 A (4.2).

    (4.1) gives back 2.000 Ω when its I_OUT is the transistor's own current, 32.5 A: so the derivation says as well.
    """
    parts = bypass(load(10), gain=50, v_be=0.7, base=2)
    asked = result(derivation(parts, quantities=("I_REG",), find="I_O", target=1.0), "I_REG")
    assert inverse(asked).value == printed("33.5")
    renamed = {"h_FE1": "h_FE", "V_BE1": "V_BE"}
    assert same(algebra(inverse(asked).formula, asked.definitions, renamed), "h_FE * (I_REG - V_BE / R1) + I_REG")
    parts = bypass(load(33.5), gain=50, v_be=0.7, base=3)
    found = inverse(result(derivation(parts, quantities=("I_C1",), find="R1", target=32.5), "I_C1"))
    assert found.value == printed("2.000")
    ours = algebra(found.formula, (), renamed | {"I_C1": "I_C"})
    total = {symbol: print_says("I_C + I_REG") for symbol in ours.free_symbols if symbol.name == "I_O"}
    assert same(ours.subs(total), "V_BE / (I_REG - I_C / h_FE)")


# --- the bypass: base resistor, sense transistor, sharing: B8 to B13 --------------------------------------------------


def test_b8_floyd_17_7(printed: Any) -> None:
    """B8, Floyd ex. 17.7 p. 572: 0.7 V and 0.7 A through the regulator want 1.0 Ω; R = V_BE/I."""
    parts = [supply(30), resistor("R1", "in", "x", 2), transistor("Q1", "pnp", "out", "x", "in", ENDLESS, 0.7),
             regulator(24), load(ohms=10)]  # fmt: skip
    found = inverse(result(derivation(parts, quantities=("I_REG",), find="R1", target=0.7), "I_REG"))
    assert found.value == printed("1.0")
    assert same(algebra(found.formula, (), {"V_BE1": "V_BE"}, ("h_FE1",)), "V_BE / I_REG")


def test_b9_floyd_17_8(printed: Any) -> None:
    """B9, Floyd ex. 17.8 p. 572: 24 V, 10 Ω, 0.7 A through the regulator: load 2.4 A, transistor 1.7 A, 10.2 W."""
    parts = [supply(30), resistor("R1", "in", "x", 1), transistor("Q1", "pnp", "out", "x", "in", ENDLESS, 0.7),
             regulator(24), load(ohms=10)]  # fmt: skip
    found = derivation(parts, quantities=("I_REG", "I_C1", "I_O", "V_O", "V_in"))
    worth = {name: result(found, name).value for name in ("I_REG", "I_C1", "I_O", "V_O", "V_in")}
    assert worth["I_REG"] == printed("0.7") and worth["I_O"] == printed("2.4") and worth["I_C1"] == printed("1.7")
    assert worth["I_C1"] * (worth["V_in"] - worth["V_O"]) == printed("10.2")


def test_b10_floyd_17_4(printed: Any) -> None:
    """B10, Floyd ex. 17.4 p. 557: a sense transistor across 1 Ω takes over at 0.7 A, V_BE over the resistor."""
    parts = [supply(12), resistor("RS", "in", "out", 1), resistor("RC", "ground", "c", 1000),
             transistor("Q1", "pnp", "c", "out", "in", 100, 0.7), load(0.3)]  # fmt: skip
    (starts,) = [event for event in derivation(parts, quantities=("I_RS",)).loads if "Q1 starts" in event.event]
    assert starts.at == printed("0.7")
    assert starts.formula is not None and written(starts.formula) == "V_BE1 / RS"


def test_b11_kit_manual_onset(printed: Any) -> None:
    """B11, Elenco power-supply manual p. 5: 3 Ω and 0.2 A make 0.6 V, where the bypass starts."""
    parts = bypass(load(1), gain=50, v_be=0.6, base=3)
    assert derivation(parts).loads[0].at == printed("0.2")


def test_b12_sharing_by_a_pair_of_resistors(printed: Any) -> None:
    """B12, hobby article on sharing: 0.7 Ω in the lead, 0.3 Ω in the emitter, V_BE 0.7 V, regulator at 2 A: 4.3 A."""
    parts = [supply(20), resistor("R2", "in", "x", 0.7), resistor("R1", "in", "e", 0.3),
             transistor("Q1", "pnp", "out", "x", "e", ENDLESS, 0.7), regulator(5), load(4)]  # fmt: skip
    asked = result(derivation(parts, quantities=("I_REG",), find="I_O", target=2.0), "I_REG")
    assert inverse(asked).value == printed("4.3")
    ours = algebra(inverse(asked).formula, asked.definitions, {"V_BE1": "V_BE"}, ("h_FE1",))
    assert same(ours, "I_REG + (I_REG * R2 - V_BE) / R1")



def sense_limited() -> list[str]:
    """R2 in the lead of the bypass emitter, Q2 across it, its collector at the bypass base."""
    return [supply(20), resistor("R1", "in", "x", 2), resistor("R2", "in", "e", 0.1),
            transistor("Q1", "pnp", "out", "x", "e", ENDLESS, 0.7),
            transistor("Q2", "pnp", "x", "e", "in", ENDLESS, 0.7), regulator(5, limit=1.5), load(10)]  # fmt: skip


def test_b6_nec_4_3() -> None:
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


def test_b7_nec_4_4_and_4_5(printed: Any) -> None:
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


def test_b13_drop_out_of_the_sharing_pair(printed: Any) -> None:
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
def test_b15_franco_11_10_foldback(output: float, amperes: str, printed: Any) -> None:
    """B15: 0.6087 Ω with 163.3 Ω and 536.7 Ω: 4 A with 5 V at the output, 1.5 A into a short."""
    held = {"V_rail": (output, output, output)}
    found = result(derivation(foldback(0.6087, 163.3, 536.7), quantities=("I_R1",), values=held), "I_R1")
    assert found.value == printed(amperes)
    ours = algebra(found.exact, found.definitions, {"V_BE3": "V_BE", "V_rail": "V_O"}, ("h_FE1", "h_FE3"))
    assert same(ours, "((V_O + V_BE) * (R3 + R4) / R4 - V_O) / R1")


def test_b15_franco_11_10_resistors(printed: Any) -> None:
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


def test_b16_franco_11_11_divider(printed: Any) -> None:
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
def test_b18_b19_b20_adjustable_output(lower: float, adjust: float, volts: str, printed: Any) -> None:
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


def test_b23_current_source_of_a_fixed_regulator(printed: Any) -> None:
    """B23, LM340 data sheet fig. 14: 1 A from 5 V wants 5 Ω, and the load may have V_I − 7 V (2 V of drop-out)."""
    found = derivation(current_source(6), quantities=("I_O",), find="R1", target=1.0)
    assert inverse(result(found, "I_O")).value == printed("5")
    (event,) = [event for event in derivation(current_source(5), quantities=("V_O",), values=STEADY).inputs
                if "drops out" in event.event]  # fmt: skip
    output = result(derivation(current_source(5), quantities=("V_O",), values=STEADY), "V_O").value
    assert event.at - output == printed("7")


# --- figures of merit: B21, B22 ---------------------------------------------------------------------------------------


def sagging(volts: float, inner: float, amperes: float) -> list[str]:
    """A regulator with an output resistance."""
    held = table("U1", "regulator", {"in": "in", "out": "out", "ref": "ground"}, set_voltage=f"{volts} V",
                 quiescent_current=0.0, current_limit=1.5, output_resistance=inner)  # fmt: skip
    return [supply(20), held, load(amperes)]


def test_b21_franco_11_1_load_regulation(printed: Any) -> None:
    """B21, Franco ex. 11.1 p. 502: 5 mV of 5 V from 0.25 A to 0.75 A: z_o 0.01 Ω and 0.2 %/A.

    V_O = V_REG − r_O·I_O, so that the output impedance is its slope; what is printed of line and ripple rests on a
    dependence on the input that the ideal regulator does not have.
    """
    asked = {"quantities": ("V_O",), "exact": True}
    low, high = (result(derivation(sagging(5, 0.01, at), **asked), "V_O") for at in (0.25, 0.75))
    assert 1e3 * (low.value - high.value) == printed("5")
    assert 100 * (low.value - high.value) / 0.5 / 5 == printed("0.2")
    assert same(algebra(low.exact, low.definitions), "V_REG - r_O * I_O")
    found = inverse(result(derivation(sagging(5, 0.02, 0.5), find="r_O", target=5 - 0.005, **asked), "V_O"))
    assert found.value == printed("0.01")


def test_b22_floyd_17_2_load_regulation(printed: Any) -> None:
    """B22, Floyd ex. 17.2 p. 553: 12 V without load, 11.9 V at 10 mA: 0.840 %, 0.084 %/mA."""
    asked = {"quantities": ("V_O",), "exact": True}
    found = inverse(result(derivation(sagging(12, 5, 0.01), find="r_O", target=11.9, **asked), "V_O"))
    assert found.value is not None
    full = result(derivation(sagging(12, found.value, 0.01), **asked), "V_O").value
    assert 100 * (12 - full) / full == printed("0.840")
    assert 100 * (12 - full) / full / 10 == printed("0.084")


# --- pairs: C1, C2, C9 ------------------------------------------------------------------------------------------------


def test_c1_darlington_pair(printed: Any) -> None:
    """C1, hobby-electronics.info, course on Darlington transistors: h1 + (h1 + 1)·h2 of 300 and 100 is 30 400 exactly.

    The load over the regulator's current, less one: the regulator carries the base current of the pair alone.
    """
    parts = [supply(12), transistor("Q1", "pnp", "out", "x", "y", 300, 0.6),
             transistor("Q2", "pnp", "out", "y", "in", 100, 0.6), regulator(5), load(3)]  # fmt: skip
    found = result(derivation(parts, quantities=("I_REG",)), "I_REG")
    assert 3.0 / found.value - 1.0 == printed("30400")
    assert same(print_says("I_O") / algebra(found.told, found.definitions) - 1, "h_FE1 + (h_FE1 + 1) * h_FE2")
    assert {entry.published.source for entry in found.coincides if entry.ours == "h_FE"} == {"course-darlington"}


def test_c2_complementary_pair(printed: Any) -> None:
    """C2, public transistor guide: β1·(β2 + 1) of 100 and 100 is 10 100, and one V_BE turns the pair on."""
    found = derivation(compound(None, 100, 100), quantities=("I_REG",))
    regulator_current = result(found, "I_REG")
    gain = regulator_current.gain
    assert gain is not None and value(gain.expression, regulator_current.numbers) == printed("10100")
    assert same(algebra(gain.expression, ()), "h_FE1 * (h_FE2 + 1)")
    named = {entry.published.source for entry in regulator_current.coincides if entry.ours == "h_FE"}
    assert named == {"guide-complementary-pair"}
    (starts,) = [event for event in found.loads if event.event == "Q1 starts to conduct"]
    assert starts.formula is not None and same(algebra(starts.formula, ()), "V_BE1 / R1")


def test_c9_bleeder_onset(printed: Any) -> None:
    """C9: 0.65 V over 47 Ω are 13.83 mA; exact arithmetic of the collection, no publication.

    The driver carries that much where the pass device starts: hand-over current and event say the same.
    """
    found = derivation(compound(47.0, 100, 30, 0.65), quantities=("I_C1",))
    driver = result(found, "I_C1")
    (onset,) = [entry for entry in driver.definitions if entry.handover_of == "Q2"]
    assert 1e3 * driver.numbers[onset.name] == printed("13.83")
    assert same(algebra(definition_value(onset), ()), "V_BE2 / R2")
    (starts,) = [event for event in found.loads if event.event == "Q2 starts to conduct"]
    parts = compound(47.0, 100, 30, 0.65, amperes=starts.at)
    assert 1e3 * result(derivation(parts, quantities=("I_C1",)), "I_C1").value == printed("13.83")
