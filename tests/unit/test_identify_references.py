"""Adjustable, low-drop and negative regulators, and diodes in breakdown, give their sheets' figures back.

The references evaluate the models' equations with mpmath, apart from the program.  Printed figures are typed here from
the data sheets named beside them; none is taken from the catalogue.
"""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from mpmath import exp, findroot, log, mp, mpf

from outboard.identify import diode, identified, regulator
from outboard.parts import find, ratings

mp.dps = 30
K_OVER_Q = mpf("1.380649e-23") / mpf("1.602176634e-19")
T0 = mpf("298.15")


# ---- reference -------------------------------------------------------------------------------------------------

def soft(x, width):
    return width * log(1 + exp(mpf(x) / width)) if x / width < 500 else mpf(x)


def pass_current(values, across, voltage):
    """Output current with a voltage between output and reference lead, 25 °C."""
    p = SimpleNamespace(**{name: mpf(value) for name, value in values.items()})
    w = mpf("2e-4")
    wanted = p.set_voltage * (1 + p.line_coefficient * (across - p.nominal_differential))
    want = (wanted - voltage) / p.output_resistance
    drop = soft((across - p.dropout_voltage) / p.dropout_resistance, w)
    share = min(mpf(1), max(mpf(0), (across - p.foldback_start) / (p.foldback_end - p.foldback_start)))
    limit = p.current_limit + (p.short_circuit_current - p.current_limit) * share
    most = drop - soft(drop - limit, w)
    return soft(want, w) - soft(want - most, w)


def held(values, across, current):
    """Voltage between output and reference lead at an input-output voltage and a current."""
    low, high = mpf(-5), mpf(50)
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if pass_current(values, across, middle) > current else (low, middle)
    return float(low)


def reverse(values, current):
    """Reverse voltage at a current: the breakdown law turned round, and its series resistance."""
    scale = values["breakdown_emission"] * K_OVER_Q * T0
    inner = values["breakdown_voltage"] + scale * log(mpf(current) / values["breakdown_current"])
    return float(inner + values["breakdown_resistance"] * current)


# ---- references of adjustable regulators -------------------------------------------------------------------------

# Least, usual and most reference voltage over the range, over which input-output voltages and currents; load
# regulation typical (25 °C) and loosest; current limit least and typical at one input-output voltage, and at another.
# 317: National LM117/LM317 table page 5. 350: National LM150. 338: TI SNVS771C, Semelab 10282.
# 337: ON Semiconductor LM337, TI SLVS047G (magnitudes). 1117: National LM1117I p. 6.
# 1084: HN Electronics, limits of current recalled. 1086: LT1086 table page 4, reference recalled.
ADJUSTABLE = {
    "317": dict(band=(1.2, 1.25, 1.3), over=(3, 40), currents=(0.01, 1.5), load=(1e-3, 15e-3), adjust=(50e-6, 100e-6),
                limit=(10, 1.5, 2.2), far=(40, 0.15, 0.4)),
    "350": dict(band=(1.2, 1.25, 1.3), over=(3, 35), currents=(0.01, 3), load=(1e-3, 3e-3), adjust=(50e-6, 100e-6),
                limit=(8, 3, 4.5), far=(30, 0.3, 1)),
    "338": dict(band=(1.19, 1.24, 1.29), over=(3, 35), currents=(0.01, 5), load=(1e-3, 3e-3), adjust=(45e-6, 100e-6),
                limit=(8, 5, 8), far=(30, None, 1)),
    "337": dict(band=(1.2, 1.25, 1.3), over=(3, 40), currents=(0.01, 1.5), load=(3e-3, 10e-3), adjust=(65e-6, 100e-6),
                limit=(10, 1.5, 2.2), far=(40, 0.15, 0.4)),
    "1117": dict(band=(1.2, 1.25, 1.29), over=(1.4, 10), currents=(0.01, 0.8), load=(2e-3, 5e-3),
                 adjust=(60e-6, 120e-6), limit=(5, 0.8, None), far=None),
    "1084": dict(band=(1.225, 1.25, 1.275), over=(1.5, 10), currents=(0.01, 5), load=(2e-3, 4e-3),
                 adjust=(55e-6, 120e-6), limit=(5, 5.5, 8), far=(25, 0.3, 0.6)),
    "1086": dict(band=(1.225, 1.25, 1.27), over=(1.5, 15), currents=(0.01, 1.5), load=None, adjust=(55e-6, 120e-6),
                 limit=(5, 1.5, 2), far=(25, 0.05, 0.15)),
}  # fmt: skip


