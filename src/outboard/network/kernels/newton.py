"""Newton's method on one circuit.

A point counts as solved when every balance closes to 1e-12 (A or W) plus eight roundings of its largest term; one of
the eight is left to whoever adds up the balance in another order.
Steps stop at what junctions bear and at the bends that devices declare; no place gets more than 20 K colder than the
surroundings, since nothing here cools.
"""

from outboard.network.generated import assemble, compiled, evaluate_corners, inlined
from outboard.network.kernels.elimination import UNCOUNTED, copy, eliminate, eliminate_densely

BALANCE = 1e-12
ROUNDINGS = 7.0 * 2.220446049250313e-16
COLDER = 20.0
PAST_CORNER = 8.0
SMALL_STEP = 1e-4
POLISHED = 1e-8
NEAR = 1e-5
QUICKLY = 0.1
MOST_POLISHES = 15
FAR = 0.1


@inlined
def balance(x, p, tables, scratch, holding, electrical_anchor, thermal_anchor):
    """Residual and jacobian at x, with held unknowns and with anchors g·(x − anchor) on the nodes."""
    pivots = tables.pivot
    diagonal = tables.diagonal
    entry_row = tables.entry_row
    is_temperature = tables.is_temperature
    residual = scratch.residual
    jacobian = scratch.jacobian
    anchor = scratch.anchor
    held = scratch.held
    assemble(x, p, tables, residual, jacobian)
    n = pivots.size
    if electrical_anchor > 0.0 or thermal_anchor > 0.0:
        for i in range(n):
            place = diagonal[i]
            if place < entry_row.size:
                g = thermal_anchor if is_temperature[i] else electrical_anchor
                residual[i] += g * (x[i] - anchor[i])
                jacobian[place] += g
    if holding:
        for place in range(entry_row.size):
            if held[entry_row[place]]:
                jacobian[place] = 0.0
        for i in range(n):
            if held[i]:
                residual[i] = 0.0
                jacobian[diagonal[i]] = 1.0


@inlined
def is_balanced(x, tables, residual, jacobian, right):
    """True when every residual is below 1e-12 plus seven roundings of its largest term."""
    pivots = tables.pivot
    entry_row = tables.entry_row
    entry_column = tables.entry_column
    n = pivots.size
    worst = 0.0
    for i in range(n):
        size = abs(residual[i])
        if not size < 1e300:
            return False
        worst = max(worst, size)
    if worst <= BALANCE:
        return True
    for i in range(n):
        right[i] = 0.0
    for place in range(entry_row.size):
        i = entry_row[place]
        term = abs(jacobian[place] * x[entry_column[place]])
        if term > right[i]:
            right[i] = term
    for i in range(n):
        if abs(residual[i]) > BALANCE + ROUNDINGS * right[i]:
            return False
    return True


@inlined
def allowed_share(x, step, tables):
    """Share of a Newton step that keeps junctions within 0.15 V past 0.5 V and temperatures within 40 K."""
    junction_plus = tables.junction_plus
    junction_minus = tables.junction_minus
    junction_sign = tables.junction_sign
    pivots = tables.pivot
    is_temperature = tables.is_temperature
    share = 1.0
    for j in range(junction_plus.size):
        plus, minus = junction_plus[j], junction_minus[j]
        rise = junction_sign[j] * (step[plus] - step[minus])
        if rise > 0.15:
            forward = junction_sign[j] * (x[plus] - x[minus])
            if forward + rise > 0.5:
                share = min(share, max(0.5 - forward, 0.15) / rise)
    for i in range(pivots.size):
        if is_temperature[i]:
            rise = abs(step[i])
            if rise > 40.0:
                share = min(share, 40.0 / rise)
    return share


