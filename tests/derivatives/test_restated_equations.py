"""Transistors, diode, regulator and lamp against their equations written down a second time, at forty digits.

The bipolar transistor: H. K. Gummel and H. C. Poon, "An integral charge control model of bipolar transistors", Bell
Syst. Tech. J. 49 (1970) p. 827, in the notation of I. Getreu, Modeling the Bipolar Transistor, 1976 (both from memory),
with leakage I_CBO beside it.  The field-effect transistor: Enz, Krummenacher and Vittoz, Analog Integr. Circuits Signal
Process. 8 (1995) p. 83 (from memory), with the bulk at the source.  The regulator is this project's own description of
a data sheet; here it is written with plain logarithms and exponentials that would overflow a double.  k and q: exact
values of the SI since 2019.
"""

from types import SimpleNamespace
from typing import Any

import mpmath
import numpy as np
import pytest
from mpmath import exp, log, mp, mpf, sqrt, tanh

from outboard.devices.bipolar import BIPOLAR
from outboard.devices.device import Device
from outboard.devices.junction import BREAKDOWN, DIODE
from outboard.devices.mosfet import MOSFET
from outboard.devices.regulator import REGULATOR
from outboard.devices.resistive import LAMP

K_OVER_Q = mpf("1.380649e-23") / mpf("1.602176634e-19")
AGREEMENT = mpf(10) ** -13  # the devices' own k/q is a double, and stands in exponents up to 60
POINTS = 80


class Digits:
    """The mathematics namespace of forty-digit numbers."""

    exp, log, log1p, sqrt, tanh = (staticmethod(f) for f in (mp.exp, mp.log, mp.log1p, mp.sqrt, mp.tanh))
    above = staticmethod(lambda x, limit: bool(x > limit))
    choose = staticmethod(lambda condition, yes, no: yes if condition else no)
    with_slope = staticmethod(lambda value, x, slope: value)


@pytest.fixture(autouse=True)
def digits() -> Any:
    with mpmath.workdps(60):
        yield


def ours(device: Device, ports: list[Any], values: dict[str, Any]) -> list[Any]:
    parameters = SimpleNamespace(**{name: mpf(values[name]) for name in device.parameters})
    return list(device.equations([mpf(port) for port in ports], parameters, Digits()))


def assert_same(have: list[Any], want: list[Any], about: object) -> None:
    size = max(abs(value) for value in want)
    for a, b in zip(have, want, strict=True):
        assert abs(a - b) <= AGREEMENT * max(abs(b), size * mpf(10) ** -12), about


def decades(random: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(random.uniform(np.log(low), np.log(high))))


def gummel_poon(vbe: Any, vbc: Any, t: Any, q: SimpleNamespace) -> list[Any]:
    """I_C, I_B, I_E and the heat of an NPN transistor."""
    vt, t0 = K_OVER_Q * t, q.t0
    still = (t / t0) ** q.m_s * exp(q.e_g / K_OVER_Q * (1 / t0 - 1 / t))  # I_S(T)/I_S
    gain = (t / t0) ** q.m_beta
    i_f = q.i_s * still * (exp(vbe / (q.n_f * vt)) - 1)
    i_r = q.i_s * still * (exp(vbc / (q.n_r * vt)) - 1)
    q1 = 1 / (1 - vbc / q.v_a - vbe / q.v_b)
    q2 = i_f / q.i_k + i_r / q.i_kr
    transport = (i_f - i_r) / (q1 / 2 * (1 + sqrt(1 + 4 * q2)))
    i_le = q.i_le / gain * still ** (1 / q.n_le)
    i_lc = q.i_lc / gain * still ** (1 / q.n_lc)
    i_be = i_f / (q.beta_f * gain) + i_le * (exp(vbe / (q.n_le * vt)) - 1)
    i_bc = i_r / (q.beta_r * gain) + i_lc * (exp(vbc / (q.n_lc * vt)) - 1)
    cut = q.i_cbo * 2 ** ((t - t0) / q.doubling) * tanh(-vbc / (2 * vt))
    i_c, i_b = transport - i_bc + cut, i_be + i_bc - cut
    return [i_c, i_b, -(i_c + i_b), (vbe - vbc) * i_c + vbe * i_b]


