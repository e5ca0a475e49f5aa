"""The circuit as integer tables, and the scratch arrays of a solution; both are read by compiled code."""

from typing import Any, NamedTuple

Array = Any


class Tables(NamedTuple):
    """One circuit structure.  Unknown i has index i; index n is ground, n + 1 the ambient temperature.

    device, port_start, parameter_start, place_start, parameter_slope_start, corner_start   per element
    port, row            per element port: unknown read, balance written (n is the row of nobody)
    parameter            per element parameter: slot in the parameter vector
    place                per element derivative: place in the jacobian (the last is the place of nobody)
    entry_row, entry_column   per place of the jacobian, fill included
    pivot, pivot_row, pivot_column, lower_start, lower, lower_row, upper_start, upper, upper_column,
    update_start, target, factor, source
                         the elimination program (see elimination.py)
    diagonal             per unknown: place of its own derivative if it is a node, else the place of nobody
    is_temperature       per unknown
    junction_plus, junction_minus, junction_sign   forward voltages that a step must not overrun
    thermal_from         first step of the elimination that belongs to the thermal part
    parity               +1 or −1: sign of the row and column order
    raised               slots that are zero before the sources come up
    """

    device: Array
    port_start: Array
    parameter_start: Array
    place_start: Array
    parameter_slope_start: Array
    corner_start: Array
    port: Array
    row: Array
    parameter: Array
    place: Array
    entry_row: Array
    entry_column: Array
    pivot: Array
    pivot_row: Array
    pivot_column: Array
    lower_start: Array
    lower: Array
    lower_row: Array
    upper_start: Array
    upper: Array
    upper_column: Array
    update_start: Array
    target: Array
    factor: Array
    source: Array
    diagonal: Array
    is_temperature: Array
    junction_plus: Array
    junction_minus: Array
    junction_sign: Array
    raised: Array
    thermal_from: int
    parity: float
    dense: bool


class Scratch(NamedTuple):
    """Arrays that one thread reuses."""

    residual: Array
    jacobian: Array
    step: Array
    trial: Array
    earlier: Array
    kept_residual: Array
    kept_jacobian: Array
    anchor: Array
    parameters: Array
    parameters_from: Array
    parameters_to: Array
    matrix: Array
    right: Array
    inverse: Array
    held: Array
    corner: Array
    corner_ahead: Array
    ahead: Array
    here: Array
    last: Array
    earliest: Array
    guess: Array
    kept: Array
    beyond: Array
    stopped: Array
    along: Array
    along_next: Array
    found: Array


class Lanes(NamedTuple):
    """Arrays in which one thread solves several lanes together, [number, lane] flat unless said."""

    x: Array
    p: Array
    residual: Array
    jacobian: Array
    step: Array
    inverse: Array
    ahead: Array
    corner: Array
    corner_ahead: Array
    flow: Array
    here: Array
    """The last solution; `earlier`, `earliest`, `oldest` those before it."""
    earlier: Array
    earliest: Array
    oldest: Array
    kept: Array
    """The last solution that a lane had, and where along the sweep."""
    kept_point: Array
    state: Array
    outcome: Array
    electrical: Array
    total: Array
    first_electrical: Array
    first_total: Array
    spent: Array
    effort: Array
    standing: Array
    """Solved points in a row."""
    trust: Array
    """How many times in a row a lane may still look in vain whether it balances."""
    rows: Array
    """[lane, slot]: every lane's parameters."""
    notes: Array
    """[lane, 3]"""
    all: Array
    """Places of parameters in the order of elements: all, and room for those that are raised or swept."""
    raised: Array
    swept: Array
