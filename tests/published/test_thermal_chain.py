"""Junction temperature, thermal chains, derating lines, thermal stability.

"second-hand": the worked example was read in a written-out copy of the printed book.
"""

import pytest

from outboard.constants import ZERO_CELSIUS, thermal_voltage
from outboard.formulas import NoSolution, dissipation, thermal, thermal_stability


def celsius(temperature: float) -> float:
    return ZERO_CELSIUS + temperature


def allowed(junction: float, ambient: float, resistance: float) -> float:
    return thermal.allowed_power(
        junction_temperature=celsius(junction), ambient_temperature=celsius(ambient), thermal_resistance=resistance
    )


def test_sedra_14_4_rating_read_backwards(printed):
    """T1. Sedra and Smith, Microelectronic Circuits, ex. 14.4, p. 1251 (second-hand): 2 W at 25 °C, 150 °C."""
    free_air = thermal.thermal_resistance(hot_temperature=celsius(150), cold_temperature=celsius(25), power=2.0)
    assert free_air == printed("62.5")
    assert allowed(150, 50, free_air) == printed("1.6")
    hot = thermal.junction_temperature(ambient_temperature=celsius(25), power=1.0, junction_to_case=free_air)
    assert hot - ZERO_CELSIUS == printed("87.5")


def test_sedra_14_5_chain(printed):
    """T2. Sedra and Smith, ex. 14.5, p. 1253 (second-hand): 3.12, 0.5, 4 K/W, 150 °C and 50 °C."""
    chain = thermal.thermal_chain(junction_to_case=3.12, case_to_sink=0.5, sink_to_ambient=4.0)
    assert allowed(150, 50, chain) == printed("13.1")
    assert allowed(150, 50, chain) == printed("13.123")
    assert allowed(150, 50, thermal.thermal_chain(junction_to_case=3.12)) == printed("32")
    assert allowed(150, 50, 62.5) == printed("1.6")


def test_boylestad_12_18_chain(printed):
    """T3. Boylestad and Nashelsky, ex. 12.18 (second-hand): 0.5, 0.6, 1.5 K/W, 200 °C and 40 °C."""
    chain = thermal.thermal_chain(junction_to_case=0.5, case_to_sink=0.6, sink_to_ambient=1.5)
    assert allowed(200, 40, chain) == printed("61.54")


def test_boylestad_12_17_derating(printed):
    """T4. Boylestad and Nashelsky, ex. 12.17 (second-hand): 80 W, 0.5 W/K, 125 °C."""
    left = thermal.derated_power(
        rated_power=80.0, slope=0.5, case_temperature=celsius(125), reference_temperature=celsius(25)
    )
    assert left == printed("30")


def test_neamen_8_2_with_and_without_sink(printed):
    """T5. Neamen, Microelectronics, ex. 8.2, p. 478 (second-hand): 1.75, 1, 5, 50 K/W, 150 °C and 30 °C."""
    bare = thermal.thermal_chain(junction_to_case=1.75, sink_to_ambient=50.0)
    sunk = thermal.thermal_chain(junction_to_case=1.75, case_to_sink=1.0, sink_to_ambient=5.0)
    assert allowed(150, 30, bare) == printed("2.32")
    assert allowed(150, 30, sunk) == printed("15.48")


def test_neamen_8_3_from_rating(printed):
    """T6. Neamen, ex. 8.3, p. 479 (second-hand): 20 W at 25 °C case, 175 °C."""
    case = thermal.thermal_resistance(hot_temperature=celsius(175), cold_temperature=celsius(25), power=20.0)
    assert case == printed("7.5")
    chain = thermal.thermal_chain(junction_to_case=case, case_to_sink=1.0, sink_to_ambient=5.0)
    assert allowed(175, 25, chain) == printed("11.11")


def test_rashid_4_4_case_temperature(printed):
    """T7. Rashid, Power Electronics, 4th ed., ex. 4.4 (second-hand): 0.4, 0.1, 0.5 K/W, 150 °C and 25 °C."""
    chain = thermal.thermal_chain(junction_to_case=0.4, case_to_sink=0.1, sink_to_ambient=0.5)
    power = allowed(150, 25, chain)
    assert power == printed("125")
    case = thermal.case_temperature(junction_temperature=celsius(150), power=power, junction_to_case=0.4)
    assert case - ZERO_CELSIUS == printed("100")


