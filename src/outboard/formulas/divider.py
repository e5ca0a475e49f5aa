"""The divider of an adjustable regulator: as small as its least load asks, in the ratio that the output asks.

The regulator holds V_REF across RA, from its output to its reference pin; what flows there flows on through RB to
ground, together with the current out of the reference pin.
"""

from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.regulator import R_bottom, R_top
from outboard.formulas.vocabulary import I_ADJ, V_O, V_REF

I_least = Annotated[float, Symbol("I_min", "A", "least load current of the regulator")]
tol_R = Annotated[float, Symbol("t_R", "1", "tolerance of each resistor, drift with temperature counted")]
tol_REF = Annotated[float, Symbol("t_REF", "1", "tolerance of the reference voltage")]
tol_O = Annotated[float, Symbol("t_O", "1", "tolerance of the output voltage")]


@formula(
    "RA = V_REF / I_min",
    validity="the divider alone draws the regulator's least load; V_REF at its least",
    source="adjustable-regulator-sheet",
)
def most_upper_resistor(*, reference_voltage: V_REF, least_load_current: I_least) -> R_top:
    """Greatest resistor from output to reference pin that still draws the regulator's least load [Ω]."""
    return reference_voltage / least_load_current


@formula("RB = (V_O − V_REF) / (V_REF / RA + I_ADJ)", validity="not in drop-out", source="Boylestad-15.15")
def lower_resistor(
    *, output_voltage: V_O, reference_voltage: V_REF, upper_resistance: R_top, adjustment_current: I_ADJ
) -> R_bottom:
    """Resistor from reference pin to ground for a wanted output [Ω]; NoSolution below the reference voltage."""
    if output_voltage < reference_voltage:
        raise NoSolution(
            f"no divider gives {output_voltage:.4g} V: an adjustable regulator holds its reference voltage of "
            f"{reference_voltage:.4g} V from output to reference pin, and cannot go below it; a regulator with a lower "
            "reference, or a reference pin on a voltage beyond ground, is needed"
        )
    return (output_voltage - reference_voltage) / (reference_voltage / upper_resistance + adjustment_current)


@formula(
    "t_O = t_REF + 2·t_R·(1 − V_REF / V_O)",
    validity="small tolerances, both resistors off in opposite ways; I_ADJ left out",
    source="derived",
)
def output_tolerance(
    *, reference_tolerance: tol_REF, resistor_tolerance: tol_R, reference_voltage: V_REF, output_voltage: V_O
) -> tol_O:
    """How far reference and divider together may put the output off [1]."""
    return reference_tolerance + 2 * resistor_tolerance * (1 - reference_voltage / output_voltage)
