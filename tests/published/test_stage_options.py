"""Dividers, sharing, foldback and the field-effect bypass against printed examples, or sums written out here."""

from math import sqrt

import pytest

from outboard.formulas import NoSolution
from outboard.formulas.divider import lower_resistor, most_upper_resistor, output_tolerance
from outboard.formulas.foldback import (
    bypass_foldback_ratio,
    bypass_foldback_sense_resistor,
    output_foldback_limit,
    sense_resistor_with_foldback,
)
from outboard.formulas.follower import follower_output_voltage, follower_regulator_current
from outboard.formulas.limiting import bypass_foldback_limit
from outboard.formulas.mosfet_bypass import gate_source_voltage, least_gate_resistor, zener_voltage
from outboard.formulas.parallel_regulators import parallel_current, regulator_ballast
from outboard.formulas.sharing import lead_resistor_for_share, total_current_compensated


@pytest.mark.parametrize(("output", "lower"), [(13.99, 2400.0), (10.805, 1800.0)])
def test_divider_of_boylestad_15_15_and_15_16_backwards(output, lower):
    """Boylestad and Nashelsky: 240 Ω, V_REF 1.25 V, I_ADJ 100 µA; printed outputs 13.99 V and 10.8 V (10.805)."""
    found = lower_resistor(
        output_voltage=output, reference_voltage=1.25, upper_resistance=240.0, adjustment_current=100e-6
    )
    assert found == pytest.approx(lower, rel=5e-4)


def test_least_load_sets_the_upper_resistor():
    """10 mA of least load from at least 1.2 V: the 120 Ω that sheets of this class show (from memory)."""
    assert most_upper_resistor(reference_voltage=1.2, least_load_current=10e-3) == pytest.approx(120.0)


def test_no_divider_goes_below_the_reference():
    with pytest.raises(NoSolution, match="cannot go below"):
        lower_resistor(output_voltage=1.0, reference_voltage=1.25, upper_resistance=240.0, adjustment_current=0.0)


def test_tolerance_of_a_divider_by_trying_both_ends():
    """V_O = V_REF(1 + R2/R1) with everything at its ends, worked out here: 1 % resistors, 4 % reference, 12 V."""
    ratio = 12.0 / 1.25 - 1.0
    high = 1.04 * (1.0 + ratio * 1.01 / 0.99) / (1.0 + ratio) - 1.0
    found = output_tolerance(
        reference_tolerance=0.04, resistor_tolerance=0.01, reference_voltage=1.25, output_voltage=12.0
    )
    assert found == pytest.approx(high, rel=0.03)


def test_sharing_of_nec_4_4():
    """0.1 Ω in the emitter, 0.4 Ω in the lead: four times the regulator's, five in all (NEC, eq. 4.4 and 4.5)."""
    assert lead_resistor_for_share(share=4.0, emitter_resistance=0.1) == pytest.approx(0.4)
    whole = total_current_compensated(regulator_current=1.0, lead_resistance=0.4, emitter_resistance=0.1)
    assert whole == pytest.approx(5.0)


def test_output_foldback_meets_both_points_of_franco_11_10():
    """R_FB 0.6087 Ω, ρ = R_FB/0.4667 − 1, V_BE 0.7 V: 4 A at 5 V, 1.5 A at 0 V (printed)."""
    resistance, ratio = 0.6087, 0.6087 / 0.46667 - 1.0
    for output, limit in ((5.0, 4.0), (0.0, 1.5)):
        found = output_foldback_limit(
            base_emitter_voltage=0.7, divider_ratio=ratio, output_voltage=output, sense_resistance=resistance
        )
        assert found == pytest.approx(limit, rel=1e-3)


def test_bypass_foldback_goes_through_both_points():
    """The pair from two demands, put back into the law that it came from, at three voltages."""
    k = bypass_foldback_ratio(
        base_emitter_voltage=0.65,
        short_circuit_current=2.0,
        foldback_current=7.0,
        input_voltage=18.0,
        output_voltage=12.0,
    )
    sense = bypass_foldback_sense_resistor(
        divider_ratio=k, output_voltage=12.0, foldback_current=7.0, short_circuit_current=2.0
    )
    for output, limit in ((12.0, 7.0), (6.0, 4.5), (0.0, 2.0)):
        numbers = {"base_emitter_voltage": 0.65, "divider_ratio": k, "input_voltage": 18.0, "output_voltage": output}
        assert bypass_foldback_limit(**numbers, sense_resistance=sense) == pytest.approx(limit)
        assert sense_resistor_with_foldback(**numbers, limit_current=limit) == pytest.approx(sense)


def test_where_no_foldback_exists():
    with pytest.raises(NoSolution, match="lies below"):
        bypass_foldback_ratio(
            base_emitter_voltage=0.65, short_circuit_current=3.0, foldback_current=2.0, input_voltage=18.0,
            output_voltage=12.0,
        )  # fmt: skip
    with pytest.raises(NoSolution, match="turns the limiter on"):
        sense_resistor_with_foldback(
            base_emitter_voltage=0.65, divider_ratio=0.2, input_voltage=30.0, output_voltage=5.0, limit_current=2.0
        )


def test_follower_by_hand():
    """3 A at a gain of 29 are 100 mA of base current; 0.7 V over 70 Ω are 10 mA; 12 V less 0.7 V plus 0.6 V."""
    fed = follower_regulator_current(
        load_current=3.0, current_gain=29.0, base_emitter_voltage=0.7, bleed_resistance=70.0
    )
    assert fed == pytest.approx(0.110)
    out = follower_output_voltage(regulator_voltage=12.0, base_emitter_voltage=0.7, diode_voltage=0.6)
    assert out == pytest.approx(11.9)


def test_field_effect_bypass_by_hand():
    """3.5 V + √(2·1.3·4 A / 2.6 A/V²) = 5.5 V; Zener between 5.5 V and 20 V; (26 − 12) V·12 V / 0.5 W = 336 Ω."""
    full = gate_source_voltage(threshold_voltage=3.5, slope_factor=1.3, drain_current=4.0, transconductance=2.6)
    assert full == pytest.approx(3.5 + sqrt(4.0))
    assert zener_voltage(gate_source_voltage=full, gate_source_limit=20.0) == pytest.approx(12.75)
    assert least_gate_resistor(gate_drive=26.0, zener_voltage=12.0, zener_power=0.5) == pytest.approx(336.0)
    with pytest.raises(NoSolution, match="lower threshold"):
        zener_voltage(gate_source_voltage=21.0, gate_source_limit=20.0)


def test_parallel_regulators_by_hand():
    """0.5 V apart and at most 0.5 A apart: 1 Ω; two of 1 A then carry 1.5 A for certain, never less than one alone."""
    ballast = regulator_ballast(voltage_difference=0.5, current_difference=0.5)
    assert ballast == pytest.approx(1.0)
    whole = parallel_current(count=2.0, regulator_current=1.0, voltage_difference=0.5, ballast_resistance=ballast)
    assert whole == pytest.approx(1.5)
    assert parallel_current(count=2.0, regulator_current=1.0, voltage_difference=0.5, ballast_resistance=0.1) == 1.0