@pytest.fixture(params=ADJUSTABLE)
def sheet(request):
    return SimpleNamespace(name=request.param, found=regulator(find(request.param)), **ADJUSTABLE[request.param])


def test_reference_voltage_over_the_range(sheet):
    """Usually the printed value; the ends reach the printed limits, with all of load and line, and never pass them."""
    (least, usual, most), (near, far), (light, heavy) = sheet.band, sheet.over, sheet.currents
    assert held(sheet.found.values, 5, light) == pytest.approx(usual, rel=2e-3)
    low, high = sheet.found.at(set_voltage="least"), sheet.found.at(set_voltage="most")
    clear = near + 2  # drop-out is an axis of its own
    lows = [held(low, across, current) for across in (clear, far) for current in (light, heavy)
            if float(pass_current(low, across, 0)) > current]  # fmt: skip
    highs = [held(high, across, light) for across in (clear, far)]
    assert min(lows) == pytest.approx(least, rel=3e-3) and min(lows) >= least - 1e-5
    assert max(highs) == pytest.approx(most, rel=3e-3) and max(highs) <= most + 1e-5


def test_load_regulation_of_the_reference(sheet):
    if sheet.load is None:
        assert sheet.found.origins["output_resistance"].kind == "default"
        return
    typical, loosest = sheet.load
    light, heavy = sheet.currents
    usual = held(sheet.found.values, 5, light) - held(sheet.found.values, 5, heavy)
    assert usual / sheet.band[1] == pytest.approx(typical, rel=0.05)
    wide = sheet.found.at(regulation="most", limit="most", drop_out="least")
    assert (held(wide, 5, light) - held(wide, 5, heavy)) / sheet.band[1] == pytest.approx(loosest, rel=0.05)


def test_adjust_pin_current_leaves_the_reference_lead(sheet):
    typical, most = sheet.adjust
    assert sheet.found.values["quiescent_current"] == pytest.approx(typical)
    assert sheet.found.at(quiescent_current="most")["quiescent_current"] == pytest.approx(most)
    assert "quiescent_load_coefficient" not in sheet.found.values


def test_current_limit_at_its_input_output_voltages(sheet):
    for point in (sheet.limit, sheet.far):
        if point is None:
            assert "short-circuit current" in sheet.found.undecided
            continue
        across, least, typical = point
        if least is not None:
            weak = sheet.found.at(limit="least", drop_out="least")
            assert float(pass_current(weak, across, sheet.band[1] / 2)) == pytest.approx(least, rel=0.01)
        if typical is not None:
            usual = sheet.found.at(drop_out="least")
            assert float(pass_current(usual, across, sheet.band[1] / 2)) == pytest.approx(typical, rel=0.01)


@pytest.mark.parametrize(
    ("name", "end", "points"),
    [
        ("317", "usual", [(0.5, 1.7), (1, 2.0), (1.5, 2.3)]),  # recalled
        ("317", "most", [(1.5, 3.0)]),  # National: least input-output voltage at which the limits are guaranteed
        ("1117", "usual", [(0.1, 1.1), (0.5, 1.15), (0.8, 1.2)]),  # National LM1117I p. 6
        ("1117", "most", [(0.1, 1.3), (0.5, 1.35), (0.8, 1.4)]),
        ("1085", "usual", [(3, 1.3)]),  # STMicroelectronics LD1085
        ("1085", "most", [(3, 1.5)]),  # National DS100947
        ("7905", "usual", [(1, 2.0)]),  # ON Semiconductor; National prints 1.1 V
    ],
)
def test_drop_out_at_the_printed_currents(name, end, points):
    values = regulator(find(name)).at(drop_out=end)
    for current, printed in points:
        lost = findroot(lambda across, i=current: pass_current(values, across, 0) - i, printed)
        assert float(lost) == pytest.approx(printed, rel=0.05)


