"""The base resistor of a bypass: from a hand-over current, from the regulator's limit, and the window it must lie in.

Too small a resistor overloads the regulator before the transistor takes over (cold, low gain, high V_BE); too large
a one lets quiescent and leakage current turn the transistor on with no load (hot, low V_BE).  A resistance in the
transistor's emitter lead adds its drop to V_BE.
"""

from outboard.formulas.formula import NoSolution, formula
from outboard.formulas.vocabulary import (
    I_C,
    I_O,
    I_REG,
    R1,
    V_BE,
    I_CBO_hot,
    I_h,
    I_O_most,
    I_Q_most,
    I_REG_most,
    R1_least,
    R1_most,
    V_BE_hot,
    V_BE_most,
    h_FE,
    h_FE_least,
)


@formula("R1 = V_BE / I_h", validity="V_BE at the onset of conduction", source="Floyd-17.7")
def base_resistor_for_handover(*, base_emitter_voltage: V_BE, handover_current: I_h) -> R1:
    """Base resistor that lets the transistor start at a chosen regulator current [Ω]."""
    return base_emitter_voltage / handover_current


@formula(
    "R1 = h_FE·V_BE / (I_REG·(h_FE + 1) − I_O)",
    validity="constant V_BE and h_FE; exists only while I_O < (h_FE + 1)·I_REG",
    source="LM340-boost",
)
def base_resistor(*, current_gain: h_FE, base_emitter_voltage: V_BE, regulator_current: I_REG, load_current: I_O) -> R1:
    """Base resistor that leaves the regulator a chosen current at a given load [Ω]; NoSolution when none does."""
    spare = regulator_current * (current_gain + 1) - load_current
    if spare <= 0:
        raise NoSolution(
            f"no base resistor exists: with a gain of {current_gain:.4g} a regulator current of "
            f"{regulator_current:.4g} A supports at most {(current_gain + 1) * regulator_current:.4g} A, "
            f"the load takes {load_current:.4g} A; more gain (a driver) or more regulator current is needed"
        )
    return current_gain * base_emitter_voltage / spare


@formula(
    "R1 = V_BE / (I_REG − I_C / h_FE)",
    validity="I_C is the transistor's own current, not the total; exists only while I_C < h_FE·I_REG",
    source="NEC-4.1",
)
def base_resistor_for_bypass_current(
    *, base_emitter_voltage: V_BE, regulator_current: I_REG, bypass_current: I_C, current_gain: h_FE
) -> R1:
    """Base resistor for a chosen split between regulator and transistor [Ω]; NoSolution when the base takes it all."""
    through_resistor = regulator_current - bypass_current / current_gain
    if through_resistor <= 0:
        raise NoSolution(
            f"no base resistor exists: {bypass_current:.4g} A of collector current at a gain of {current_gain:.4g} "
            f"needs {bypass_current / current_gain:.4g} A of base current, all that the regulator draws is "
            f"{regulator_current:.4g} A; more gain (a driver) or more regulator current is needed"
        )
    return base_emitter_voltage / through_resistor


@formula(
    "I_O,max = (h_FE + 1)·I_REG",
    validity="constant h_FE; reached with the base resistor left out, less with any resistor",
    source="derived",
)
def greatest_load_current(*, current_gain: h_FE, regulator_current: I_REG) -> I_O_most:
    """Load beyond which no base resistor can save the regulator [A]."""
    return (current_gain + 1) * regulator_current


@formula(
    "R1,min = V_BE,max / (I_REG,max − (I_O,max − I_REG,max) / h_FE,min)",
    validity="overload corner, I_O,max above I_REG,max; quiescent current left out (on the safe side)",
    source="NEC-4.1",
)
def least_base_resistor(
    *,
    base_emitter_voltage: V_BE_most,
    regulator_current: I_REG_most,
    load_current: I_O_most,
    current_gain: h_FE_least,
) -> R1_least:
    """Least base resistor that keeps the regulator within its limit at full load [Ω]; NoSolution when none does."""
    return base_resistor_for_bypass_current(
        base_emitter_voltage=base_emitter_voltage,
        regulator_current=regulator_current,
        bypass_current=load_current - regulator_current,
        current_gain=current_gain,
    )


@formula(
    "R1,max = V_BE,hot / (I_Q,max + I_CBO,hot)",
    validity="no load on the regulator itself; hot corner: greatest quiescent and leakage current, least V_BE",
    source="derived",
)
def most_base_resistor(
    *, base_emitter_voltage: V_BE_hot, quiescent_current: I_Q_most, leakage_current: I_CBO_hot = 0.0
) -> R1_most:
    """Greatest base resistor at which the transistor still stays off without load [Ω]."""
    return base_emitter_voltage / (quiescent_current + leakage_current)
