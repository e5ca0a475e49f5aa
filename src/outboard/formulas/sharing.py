"""Sharing by a pair of resistors: one in the regulator lead, one in the transistor's emitter lead."""

from typing import Annotated

from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import I_B, I_E, I_O, I_REG, R1, R_D, R_E, V_BE, V_D

share_ratio = Annotated[float, Symbol("s", "1", "transistor current over regulator current")]


@formula(
    "I_E = max(0; (I_REG·R_D − V_BE) / R_E)",
    validity="no compensating diode; constant V_BE, base current left out",
    source="hobby-article-sharing",
)
def shared_current(
    *, regulator_current: I_REG, lead_resistance: R_D, base_emitter_voltage: V_BE, emitter_resistance: R_E
) -> I_E:
    """Transistor current set by two resistors, less what V_BE takes away [A]."""
    return max(0.0, (regulator_current * lead_resistance - base_emitter_voltage) / emitter_resistance)


@formula(
    "I_E = I_REG·R_D / R_E",
    validity="diode in the regulator lead cancels V_BE: like current density, like temperature",
    source="NEC-4.4",
)
def shared_current_compensated(*, regulator_current: I_REG, lead_resistance: R_D, emitter_resistance: R_E) -> I_E:
    """Transistor current set by two resistors when a diode cancels V_BE: a fixed ratio [A]."""
    return regulator_current * lead_resistance / emitter_resistance


@formula(
    "I_O = I_REG·(R_E + R_D) / R_E",
    validity="diode in the regulator lead cancels V_BE; base current left out",
    source="NEC-4.5",
)
def total_current_compensated(*, regulator_current: I_REG, lead_resistance: R_D, emitter_resistance: R_E) -> I_O:
    """Load current that belongs to a regulator current when a diode cancels V_BE [A]."""
    return regulator_current * (emitter_resistance + lead_resistance) / emitter_resistance


@formula("I_E = (V_D − V_BE) / R_E", validity="what the diode leaves uncancelled, added to the ratio", source="derived")
def sharing_error(*, diode_voltage: V_D, base_emitter_voltage: V_BE, emitter_resistance: R_E) -> I_E:
    """Error of the shared current because the diode is not the transistor [A]."""
    return (diode_voltage - base_emitter_voltage) / emitter_resistance


@formula(
    "I_REG = (V_BE + I_E·R_E) / R1 + I_B",
    validity="resistor in the bypass emitter (ballast or sense): the regulator's current at that load, any device",
    source="derived",
)
def regulator_current_with_emitter_resistor(
    *, base_emitter_voltage: V_BE, emitter_current: I_E, emitter_resistance: R_E, base_resistance: R1, base_current: I_B
) -> I_REG:
    """Regulator current when the bypass has a resistor in its emitter, often twice the hand-over current [A]."""
    return (base_emitter_voltage + emitter_current * emitter_resistance) / base_resistance + base_current


@formula(
    "R_D = s·R_E",
    validity="diode in the regulator lead cancels V_BE; R_E is the emitter resistance of all devices together",
    source="NEC-4.4",
)
def lead_resistor_for_share(*, share: share_ratio, emitter_resistance: R_E) -> R_D:
    """Resistor in the regulator lead for a wanted ratio of the two currents [Ω]."""
    return share * emitter_resistance
