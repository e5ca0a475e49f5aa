"""The field-effect transistor with insulated gate: one smooth law from weak to strong inversion.

Inner transistor with its bulk at the source, between the source and the node behind the drain resistance; the body
diode and that resistance are devices of their own whose heat belongs to the same junction.

References
----------
[EnzKrummenacherVittoz] Analog Integr. Circuits Signal Process. 8 (1995) p. 83 (memory)
"""

from collections.abc import Sequence
from typing import Any

from outboard.devices.device import Device, Mathematics, Number
from outboard.devices.mathematics import BOLTZMANN_VOLTAGE, soft_between, soft_positive

MOBILITY_EXPONENT = -1.5
"""K(T) = K·(T/T0)^−1.5."""


def _inversion(x: Sequence[Number], p: Any) -> tuple[Number, Number, Number]:
    """V_DS, and by how many times 2·V_T the pinch-off voltage exceeds the source's and the drain's."""
    drain, gate, source, t = x
    v_ds = p.polarity * (drain - source)
    threshold = p.threshold_voltage + p.threshold_tempco * (t - p.reference_temperature)
    pinch_off = (p.polarity * (gate - source) - threshold) / p.slope
    unit = 2.0 * BOLTZMANN_VOLTAGE * t
    return v_ds, pinch_off / unit, (pinch_off - v_ds) / unit


def mosfet_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """I_D = I_0·(L_S² − L_D²)(1 + λ|V_DS|), L = ln(1 + exp u), I_0 = 2·n·K(T)·V_T²; nothing into the gate.

    L_S² − L_D² is taken as (L_S − L_D)(L_S + L_D), so that nothing is lost where drain and source are nearly alike.
    """
    t = x[3]
    v_ds, at_source, at_drain = _inversion(x, p)
    vt = BOLTZMANN_VOLTAGE * t
    specific = 2.0 * p.slope * p.transconductance * vt * vt
    specific = specific * m.exp(MOBILITY_EXPONENT * m.log(t / p.reference_temperature))
    unequal = soft_between(at_source, at_source - at_drain, 1.0, m)
    both = soft_positive(at_source, 1.0, m) + soft_positive(at_drain, 1.0, m)
    across = m.choose(m.above(v_ds, 0.0), v_ds, -v_ds)
    i = specific * unequal * both * (1.0 + p.output_conductance * across)
    return p.polarity * i, x[1] * 0.0, -p.polarity * i, -v_ds * i


def mosfet_corners(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Where the channel opens at its source, and at its drain."""
    return _inversion(x, p)[1:]


MOSFET = Device(
    "mosfet",
    ("drain", "gate", "source", "temperature"),
    (
        "polarity",
        "threshold_voltage",
        "transconductance",
        "slope",
        "output_conductance",
        "threshold_tempco",
        "reference_temperature",
    ),
    mosfet_equations,
    corners=mosfet_corners,
    mirrored=True,
)