@pytest.mark.parametrize("polarity", [1, -1])
def test_transistor(polarity: int) -> None:
    random = np.random.default_rng(11)
    for _ in range(POINTS):
        t = mpf(random.uniform(230.0, 470.0))
        vbe, vbc = mpf(random.uniform(-3.0, 0.85)), mpf(random.uniform(-20.0, 0.8))
        q = SimpleNamespace(**{name: mpf(value) for name, value in {
            "i_s": decades(random, 1e-16, 1e-11), "beta_f": decades(random, 5, 300), "beta_r": decades(random, 0.5, 10),
            "n_f": random.uniform(1.0, 1.1), "n_r": random.uniform(1.0, 1.1),
            "v_a": random.uniform(40.0, 200.0), "v_b": random.uniform(10.0, 60.0),
            "i_k": decades(random, 0.1, 20.0), "i_kr": decades(random, 0.1, 20.0),
            "i_le": decades(random, 1e-14, 1e-10), "n_le": random.uniform(1.3, 2.0),
            "i_lc": decades(random, 1e-14, 1e-10), "n_lc": random.uniform(1.3, 2.0),
            "e_g": random.uniform(1.05, 1.2), "m_s": random.uniform(2.0, 4.0), "m_beta": random.uniform(0.0, 2.0),
            "i_cbo": decades(random, 1e-9, 1e-5), "doubling": random.uniform(6.0, 12.0), "t0": 298.15,
        }.items()})  # fmt: skip
        values = {
            "polarity": polarity, "saturation_current": q.i_s, "forward_gain": q.beta_f, "reverse_gain": q.beta_r,
            "forward_emission": q.n_f, "reverse_emission": q.n_r, "inverse_forward_early_voltage": 1 / q.v_a,
            "inverse_reverse_early_voltage": 1 / q.v_b, "inverse_forward_knee_current": 1 / q.i_k,
            "inverse_reverse_knee_current": 1 / q.i_kr, "emitter_leakage_current": q.i_le,
            "inverse_emitter_leakage_emission": 1 / q.n_le, "collector_leakage_current": q.i_lc,
            "inverse_collector_leakage_emission": 1 / q.n_lc, "bandgap_eV": q.e_g,
            "current_temperature_exponent": q.m_s, "gain_temperature_exponent": q.m_beta, "cutoff_current": q.i_cbo,
            "inverse_cutoff_doubling": 1 / q.doubling, "reference_temperature": q.t0,
        }  # fmt: skip
        base = mpf(random.uniform(-20.0, 20.0))
        ports = [base - polarity * vbc, base, base - polarity * vbe, t]
        i_c, i_b, i_e, heat = gummel_poon(vbe, vbc, t, q)
        want = [polarity * i_c, polarity * i_b, polarity * i_e, -heat]
        assert_same(ours(BIPOLAR, ports, values), want, (polarity, vbe, vbc, t, q))


