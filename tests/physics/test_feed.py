"""The cycle of a reservoir against exact arcs, against another integrator, and against what must be conserved."""

from math import asin, cos, exp, pi, sin, sqrt
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from outboard.analysis.charging import Waves, settled
from outboard.analysis.inrush import inrush
from outboard.analysis.rectified import Rectified
from outboard.formulas.junction import current_through_resistor
from outboard.formulas.rectifier import exact_discharge, full_wave_ripple

USUAL: dict[str, Any] = {
    "crest": 20.0, "omega": 2.0 * pi * 50.0, "resistance": 0.2, "offset": 0.0, "slope": 0.0, "saturation": 0.0,
    "capacitance": 5e-3, "esr": 0.0, "load": 3.0, "bleeder": 0.0,
}  # fmt: skip
JUNCTIONS = {"slope": 2.0 * 1.05 * 0.0257, "saturation": 1e-6}


def feeds(**changed: Any) -> Rectified:
    """Feeds side by side; what is a list differs between them."""
    whole = USUAL | changed
    count = max(np.size(value) for value in whole.values())
    return Rectified(**{name: np.broadcast_to(np.asarray(value, float), count).copy() for name, value in whole.items()})


# --- against exact arcs ---------------------------------------------------------------------------------------------


def arcs(crest: float, omega: float, resistance: float, offset: float, capacitance: float, load: float) -> float:
    """The valley with a resistor and diodes of constant voltage, from the closed form of each arc.

    While charging, R·C·v' + v = V·sin(ωt) − V_F − R·I has the solution A·sin(ωt − φ) − V_F − R·I + K·exp(−t/RC); while
    not, v falls along a straight line.  The angle at which charging begins closes the circle.
    """
    tau = resistance * capacitance
    size, lag = crest / sqrt(1.0 + (omega * tau) ** 2), np.arctan(omega * tau)

    def charging(angle: float, begin: float) -> float:
        start = crest * sin(begin) - offset
        rest = start - size * sin(begin - lag) + offset + resistance * load
        return size * sin(angle - lag) - offset - resistance * load + rest * exp(-(angle - begin) / (omega * tau))

    def ends(begin: float) -> float:
        def current(angle: float) -> float:
            return crest * sin(angle) - offset - charging(angle, begin)

        return float(brentq(current, begin + 0.02, pi, xtol=1e-14))

    def closes(begin: float) -> float:
        end = ends(begin)
        fallen = charging(end, begin) - load * (pi + begin - end) / (omega * capacitance)
        return fallen - (crest * sin(begin) - offset)

    begin = float(brentq(closes, asin(0.3), asin(0.97), xtol=1e-14))
    found = np.linspace(begin, ends(begin), 20001)
    return float(min(charging(angle, begin) for angle in found))


@pytest.mark.parametrize(("resistance", "offset", "load"), [(0.2, 0.0, 3.0), (0.5, 1.6, 1.0), (0.1, 0.8, 5.0)])
def test_constant_diode_voltage_against_exact_arcs(resistance: float, offset: float, load: float) -> None:
    found = settled(feeds(resistance=resistance, offset=offset, load=load))
    exact = arcs(20.0, 2.0 * pi * 50.0, resistance, offset, 5e-3, load)
    assert found.settled.all()
    assert float(found.valley[0]) == pytest.approx(exact, abs=2e-4)


def test_without_resistance_it_tends_to_the_exact_discharge() -> None:
    """R4 (Boylestad 15.13, ten times the current and the reservoir): exact valley 6.907 V, mean 11.562 V."""
    exact = exact_discharge(crest=15.0, current=4.0, capacitance=2500e-6, mains_frequency=60.0)
    found = settled(feeds(crest=15.0, omega=2.0 * pi * 60.0, capacitance=2500e-6, load=4.0,
                          resistance=[0.008, 0.004, 0.002]))  # fmt: skip
    for values, limit in ((found.valley, exact.valley), (found.mean, exact.mean)):
        missed = np.abs(values - limit)
        assert missed[1] < 0.6 * missed[0] and missed[2] < 0.6 * missed[1]
        led_on = 2.0 * values[2] - values[1]  # to no resistance, along a straight line
        # at its corner the sine rises by 5 V/ms, and places are 2.5 µs apart: the lowest is met to some millivolts
        assert led_on == pytest.approx(limit, abs=2e-3)


