"""Charges of junctions: depletion and what carriers in transit make up.

References
----------
[GummelPoon] Bell Syst. Tech. J. 49 (1970) p. 827; [Getreu] Modeling the Bipolar Transistor, 1976
"""

from collections.abc import Sequence
from typing import Any

from outboard.devices.bipolar import LEAST_DENOMINATOR, _base_charge, _injected
from outboard.devices.charges.store import Store
from outboard.devices.device import Mathematics, Number
from outboard.devices.junction import diode_equations

TANGENT_FROM = 0.5
"""Share of the built-in potential from which the depletion capacitance goes on along its tangent."""


def depletion_charge(v: Number, capacitance: Number, potential: Number, grading: Number, m: Mathematics) -> Number:
    """Charge of a depletion layer whose capacitance is C·(1 − v/V_J)^(−M), along its tangent from v = V_J/2 on.

    Q = C·V_J/(1 − M)·(1 − (1 − v/V_J)^(1 − M)) below the bend; above it the integral of the tangent is added.
    """
    bend = TANGENT_FROM * potential
    past = m.above(v, bend)
    below = m.choose(past, bend, v)
    left = 1.0 - below / potential
    curved = capacitance * potential / (1.0 - grading) * (1.0 - m.exp((1.0 - grading) * m.log(left)))
    over = m.choose(past, v - bend, 0.0)
    at_bend = capacitance * m.exp(-grading * m.log(1.0 - TANGENT_FROM))
    slope = at_bend * grading / (potential * (1.0 - TANGENT_FROM))
    return curved + over * (at_bend + 0.5 * slope * over)


def diode_charge(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Q = τ·i + depletion charge at the junction's own voltage."""
    moving = p.transit_time * diode_equations(x, p, m)[0]
    still = depletion_charge(x[0] - x[1], p.junction_capacitance, p.junction_potential, p.grading, m)
    return moving + still, -(moving + still), x[2] * 0.0


DIODE_CHARGE = Store(
    "diode_charge",
    ("anode", "cathode", "temperature"),
    (
        "saturation_current", "emission_coefficient", "bandgap_eV", "temperature_exponent", "reference_temperature",
        "transit_time", "junction_capacitance", "junction_potential", "grading",
    ),
    diode_charge,
)  # fmt: skip


def bipolar_charge(x: Sequence[Number], p: Any, m: Mathematics) -> Sequence[Number]:
    """Q_BE = τ_F·I_F/q_b + depletion of C_E; Q_BC = τ_R·I_R + depletion of C_C; the opposite polarity is mirrored."""
    vbe, vbc, _, _, forward, reverse = _injected(x, p, m)
    denominator, charge = _base_charge(vbe, vbc, forward, reverse, p)
    denominator = m.choose(m.above(denominator, LEAST_DENOMINATOR), denominator, LEAST_DENOMINATOR)
    charge = m.choose(m.above(charge, LEAST_DENOMINATOR), charge, LEAST_DENOMINATOR)
    moving = p.forward_transit_time * 2.0 * forward * denominator / (1.0 + m.sqrt(charge))
    emitter = moving + depletion_charge(vbe, p.emitter_capacitance, p.emitter_potential, p.emitter_grading, m)
    collector = p.reverse_transit_time * reverse + depletion_charge(
        vbc, p.collector_capacitance, p.collector_potential, p.collector_grading, m
    )
    at_base = p.polarity * (emitter + collector)
    return -p.polarity * collector, at_base, -p.polarity * emitter, x[3] * 0.0


BIPOLAR_CHARGE = Store(
    "bipolar_charge",
    ("collector", "base", "emitter", "temperature"),
    (
        "polarity", "saturation_current", "forward_emission", "reverse_emission",
        "inverse_forward_early_voltage", "inverse_reverse_early_voltage",
        "inverse_forward_knee_current", "inverse_reverse_knee_current",
        "bandgap_eV", "current_temperature_exponent", "reference_temperature",
        "forward_transit_time", "reverse_transit_time",
        "emitter_capacitance", "emitter_potential", "emitter_grading",
        "collector_capacitance", "collector_potential", "collector_grading",
    ),
    bipolar_charge,
)  # fmt: skip
