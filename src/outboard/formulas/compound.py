"""Two transistors as one: driver and pass device, with the bleed resistor between base and emitter of the pass device.

Complementary pair in a bypass: PNP driver, NPN pass device.  The driver's collector current I_C1 splits into the bleed
current V_BE2/R2 and the pass device's base current; everything reaches the output:

    I_O = I_REG + I_C1 + I_C2        I_C1 = h_FE1·(I_REG − V_BE1/R1)        I_C2 = h_FE2·(I_C1 − V_BE2/R2)
"""

from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.vocabulary import I_C, I_C1, I_C2, I_O, I_REG, R1, R2, V_BE1, V_BE2, I_on, h_FE, h_FE1, h_FE2

I_C1_most = Annotated[float, Symbol("I_C1,max", "A", "greatest current that the driver may carry")]
R2_least = Annotated[float, Symbol("R2,min", "Ω", "least bleed resistor")]


@formula("h_FE = h_FE1 + (h_FE1 + 1)·h_FE2", validity="Darlington pair, no bleed resistor", source="course-darlington")
def darlington_gain(*, driver_gain: h_FE1, pass_gain: h_FE2) -> h_FE:
    """Current gain of two like transistors, emitter into base [1]."""
    return driver_gain + (driver_gain + 1) * pass_gain


@formula(
    "h_FE = h_FE1·(h_FE2 + 1)",
    validity="complementary pair, no bleed resistor; with one, the slope beyond its onset current",
    source="guide-complementary-pair",
)
def complementary_gain(*, driver_gain: h_FE1, pass_gain: h_FE2) -> h_FE:
    """Current gain of a driver and a pass device of opposite polarity, collector into base [1]."""
    return driver_gain * (pass_gain + 1)


@formula("I_on = V_BE2 / R2", validity="V_BE2 at the onset of conduction", source="derived")
def bleed_onset_current(*, base_emitter_voltage: V_BE2, bleed_resistance: R2) -> I_on:
    """Driver current that the bleed resistor swallows before the pass device conducts [A]."""
    return base_emitter_voltage / bleed_resistance


@formula(
    "I_C1 = I_C2 / h_FE2 + V_BE2 / R2", validity="pass device conducting, constant V_BE2 and h_FE2", source="derived"
)
def driver_current(*, pass_current: I_C2, pass_gain: h_FE2, base_emitter_voltage: V_BE2, bleed_resistance: R2) -> I_C1:
    """Current that the driver must deliver: base current of the pass device plus bleed current [A]."""
    return pass_current / pass_gain + base_emitter_voltage / bleed_resistance


@formula(
    "I_C1 = min(I_C; (I_C + h_FE2·V_BE2 / R2) / (h_FE2 + 1))",
    validity="constant V_BE2 and h_FE2; I_C is what the pair carries past the regulator; of a Darlington pair the "
    "driver's base current is left out",
    source="derived",
)
def driver_current_of_pair(
    *, pair_current: I_C, pass_gain: h_FE2, base_emitter_voltage: V_BE2, bleed_resistance: R2
) -> I_C1:
    """Driver's share of what driver and pass device carry together [A]."""
    at_bleed = pass_gain * base_emitter_voltage / bleed_resistance
    return min(pair_current, (pair_current + at_bleed) / (pass_gain + 1))


@formula("I_C2 = max(0; h_FE2·(I_C1 − V_BE2 / R2))", validity="constant V_BE2 and h_FE2", source="derived")
def pass_current(*, driver_current: I_C1, pass_gain: h_FE2, base_emitter_voltage: V_BE2, bleed_resistance: R2) -> I_C2:
    """Collector current of the pass device that a driver current gives [A]."""
    return max(0.0, pass_gain * (driver_current - base_emitter_voltage / bleed_resistance))


@formula(
    "I_REG = min(I_O; (I_O + h_FE1·V_BE1 / R1) / (h_FE1 + 1); "
    "(I_O + h_FE1·(h_FE2 + 1)·V_BE1 / R1 + h_FE2·V_BE2 / R2) / (h_FE1·(h_FE2 + 1) + 1))",
    validity="constant V_BE and gains, quiescent current left out (put I_O + I_Q for I_O to count it)",
    source="derived",
)
def compound_regulator_current(
    *,
    load_current: I_O,
    driver_gain: h_FE1,
    pass_gain: h_FE2,
    driver_base_emitter_voltage: V_BE1,
    pass_base_emitter_voltage: V_BE2,
    base_resistance: R1,
    bleed_resistance: R2,
) -> I_REG:
    """Regulator's share with driver and pass device, exact for constant gains and V_BE [A].

    Three straight lines: regulator alone; regulator and driver; all three.  Each is the lowest where it rules.
    """
    at_base = driver_base_emitter_voltage / base_resistance
    at_bleed = pass_base_emitter_voltage / bleed_resistance
    both = driver_gain * (pass_gain + 1)
    with_driver = (load_current + driver_gain * at_base) / (driver_gain + 1)
    with_pass = (load_current + both * at_base + pass_gain * at_bleed) / (both + 1)
    return min(load_current, with_driver, with_pass)


@formula(
    "I_C1 = I_C / (h_FE2 + 1)",
    validity="pair without a bleed resistor; I_C is what it carries past the regulator; of a Darlington pair the "
    "driver's base current is left out",
    source="derived",
)
def driver_current_without_bleed(*, pair_current: I_C, pass_gain: h_FE2) -> I_C1:
    """Driver's share of what driver and pass device carry together when there is no bleed resistor [A]."""
    return pair_current / (pass_gain + 1)


@formula(
    "R2,min = V_BE2 / (I_C1,max − I_C2 / h_FE2)",
    validity="full load; exists only while the pass device's base current leaves the driver some current",
    source="derived",
)
def least_bleed_resistor(
    *, base_emitter_voltage: V_BE2, driver_current: I_C1_most, pass_current: I_C2, pass_gain: h_FE2
) -> R2_least:
    """Least bleed resistor that the driver can feed beside the pass device's base [Ω]; NoSolution when none is."""
    spare = driver_current - pass_current / pass_gain
    if spare <= 0:
        raise NoSolution(
            f"no bleed resistor exists: {pass_current:.4g} A at a gain of {pass_gain:.4g} take "
            f"{pass_current / pass_gain:.4g} A of base current, the driver may carry {driver_current:.4g} A; "
            "a larger or better cooled driver, or more gain, is needed"
        )
    return base_emitter_voltage / spare
