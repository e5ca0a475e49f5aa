"""Boosted regulators: current division, base resistor, sharing, limiting, figures of merit.

"second-hand": the worked example was read in a written-out copy of the printed book.
"""

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.formulas import NoSolution, dissipation, headroom, junction, limiting, regulator, sharing
from outboard.formulas import base_resistor as base
from outboard.formulas import current_division as division

ROY_CHOUDHURY = {"current_gain": 15.0, "base_emitter_voltage": 1.0, "base_resistance": 7.0}


def test_roy_choudhury_6_1_light_load(exactly):
    """B1. Roy Choudhury and Jain, Linear Integrated Circuits, ex. 6.1, p. 246 (second-hand): 100 Ω at 5 V."""
    load = division.load_current_of_resistance(output_voltage=5.0, load_resistance=100.0)
    alone = division.regulator_current(load_current=load, **ROY_CHOUDHURY)
    assert load == exactly(50e-3)
    assert division.base_resistor_drop(regulator_current=alone, base_resistance=7.0) == exactly(350e-3)
    assert division.bypass_current(load_current=load, **ROY_CHOUDHURY) == 0
    assert alone == exactly(50e-3)


def test_roy_choudhury_6_1_full_load(printed):
    """B3. The same stage with 1 Ω, 5 A (second-hand).

    Erratum of the copy: it prints 5 V across R1 at R_L = 5 Ω; all of that 1 A in 7 Ω would drop 7 V.
    """
    assert division.base_resistor_drop(regulator_current=1.0, base_resistance=7.0) == printed("7")
    load = division.load_current_of_resistance(output_voltage=5.0, load_resistance=1.0)
    assert division.regulator_current(load_current=load, **ROY_CHOUDHURY) == printed("446", 1e-3)
    assert division.regulator_current(load_current=load, **ROY_CHOUDHURY) == printed("446.43", 1e-3)
    assert division.bypass_current(load_current=load, **ROY_CHOUDHURY) == printed("4.55")
    assert division.bypass_current(load_current=load, **ROY_CHOUDHURY) == printed("4.5536")


def test_lm340_boost_resistor_returns_the_resistor_of_6_1(printed):
    """B4. LM340 data-sheet formula, brackets restored (a scan omits them: erratum); number derived from B3."""
    found = base.base_resistor(current_gain=15, base_emitter_voltage=1.0, regulator_current=0.446429, load_current=5.0)
    assert found == printed("7.000")


def test_nec_manual_4_1_and_4_2_agree_only_when_i_out_is_the_transistors_current(printed):
    """B5. NEC user's manual G12702EJ8V0UM00, p. 17 (seen; numbers derived).

    Ambiguity: the figure carries both IOUT and IO.  (4.1) undoes (4.2) when IOUT is Q1's own current, not the total.
    """
    total = division.load_current(regulator_current=1.0, current_gain=50, base_emitter_voltage=0.7, base_resistance=2.0)
    own = division.bypass_current_from_regulator(
        regulator_current=1.0, current_gain=50, base_emitter_voltage=0.7, base_resistance=2.0
    )
    assert total == printed("33.5")
    assert own == printed("32.5")

    def resistor(current: float) -> float:
        return base.base_resistor_for_bypass_current(
            base_emitter_voltage=0.7, regulator_current=1.0, bypass_current=current, current_gain=50
        )

    assert resistor(own) == printed("2.000")
    assert resistor(total) == printed("2.121")


def test_beyond_gain_times_regulator_current_no_resistor_exists(exactly):
    """B4, B5. The denominators turn negative when I_O > (h_FE + 1)·I_REG (derived)."""
    assert base.greatest_load_current(current_gain=15, regulator_current=0.3) == exactly(4.8)
    with pytest.raises(NoSolution, match="no base resistor exists"):
        base.base_resistor(current_gain=15, base_emitter_voltage=0.7, regulator_current=0.3, load_current=4.801)
    with pytest.raises(NoSolution, match="no base resistor exists"):
        base.least_base_resistor(base_emitter_voltage=0.7, regulator_current=0.3, load_current=4.801, current_gain=15)


def test_nec_manual_4_3_total_limit(exactly):
    """B6. NEC user's manual, eq. 4.3, p. 17 (seen): I_O(max) = V_BE2/R2 + I_REG(max); numbers ours."""
    total = limiting.bypass_total_limit(base_emitter_voltage=0.7, sense_resistance=0.35, regulator_limit=1.5)
    assert total == exactly(3.5)