def test_diode_and_breakdown() -> None:
    random = np.random.default_rng(12)
    for _ in range(POINTS):
        t, v = mpf(random.uniform(230.0, 470.0)), mpf(random.uniform(-10.0, 0.9))
        i_s, n, e_g, m_s = (mpf(x) for x in (decades(random, 1e-14, 1e-9), random.uniform(1.0, 2.0), 1.11, 3.0))
        t0 = mpf(298.15)
        scaled = i_s * (t / t0) ** (m_s / n) * exp(e_g / (n * K_OVER_Q) * (1 / t0 - 1 / t))
        i = scaled * (exp(v / (n * K_OVER_Q * t)) - 1)
        values = {"saturation_current": i_s, "emission_coefficient": n, "bandgap_eV": e_g, "temperature_exponent": m_s,
                  "reference_temperature": t0}  # fmt: skip
        assert_same(ours(DIODE, [3 + v, 3, t], values), [i, -i, -v * i], (v, t, values))

        v_z, i_zt, n_z = mpf(random.uniform(9.0, 11.0)), mpf("1e-3"), mpf(random.uniform(1.0, 3.0))
        i = -i_zt * exp(-(v + v_z) / (n_z * K_OVER_Q * t))
        values = {"breakdown_voltage": v_z, "breakdown_current": i_zt, "breakdown_emission": n_z}
        assert_same(ours(BREAKDOWN, [3 + v, 3, t], values), [i, -i, -v * i], (v, t, values))


@pytest.mark.parametrize("polarity", [1, -1])
def test_field_effect_transistor(polarity: int) -> None:
    random = np.random.default_rng(14)
    for _ in range(POINTS):
        t, t0 = mpf(random.uniform(230.0, 470.0)), mpf("298.15")
        threshold, k, n, lam, drift = (
            mpf(x) for x in (random.uniform(1.0, 4.0), decades(random, 0.1, 50.0), random.uniform(1.0, 1.6),
                             random.uniform(0.0, 0.05), random.uniform(-6e-3, 0.0))
        )  # fmt: skip
        v_gs = mpf(random.uniform(-1.0, 12.0))
        v_ds = mpf(random.choice([random.uniform(-20.0, 40.0), decades(random, 1e-6, 0.1)]))
        vt = K_OVER_Q * t
        v_p = (v_gs - threshold - drift * (t - t0)) / n
        i_0 = 2 * n * k * (t / t0) ** mpf("-1.5") * vt**2
        i = (
            i_0
            * (log(1 + exp(v_p / (2 * vt))) ** 2 - log(1 + exp((v_p - v_ds) / (2 * vt))) ** 2)
            * (1 + lam * abs(v_ds))
        )
        values = {"polarity": polarity, "threshold_voltage": threshold, "transconductance": k, "slope": n,
                  "output_conductance": lam, "threshold_tempco": drift, "reference_temperature": t0}  # fmt: skip
        source = mpf(random.uniform(-20.0, 20.0))
        ports = [source + polarity * v_ds, source + polarity * v_gs, source, t]
        want = [polarity * i, 0, -polarity * i, -v_ds * i]
        assert_same(ours(MOSFET, ports, values), want, (polarity, v_gs, v_ds, t, values))


def test_lamp() -> None:
    """The equation of its resistance at rest, R² − R_c·R − (V_r²/P_r − R_c)·v²/P_r = 0, holds at R = v/i > 0."""
    random = np.random.default_rng(15)
    for _ in range(POINTS):
        v_r, p_r, v = mpf(random.uniform(3.0, 28.0)), mpf(decades(random, 0.5, 60.0)), mpf(random.uniform(-30.0, 30.0))
        cold = v_r**2 / p_r * mpf(random.uniform(0.02, 0.9))
        values = {"lamp_voltage": v_r, "lamp_power": p_r, "cold_resistance": cold}
        i, back = ours(LAMP, [4 + v, 4], values)
        r = v / i
        assert back == -i and r >= cold
        residue = r * r - cold * r - (v_r**2 / p_r - cold) * v**2 / p_r
        assert abs(residue) < mpf(10) ** -50 * r * r
        assert abs(ours(LAMP, [v_r, 0], values)[0] - p_r / v_r) < mpf(10) ** -50 * p_r / v_r


