"""How much of a resistor's rating one policy leaves: full share up to a temperature, then a straight line to nothing.

Figures of MIL-STD-975M (NASA, 1994; cancelled in 1998, of historical value), temperatures in kelvin.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Annotated

from outboard.constants import ZERO_CELSIUS
from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import P_0, P, R, T, d

d_0 = Annotated[float, Symbol("d_0", "1", "share of the rating that the policy allows when cool")]
T_full = Annotated[float, Symbol("T_1", "°C", "temperature up to which the full share holds")]
T_none = Annotated[float, Symbol("T_2", "°C", "temperature at which nothing is left")]
d_V = Annotated[float, Symbol("d_V", "1", "share of the voltage that the policy allows")]
V_max = Annotated[float, Symbol("V_max", "V", "greatest continuous voltage of the style")]
V_all = Annotated[float, Symbol("V_all", "V", "voltage that the policy allows")]


@dataclass(frozen=True, slots=True)
class ResistorPolicy:
    """Share of rated power for a group of resistor styles, and the temperatures of its knee and of its end [K]."""

    styles: str
    share: float
    full_until: float
    nothing_from: float
    source: str


def _line(styles: str, share: float, full_until: float, nothing_from: float) -> ResistorPolicy:
    """A row of the standard, temperatures in °C."""
    ends = ZERO_CELSIUS + full_until, ZERO_CELSIUS + nothing_from
    return ResistorPolicy(styles, share, *ends, "MIL-STD-975M-resistors")


POLICY = (
    _line("RNR, RNC, RNN film", 0.60, 125, 155),
    _line("RWR, RER wirewound", 0.60, 30, 175),
    _line("RLR film", 0.30, 70, 94),
    _line("RCR composition", 0.60, 70, 110),
    _line("RBR accurate wirewound", 0.60, 125, 137),
    _line("RTR variable wirewound", 0.60, 85, 125),
    _line("RZO network", 0.60, 70, 125),
    _line("RM chip", 0.60, 70, 118),
)


@formula(
    "d = d_0·max(0; min(1; (T_2 − T) / (T_2 − T_1)))",
    validity="T at the body's surroundings",
    source="MIL-STD-975M-resistors",
)
def used_share_at(*, share: d_0, temperature: T, full_until: T_full, nothing_from: T_none) -> d:
    """Share of rated power that a policy leaves at a temperature [1]."""
    return share * max(0.0, min(1.0, (nothing_from - temperature) / (nothing_from - full_until)))


@formula("V_all = d_V·min(V_max; √(P_0·R))", validity="direct voltage", source="MIL-STD-975M-resistors")
def allowed_voltage(*, voltage_share: d_V, style_voltage: V_max, rated_power: P_0, resistance: R) -> V_all:
    """Voltage that a policy allows across a resistor [V]."""
    return voltage_share * min(style_voltage, sqrt(rated_power * resistance))


@formula("P = 4·P_0", validity="film resistors, single pulses", source="MIL-HDBK-978B-pulse")
def greatest_pulse_power(*, rated_power: P_0) -> P:
    """Peak power that a film resistor may see in a pulse [W]."""
    return 4 * rated_power


@formula("V_all = 1.4·V_max", validity="film resistors, low duty", source="MIL-HDBK-978B-pulse")
def greatest_pulse_voltage(*, style_voltage: V_max) -> V_all:
    """Peak voltage that a film resistor may see at low duty [V]."""
    return 1.4 * style_voltage