def test_franco_11_14_regulator_alone(printed):
    """T8. Franco, ex. 11.14, p. 531 (second-hand): 60 and 3 K/W, 8 V to 5 V, 150 °C and 50 °C."""
    power = allowed(150, 50, 60.0)
    case = thermal.case_temperature(junction_temperature=celsius(150), power=power, junction_to_case=3.0)
    current = thermal.thermal_current(power=power, collector_emitter_voltage=8.0 - 5.0)
    assert power == printed("1.67")
    assert case - ZERO_CELSIUS == printed("145")
    assert current == printed("0.556")
    assert dissipation.pass_power(input_voltage=8.0, output_voltage=5.0, current=current) == pytest.approx(power)


def test_malvino_12_14_derating(printed):
    """T10. Malvino and Bates, Electronic Principles, 7th ed., ex. 12-14, p. 414 (second-hand): 5 mW/K, 50 °C."""
    left = thermal.derated_power(
        rated_power=0.625, slope=5e-3, case_temperature=celsius(50), reference_temperature=celsius(25)
    )
    assert left == printed("500", 1e-3)


@pytest.mark.parametrize(("ambient", "rounded", "full"), [(25, "2.19", "2.1875"), (75, "1.56", "1.5625")])
def test_mehta_12_17_current(ambient, rounded, full, printed):
    """T11. Mehta, Principles of Electronics, ex. 12.17, p. 324 (second-hand): 20 K/W, 200 °C, 4 V."""
    current = thermal.thermal_current(power=allowed(200, ambient, 20.0), collector_emitter_voltage=4.0)
    assert current == printed(rounded)
    assert current == printed(full)


def test_mj2955_rating_agrees_with_itself(printed):
    """T13. 2N3055/MJ2955 data sheets (seen): 115 W, 0.657 W/K, 1.52 K/W, 200 °C.

    Vendors differ: onsemi prints 1.52 K/W, ST 1.5 K/W, which would be 116.7 W.
    """
    assert thermal.derating_slope(junction_to_case=1.52) == printed("0.658")
    assert allowed(200, 25, 1.52) == printed("115.1")
    assert allowed(200, 25, 1.5) == printed("116.7")
    left = thermal.derated_power(
        rated_power=115.0, slope=0.657, case_temperature=celsius(100), reference_temperature=celsius(25)
    )
    assert left == printed("65.7")


def test_millman_9_5_runaway(printed):
    """T26. Millman and Halkias, Integrated Electronics, ex. 9.5, p. 325 (inputs second-hand, result derived).

    Erratum of the copy: it prints −4.28 from a wrong operator and 50 K for 40 K; its output is not used.
    """
    slope = thermal_stability.power_slope(
        supply_voltage=30.0, collector_current=1.5e-3, collector_resistance=2e3, emitter_resistance=4.7e3
    )
    bound = thermal_stability.runaway_bound(temperature_rise=40.0, current_change=0.131e-3, power_slope=slope)
    assert slope == printed("9.9")
    assert bound == printed("308", 100.0)


@pytest.mark.parametrize(("ballast", "loop"), [(0.0, "4.73"), (0.05, "1.150"), (0.1, "0.655"), (0.22, "0.322")])
def test_ballast_against_thermal_loop(ballast, loop, printed):
    """T27. Condition from a forum derivation (seen), numbers derived: 25 V, 1.52 K/W, 2 mV/K, 2 A, 100 °C."""
    device = {
        "collector_emitter_voltage": 25.0,
        "thermal_resistance": 1.52,
        "voltage_fall": 2e-3,
        "thermal_voltage": thermal_voltage(celsius(100)),
        "collector_current": 2.0,
    }
    assert thermal_stability.thermal_loop_gain(**device, emitter_resistance=ballast) == printed(loop)
    assert thermal_stability.critical_ballast(**device) == printed("0.0599")


def test_sink_that_cannot_exist():
    """The pad and the device alone use up the room (derived)."""
    limits = {"junction_temperature": celsius(150), "ambient_temperature": celsius(50)}
    room = thermal.sink_resistance(**limits, power=13.123, junction_to_case=3.12, case_to_sink=0.5)
    assert room == pytest.approx(4.0, abs=1e-3)
    with pytest.raises(NoSolution, match="no sink is good enough"):
        thermal.sink_resistance(**limits, power=30.0, junction_to_case=3.12, case_to_sink=0.5)
