"""The catalogue against figures that are printed elsewhere, and against itself.

ON Semiconductor 2N3055/D (2N3055, MJ2955); STMicroelectronics 2N3055, MJ2955, Aug 1999.
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
    """Rounding apart, P_tot, T_J max and R_thJC agree for every type, and all limits are in order."""
    assert AGREEMENT <= 0.03
    assert [finding for finding in catalogue_findings(catalogue()) if finding.severity != "note"] == []


def test_power_ratings_were_really_compared():
    """The agreement above is not empty: every transistor has the three ratings."""
    transistors = [part for part in catalogue().values() if part.kind == "bipolar"]
    assert len(transistors) == 9
    for part in transistors:
        assert {"P_tot", "T_J", "R_thJC"} <= set(ratings(part)), part.name
