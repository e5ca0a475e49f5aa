"""Identified transistors against the figures that their sheets print."""

from dataclasses import replace

import pytest
from mpmath import findroot, log, mpf
from printed_figures import K_OVER_Q, T0, TRANSISTORS, active, transistor_currents

from outboard.identify import bipolar
from outboard.identify.operating import active_point
from outboard.parts import find

# ---- reference: transistor -------------------------------------------------------------------------------------


def saturated(values, ic, ib):
    """Collector-emitter voltage at a forced gain."""
    return saturated_voltages(values, ic, ib)[1]


def saturated_voltages(values, ic, ib):
    """Base-emitter and collector-emitter voltage at a forced gain."""
    values = {**values, "cutoff_current": 0}

    def balance(vbe, vbc):
        collector, base = transistor_currents(values, vbe, vbc)
        return collector / ic - 1, base / ib - 1

    near = K_OVER_Q * T0 * log(2 * ic / mpf(values["saturation_current"]))
    vbe, vbc = findroot(balance, (near, near - mpf("0.06")), tol=1e-15)
    lifted = values["emitter_resistance"] * (ic + ib)
    return float(vbe + lifted), float(vbe - vbc + values["collector_resistance"] * ic + lifted)


# ---- transistors -----------------------------------------------------------------------------------------------

# V_BE(sat) where no V_BE(on) is printed: I_C, I_B, least, most; the same documents.
SATURATED = [
    ("D44H11", 8, 0.8, None, 1.5), ("D45H11", 8, 0.8, None, 1.5),
    ("2N3906", 0.01, 1e-3, 0.65, 0.85), ("2N3906", 0.05, 5e-3, None, 0.95),
    ("2N3904", 0.01, 1e-3, 0.65, 0.85), ("2N3904", 0.05, 5e-3, None, 0.95),
    ("2N2907A", 0.15, 0.015, None, 1.3), ("2N2907A", 0.5, 0.05, None, 2.6),
    ("2N4403", 0.15, 0.015, 0.75, 0.95), ("2N4403", 0.5, 0.05, None, 1.3),
]  # fmt: skip
GAINS = [(name, *row) for name, (gains, *_) in TRANSISTORS.items() for row in gains]
SATURATIONS = [(name, *row) for name, (_, _, rows, _) in TRANSISTORS.items() for row in rows]
VOLTAGES = [(name, *row) for name, (_, rows, _, _) in TRANSISTORS.items() for row in rows]
LEAKAGES = [(name, *row) for name, (*_, rows) in TRANSISTORS.items() for row in rows]


@pytest.mark.parametrize(("name", "ic", "vce", "least", "most"), GAINS)
def test_gain_at_the_printed_currents(name, ic, vce, least, most):
    part = find(name)
    worst = active(bipolar(part, ic).at(gain="least"), ic, vce)[1]
    assert worst == pytest.approx(least, rel=0.05)
    usual = active(bipolar(part).values, ic, vce)[1]
    assert usual >= least
    if most is not None:
        assert usual <= most
        assert active(bipolar(part, ic).at(gain="most"), ic, vce)[1] == pytest.approx(most, rel=0.05)


@pytest.mark.parametrize(("name", "ic", "vce", "limit"), VOLTAGES)
def test_base_emitter_voltage_at_the_limit(name, ic, vce, limit):
    found = bipolar(find(name), ic)
    ends = [active(values, ic, vce)[0] for values in (found.at(V_BE="least"), found.values, found.at(V_BE="most"))]
    assert ends == sorted(ends)
    if (name, ic) == ("TIP36C", 25):
        assert 0.8 * limit < ends[2] < limit, "more resistance would keep 25 A from flowing at 4 V"
        assert any("is not reached" in note for note in found.notes)
    else:
        assert ends[2] == pytest.approx(limit, rel=0.05)
    assert ends[0] > 0.549, "no silicon junction carries its test current below this; the BC557 prints 0.55 V"