def test_nec_manual_4_4_and_4_5_sharing_with_diode(exactly):
    """B7. NEC user's manual, eqs. 4.4, 4.5, p. 17 (seen, text scrambled; numbers derived): 0.1 Ω, 0.4 Ω, 1 A."""
    stage = {"regulator_current": 1.0, "lead_resistance": 0.4, "emitter_resistance": 0.1}
    assert sharing.shared_current_compensated(**stage) == exactly(4.0)
    assert sharing.total_current_compensated(**stage) == exactly(5.0)


def test_floyd_17_7_external_resistor(printed):
    """B8. Floyd, Electronic Devices, ex. 17.7, p. 572 (second-hand): 0.7 V at 0.7 A."""
    assert base.base_resistor_for_handover(base_emitter_voltage=0.7, handover_current=0.7) == printed("1.0")


def test_floyd_17_8_external_transistor(printed):
    """B9. Floyd, ex. 17.8, p. 572 (second-hand): 24 V on 10 Ω from 30 V, the regulator carries 0.7 A."""
    load = division.load_current_of_resistance(output_voltage=24.0, load_resistance=10.0)
    external = division.current_beyond_regulator(load_current=load, regulator_current=0.7)
    assert load == printed("2.4")
    assert external == printed("1.7")
    assert dissipation.pass_power(input_voltage=30.0, output_voltage=24.0, current=external) == printed("10.2")


def test_floyd_17_4_constant_current_limit(printed):
    """B10. Floyd, ex. 17.4, p. 557 (second-hand): 0.7 V across 1 Ω."""
    assert limiting.sense_limit(base_emitter_voltage=0.7, sense_resistance=1.0) == printed("0.7")
    assert limiting.sense_resistor(base_emitter_voltage=0.7, limit_current=0.7) == printed("1.0")


def test_kit_manual_onset(printed):
    """B11. Elenco power-supply kit manual, p. 5 (seen): 3 Ω times 0.2 A is 0.6 V.  Its later limit figures disagree."""
    assert division.handover_current(base_emitter_voltage=0.6, base_resistance=3.0) == printed("0.2")


def test_article_sharing_without_diode(printed):
    """B12. Hobby article on an LM317T with bypass transistor, March 2012 (seen): 0.7 Ω, 0.3 Ω, 2 A, 0.7 V."""
    assert division.base_resistor_drop(regulator_current=2.0, base_resistance=0.7) == printed("1.4")
    external = sharing.shared_current(
        regulator_current=2.0, lead_resistance=0.7, base_emitter_voltage=0.7, emitter_resistance=0.3
    )
    assert 2.0 + external == printed("4.3")
    assert 2.0 + external == printed("4.33")


def test_article_headroom(printed):
    """B13. The same article (seen): 3 V + 1.5 V (its rounding of 1.4 V) + 1 V, and the heat at 4.3 A."""
    room = headroom.headroom_of_regulator_path(dropout_voltage=3.0, series_drop=1.5, ripple_voltage=1.0)
    assert room == printed("5.5")
    unrounded = headroom.headroom_of_regulator_path(dropout_voltage=3.0, series_drop=1.4, ripple_voltage=1.0)
    assert unrounded == printed("5.4")
    lowest = headroom.least_input_voltage(output_voltage=12.0, regulator_headroom=room)
    assert dissipation.pass_power(input_voltage=lowest, output_voltage=12.0, current=4.3) == printed("23.65")


def test_franco_11_10_foldback(printed):
    """B15. Franco, Design with Operational Amplifiers, ex. 11.10, p. 522 (second-hand).

    The book rounds the divider to 160 Ω and 540 Ω; the copy nudges both by 3 Ω; exact are 163.3 Ω and 536.7 Ω.
    """
    short = limiting.short_circuit_current_for_power(greatest_power=12.0, input_voltage=8.0)
    knee = limiting.foldback_current_for_power(greatest_power=12.0, input_voltage=8.0, output_voltage=5.0)
    plain = limiting.sense_resistor(base_emitter_voltage=0.7, limit_current=short)
    folded = limiting.foldback_resistor(
        plain_sense_resistance=plain, foldback_current=knee, short_circuit_current=short, output_voltage=5.0
    )
    ratio = limiting.foldback_divider_ratio(foldback_resistance=folded, plain_sense_resistance=plain)
    lower = limiting.foldback_divider_resistor(
        base_emitter_voltage=0.7, divider_current=10 * 0.1e-3, divider_ratio=ratio
    )
    upper = limiting.foldback_divider_partner(divider_ratio=ratio, divider_resistance=lower)
    assert (short, knee) == (printed("1.5"), printed("4"))
    assert (plain, folded) == (printed("0.47"), printed("0.61"))
    assert (plain, folded) == (printed("0.4667"), printed("0.6087"))
    assert (upper, lower) == (printed("16", 10.0), printed("54", 10.0))
    assert (upper, lower) == (printed("163.3"), printed("536.7"))