def regulator(v_in: Any, v_out: Any, v_ref: Any, t: Any, q: SimpleNamespace) -> list[Any]:
    """I_in, I_out, I_ref and the heat of a positive regulator."""

    def s(x: Any, w: Any) -> Any:
        return w * log(1 + exp(x / w))

    w, across, warmer = q.sharpness, v_in - v_out, t - q.reference_temperature
    wanted = q.set_voltage * (1 + q.set_voltage_tempco * warmer)
    wanted *= 1 + q.line_coefficient * (across - q.nominal_differential)
    i_want = (wanted - (v_out - v_ref)) / q.output_resistance
    i_drop = s((across - q.dropout_voltage - q.dropout_tempco * warmer) / q.dropout_resistance, w)
    if across <= q.foldback_start:
        i_lim = q.current_limit
    elif across >= q.foldback_end:
        i_lim = q.short_circuit_current
    else:
        slope = (q.short_circuit_current - q.current_limit) / (q.foldback_end - q.foldback_start)
        i_lim = q.current_limit + slope * (across - q.foldback_start)
    i_lim *= (1 + q.limit_tempco * warmer) / (1 + exp((t - q.shutdown_temperature) / q.shutdown_width))
    i_max = i_drop - s(i_drop - i_lim, w)
    i_pass = s(i_want, w) - s(i_want - i_max, w)
    i_q = q.quiescent_current * (1 - exp(-s(v_in - v_ref, mpf("0.01"))))
    i_q += q.quiescent_load_coefficient * i_pass
    i_q += q.quiescent_line_coefficient * s(across - q.nominal_differential, mpf("0.01"))
    heat = v_in * (i_pass + i_q) - v_out * i_pass - v_ref * i_q
    return [i_pass + i_q, -i_pass, -i_q, heat]


@pytest.mark.parametrize("polarity", [1, -1])
def test_regulator(polarity: int) -> None:
    random = np.random.default_rng(13)
    for number in range(POINTS):
        fields = {
            "set_voltage": random.uniform(3.0, 24.0), "output_resistance": decades(random, 1e-3, 0.1),
            "line_coefficient": random.uniform(0.0, 5e-4), "nominal_differential": random.uniform(3.0, 8.0),
            "set_voltage_tempco": random.uniform(-2e-4, 2e-4), "dropout_voltage": random.uniform(0.5, 2.0),
            "dropout_resistance": decades(random, 0.1, 2.0), "dropout_tempco": random.uniform(-3e-3, 0.0),
            "current_limit": 2.0, "short_circuit_current": random.uniform(0.2, 2.0),
            "foldback_start": random.uniform(3.0, 12.0), "foldback_end": random.uniform(15.0, 30.0),
            "limit_tempco": random.uniform(-3e-3, 0.0), "quiescent_current": random.uniform(1e-3, 1e-2),
            "quiescent_load_coefficient": 1e-3, "quiescent_line_coefficient": 1e-4,
            "shutdown_temperature": random.uniform(400.0, 450.0), "shutdown_width": random.uniform(0.5, 4.0),
            "sharpness": decades(random, 2e-5, 2e-3), "reference_temperature": 298.15,
        }  # fmt: skip
        q = SimpleNamespace(**{name: mpf(value) for name, value in fields.items()})
        below = random.choice([decades(random, 1e-4, 0.2), 3.0, fields["set_voltage"], -2.0])
        v_ref = mpf(random.uniform(-5.0, 5.0))
        v_out = v_ref + q.set_voltage - mpf(below)
        v_in = v_out + mpf(random.uniform(-1.0, 3.0) if number % 3 else random.uniform(3.0, 30.0))
        t = mpf(random.uniform(230.0, 460.0))
        i_in, i_out, i_ref, heat = regulator(v_in, v_out, v_ref, t, q)
        ports = [polarity * v_in, polarity * v_out, polarity * v_ref, t]
        want = [polarity * i_in, polarity * i_out, polarity * i_ref, -heat]
        assert_same(ours(REGULATOR, ports, vars(q) | {"polarity": polarity}), want, (number, v_in, v_out, v_ref, t, q))
