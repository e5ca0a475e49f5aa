"""The bipolar transistor: integral charge control.

Inner transistor between the nodes behind base, emitter and collector resistance; those resistances are
devices of their own whose heat belongs to the same junction.

References
----------
[GummelPoon] Bell Syst. Tech. J. 49 (1970) p. 827; [Getreu] Modeling the Bipolar Transistor, 1976
"""

from collections.abc import Sequence
from typing import Any

from outboard.devices.device import Device, Mathematics, Number
from outboard.devices.junction import temperature_exponent
from outboard.devices.mathematics import BOLTZMANN_VOLTAGE, limited_exp

LEAST_DENOMINATOR = 1e-3
"""Iterates may leave the range in which base charge is positive; there it is held at this. Solutions may not."""


def _injected(x: Sequence[Number], p: Any, m: Mathematics) -> tuple[Number, ...]:
    """Junction voltages, thermal voltage, temperature law and the two injected currents I_F, I_R."""
    c, b, e, t = x
    vbe = p.polarity * (b - e)
    vbc = p.polarity * (b - c)
    vt = BOLTZMANN_VOLTAGE * t
    law = temperature_exponent(t, p.reference_temperature, p.current_temperature_exponent, p.bandgap_eV, m)
    still = p.saturation_current * m.exp(law)
    forward = p.saturation_current * limited_exp(vbe / (p.forward_emission * vt) + law, m) - still
    reverse = p.saturation_current * limited_exp(vbc / (p.reverse_emission * vt) + law, m) - still
    return vbe, vbc, vt, law, forward, reverse


def _base_charge(vbe: Number, vbc: Number, forward: Number, reverse: Number, p: Any) -> tuple[Number, Number]:
    """1/q1 and 1 + 4·q2, both positive inside the model's range."""
    denominator = 1.0 - vbc * p.inverse_forward_early_voltage - vbe * p.inverse_reverse_early_voltage
    charge = 1.0 + 4.0 * (forward * p.inverse_forward_knee_current + reverse * p.inverse_reverse_knee_current)
    return denominator, charge


def bipolar_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Terminal currents and heat of the inner transistor; the opposite polarity is the mirror image."""
    vbe, vbc, vt, law, forward, reverse = _injected(x, p, m)
    t = x[3]
    denominator, charge = _base_charge(vbe, vbc, forward, reverse, p)
    denominator = m.choose(m.above(denominator, LEAST_DENOMINATOR), denominator, LEAST_DENOMINATOR)
    charge = m.choose(m.above(charge, LEAST_DENOMINATOR), charge, LEAST_DENOMINATOR)
    transport = 2.0 * (forward - reverse) * denominator / (1.0 + m.sqrt(charge))

    gain = p.gain_temperature_exponent * m.log(t / p.reference_temperature)
    weaker = m.exp(-gain)
    emitter_law = law * p.inverse_emitter_leakage_emission - gain
    collector_law = law * p.inverse_collector_leakage_emission - gain
    base_emitter = forward * weaker / p.forward_gain + p.emitter_leakage_current * (
        limited_exp(vbe * p.inverse_emitter_leakage_emission / vt + emitter_law, m) - m.exp(emitter_law)
    )
    base_collector = reverse * weaker / p.reverse_gain + p.collector_leakage_current * (
        limited_exp(vbc * p.inverse_collector_leakage_emission / vt + collector_law, m) - m.exp(collector_law)
    )
    doublings = (t - p.reference_temperature) * p.inverse_cutoff_doubling
    cutoff = p.cutoff_current * limited_exp(doublings * LN_2, m) * m.tanh(-vbc / (2.0 * vt))

    ic = transport - base_collector + cutoff
    ib = base_emitter + base_collector - cutoff
    power = (vbe - vbc) * ic + vbe * ib
    return p.polarity * ic, p.polarity * ib, -p.polarity * (ic + ib), -power


def bipolar_range(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """1 + 4·q2 and 1 − V_BC/V_A − V_BE/V_B: the model holds while both are positive."""
    vbe, vbc, _, _, forward, reverse = _injected(x, p, m)
    return _base_charge(vbe, vbc, forward, reverse, p)


LN_2 = 0.6931471805599453

BIPOLAR = Device(
    "bipolar",
    ("collector", "base", "emitter", "temperature"),
    (
        "polarity",
        "saturation_current",
        "forward_gain",
        "reverse_gain",
        "forward_emission",
        "reverse_emission",
        "inverse_forward_early_voltage",
        "inverse_reverse_early_voltage",
        "inverse_forward_knee_current",
        "inverse_reverse_knee_current",
        "emitter_leakage_current",
        "inverse_emitter_leakage_emission",
        "collector_leakage_current",
        "inverse_collector_leakage_emission",
        "bandgap_eV",
        "current_temperature_exponent",
        "gain_temperature_exponent",
        "cutoff_current",
        "inverse_cutoff_doubling",
        "reference_temperature",
    ),
    bipolar_equations,
    valid=bipolar_range,
    junctions=(("base", "emitter"), ("base", "collector")),
    mirrored=True,
)
