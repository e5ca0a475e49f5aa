"""Current limiting by a sense transistor, foldback, and thermal shutdown by a junction.

A transistor whose base-emitter voltage stands across a sense resistor conducts when the drop reaches V_BE and takes the
drive away.  In a bypass it must carry the whole short-circuit current of the regulator.
"""

from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.vocabulary import I_O, R_S, V_BE, V_BE2, V_I, V_O, V_REF, I_REG_most, P_max, tempco

I_lim = Annotated[float, Symbol("I_lim", "A", "limit current through the sense resistor")]
tc_I = Annotated[float, Symbol("tc_I", "1/K", "relative change of the limit with temperature")]
k = Annotated[float, Symbol("k", "1", "R_a/R_b: bypass emitter to sense base over sense base to output")]
I_SC = Annotated[float, Symbol("I_SC", "A", "short-circuit current")]
I_FB = Annotated[float, Symbol("I_FB", "A", "current at which foldback begins")]
R_SC = Annotated[float, Symbol("R_SC", "Ω", "sense resistor without foldback: V_BE / I_SC")]
R_FB = Annotated[float, Symbol("R_FB", "Ω", "sense resistor with foldback")]
rho = Annotated[float, Symbol("ρ", "1", "ratio R3/R4 of the foldback divider")]
I_div = Annotated[float, Symbol("I_div", "A", "current through the divider, about ten times the base current")]
R_3 = Annotated[float, Symbol("R3", "Ω", "foldback divider, sense base to sense resistor")]
R_4 = Annotated[float, Symbol("R4", "Ω", "foldback divider, sense base to ground (the output's return)")]
R_low = Annotated[float, Symbol("R_low", "Ω", "lower resistor of the shutdown divider")]
R_up = Annotated[float, Symbol("R_up", "Ω", "upper resistor of the shutdown divider")]


@formula("I_lim = V_BE / R_S", validity="constant V_BE, base current left out", source="Floyd-17.4")
def sense_limit(*, base_emitter_voltage: V_BE, sense_resistance: R_S) -> I_lim:
    """Current at which the sense transistor takes over [A]."""
    return base_emitter_voltage / sense_resistance


@formula("R_S = V_BE / I_lim", validity="constant V_BE, base current left out", source="Floyd-17.7")
def sense_resistor(*, base_emitter_voltage: V_BE, limit_current: I_lim) -> R_S:
    """Sense resistor for a chosen limit [Ω]."""
    return base_emitter_voltage / limit_current


@formula("tc_I = k_V / V_BE", validity="about −0.3 %/K; the resistor's own tempco left out", source="derived")
def sense_limit_tempco(*, voltage_tempco: tempco, base_emitter_voltage: V_BE) -> tc_I:
    """How the limit moves with the temperature of the sense transistor [1/K]."""
    return voltage_tempco / base_emitter_voltage


@formula(
    "I_O = V_BE2 / R_S + I_REG,max",
    validity="sense resistor in the bypass emitter lead; bypass held at V_BE2/R_S, the regulator then limits itself",
    source="NEC-4.3",
)
def bypass_total_limit(*, base_emitter_voltage: V_BE2, sense_resistance: R_S, regulator_limit: I_REG_most) -> I_O:
    """Total output current at which a sense-limited bypass stage gives up [A]."""
    return base_emitter_voltage / sense_resistance + regulator_limit


@formula(
    "I_lim = (V_BE·(1 + k) − k·(V_I − V_O)) / R_S",
    validity="foldback in a bypass, sense base tapped between bypass emitter and output; base current left out",
    source="derived",
)
def bypass_foldback_limit(
    *, base_emitter_voltage: V_BE, divider_ratio: k, input_voltage: V_I, output_voltage: V_O, sense_resistance: R_S
) -> I_lim:
    """Bypass current limit that shrinks as the voltage across the stage grows [A]."""
    across = input_voltage - output_voltage
    return (base_emitter_voltage * (1 + divider_ratio) - divider_ratio * across) / sense_resistance


@formula(
    "I_SC = P_max / V_I", validity="output at 0 V: the whole input stands across the pass device", source="Franco-11.10"
)
def short_circuit_current_for_power(*, greatest_power: P_max, input_voltage: V_I) -> I_SC:
    """Short-circuit current that a power rating allows [A]."""
    return greatest_power / input_voltage


@formula("I_FB = P_max / (V_I − V_O)", validity="output still in regulation", source="Franco-11.10")
def foldback_current_for_power(*, greatest_power: P_max, input_voltage: V_I, output_voltage: V_O) -> I_FB:
    """Full-load current that a power rating allows [A]."""
    return greatest_power / (input_voltage - output_voltage)


@formula(
    "R_FB = 1 / (1 / R_SC − (I_FB − I_SC) / V_O)",
    validity="sense resistor in the output lead; constant V_BE",
    source="Franco-11.10",
)
def foldback_resistor(
    *, plain_sense_resistance: R_SC, foldback_current: I_FB, short_circuit_current: I_SC, output_voltage: V_O
) -> R_FB:
    """Sense resistor with foldback, for a chosen knee and short-circuit current [Ω]; NoSolution when too steep."""
    conductance = 1 / plain_sense_resistance - (foldback_current - short_circuit_current) / output_voltage
    if conductance <= 0:
        raise NoSolution(
            "no foldback resistor exists: the knee lies too far above the short-circuit current for this output "
            "voltage; choose a larger short-circuit current or a lower knee"
        )
    return 1 / conductance


@formula("ρ = R_FB / R_SC − 1", validity="base current small against the divider's", source="Franco-11.10")
def foldback_divider_ratio(*, foldback_resistance: R_FB, plain_sense_resistance: R_SC) -> rho:
    """Ratio of the divider that makes the limit fold back [1]."""
    return foldback_resistance / plain_sense_resistance - 1


@formula(
    "R4 = V_BE / (I_div·(1 + ρ))", validity="divider current set by V_BE across both resistors", source="Franco-11.10"
)
def foldback_divider_resistor(*, base_emitter_voltage: V_BE, divider_current: I_div, divider_ratio: rho) -> R_4:
    """Divider resistor R4 of a foldback limit, from sense base to ground [Ω]."""
    return base_emitter_voltage / (divider_current * (1 + divider_ratio))


@formula("R3 = ρ·R4", validity="as its partner", source="Franco-11.10")
def foldback_divider_partner(*, divider_ratio: rho, divider_resistance: R_4) -> R_3:
    """Divider resistor R3 of a foldback limit, from sense base to sense resistor [Ω]."""
    return divider_ratio * divider_resistance


@formula("R_low = V_BE / I_div", validity="V_BE at the trip temperature", source="Franco-11.11")
def shutdown_lower_resistor(*, base_emitter_voltage: V_BE, divider_current: I_div) -> R_low:
    """Lower resistor of a divider that trips a junction when it is hot [Ω]."""
    return base_emitter_voltage / divider_current


@formula("R_up = (V_REF − V_BE) / I_div", validity="V_BE at the trip temperature", source="Franco-11.11")
def shutdown_upper_resistor(*, reference_voltage: V_REF, base_emitter_voltage: V_BE, divider_current: I_div) -> R_up:
    """Upper resistor of a divider that trips a junction when it is hot [Ω]."""
    return (reference_voltage - base_emitter_voltage) / divider_current