@inlined
def share_to_corner(x, p, tables, scratch, share):
    """The share of a step that goes no further than just past the first sharp bend that it crosses.

    Between bends the equations are nearly straight, so that Newton's method walks from piece to piece.
    """
    pivots = tables.pivot
    ahead = scratch.ahead
    corner = scratch.corner
    corner_ahead = scratch.corner_ahead
    step = scratch.step
    n = pivots.size
    for i in range(n + 2):
        ahead[i] = x[i] + share * step[i]
    evaluate_corners(x, p, tables, corner)
    evaluate_corners(ahead, p, tables, corner_ahead)
    nearest = 1.0
    for k in range(corner.size):
        here, there = corner[k], corner_ahead[k]
        if here * there < 0.0 and abs(there) > PAST_CORNER:
            nearest = min(nearest, (abs(here) + PAST_CORNER) / (abs(here) + abs(there)))
    return share * nearest


@compiled
def newton(x, p, tables, scratch, holding, electrical_anchor, thermal_anchor, most_iterations):
    """Newton's method from x, which is overwritten: (solved, iterations, the counts and the sign of `eliminate`).

    The last jacobian, anchors included, stays in `scratch.kept_jacobian`.
    After a whole step of less than 1e-5 (V or K), and much less than the one before, the error is that squared over
    V_T: a balanced point is then exact to 1e-8 and the counts are those of the step before.  After a step of more than
    0.1 no point is balanced yet.
    """
    pivots = tables.pivot
    dense = tables.dense
    is_temperature = tables.is_temperature
    step = scratch.step
    residual = scratch.residual
    jacobian = scratch.jacobian
    kept_residual = scratch.kept_residual
    kept_jacobian = scratch.kept_jacobian
    n = pivots.size
    step[n] = 0.0
    step[n + 1] = 0.0
    last, moved, before, polishes = 1e300, FAR / 2.0, 0.0, 0
    electrical, total, growing = UNCOUNTED, 0.0, 0
    for iteration in range(most_iterations):
        balance(x, p, tables, scratch, holding, electrical_anchor, thermal_anchor)
        balanced = moved < FAR and is_balanced(x, tables, residual, jacobian, scratch.right)
        if balanced and moved < NEAR and moved < QUICKLY * before:
            copy(kept_jacobian, jacobian)
            return True, iteration, electrical, total, growing
        copy(kept_residual, residual)
        copy(kept_jacobian, jacobian)
        healthy, electrical, total, growing = 0, UNCOUNTED, 0.0, 0
        if not dense:
            healthy, electrical, total, growing = eliminate(tables, residual, jacobian, step, scratch.inverse)
        if not healthy:
            healthy, electrical, total, growing = eliminate_densely(
                tables, kept_residual, kept_jacobian, step, scratch.matrix, scratch.right
            )
        if not healthy:
            return False, iteration, UNCOUNTED, 0.0, 0
        largest = 0.0
        for i in range(n):
            if not abs(step[i]) < 1e300:
                return False, iteration, UNCOUNTED, 0.0, 0
            largest = max(largest, abs(step[i]))
        share = 1.0
        if largest > SMALL_STEP:
            share = allowed_share(x, step, tables)
            share = share_to_corner(x, p, tables, scratch, share)
        # polishing ends where steps no longer shrink: on a nearly singular jacobian they only spoil the point; small
        # ones may go on for a while, as where an output that nothing loads creeps to its leakage
        polishes += 1 if balanced else 0
        stuck = largest > 0.5 * last and (largest > SMALL_STEP or polishes > MOST_POLISHES)
        polished = balanced and (largest < POLISHED or stuck)
        last = largest if balanced else last
        before = moved
        if not polished or largest < POLISHED:
            coldest = x[n + 1] - COLDER
            for i in range(n):
                x[i] += share * step[i]
                if is_temperature[i] and x[i] < coldest:
                    x[i], largest = coldest, FAR
        moved = largest if share == 1.0 else FAR
        if polished:
            return True, iteration + 1, electrical, total, growing
    return False, most_iterations, UNCOUNTED, 0.0, 0