def test_the_worst_drop_out_is_never_better_than_the_usual():
    for name in (*ADJUSTABLE, "7905", "7912", "78L05", "1117-5.0", "1085-5.0"):
        found = regulator(find(name))
        for current in (0.0, 0.1, ratings(find(name))["I_O"].value):
            lost = [
                values["dropout_voltage"] + values["dropout_resistance"] * current
                for values in (found.at(drop_out="least"), found.values, found.at(drop_out="most"))
            ]
            assert lost == sorted(lost), name


def test_what_an_adjustable_regulator_needs_is_said():
    """National LM117/LM317: 10 mA least load; 1 % temperature stability."""
    notes = regulator(find("317")).notes
    assert any("below 10 mA of load" in note for note in notes)
    assert any("1 % over the temperature range" in note for note in notes)
    assert not any("divider inside" in note for note in notes)


def test_recalled_references_stay_recalled():
    found = regulator(find("1086"))
    assert found.origins["set_voltage"].kind == "recalled"
    assert {origin.kind for origin in found.spread("set voltage").origins} == {"recalled"}
    assert regulator(find("317")).origins["dropout_voltage"].kind == "recalled"


def test_without_a_printed_drift_the_ends_are_those_of_the_range():
    """78L05: 4.75 V to 5.25 V at 1 mA to 70 mA (Fairchild) reaches further than 4.8 V to 5.2 V at 25 °C."""
    found = regulator(find("78L05"))
    assert held(found.at(set_voltage="least"), 5, 0.07) == pytest.approx(4.75, rel=2e-3)
    assert held(found.at(set_voltage="most"), 5, 0.001) == pytest.approx(5.25, rel=2e-3)


def test_a_sheet_without_reference_cannot_be_identified():
    part = find("317")
    with pytest.raises(ValueError, match="no output voltage"):
        regulator(replace(part, figures=tuple(row for row in part.figures if row.name != "VREF")))


# ---- breakdown ---------------------------------------------------------------------------------------------------

# Nominal V_Z, I_ZT, greatest Z_ZT: Digitron 1N4728-1N4764; also JEDEC-registered values that every maker prints.
ZENERS = [
    ("1N4728", 3.3, 76e-3, 10), ("1N4733", 5.1, 49e-3, 7), ("1N4735", 6.2, 41e-3, 2), ("1N4742", 12, 21e-3, 9),
    ("1N4744", 15, 17e-3, 14), ("1N4751", 30, 8.5e-3, 40),
]  # fmt: skip


@pytest.mark.parametrize(("name", "voltage", "current", "resistance"), ZENERS)
@pytest.mark.parametrize(("suffix", "tolerance"), [("", 0.10), ("A", 0.05)])
def test_zener_voltage_and_resistance(name, voltage, current, resistance, suffix, tolerance):
    found = diode(find(name + suffix))
    least, most = found.at(breakdown_voltage="least"), found.at(breakdown_voltage="most")
    assert reverse(found.values, current) == pytest.approx(voltage, rel=1e-6)
    assert reverse(least, current) == pytest.approx((1 - tolerance) * voltage, rel=1e-6)
    assert reverse(most, current) == pytest.approx((1 + tolerance) * voltage, rel=1e-6)

    def slope(values):
        return (reverse(values, 1.001 * current) - reverse(values, 0.999 * current)) / (0.002 * current)

    assert slope(most) == pytest.approx(resistance, rel=1e-3)
    assert 0.3 * resistance < slope(found.values) < resistance
    assert found.values["breakdown_voltage"] > 0 and least["breakdown_voltage"] > 0


