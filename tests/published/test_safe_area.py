"""Safe operating area: printed points of second breakdown, the rule at a hot case, the load line, the catalogue.

Multicomp MJE15031 V1.0 p. 3; ON Semiconductor 2N3055/D; Neamen, Semiconductor Physics and Devices (second-hand).
"""

import numpy as np
import pytest

from outboard.checks.safe_area import lines_of
from outboard.constants import ZERO_CELSIUS
from outboard.formulas import safe_area as formulas
from outboard.formulas import thermal
from outboard.parts import catalogue, find
from outboard.parts.safe_area import corners_at_25, safe_area


def celsius(temperature: float) -> float:
    return ZERO_CELSIUS + temperature


def test_the_printed_point_of_the_2n3055_is_the_corner_of_its_power_line(printed):
    """S1. ON Semiconductor 2N3055/D: I_S/b 2.87 A at 40 V for 1 s; 115 W, 1.52 K/W, 200 °C: 114.8 W."""
    (point,) = safe_area(find("2N3055")).brief
    assert (point.voltage, point.current, point.duration) == (40.0, 2.87, 1.0)
    assert point.voltage * point.current == printed("114.8")
    heat = formulas.heat_limited_current(
        junction_temperature=celsius(200), case_temperature=celsius(25), collector_emitter_voltage=40.0,
        junction_to_case=1.52,
    )  # fmt: skip
    assert heat == pytest.approx(point.current, rel=0.005)  # three printed digits


def test_heat_overrides_second_breakdown_at_a_hot_case():
    """S2. Multicomp MJE15031 p. 3: at high case temperatures heat limits to less than second breakdown does.

    Of three lines the least counts, whichever it is; power of a 50 W type at 25 and at 100 °C: 50 W and 20 W.
    """
    sheet = {"junction_temperature": celsius(150), "junction_to_case": 2.5, "collector_emitter_voltage": 50.0}
    breakdown = 0.6
    cold = formulas.heat_limited_current(case_temperature=celsius(25), **sheet)
    hot = formulas.heat_limited_current(case_temperature=celsius(100), **sheet)
    assert (cold, hot) == (pytest.approx(1.0), pytest.approx(0.4))
    allowed = {"most_current": 8.0, "second_breakdown_current": breakdown}
    assert formulas.allowed_collector_current(heat_limited_current=cold, **allowed) == breakdown
    assert formulas.allowed_collector_current(heat_limited_current=hot, **allowed) == hot
    assert formulas.allowed_collector_current(
        most_current=0.3, heat_limited_current=hot, second_breakdown_current=breakdown
    ) == 0.3  # fmt: skip


def test_a_line_that_must_be_derated_falls_with_the_power_line():
    """The same share as of the power: of a part of 200 °C (200 − 100)/(200 − 25) = 4/7 are left at 100 °C."""
    drawn = {"drawn_current": 2.0, "junction_temperature": celsius(200), "reference_temperature": celsius(25)}
    left = formulas.derated_second_breakdown_current(case_temperature=celsius(100), **drawn)
    power = thermal.derated_power(
        rated_power=175.0, slope=1.0, case_temperature=celsius(100), reference_temperature=celsius(25)
    )
    assert left / 2.0 == pytest.approx(power / 175.0) == pytest.approx(4 / 7)
    assert formulas.derated_second_breakdown_current(case_temperature=celsius(0), **drawn) == 2.0
    assert formulas.derated_second_breakdown_current(case_temperature=celsius(210), **drawn) == 0.0


def test_neamen_15_1_load_line(printed):
    """S3. Neamen, Semiconductor Physics and Devices, ex. 15.1 (second-hand): 35 V, 10 Ω: 30.6 W at 17.5 V, 1.75 A."""
    most = formulas.greatest_power_on_load_line(supply_voltage=35.0, resistance=10.0)
    assert most == printed("30.6")
    assert most == pytest.approx(17.5 * 1.75)


def test_second_breakdown_between_two_printed_points_is_straight_on_logarithmic_scales():
    """MJ15003: 5 A at 50 V, 1 A at 100 V; at the geometric mean of the voltages the mean of the currents."""
    between = formulas.second_breakdown_current(
        lower_current=5.0, upper_current=1.0, lower_voltage=50.0, upper_voltage=100.0,
        collector_emitter_voltage=(50.0 * 100.0) ** 0.5,
    )  # fmt: skip
    assert between == pytest.approx(5.0**0.5)
    lines = lines_of(safe_area(find("MJ15003")), None)
    volts = np.array([50.0, 60.0, 70.0, 90.0, 100.0])
    by_formula = [
        formulas.second_breakdown_current(
            lower_current=5.0, upper_current=1.0, lower_voltage=50.0, upper_voltage=100.0, collector_emitter_voltage=v
        ) for v in volts
    ]  # fmt: skip
    assert lines.second_breakdown(volts, np.full(5, celsius(25))) == pytest.approx(by_formula)


# Corners at a case of 25 °C [V, A] that somebody else computed from the same sheets, to three digits: greatest current,
# P_tot, printed points of second breakdown, drawn on straight to V_CEO beyond several of them.
AREAS = {
    "BD140": [(8.333, 1.5), (80, 0.156)],
    "BD139": [(8.333, 1.5), (80, 0.156)],
    "BD242C": [(13.333, 3), (100, 0.4)],
    "TIP42C": [(10.833, 6), (100, 0.65)],
    "TIP2955": [(6, 15), (30, 3)],
    "TIP3055": [(6, 15), (30, 3)],
    "MJ2955": [(7.667, 15), (40, 2.87)],
    "2N3055": [(7.667, 15), (40, 2.87)],
    "MJE15031": [(6.25, 8), (150, 0.333)],
    "D45H11": [(5, 10), (80, 0.625)],
    "MJL1302A": [(13.333, 15), (50, 4), (100, 1), (260, 0.148)],
    "TIP36C": [(5, 25), (100, 1.25)],
    "MJ15003": [(12.5, 20), (50, 5), (100, 1), (140, 0.458)],
    "MJ15024": [(15.625, 16), (50, 5), (80, 2), (250, 0.217)],
    "2N3771": [(5, 30), (40, 3.75)],
    "2N3772": [(7.5, 20), (60, 2.5)],
    "2N3773": [(9.375, 16), (100, 1.5)],
    "TIP122": [(13, 5), (100, 0.65)],
}


@pytest.mark.parametrize("name", AREAS)
def test_corners_of_the_area_follow_from_the_sheet(name):
    found = [(one.voltage, one.current) for one in corners_at_25(safe_area(find(name)))]
    wanted = [(pytest.approx(volts, rel=1e-3), pytest.approx(amperes, rel=3e-3)) for volts, amperes in AREAS[name]]
    assert found == wanted


def test_no_type_of_the_catalogue_takes_a_pulse_for_lasting_current():
    areas = [area for part in catalogue().values() if (area := safe_area(part)) is not None]
    assert sum(bool(area.brief) for area in areas) == 10  # the ten sheets whose text prints I_S/b
    for area in areas:
        assert not area.lasting
        assert all(point.duration is None or point.duration <= 1.0 for point in area.brief)