# --- against another integrator -------------------------------------------------------------------------------------


def by_solve_ivp(given: Rectified) -> tuple[float, float]:
    """Valley and mean by scipy's integrator, the charging current by bracketing, the circle closed by bracketing."""
    g = {name: float(getattr(given, name)[0]) for name in Rectified.__slots__}
    period = pi / g["omega"]

    def current(t: float, stored: float) -> float:
        spare = g["crest"] * abs(sin(g["omega"] * t)) - g["offset"] - stored + g["esr"] * g["load"]
        path = g["resistance"] + g["esr"]

        def missed(i: float) -> float:
            return path * i + g["slope"] * np.log1p(i / g["saturation"]) - spare

        least = -g["saturation"] * (1.0 - 1e-15)
        return float(brentq(missed, least, 1e3, xtol=1e-15)) if missed(least) < 0.0 else least

    def ends(start: float, dense: bool = False) -> Any:
        return solve_ivp(lambda t, v: [(current(t, v[0]) - g["load"]) / g["capacitance"]], (0.0, period), [start],
                         rtol=1e-9, atol=1e-10, method="DOP853", max_step=period / 200.0,
                         t_eval=np.linspace(0.0, period, 2001) if dense else None)  # fmt: skip

    start = float(brentq(lambda v: ends(v).y[0, -1] - v, 0.3 * g["crest"], g["crest"], xtol=1e-9))
    way = ends(start, dense=True)
    charging = np.array([current(t, v) for t, v in zip(way.t, way.y[0], strict=True)])
    terminal = way.y[0] + g["esr"] * (charging - g["load"])
    return float(terminal.min()), float(terminal[:-1].mean())


@pytest.mark.parametrize("changed", [{}, {"esr": 0.03, "load": 1.0}, {"resistance": 0.05, "capacitance": 22e-3}])
def test_junctions_against_another_integrator(changed: dict[str, float]) -> None:
    given = feeds(**JUNCTIONS | changed)
    found = settled(given)
    valley, mean = by_solve_ivp(given)
    assert float(found.valley[0]) == pytest.approx(valley, abs=2e-4)
    assert float(found.mean[0]) == pytest.approx(mean, abs=2e-4)


def test_the_charging_current_is_that_of_a_junction_and_a_resistor() -> None:
    given = feeds(**JUNCTIONS, esr=0.0)
    for spare in (-1.0, 0.2, 0.6, 1.5, 15.0):
        expected = current_through_resistor(supply_voltage=spare, resistance=0.2, saturation_current=1e-6,
                                            emission_coefficient=1.0, thermal_voltage=JUNCTIONS["slope"])  # fmt: skip
        assert float(given.charging_law()(np.array([spare]))[0][0]) == pytest.approx(expected, rel=1e-9, abs=1e-15)


# --- what must be conserved -----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def waves() -> Waves:
    return settled(feeds(**JUNCTIONS, esr=0.02, load=[0.005, 1.0, 3.0, 6.0]))


def test_charge_comes_back(waves: Waves) -> None:
    assert waves.settled.all()
    assert waves.mean_current == pytest.approx(waves.feeds.load, rel=1e-6, abs=1e-9)


def test_power_comes_from_the_winding_and_goes_somewhere(waves: Waves) -> None:
    """Winding = load + windings + junctions + ESR, in the mean."""
    given, i, v = waves.feeds, waves.charging, waves.terminal
    junctions = given.slope[:, None] * np.log1p(np.maximum(i, 0.0) / given.saturation[:, None])
    drawn = given.load[:, None]
    given_power = (waves.rectified * i)[:, :-1].mean(axis=1)
    taken = (v * drawn + given.resistance[:, None] * i**2 + junctions * i
             + given.esr[:, None] * (i - drawn) ** 2)[:, :-1].mean(axis=1)  # fmt: skip
    assert given_power == pytest.approx(taken, rel=2e-5, abs=2e-5)  # 1 µA leaks backwards at 20 V and is left out


