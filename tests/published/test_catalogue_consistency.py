"""The catalogue against figures that are printed elsewhere, and against itself.

ON Semiconductor 2N3055/D (2N3055, MJ2955); STMicroelectronics 2N3055, MJ2955, Aug 1999; further sheets beside each row.
"""

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.parts import catalogue, find, ratings
from outboard.parts.consistency import AGREEMENT, catalogue_findings


def test_mj2955_power_and_thermal_resistance():
    """T13. 115 W, 0.657 W/K, 1.52 K/W, 200 °C: 1/1.52 = 0.658 W/K, (200 − 25)/1.52 = 115.1 W, 65.7 W at 100 °C."""
    part = find("MJ2955")
    rated = ratings(part)
    resistance, hottest = rated["R_thJC"].value, rated["T_J"].value - ZERO_CELSIUS
    (slope,) = part.rows("derating")
    assert 1 / resistance == pytest.approx(0.658, abs=0.0005)
    assert slope.most == pytest.approx(0.657, abs=0.0005)
    assert (hottest - 25) / resistance == pytest.approx(115.1, abs=0.05)
    assert rated["P_tot"].value == 115
    assert rated["P_tot"].value - slope.most * (100 - 25) == pytest.approx(65.7, abs=0.05)


# Printed derating [W/K], R_thJC [K/W], T_J max [°C], P_tot [W]: T13 for every sheet that prints all four.
DERATED = [
    ("2N3055", 0.657, 1.52, 200, 115),  # ON Semiconductor 2N3055/D
    ("BD242C", 0.32, 3.125, 150, 40),  # ON Semiconductor BD241C/D Rev. 10
    ("TIP42C", 0.52, 1.92, 150, 65),  # Multicomp V1.1
    ("TIP122", 0.52, 1.92, 150, 65),  # ON Semiconductor TIP120/D
    ("MJ15003", 1.43, 0.7, 200, 250),  # ON Semiconductor MJ15003/D
    ("MJ15024", 1.43, 0.7, 200, 250),  # ON Semiconductor MJ15023/MJ15025 (PNP twins)
    ("2N3771", 0.855, 1.17, 200, 150),  # ON Semiconductor 2N3771/D Rev. 11; R_thJC Multicomp
    ("2N3772", 0.855, 1.17, 200, 150),
    ("TIP36C", 1.0, 1.0, 150, 125),  # ON Semiconductor TIP35/D Rev. 6
]


@pytest.mark.parametrize(("name", "slope", "resistance", "hottest", "power"), DERATED)
def test_derating_resistance_and_power_agree(name, slope, resistance, hottest, power):
    """T13. Derating times R_thJC is one, (T_J max − 25 °C)/R_thJC the power, both to the printed digits (1 %)."""
    part, rated = find(name), ratings(find(name))
    assert (rated["R_thJC"].value, rated["T_J"].value - ZERO_CELSIUS) == (resistance, pytest.approx(hottest))
    assert (part.rows("derating")[0].most, rated["P_tot"].value) == (slope, power)
    assert slope * resistance == pytest.approx(1, rel=0.01)
    assert (hottest - 25) / resistance == pytest.approx(power, rel=0.01)


# Printed second-breakdown points: V_CE [V], I_S/b [A], P_tot [W], and whether the point lies on the power hyperbola.
SECOND_BREAKDOWN = [
    ("2N3055", 40, 2.87, 115, True),  # ON Semiconductor 2N3055/D, 1 s
    ("MJ2955", 40, 2.87, 115, True),
    ("TIP3055", 30, 3, 90, True),  # ON Semiconductor TIP3055/D Rev. 5, 1 s
    ("2N3771", 40, 3.75, 150, True),  # ON Semiconductor 2N3771/D Rev. 11
    ("2N3772", 60, 2.5, 150, True),
    ("2N3773", 100, 1.5, 150, True),  # New Jersey Semiconductor p. 2, 1 s
    ("MJ15003", 50, 5, 250, True),  # ON Semiconductor MJ15003/D, 1 s
    ("MJ15003", 100, 1, 250, False),  # Motorola REV 7, 1 s
    ("MJ15024", 50, 5, 250, True),  # ON Semiconductor p. 2, 0.5 s
    ("MJ15024", 80, 2, 250, False),
    ("MJL1302A", 50, 4, 200, True),  # onsemi MJL3281A/D, 1 s
    ("MJL1302A", 100, 1, 200, False),
]


@pytest.mark.parametrize(("name", "volts", "amps", "power", "corner"), SECOND_BREAKDOWN)
def test_second_breakdown_against_the_power_hyperbola(name, volts, amps, power, corner):
    """S1. 2.87 A at 40 V is 114.8 W of 115 W, the corner; further out second breakdown allows less than the heat."""
    points = {
        row.conditions.collector_emitter_voltage: row.least for row in find(name).rows("IS_b")
    }  # fmt: skip
    assert points[volts] == amps and ratings(find(name))["P_tot"].value == power
    if corner:
        assert volts * amps == pytest.approx(power, rel=0.005)
    else:
        assert volts * amps < 0.7 * power


@pytest.mark.parametrize("name", ["2N3055", "MJ2955"])
def test_leakage_and_voltage_limits(name):
    """C8. I_CEO 0.7 mA at 30 V; I_CEX 1 mA (25 °C), 5 mA (150 °C) at 100 V, −1.5 V; V_CEO 60 V, V_CER 70 V at 100 Ω."""
    part = find(name)
    (open_base,) = part.rows("ICEO")
    cold, hot = part.rows("ICEX")
    assert (open_base.most, open_base.conditions.collector_emitter_voltage) == (0.7e-3, 30)
    assert (cold.most, cold.conditions.collector_emitter_voltage) == (1e-3, 100)
    assert cold.conditions.base_emitter_voltage == -1.5
    assert (hot.most, hot.conditions.case_temperature) == (5e-3, 150 + ZERO_CELSIUS)
    rated = ratings(part)
    assert (rated["V_CEO"].value, rated["V_CER"].value) == (60, 70)
    assert rated["V_CER"].figure.conditions.base_emitter_resistance == 100


def test_nothing_in_the_catalogue_contradicts_itself():
    """Rounding apart, P_tot, T_J max and R_thJC agree for every type, and all limits are in order.

    Two sheets contradict themselves, and their rows say so: Multicomp's 2N3906 prints 1.5 W beside 125 K/W, and
    ON Semiconductor's MJL1302A derates by 1.43 W/K beside 0.625 K/W.
    """
    assert AGREEMENT <= 0.03
    found = [finding for finding in catalogue_findings(catalogue()) if finding.severity != "note"]
    odd = [(finding.severity, finding.part, finding.words.split()[0]) for finding in found]
    assert odd == [("warning", "2N3906", "P_tot"), ("warning", "MJL1302A", "derating")]
    assert "1 W" in find("2N3906").rows("Ptot")[0].note
    assert "1.6 W/K" in find("MJL1302A").rows("derating")[0].note


def test_power_ratings_were_really_compared():
    """The agreement above is not empty: every transistor in a package for a sink has the three ratings."""
    transistors = [part for part in catalogue().values() if part.kind == "bipolar"]
    assert len(transistors) == 29
    for part in [part for part in transistors if not {"TO-92", "TO-18"} & set(part.packages)]:
        assert {"P_tot", "T_J", "R_thJC"} <= set(ratings(part)), part.name
