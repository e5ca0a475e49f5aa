"""The stage's formulas against each other: whole from parts, regimes that meet, limits that bind."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.special import lambertw

from outboard.formulas import base_resistor as base
from outboard.formulas import compound, current_division, dissipation, leakage, limiting
from outboard.formulas.junction import lambert_w, lambert_w_of_exponential

currents = st.floats(0.0, 50.0)
gains = st.floats(2.0, 300.0)
voltages = st.floats(0.4, 1.2)
resistances = st.floats(0.5, 100.0)


@given(load=currents, gain=gains, voltage=voltages, resistance=resistances)
def test_regulator_and_bypass_make_the_load(load, gain, voltage, resistance):
    stage = {"current_gain": gain, "base_emitter_voltage": voltage, "base_resistance": resistance}
    regulator = current_division.regulator_current(load_current=load, **stage)
    bypass = current_division.bypass_current(load_current=load, **stage)
    assert regulator + bypass == pytest.approx(load, rel=1e-9, abs=1e-12)
    assert current_division.load_current(regulator_current=regulator, **stage) == pytest.approx(load, rel=1e-6)


@given(load=currents, first=gains, second=gains, voltage=voltages, resistance=resistances, bleed=resistances)
def test_compound_shares_make_the_load(load, first, second, voltage, resistance, bleed):
    """The three straight lines against the chain of the two transistors."""
    regulator = compound.compound_regulator_current(
        load_current=load,
        driver_gain=first,
        pass_gain=second,
        driver_base_emitter_voltage=voltage,
        pass_base_emitter_voltage=voltage,
        base_resistance=resistance,
        bleed_resistance=bleed,
    )
    driver = current_division.bypass_current_from_regulator(
        regulator_current=regulator, current_gain=first, base_emitter_voltage=voltage, base_resistance=resistance
    )
    stage = {"pass_gain": second, "base_emitter_voltage": voltage, "bleed_resistance": bleed}
    pass_device = compound.pass_current(driver_current=driver, **stage)
    slack = 1e-12 * first * second * (load + voltage / resistance) + 1e-12
    assert regulator + driver + pass_device == pytest.approx(load, rel=1e-9, abs=slack)
    if pass_device > 1e-6:
        assert compound.driver_current(pass_current=pass_device, **stage) == pytest.approx(driver, rel=1e-6)
    share = compound.driver_current_of_pair(pair_current=driver + pass_device, **stage)
    assert share == pytest.approx(driver, rel=1e-9, abs=1e-15)


@given(load=currents, gain=gains, voltage=voltages, regulator=st.floats(0.1, 2.0))
def test_sized_resistor_gives_the_regulator_its_current(load, gain, voltage, regulator):
    greatest = base.greatest_load_current(current_gain=gain, regulator_current=regulator)
    assume(regulator * 1.001 < load < greatest * 0.999)
    resistor = base.base_resistor(
        current_gain=gain, base_emitter_voltage=voltage, regulator_current=regulator, load_current=load
    )
    found = current_division.regulator_current(
        load_current=load, current_gain=gain, base_emitter_voltage=voltage, base_resistance=resistor
    )
    least = base.least_base_resistor(
        base_emitter_voltage=voltage, regulator_current=regulator, load_current=load, current_gain=gain
    )
    assert found == pytest.approx(regulator, rel=1e-6)
    assert least == pytest.approx(resistor, rel=1e-6)


def test_leakage_narrows_the_window():
    corner = {"base_emitter_voltage": 0.4, "quiescent_current": 8e-3}
    assert base.most_base_resistor(**corner, leakage_current=2e-3) == pytest.approx(40.0)
    assert base.most_base_resistor(**corner) == pytest.approx(50.0)


@given(ratio=st.floats(0.0, 0.2), across=st.floats(0.0, 20.0), resistance=st.floats(0.05, 2.0))
def test_foldback_limit_puts_v_be_on_the_sense_transistor(ratio, across, resistance):
    """Walk the divider: sense emitter at the input, sense base on the tap between bypass emitter and output."""
    output = 5.0
    limit = limiting.bypass_foldback_limit(
        base_emitter_voltage=0.65,
        divider_ratio=ratio,
        input_voltage=output + across,
        output_voltage=output,
        sense_resistance=resistance,
    )
    emitter = output + across - limit * resistance
    tap = emitter - (emitter - output) * ratio / (1 + ratio)
    assert output + across - tap == pytest.approx(0.65, abs=1e-9)


def test_counts_of_devices():
    count = dissipation.device_count_by_power
    assert count(power=100.0, used_share=0.5, power_per_device=66.0) == 4
    assert count(power=100.0, used_share=1.0, power_per_device=100.0) == 1
    assert count(power=0.3, used_share=1.0, power_per_device=0.1) == 3  # 0.3/0.1 is 2.9999999999999996
    assert count(power=0.0, used_share=1.0, power_per_device=1.0) == 1
    by_current = dissipation.device_count_by_current
    assert by_current(current=10.0, used_share=0.75, current_per_device=15.0) == 1
    assert by_current(current=12.0, used_share=0.75, current_per_device=15.0) == 2


def test_bleed_bounds():
    assert leakage.most_bleed_resistor(base_emitter_voltage=0.4, leakage_current=5e-3) == pytest.approx(80.0)
    assert leakage.least_load_current(leakage_current=5e-3, standing_current=1e-3) == pytest.approx(4e-3)
    assert leakage.least_load_current(leakage_current=5e-3, standing_current=6e-3) == 0


@given(st.floats(-600.0, 1e6))
def test_lambert_w_solves_its_equation(exponent):
    root = lambert_w_of_exponential(exponent)
    assert root + math.log(root) == pytest.approx(exponent, rel=1e-12, abs=1e-12)


def test_lambert_w_against_another_implementation():
    for argument in (0.0, 1e-300, 1e-9, 0.1, 1.0, 2.718281828459045, 30.0, 1e9, 1e300):
        assert lambert_w(argument) == pytest.approx(float(lambertw(argument).real), rel=1e-13, abs=0)
    with pytest.raises(ValueError, match="from 0 on"):
        lambert_w(-0.1)
