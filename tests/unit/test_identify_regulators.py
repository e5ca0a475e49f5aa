"""Identified diodes and regulators against the figures that their sheets print."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from mpmath import exp, log, mpf
from printed_figures import K_OVER_Q, REGULATORS, T0

from outboard.identify import diode, regulator
from outboard.parts import find

# ---- reference: regulator --------------------------------------------------------------------------------------


def soft(x, width):
    return width * log(1 + exp(mpf(x) / width)) if x / width < 500 else mpf(x)


def pass_current(values, vin, vout, t=T0):
    p = SimpleNamespace(**{name: mpf(value) for name, value in values.items()})
    w, across = mpf("2e-4"), mpf(vin) - vout
    wanted = p.set_voltage * (1 + p.set_voltage_tempco * (t - T0))
    wanted = wanted * (1 + p.line_coefficient * (across - p.nominal_differential))
    want = (wanted - vout) / p.output_resistance
    drop = soft((across - p.dropout_voltage) / p.dropout_resistance, w)
    share = min(mpf(1), max(mpf(0), (across - p.foldback_start) / (p.foldback_end - p.foldback_start)))
    limit = p.current_limit + (p.short_circuit_current - p.current_limit) * share
    limit = limit / (1 + exp((t - p.shutdown_temperature) / 2))
    most = drop - soft(drop - limit, w)
    return soft(want, w) - soft(want - most, w)


def output(values, vin, current, t=T0):
    """Output voltage at a load current, by halving."""
    low, high = mpf(-1), mpf(vin)
    for _ in range(70):
        middle = (low + high) / 2
        low, high = (middle, high) if pass_current(values, vin, middle, t) > current else (low, middle)
    return float(low)


def reference_current(values, vin, vout, current):
    p = SimpleNamespace(**{name: mpf(value) for name, value in values.items()})
    awake = 1 - exp(-mpf(vin))
    above = soft(mpf(vin) - vout - p.nominal_differential, mpf("0.01"))
    with_load = p.quiescent_load_coefficient * current
    return float(p.quiescent_current * awake + with_load + p.quiescent_line_coefficient * above)


# ---- diodes ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "current", "limit"), [("1N400x", 1, 1.1), ("1N540x", 3, 1.0), ("1N4007", 1, 1.1)])
def test_forward_voltage(name, current, limit):
    """Comchip 1N4001-G to 1N4007-G: 1.1 V at 1 A; Diodes Inc DS28007: 1.0 V at 3 A."""
    found = diode(find(name))

    def forward(values):
        drive = values["emission_coefficient"] * K_OVER_Q * T0 * log(current / mpf(values["saturation_current"]) + 1)
        return float(drive + values["series_resistance"] * current)

    assert forward(found.at(forward_voltage="most")) == pytest.approx(limit, rel=0.01)
    assert forward(found.at(forward_voltage="least")) < forward(found.values) < limit
    assert forward(found.values) == pytest.approx(0.85 * limit, rel=0.01)


# ---- regulators ------------------------------------------------------------------------------------------------


@pytest.fixture(params=REGULATORS)
def sheet(request):
    return SimpleNamespace(name=request.param, found=regulator(find(request.param)), **REGULATORS[request.param])


def test_output_voltage_at_the_test_point(sheet):
    for end, volts in zip(("least", "usual", "most"), sheet.vo, strict=True):
        assert output(sheet.found.at(set_voltage=end), *sheet.test) == pytest.approx(volts, abs=2e-3)


@pytest.mark.parametrize("celsius", [0, 25, 75, 125])
def test_output_stays_in_the_band_over_the_range(sheet, celsius):
    """Both ends of the set voltage, hot and cold, at full load and light load, with the usual regulation."""
    t = mpf(celsius) + mpf("273.15")
    low = output(sheet.found.at(set_voltage="least"), sheet.range[0] + 1, sheet.drop[0] * 0.7, t)
    high = output(sheet.found.at(set_voltage="most"), sheet.range[1], 0.005, t)
    assert sheet.band[0] <= low + 1e-6 and high <= sheet.band[1] + 1e-6
    assert "set voltage" in sheet.found.spread("regulation").apart_from
    assert "regulation" in sheet.found.spread("set voltage").apart_from


def test_load_regulation(sheet):
    light, heavy, typical, limit = sheet.load
    wide = sheet.found.at(regulation="most", limit="most")
    assert output(wide, sheet.test[0], light) - output(wide, sheet.test[0], heavy) == pytest.approx(limit, rel=0.05)
    usual = output(sheet.found.values, sheet.test[0], light) - output(sheet.found.values, sheet.test[0], heavy)
    assert usual == pytest.approx(typical, rel=0.05) if typical else 0 < usual < limit


def test_line_regulation(sheet):
    low, high, typical, limit = sheet.line
    wide = sheet.found.at(regulation="most", drop_out="least")
    current = 0.2 if sheet.name == "78M05" else 0.5
    assert output(wide, high, current) - output(wide, low, current) == pytest.approx(limit, rel=0.05)
    usual = output(sheet.found.values, high, current) - output(sheet.found.values, low, current)
    assert usual == pytest.approx(typical, rel=0.05) if typical else 0 < usual < limit


def test_drop_out(sheet):
    current, typical = sheet.drop
    supply = sheet.vo[1] + 0.5
    assert supply - output(sheet.found.values, supply, current) == pytest.approx(typical, rel=0.02)
    guaranteed = sheet.range[0] - sheet.vo[1]
    at = 0.35 if sheet.name == "78M05" else 1.0
    worst = supply - output(sheet.found.at(drop_out="most"), supply, at)
    assert guaranteed - 1e-3 <= worst <= 1.01 * max(guaranteed, typical)


def test_quiescent_current(sheet):
    supply, current = sheet.test
    typical, limit = sheet.iq
    assert reference_current(sheet.found.values, supply, sheet.vo[1], current) == pytest.approx(typical, rel=0.02)
    worst = reference_current(sheet.found.at(quiescent_current="most"), supply, sheet.vo[1], current)
    assert worst == pytest.approx(limit, rel=0.02)


def test_current_limit(sheet):
    """Peak and short-circuit current are typical; the least end is the guaranteed current, over its whole range."""
    values, least = sheet.found.values, sheet.found.at(limit="least")
    assert float(pass_current(values, sheet.test[0], sheet.vo[1] - 0.5)) == pytest.approx(sheet.ipk, rel=0.01)
    assert float(pass_current(values, 35, 0)) == pytest.approx(sheet.isc, rel=0.01)
    assert least["current_limit"] == sheet.rated
    assert float(pass_current(least, sheet.vo[1] + 14.9, sheet.vo[1] - 0.1)) == pytest.approx(sheet.rated, rel=0.01)
    assert values["foldback_start"] < values["foldback_end"] == 35


def test_what_a_regulator_does_not_print_stays_open(sheet):
    assert "reverse_voltage" not in sheet.found.values and "divider_resistance" not in sheet.found.values
    assert "reverse current" in sheet.found.undecided
    assert any("sinks" in note for note in sheet.found.notes)


def test_a_missing_limit_is_undecided():
    part = find("7812")
    kept = tuple(row for row in part.figures if row.name not in ("IPK", "IQ", "dropout"))
    found = regulator(replace(part, figures=kept))
    assert "current limit" in found.undecided and "current_limit" not in found.values
    assert "quiescent current" in found.undecided and "quiescent_current" not in found.values
    assert found.values["dropout_voltage"] + found.values["dropout_resistance"] == pytest.approx(2.5)
