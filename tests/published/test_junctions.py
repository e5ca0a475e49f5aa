"""Junctions, transistors by hand, pairs and leakage.

"second-hand": the worked example was read in a written-out copy of the printed book.
"""

from math import log

import pytest

from outboard.constants import ZERO_CELSIUS, thermal_voltage
from outboard.formulas import compound, junction, leakage, transistor
from outboard.formulas.junction import lambert_w


@pytest.mark.parametrize(
    ("temperature", "millivolts"),
    [(273.15, "23.53825"), (298.15, "25.69258"), (300.0, "25.85200"), (398.15, "34.30991")],
)
def test_thermal_voltage(temperature, millivolts, printed):
    """P1. k and e are exact in the SI since 2019 (CODATA, through a library)."""
    assert thermal_voltage(temperature) == printed(millivolts, 1e-3)


def test_franco_11_5_tempco(printed):
    """P2. Franco, ex. 11.5, p. 511 (second-hand for K and the band-gap voltage; mV/K derived)."""
    slope = junction.voltage_tempco(
        bandgap_voltage=1.205, base_emitter_voltage=0.650, thermal_voltage=25.7e-3, temperature=298.15
    )
    assert slope == printed("-2.120", 1e-3)
    cancelling = -slope / (25.7e-3 / 298.15)
    assert cancelling == printed("24.60")
    assert 0.650 + cancelling * 25.7e-3 == printed("1.282")


@pytest.mark.parametrize(("emission", "current"), [(1.0, ("6.9", 1e-16)), (2.0, ("8.3", 1e-10))])
def test_sedra_3_3_scale_current(emission, current, printed):
    """P3. Sedra and Smith, Microelectronic Circuits, ex. 3.3, p. 150 (second-hand): 0.7 V at 1 mA, V_T 25 mV."""
    found = junction.saturation_current(
        forward_current=1e-3, forward_voltage=0.7, emission_coefficient=emission, thermal_voltage=25e-3
    )
    assert found == printed(*current)


def test_sedra_3_4_diode_and_resistor(printed):
    """P4. Sedra and Smith, ex. 3.4, p. 154 (second-hand): 5 V, 1 kΩ, 0.7 V at 1 mA, 0.1 V per decade.

    The book iterates to 4.237 mA and 0.763 V; the closed form gives the further digits (derived).
    """
    slope = {"emission_coefficient": 1.0, "thermal_voltage": 0.1 / log(10)}
    scale = junction.saturation_current(forward_current=1e-3, forward_voltage=0.7, **slope)
    current = junction.current_through_resistor(supply_voltage=5.0, resistance=1e3, saturation_current=scale, **slope)
    voltage = junction.forward_voltage(forward_current=current, saturation_current=scale, **slope)
    assert (current, voltage) == (printed("4.237", 1e-3), printed("0.763"))
    assert (current, voltage) == (printed("4.237291", 1e-3), printed("0.762709"))


def test_omega_constant(printed):
    """P5. W(1), the omega constant (memory: a standard constant)."""
    assert lambert_w(1.0) == printed("0.5671432904")


@pytest.mark.parametrize(
    ("emitter_resistance", "milliamperes", "volts"), [(0.0, "2.15", "2.85"), (2e3, "1.07", "3.93")]
)
def test_millman_5_1_active_region(emitter_resistance, milliamperes, volts, printed):
    """P7. Millman and Halkias, Integrated Electronics, ex. 5.1, p. 133 (second-hand).

    The book drops the 20 nA of leakage, being far below the base current, and so do we for its voltages.
    """
    base = transistor.base_current(
        base_supply=5.0,
        base_emitter_voltage=0.7,
        current_gain=100,
        base_resistance=200e3,
        emitter_resistance=emitter_resistance,
    )
    collector = transistor.collector_current(current_gain=100, base_current=base)
    assert collector == printed(milliamperes, 1e-3)
    reverse = transistor.collector_base_voltage(
        collector_supply=10.0,
        collector_current=collector,
        base_current=base,
        collector_resistance=3e3,
        base_emitter_voltage=0.7,
        emitter_resistance=emitter_resistance,
    )
    assert reverse == printed(volts, 1.0)
    with_leakage = transistor.collector_current(current_gain=100, base_current=base, leakage_current=20e-9)
    assert with_leakage - collector == pytest.approx(101 * 20e-9)
    assert with_leakage == printed(milliamperes, 1e-3)