def test_franco_11_11_thermal_shutdown(printed):
    """B16. Franco, ex. 11.11, p. 523 (second-hand): trip at 175 °C, 1.282 V, ten times 0.1 mA."""
    tripping = junction.base_emitter_voltage_at(
        stated_voltage=0.7,
        voltage_tempco=-2e-3,
        temperature=ZERO_CELSIUS + 175,
        reference_temperature=ZERO_CELSIUS + 25,
    )
    assert tripping == printed("0.400")
    lower = limiting.shutdown_lower_resistor(base_emitter_voltage=tripping, divider_current=1e-3)
    upper = limiting.shutdown_upper_resistor(
        reference_voltage=1.282, base_emitter_voltage=tripping, divider_current=1e-3
    )
    assert lower == printed("400")
    assert upper == printed("88", 10.0)
    assert upper == printed("882")


def test_boylestad_15_15_and_15_16_adjustable_output(printed):
    """B18, B19. Boylestad and Nashelsky, Electronic Devices and Circuit Theory, exs. 15.15, 15.16 (second-hand)."""

    def output(lower: float) -> float:
        return regulator.adjusted_output_voltage(
            reference_voltage=1.25, upper_resistance=240.0, lower_resistance=lower, adjustment_current=100e-6
        )

    assert output(2.4e3) == printed("13.99")
    assert output(1.8e3) == printed("10.8")
    assert output(1.8e3) == printed("10.805")


def test_mehta_17_20_adjustable_output(printed):
    """B20. Mehta, Principles of Electronics, ex. 17.20, p. 463 (second-hand): adjustment current left out."""
    output = regulator.adjusted_output_voltage(reference_voltage=1.25, upper_resistance=240.0, lower_resistance=2.4e3)
    assert output == printed("13.75")


def test_franco_11_1_figures_of_merit(printed):
    """B21. Franco, ex. 11.1, p. 502 (second-hand): 3 mV over 7 V to 25 V, 5 mV over 0.25 A to 0.75 A, 78 dB."""
    line = regulator.line_regulation(output_change=3e-3, input_change=18.0, output_voltage=5.0)
    load = regulator.load_regulation(output_change=5e-3, load_change=0.5, output_voltage=5.0)
    assert line == printed("0.0033", 0.01)
    assert load == printed("0.2", 0.01)
    assert regulator.output_resistance(output_change=5e-3, load_change=0.5) == printed("0.01")
    ripple = regulator.output_ripple(input_ripple=1.0, ripple_rejection=78.0)
    assert ripple == printed("0.126", 1e-3)
    assert regulator.ripple_rejection(input_ripple=1.0, output_ripple=ripple) == pytest.approx(78.0)


def test_floyd_17_2_load_regulation(printed):
    """B22. Floyd, ex. 17.2, p. 553 (second-hand): 12 V to 11.9 V at 10 mA."""
    drop = regulator.full_load_regulation(no_load_voltage=12.0, full_load_voltage=11.9)
    assert drop == printed("0.840", 0.01)
    per_ampere = regulator.load_regulation(output_change=12.0 - 11.9, load_change=10e-3, output_voltage=11.9)
    assert per_ampere == printed("0.084", 0.01 / 1e-3)


def test_lm340_current_source(printed):
    """B23. LM340 series data sheet, fig. 14 (Motorola, onsemi; seen): 5 V type, 1 A; compliance V_in − 7 V."""
    found = regulator.current_source_resistor(regulator_voltage=5.0, source_current=1.0)
    assert found == printed("5")
    reach = regulator.current_source_compliance(input_voltage=20.0, regulator_voltage=5.0, dropout_voltage=2.0)
    assert reach == printed("13")
