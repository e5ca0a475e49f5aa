"""Ends of identified transistors, and what is said where a sheet does not tell."""

import pytest
from mpmath import mpf
from printed_figures import TRANSISTORS, active, transistor_currents

from outboard.identify import bipolar
from outboard.identify.gain import printed_points
from outboard.parts import find

# ---- transistors -----------------------------------------------------------------------------------------------


def test_a_cold_limit_is_never_doubled():
    """TIP32C prints 0.2 mA at 25 °C only: the most end makes no claim on a hot device, and says so."""
    found = bipolar(find("TIP32C"))
    hot = transistor_currents(found.at(leakage="most"), mpf(0), mpf(-30), mpf("423.15"))[0]
    assert float(hot) < 0.3e-3
    assert "25 °C" in found.undecided["hot leakage"]
    assert "hot leakage" not in bipolar(find("2N3055")).undecided


@pytest.mark.parametrize("name", TRANSISTORS)
def test_usual_values_do_not_depend_on_the_working_current(name):
    part = find(name)
    plain = bipolar(part)
    for current in (1e-6, 0.02, 1.0, 7.5, 40.0):
        other = bipolar(part, current)
        assert other.values == plain.values
        assert set(other.values) == set(other.origins)
        gain = other.spread("gain")
        assert 0 < gain.least[0] <= other.values["forward_gain"] <= gain.most[0]


@pytest.mark.parametrize("name", TRANSISTORS)
def test_every_end_keeps_the_structure_of_the_network(name):
    """Inner resistances may neither appear nor vanish between the ends."""
    found = bipolar(find(name), 1.0)
    for end in ("least", "usual", "most"):
        values = found.at(**{spread.axis: end for spread in found.spreads})
        assert values["emitter_resistance"] > 0 and values["collector_resistance"] > 0
        assert set(values) == set(found.values)


def test_gain_and_base_emitter_voltage_are_independent():
    """A weak junction does not change the gain, not even where the leakage diode makes it fall."""
    found = bipolar(find("BD140"), 0.02)
    assert found.values["emitter_leakage_current"] > 0
    usual = active(found.at(gain="least"), 0.02, 5)[1]
    assert active(found.at(gain="least", V_BE="most"), 0.02, 5)[1] == pytest.approx(usual, rel=2e-3)
    assert active(found.at(gain="least", V_BE="least"), 0.02, 5)[1] == pytest.approx(usual, rel=2e-3)


def test_gain_falls_on_both_sides_of_the_main_row():
    values = bipolar(find("BD140")).values
    low, middle, high = (active(values, ic, 2)[1] for ic in (0.001, 0.05, 1.0))
    assert low < middle > high


def test_least_gain_between_printed_rows():
    """2N3055, 20 at 4 A and 5 at 10 A: on the straight line in logarithms 10 at sqrt(40) A."""
    working = 40**0.5
    assert active(bipolar(find("2N3055"), working).at(gain="least"), working, 4)[1] == pytest.approx(10, rel=0.05)


@pytest.mark.parametrize(("current", "words"), [(14.0, "carried on from 10 A"), (0.5, "printed from 4 A on")])
def test_a_working_current_outside_the_print_is_noted(current, words):
    assert any(words in note for note in bipolar(find("2N3055"), current).notes)
    assert not any(words in note for note in bipolar(find("2N3055"), 4.0).notes)


def test_beyond_the_print_the_least_gain_falls_on():
    found = bipolar(find("2N3055"), 14.0)
    assert active(found.at(gain="least"), 14.0, 8)[1] < 5
    assert found.spread("gain").origins[0].kind == "default"


def test_where_the_model_is_above_the_sheet_it_says_so():
    assert any("10 A, printed 5" in note for note in bipolar(find("2N3055"), 4.0).notes)


def test_only_least_gains_printed_makes_the_most_a_default():
    most = bipolar(find("MJE15031")).spread("gain").origins[1]
    assert most.kind == "default" and "3 times" in most.words


def test_recalled_figures_stay_recalled():
    """The main gain row of the TIP36C is from memory, and whatever rests on it says so."""
    gain = bipolar(find("TIP36C")).spread("gain")
    assert [origin.kind for origin in gain.origins] == ["recalled", "recalled"]


def test_members_of_a_gain_group_spread_less():
    """BD140-10: 63 to 160 at 150 mA."""
    part = find("BD140-10")
    assert active(bipolar(part, 0.15).at(gain="least"), 0.15, 2)[1] == pytest.approx(63, rel=0.05)
    assert active(bipolar(part, 0.15).at(gain="most"), 0.15, 2)[1] == pytest.approx(160, rel=0.05)


def test_of_two_makers_the_looser_least_gain_counts():
    """BD139 at 5 mA: 25 (Comset), 40 (Central)."""
    assert printed_points(find("BD139"))[0][0].gain == 25