@pytest.mark.parametrize(
    ("name", "least", "most", "at", "peak", "clamping"),
    [
        ("1.5KE6.8", 6.12, 7.48, 10e-3, 139, 10.8),  # EIC, 18 May 1998
        ("1.5KE22A", 20.9, 23.1, 1e-3, 1500 / 30.6, 30.6),  # Taiwan Semiconductor; I_PP = 1500 W/V_C
        ("1.5KE33A", 31.4, 34.7, 1e-3, 1500 / 45.7, 45.7),  # STMicroelectronics Doc ID 2913 Rev 4
    ],
)
def test_suppressors(name, least, most, at, peak, clamping):
    found = diode(find(name))
    assert reverse(found.at(breakdown_voltage="least"), at) == pytest.approx(least, rel=1e-6)
    assert reverse(found.at(breakdown_voltage="most"), at) == pytest.approx(most, rel=1e-6)
    assert reverse(found.at(breakdown_voltage="most"), peak) == pytest.approx(clamping, rel=1e-3)
    assert least < reverse(found.values, at) < most
    assert reverse(found.values, peak) < clamping


def test_a_family_without_its_member_says_so():
    for name in ("1N47xx", "P6KE", "1.5KE"):
        found = diode(find(name))
        assert "breakdown voltage" in found.undecided and "breakdown_voltage" not in found.values
    assert "breakdown voltage" not in diode(find("1N4007")).undecided


# ---- forward curves ----------------------------------------------------------------------------------------------

def forward(values, current, celsius=25):
    """Forward voltage: the junction law with its temperature dependence, and the series resistance."""
    t, n = mpf(celsius) + mpf("273.15"), values["emission_coefficient"]
    growth = values["temperature_exponent"] * log(t / T0) + values["bandgap_eV"] / K_OVER_Q * (1 / T0 - 1 / t)
    saturation = values["saturation_current"] * exp(growth / n)
    return float(n * K_OVER_Q * t * log(1 + current / saturation) + values["series_resistance"] * current)


@pytest.mark.parametrize(
    ("name", "current", "celsius", "limit"),
    [
        ("SB560", 5, 25, 0.67),  # General Semiconductor 4/98
        ("SB540", 5, 25, 0.55),  # Synsemi
        ("MBR1045", 10, 125, 0.57),  # ON Semiconductor catalogue; the temperature is recalled
        ("MUR820", 8, 25, 0.975),  # ON Semiconductor MUR805-MUR860 p. 2
        ("1N4742", 0.2, 25, 1.2),  # Digitron
        ("P6KE", 50, 25, 3.5),  # Taiwan Semiconductor
    ],
)
def test_forward_voltage_at_its_limit(name, current, celsius, limit):
    found = identified(find(name))
    assert forward(found.at(forward_voltage="most"), current, celsius) == pytest.approx(limit, rel=0.01)
    assert forward(found.at(forward_voltage="least"), current, celsius) < forward(found.values, current, celsius)
    assert forward(found.values, current, celsius) == pytest.approx(0.85 * limit, rel=0.02)


def test_hot_ultrafast_diode_stays_below_its_hot_limit():
    """MUR820: 0.895 V at 8 A and 150 °C."""
    assert forward(identified(find("MUR820")).at(forward_voltage="most"), 8, 150) <= 0.895


def test_schottky_diodes_leak_less_than_printed():
    """MBR1045: 0.1 mA at 25 °C, 15 mA at 125 °C, recalled; SB560: 0.5 mA at 25 °C."""
    hot = mpf("398.15")
    values = identified(find("MBR1045")).at(forward_voltage="least")
    growth = 2 * log(hot / T0) + mpf(values["bandgap_eV"]) / K_OVER_Q * (1 / T0 - 1 / hot)
    assert values["saturation_current"] < 0.1e-3
    assert values["saturation_current"] * exp(growth / values["emission_coefficient"]) < 15e-3
    assert identified(find("SB560")).at(forward_voltage="least")["saturation_current"] < 0.5e-3