def test_sedra_3_6_incremental_resistance(printed):
    """P8. Sedra and Smith, ex. 3.6, p. 162 (second-hand): 10 V, 10 kΩ, n = 2, 0.7 V diode, 1 V of ripple."""
    direct = (10.0 - 0.7) / 10e3
    small = junction.incremental_resistance(emission_coefficient=2.0, thermal_voltage=25e-3, forward_current=direct)
    change = junction.divided_change(change=1.0, incremental_resistance=small, resistance=10e3)
    assert change == printed("5.35", 1e-3)


def test_darlington_gain():
    """C1. Hobby electronics course, Darlington connection (seen): 300 and 100; it then uses the product, 30 000."""
    assert compound.darlington_gain(driver_gain=300, pass_gain=100) == 30400
    assert compound.darlington_gain(driver_gain=300, pass_gain=100) == pytest.approx(30000, rel=0.02)


def test_complementary_gain():
    """C2. Public transistor guide (seen): 100 and 100, collector into base."""
    assert compound.complementary_gain(driver_gain=100, pass_gain=100) == 10100


def test_leakage_against_bleeder(printed):
    """C3. Questions and answers on leakage, TIP125 (seen): 0.5 V over 8 kΩ; 50 nA doubling per 10 K up to 105 °C."""
    needed = compound.bleed_onset_current(base_emitter_voltage=0.5, bleed_resistance=8e3)
    hot = leakage.leakage_at_temperature(
        leakage_current=50e-9, temperature=ZERO_CELSIUS + 105, reference_temperature=ZERO_CELSIUS + 25
    )
    assert needed == printed("62.5", 1e-6)
    assert hot == printed("12.8", 1e-6)
    assert hot < 13e-6 < needed


@pytest.mark.parametrize(
    ("leakage_at_25", "cold", "hot", "rise"),
    [(5e-6, ("205", 1e-6), ("1640", 1e-6), ("82", 0.01)), (0.1e-6, ("4.1", 1e-6), ("32.8", 1e-6), ("1.6", 0.01))],
)
def test_mehta_9_36_leakage_growth(leakage_at_25, cold, hot, rise, printed):
    """C4, C5. Mehta, Principles of Electronics, ex. 9.36, pp. 230-231 (second-hand): germanium, then silicon.

    The book sets the whole hot I_CEO against the 2 mA, which therefore stand for the current without leakage.
    """
    at_55 = leakage.leakage_at_temperature(
        leakage_current=leakage_at_25, temperature=ZERO_CELSIUS + 55, reference_temperature=ZERO_CELSIUS + 25
    )
    assert leakage.open_base_leakage(current_gain=40, leakage_current=leakage_at_25) == printed(*cold)
    assert leakage.open_base_leakage(current_gain=40, leakage_current=at_55) == printed(*hot)
    collector = transistor.collector_current(current_gain=40, base_current=2e-3 / 40, leakage_current=at_55)
    assert collector / 2e-3 - 1 == printed(*rise)


def test_worked_example_5_12_largest_base_resistor(printed):
    """C7. Worked example 5.12, p. 5.28, book not named (inputs second-hand, result derived)."""
    hot = leakage.leakage_at_temperature(
        leakage_current=2e-6, temperature=ZERO_CELSIUS + 80, reference_temperature=ZERO_CELSIUS + 25
    )
    assert hot == printed("90.51", 1e-6)
    largest = leakage.most_cutoff_resistor(base_bias=5.0, cutoff_voltage=0.1, leakage_current=hot)
    assert largest == printed("54.14", 1e3)


def test_bleed_onset(printed):
    """C9. 0.65 V over 47 Ω (derived)."""
    onset = compound.bleed_onset_current(base_emitter_voltage=0.65, bleed_resistance=47.0)
    assert onset == printed("13.83", 1e-3)
    assert leakage.bleed_resistor_for_onset(base_emitter_voltage=0.65, onset_current=onset) == pytest.approx(47.0)


@pytest.mark.parametrize(("drawn_out", "microseconds"), [(0.0, "1.833"), (0.7 / 47.0, "1.477"), (0.1, "0.713")])
def test_storage_time(drawn_out, microseconds, printed):
    """C10. Charge control (form: memory; numbers derived): 2 µs, 100 mA, 40 mA needed; no bleed, 47 Ω, 100 mA out."""
    found = transistor.storage_time(
        storage_constant=2e-6, base_current=0.1, turn_off_current=drawn_out, edge_current=0.04
    )
    assert found == printed(microseconds, 1e-6)
