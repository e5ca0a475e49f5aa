"""The three-terminal regulator, from what its data sheet promises.

It sources only: a soft corner keeps the pass current positive, so a leak into the output lifts it.
"""

from collections.abc import Sequence
from typing import Any

from outboard.devices.device import Device, Mathematics, Number
from outboard.devices.mathematics import logistic, soft_between, soft_least, soft_positive

QUIESCENT_CORNER = 0.01
"""Width of the soft corner with which quiescent current starts [V]."""

QUIESCENT_SCALE = 1.0
"""Input voltage over which quiescent current reaches 63 % of its value [V]."""


def _current_limit(differential: Number, t: Number, p: Any, m: Mathematics) -> Number:
    """Foldback: I_lim up to V_1, straight to I_sc at V_2; falls with temperature, shut down above T_sd."""
    along = (differential - p.foldback_start) / (p.foldback_end - p.foldback_start)
    along = m.choose(m.above(along, 0.0), m.choose(m.above(along, 1.0), 1.0, along), 0.0)
    cold = p.current_limit + (p.short_circuit_current - p.current_limit) * along
    drift = 1.0 + p.limit_tempco * (t - p.reference_temperature)
    return cold * drift * logistic((p.shutdown_temperature - t) / p.shutdown_width, m)


def _pass_currents(x: Sequence[Number], p: Any, m: Mathematics) -> tuple[Number, ...]:
    """Input-output differential, output, the current that regulation wants, what drop-out leaves, and the limit."""
    v_in, v_out, v_ref, t = x
    differential = p.polarity * (v_in - v_out)
    output = p.polarity * (v_out - v_ref)
    warmer = t - p.reference_temperature
    wanted = p.set_voltage * (1.0 + p.set_voltage_tempco * warmer)
    wanted = wanted * (1.0 + p.line_coefficient * (differential - p.nominal_differential))
    want = (wanted - output) / p.output_resistance
    room = (differential - p.dropout_voltage - p.dropout_tempco * warmer) / p.dropout_resistance
    return differential, output, want, room, _current_limit(differential, t, p, m)


def _soft_minimum(room: Number, limit: Number, p: Any, m: Mathematics) -> Number:
    """The smaller of what drop-out leaves and the limit, with round corners."""
    return soft_least(soft_positive(room, p.sharpness, m), limit, p.sharpness, m)


def regulator_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Currents into in, out and ref, and heat; the negative regulator is the mirror image."""
    differential, output, want, room, limit = _pass_currents(x, p, m)
    most = _soft_minimum(room, limit, p, m)
    current = soft_between(want, most, p.sharpness, m)

    supply = differential + output
    awake = 1.0 - m.exp(-soft_positive(supply, QUIESCENT_CORNER, m) / QUIESCENT_SCALE)
    above_nominal = soft_positive(differential - p.nominal_differential, QUIESCENT_CORNER, m)
    quiescent = (
        p.quiescent_current * awake
        + p.quiescent_load_coefficient * current
        + p.quiescent_line_coefficient * above_nominal
    )
    power = differential * current + supply * quiescent
    return p.polarity * (current + quiescent), -p.polarity * current, -p.polarity * quiescent, -power


def regulator_corners(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Where regulation begins, where it gives up, where drop-out ends and where the limit takes over."""
    _, _, want, room, limit = _pass_currents(x, p, m)
    most = _soft_minimum(room, limit, p, m)
    return want / p.sharpness, (want - most) / p.sharpness, room / p.sharpness, (room - limit) / p.sharpness


REGULATOR = Device(
    "regulator",
    ("in", "out", "ref", "temperature"),
    (
        "polarity",
        "set_voltage",
        "output_resistance",
        "line_coefficient",
        "nominal_differential",
        "set_voltage_tempco",
        "dropout_voltage",
        "dropout_resistance",
        "dropout_tempco",
        "current_limit",
        "short_circuit_current",
        "foldback_start",
        "foldback_end",
        "limit_tempco",
        "quiescent_current",
        "quiescent_load_coefficient",
        "quiescent_line_coefficient",
        "shutdown_temperature",
        "shutdown_width",
        "sharpness",
        "reference_temperature",
    ),
    regulator_equations,
    corners=regulator_corners,
    mirrored=True,
)