@pytest.mark.parametrize(("name", "ic", "ib", "least", "most"), SATURATED)
def test_base_emitter_voltage_in_saturation(name, ic, ib, least, most):
    """Where V_BE(sat) stands for V_BE(on); the 2N2907A keeps a part of it in its base, since V_CE(sat) is low."""
    found = bipolar(find(name), ic)
    ends = [saturated_voltages(values, ic, ib)[0] for values in (found.at(V_BE="least"), found.at(V_BE="most"))]
    usual, across = saturated_voltages(found.values, ic, ib)
    assert ends[0] < usual < ends[1] and across > 0.0
    if name == "2N2907A":
        assert 0.85 * most < ends[1] <= most
        assert any("V_CE(sat) leaves the emitter less" in note for note in found.notes)
    else:
        assert ends[1] == pytest.approx(most, rel=0.05)
    if least is not None:
        assert ends[0] == pytest.approx(least, rel=0.05)


def test_typical_figures_of_the_bc557():
    """Rectron: group B 150 at 10 µA, 290 at 2 mA, 200 at 100 mA; V_BE(on) 0.55, 0.66, 0.7 V at 2 mA, 5 V."""
    values = bipolar(find("BC557B")).values
    for ic, gain in ((1e-5, 150), (2e-3, 290), (0.1, 200)):
        assert active(values, ic, 5)[1] == pytest.approx(gain, rel=0.05)
    found = bipolar(find("BC557"))
    assert active(found.values, 2e-3, 5)[0] == pytest.approx(0.66, abs=0.005)
    assert active(found.at(V_BE="least"), 2e-3, 5)[0] == pytest.approx(0.55, abs=0.005)
    assert saturated(found.values, 0.1, 5e-3) == pytest.approx(0.25, rel=0.05)


@pytest.mark.parametrize("name", ["TIP122", "TIP127", "TIP120", "TIP125"])
def test_a_pair_from_microamperes_to_beyond_its_rating(name):
    """Usual values stay; R_2 of 120 Ω (recalled) makes gain fall below 10 mA, where the output transistor is off."""
    plain = bipolar(find(name))
    for current in (1e-6, 1e-3, 5e-3, 0.0199, 0.0201, 0.5, 3.0, 5.0, 8.0):
        other = bipolar(find(name), current)
        assert other.values == plain.values and set(other.values) == set(other.origins)
        least, most = (other.spread("gain").least[0], other.spread("gain").most[0])
        assert 0 < least <= plain.values["forward_gain"] <= most
    gains = [ic / active_point(plain.values, ic, 4.0)[1] for ic in (1e-3, 5e-3, 0.0199, 0.0201, 0.1)]
    assert gains == sorted(gains) and gains[0] < 20
    assert gains[3] / gains[2] == pytest.approx(1.0, abs=0.03), "both ways of solving meet"
    volts = [active_point(plain.values, ic, 4.0)[0] for ic in (1e-6, 1e-3, 5e-3, 0.0199, 0.0201, 0.1)]
    assert volts == sorted(volts)


def test_a_pair_is_told_from_a_transistor():
    """TIP122: h_FE 2500 at 4 A typical (ON Semiconductor TIP120/D Rev. 9), two gains of 40 to 100 between them."""
    found = bipolar(find("TIP122"))
    assert found.model == "darlington" and bipolar(find("2N3055")).model is None
    assert 40 < found.values["forward_gain"] == found.values["driver_forward_gain"] < 150
    assert found.origins["output_base_resistor"].kind == "recalled"
    assert any("reverse current" in note for note in found.notes)
    bare = replace(find("TIP122"), figures=tuple(row for row in find("TIP122").figures if row.name[:2] != "RB"))
    assert any("left out: gain does not fall" in note for note in bipolar(bare).notes)
    assert found.spread("gain").fields == ("forward_gain", "driver_forward_gain")


@pytest.mark.parametrize(("name", "ic", "ib", "limit"), SATURATIONS)
def test_saturation_voltage_below_its_limit(name, ic, ib, limit):
    usual = saturated(bipolar(find(name)).values, ic, ib)
    assert 0.1 * limit < usual <= limit


@pytest.mark.parametrize(("name", "celsius", "limit"), LEAKAGES)
def test_leakage_at_the_printed_temperatures(name, celsius, limit):
    """With the base at the emitter; at 125 °C and above the junction's own current is far below the limits."""
    found = bipolar(find(name))
    t = mpf(celsius) + mpf("273.15")
    worst = transistor_currents(found.at(leakage="most"), mpf(0), mpf(-30), t)[0]
    assert float(worst) == pytest.approx(limit, rel=0.05)
    assert 0 < found.values["cutoff_current"] * 2 ** ((celsius - 25) / found.values["cutoff_doubling"]) < limit
    assert found.at(leakage="least")["cutoff_current"] == 0
