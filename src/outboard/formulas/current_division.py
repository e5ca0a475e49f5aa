"""How the load current divides between a regulator and the transistor that bypasses it.

The transistor's emitter and R1 hang on the input, the regulator draws through R1, the collector feeds the output:

    I_O = I_REG + I_C        I_REG = V_BE/R1 + I_B        I_C = h_FE·I_B

With constant V_BE and h_FE this is solved exactly below.  The quiescent current is left out: to count it, put
I_O + I_Q for I_O, and I_REG is then the current into the regulator.
"""

from outboard.formulas.formula import formula
from outboard.formulas.vocabulary import I_C, I_O, I_REG, R1, R_L, V_BE, V_O, V_R, I_h, h_FE


@formula("I_O = V_O / R_L", validity="resistive load", source="Floyd-17.8")
def load_current_of_resistance(*, output_voltage: V_O, load_resistance: R_L) -> I_O:
    """Current that a load resistance draws from the output [A]."""
    return output_voltage / load_resistance


@formula("V_R = I_REG·R1", validity="base current left out: exact below hand-over", source="RoyChoudhury-6.1")
def base_resistor_drop(*, regulator_current: I_REG, base_resistance: R1) -> V_R:
    """Voltage across the base resistor while the regulator alone draws through it [V]."""
    return regulator_current * base_resistance


@formula("I_h = V_BE / R1", validity="V_BE taken at the onset of conduction, about 0.6 V cold", source="kit-manual-p5")
def handover_current(*, base_emitter_voltage: V_BE, base_resistance: R1) -> I_h:
    """Regulator current at which the bypass transistor starts to conduct [A]."""
    return base_emitter_voltage / base_resistance


@formula(
    "I_REG = min(I_O; (I_O + h_FE·V_BE / R1) / (h_FE + 1))",
    validity="constant V_BE and h_FE, no current limit reached, quiescent current left out",
    source="RoyChoudhury-6.1",
)
def regulator_current(
    *, load_current: I_O, current_gain: h_FE, base_emitter_voltage: V_BE, base_resistance: R1
) -> I_REG:
    """Regulator's share of the load current, exact for constant gain and V_BE [A].

    Below hand-over the first term rules, above it the second; they meet at I_O = V_BE/R1.
    """
    shared = (load_current + current_gain * base_emitter_voltage / base_resistance) / (current_gain + 1)
    return min(load_current, shared)


@formula(
    "I_C = max(0; h_FE·(I_O − V_BE / R1) / (h_FE + 1))",
    validity="constant V_BE and h_FE, no current limit reached, quiescent current left out",
    source="RoyChoudhury-6.1",
)
def bypass_current(*, load_current: I_O, current_gain: h_FE, base_emitter_voltage: V_BE, base_resistance: R1) -> I_C:
    """Bypass transistor's share of the load current, exact for constant gain and V_BE [A]."""
    beyond = load_current - base_emitter_voltage / base_resistance
    return max(0.0, current_gain * beyond / (current_gain + 1))


@formula(
    "I_C = max(0; h_FE·(I_REG − V_BE / R1))",
    validity="constant V_BE and h_FE; I_REG is the current drawn through the base resistor and the base",
    source="NEC-4.2",
)
def bypass_current_from_regulator(
    *, regulator_current: I_REG, current_gain: h_FE, base_emitter_voltage: V_BE, base_resistance: R1
) -> I_C:
    """Bypass transistor's current when the regulator's is known [A]."""
    return max(0.0, current_gain * (regulator_current - base_emitter_voltage / base_resistance))


@formula(
    "I_O = I_REG + max(0; h_FE·(I_REG − V_BE / R1))",
    validity="constant V_BE and h_FE, quiescent current left out",
    source="NEC-4.2",
)
def load_current(
    *, regulator_current: I_REG, current_gain: h_FE, base_emitter_voltage: V_BE, base_resistance: R1
) -> I_O:
    """Load current that belongs to a regulator current; with the limit put in, where the stage gives up [A]."""
    return regulator_current + bypass_current_from_regulator(
        regulator_current=regulator_current,
        current_gain=current_gain,
        base_emitter_voltage=base_emitter_voltage,
        base_resistance=base_resistance,
    )


@formula("I_C = I_O − I_REG", validity="node law at the output, any device", source="Floyd-17.8")
def current_beyond_regulator(*, load_current: I_O, regulator_current: I_REG) -> I_C:
    """What the bypass must carry when the regulator's share is set [A]."""
    return load_current - regulator_current
