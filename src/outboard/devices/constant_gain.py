"""The transistor of hand algebra: a fixed base-emitter voltage, a fixed gain.

Its base current is an unknown of its own with i_B ≥ 0, V_0 − v_BE ≥ 0 and their product nearly nothing
(1e-15 W), so that a junction is either on or off.  The same holds for the part of the collector current
that saturation takes away.
"""

from collections.abc import Sequence
from typing import Any

from outboard.devices.device import Device, Mathematics, Number

LEFT_OVER = 1e-15
"""Product of base current and missing base-emitter voltage [W]."""


def complement(a: Number, b: Number, m: Mathematics) -> Number:
    """Zero exactly where a·b = 1e-15 with both positive: a + b − √(a² + b² + 2e-15), without cancellation."""
    length = m.sqrt(a * a + b * b + 2.0 * LEFT_OVER)
    total = a + b
    safe = m.choose(m.above(total, 0.0), total + length, 1.0)
    return m.choose(m.above(total, 0.0), 2.0 * (a * b - LEFT_OVER) / safe, total - length)


def constant_gain_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """i_C = β·i_B; on with v_BE = V_0, off with i_B = 0."""
    _, b, e, ib = x
    ic = p.gain * ib
    short = p.base_emitter_voltage - p.polarity * (b - e)
    return p.polarity * ic, p.polarity * ib, -p.polarity * (ic + ib), complement(ib, short, m)


CONSTANT_GAIN = Device(
    "constant_gain",
    ("collector", "base", "emitter", "base_current"),
    ("polarity", "gain", "base_emitter_voltage"),
    constant_gain_equations,
    mirrored=True,
)


def saturating_gain_equations(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """i_C = β·i_B − i_s, where i_s > 0 only when v_CE has come down to V_sat."""
    c, b, e, ib, lost = x
    ic = p.gain * ib - lost
    short = p.base_emitter_voltage - p.polarity * (b - e)
    spare = p.polarity * (c - e) - p.saturation_voltage
    return (
        p.polarity * ic,
        p.polarity * ib,
        -p.polarity * (ic + ib),
        complement(ib, short, m),
        complement(lost, spare, m),
    )


SATURATING_GAIN = Device(
    "saturating_gain",
    ("collector", "base", "emitter", "base_current", "lost_current"),
    ("polarity", "gain", "base_emitter_voltage", "saturation_voltage"),
    saturating_gain_equations,
    mirrored=True,
)