def test_the_straight_line_is_on_the_safe_side_and_near_where_ripple_is_small() -> None:
    """R8: I/(2fC) is what a long discharge takes; diodes that conduct shorten it."""
    found = settled(feeds(**JUNCTIONS, resistance=0.02, capacitance=[20e-3, 100e-3]))
    lines = [full_wave_ripple(current=3.0, mains_frequency=50.0, capacitance=c) for c in (20e-3, 100e-3)]
    ripple = found.peak - found.valley
    assert (ripple < lines).all()
    assert (ripple > 0.6 * np.array(lines)).all()


def test_more_of_what_helps_helps() -> None:
    bigger = settled(feeds(**JUNCTIONS, capacitance=[2e-3, 5e-3, 10e-3, 30e-3])).valley
    stiffer = settled(feeds(**JUNCTIONS, resistance=[0.8, 0.4, 0.2, 0.1])).valley
    lighter = settled(feeds(**JUNCTIONS, load=[6.0, 3.0, 1.0, 0.1])).valley
    for values in (bigger, stiffer, lighter):
        assert (np.diff(values) > 0.0).all()


def test_share_below_a_level(waves: Waves) -> None:
    """Nothing below the valley, all below the peak, and it rises with the level."""
    count = len(waves.feeds)
    assert waves.share_below(waves.valley - 1e-9) == pytest.approx(np.zeros(count))
    assert waves.share_below(waves.peak + 1e-9) == pytest.approx(np.ones(count))
    shares = [waves.share_below(waves.valley + part * (waves.peak - waves.valley)) for part in (0.2, 0.5, 0.8)]
    assert (np.diff(shares, axis=0) > 0.0).all()
    straight = Waves(waves.feeds, np.array([0.0, 1.0, 2.0]), np.zeros((count, 3)), np.tile([0.0, 1.0, 0.0], (count, 1)),
                     np.zeros((count, 3)), waves.settled)  # fmt: skip
    assert straight.share_below(np.full(count, 0.25)) == pytest.approx(np.full(count, 0.25))


# --- switching on ---------------------------------------------------------------------------------------------------


def test_at_the_crest_resistance_alone_limits() -> None:
    """(V − V_F)/R at the first moment (Ohm's law); whatever the reservoir."""
    for capacitance in (5e-3, 50e-3):
        found = inrush(feeds(offset=1.6, capacitance=capacitance))
        assert found.peak == pytest.approx((20.0 - 1.6) / 0.2, rel=1e-9)
        assert found.phase == pytest.approx(pi / 2.0)


def test_what_switching_on_brings_against_another_integrator() -> None:
    """From the zero of the sine, I²t of one half cycle by scipy; the worst phase brings no less."""
    given = feeds(offset=1.6)

    def rate(t: float, v: list[float]) -> list[float]:
        i = max(0.0, 20.0 * abs(sin(2.0 * pi * 50.0 * t)) - 1.6 - v[0]) / 0.2
        return [i / 5e-3, i**2]

    one = solve_ivp(rate, (0.0, 0.01), [0.0, 0.0], rtol=1e-9, atol=1e-9, max_step=1e-5).y[1, -1]
    found = inrush(given)
    assert found.first >= one * (1.0 - 1e-4)
    assert found.whole >= found.first
    assert 0.0 < found.charged < 12 * 0.01


def test_a_larger_reservoir_takes_longer_and_brings_more() -> None:
    small, large = (inrush(feeds(**JUNCTIONS, capacitance=size)) for size in (2e-3, 8e-3))
    assert large.whole > small.whole
    assert large.charged > small.charged


def test_a_sine_is_a_sine() -> None:
    """The mean of what conducts is bounded by the sine: cos of the angle where charging begins and ends (exact)."""
    found = settled(feeds(resistance=5.0, load=1.0))
    assert float(found.conduction[0]) < pi
    assert float(found.peak[0]) < 20.0 * cos(0.0)
