"""The three-terminal regulator with a control that takes its time.

What regulation wants follows its error with one time constant: (1/(2π f_b))·dI_want/dt = V_err/R_o − I_want.  At rest
this is the regulator at rest, and the regulator's own equations are used for all the rest of it.
"""

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

from outboard.devices.charges.store import Store
from outboard.devices.device import Mathematics, Number
from outboard.devices.regulator import REGULATOR, _pass_currents, regulator_equations


class _Wanting:
    """A regulator's parameters, changed so that its equations want a current that is handed to them."""

    line_coefficient = 0.0
    set_voltage_tempco = 0.0

    def __init__(self, p: Any, output: Number, want: Number) -> None:
        self._p = p
        self.set_voltage = output + p.output_resistance * want

    def __getattr__(self, name: str) -> Number:
        return getattr(self._p, name)


def delayed_currents(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Currents into in, out and ref while the control wants `want`; last, want less what it should become."""
    *pins, want = x
    _, output, wanted, _, _ = _pass_currents(pins, p, m)
    flows = regulator_equations(pins, _Wanting(p, output, want), m)
    return *flows, want - wanted


def delayed_charge(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """τ·I_want in the row of the control."""
    return *(port * 0.0 for port in x[:-1]), p.control_time * x[-1]


DELAYED_REGULATOR = Store(
    "delayed_regulator", (*REGULATOR.ports, "want"), (*REGULATOR.parameters, "control_time"), delayed_charge,
    delayed_currents,
)  # fmt: skip


def wanted_current(x: Sequence[float], p: SimpleNamespace, m: Mathematics) -> float:
    """V_err/R_o, what the control of a regulator at rest wants [A]; port values in, out, ref, temperature."""
    return float(_pass_currents(x, p, m)[2])
