"""The foldback limit of a bypass: sense base tapped between the sense resistor and the output.

    I_lim = (V_BE·(1 + k) − k·(V_I − V_O)) / R_S        k = R_a/R_b, R_a to the sense resistor, R_b to the output

Two demands fix both unknowns: the limit at full output voltage, and what is left at a shorted output.
"""

from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.limiting import I_FB, I_SC, I_div, I_lim, k
from outboard.formulas.vocabulary import R_S, V_BE, V_I, V_O

R_a = Annotated[float, Symbol("R_a", "Ω", "foldback divider, sense base to sense resistor")]
R_b = Annotated[float, Symbol("R_b", "Ω", "foldback divider, sense base to output")]


@formula(
    "k = V_BE / (I_SC·V_O / (I_FB − I_SC) + V_I − V_BE)",
    validity="same V_BE and input at both points; base current left out",
    source="derived",
)
def bypass_foldback_ratio(
    *,
    base_emitter_voltage: V_BE,
    short_circuit_current: I_SC,
    foldback_current: I_FB,
    input_voltage: V_I,
    output_voltage: V_O,
) -> k:
    """Divider ratio of a bypass's foldback for a chosen knee and short circuit [1]; NoSolution when it rises."""
    fall = foldback_current - short_circuit_current
    if fall <= 0:
        raise NoSolution(
            f"no foldback exists: the limit of {foldback_current:.4g} A lies below the {short_circuit_current:.4g} A "
            "that are to be left at a shorted output; choose less for the short circuit"
        )
    return base_emitter_voltage / (short_circuit_current * output_voltage / fall + input_voltage - base_emitter_voltage)


@formula(
    "R_S = k·V_O / (I_FB − I_SC)",
    validity="same V_BE and input at both points; base current left out",
    source="derived",
)
def bypass_foldback_sense_resistor(
    *, divider_ratio: k, output_voltage: V_O, foldback_current: I_FB, short_circuit_current: I_SC
) -> R_S:
    """Sense resistor of a bypass's foldback [Ω]."""
    return divider_ratio * output_voltage / (foldback_current - short_circuit_current)


@formula(
    "R_S = (V_BE·(1 + k) − k·(V_I − V_O)) / I_lim",
    validity="bypass; base current left out",
    source="derived",
)
def sense_resistor_with_foldback(
    *, base_emitter_voltage: V_BE, divider_ratio: k, input_voltage: V_I, output_voltage: V_O, limit_current: I_lim
) -> R_S:
    """Sense resistor that puts a folding limit at a current, for a divider that is there [Ω]; NoSolution without."""
    room = base_emitter_voltage * (1 + divider_ratio) - divider_ratio * (input_voltage - output_voltage)
    if room <= 0:
        raise NoSolution(
            f"no sense resistor exists: with {input_voltage - output_voltage:.4g} V across the stage the foldback "
            "divider alone turns the limiter on; choose a larger short-circuit current"
        )
    return room / limit_current


@formula("R_a = V_BE / I_div", validity="divider current ten times the base current, or more", source="Franco-11.10")
def foldback_upper_resistor(*, base_emitter_voltage: V_BE, divider_current: I_div) -> R_a:
    """Divider resistor of a bypass's foldback from sense base to sense resistor [Ω]."""
    return base_emitter_voltage / divider_current


@formula("R_b = R_a / k", validity="as its partner", source="derived")
def foldback_lower_resistor(*, upper_resistance: R_a, divider_ratio: k) -> R_b:
    """Divider resistor of a bypass's foldback from sense base to output [Ω]."""
    return upper_resistance / divider_ratio


@formula(
    "I_lim = (V_BE·(1 + k) + k·V_O) / R_S",
    validity="sense resistor in the output lead, divider to ground; base current left out",
    source="Franco-11.10",
)
def output_foldback_limit(
    *, base_emitter_voltage: V_BE, divider_ratio: k, output_voltage: V_O, sense_resistance: R_S
) -> I_lim:
    """Limit that shrinks as the output falls, sense resistor in the output lead [A]."""
    return (base_emitter_voltage * (1 + divider_ratio) + divider_ratio * output_voltage) / sense_resistance
