"""The solver: Newton's method on one circuit, and the ways to reach a solution that exists physically.

Read as Python, this is the mathematics.  It runs compiled, joined with the generated evaluation kernels into
one file (see compile.py).  x holds all unknowns, then ground and the ambient temperature; p all parameters.

A point counts as solved when every balance closes to 1e-12 (A or W) plus eight roundings of its largest term,
and when the signs of the electrical and of the whole determinant are those of the circuit before its sources
came up: an odd number of unstable loops turns a sign, and such a point is never an operating point.
"""

import numpy as np

from outboard.network.generated import (
    assemble,
    compiled,
    evaluate_corners,
    evaluate_flows,
    inlined,
    least_range,
)
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY, SOLVED

BALANCE = 1e-12
ROUNDINGS = 8.0 * 2.220446049250313e-16
HOTTEST = 773.15
COLDEST = 40.0
MOST_ITERATIONS = 40
LEAST_SHARE = 1e-5
LEAK = 1e-9
PAST_CORNER = 8.0
SMALL_STEP = 1e-4
MOST_GROWTH = 1e10


@inlined
def eliminate(tables, residual, jacobian, step, inverse):
    """Solves jacobian·step = −residual by the circuit's elimination program, destroying both.

    Returns 1 and the signs of the electrical and of the whole determinant, or 0 where a pivot is too small.
    """
    pivots, pivot_row, pivot_column = tables.pivot, tables.pivot_row, tables.pivot_column
    lower_start, lower, lower_row = tables.lower_start, tables.lower, tables.lower_row
    upper_start, upper, upper_column = tables.upper_start, tables.upper, tables.upper_column
    update_start, target, factor, source = tables.update_start, tables.target, tables.factor, tables.source
    n = pivots.size
    electrical = 1.0
    total = tables.parity
    for k in range(n):
        pivot = jacobian[pivots[k]]
        if not abs(pivot) > 0.0:
            return 0, 0.0, 0.0
        if pivot < 0.0:
            total = -total
            if k < tables.thermal_from:
                electrical = -electrical
        inverse[k] = 1.0 / pivot
        right = residual[pivot_row[k]]
        largest = 0.0
        for i in range(lower_start[k], lower_start[k + 1]):
            share = jacobian[lower[i]] * inverse[k]
            largest = max(largest, abs(share))
            jacobian[lower[i]] = share
            residual[lower_row[i]] -= share * right
        if largest > MOST_GROWTH:
            return 0, 0.0, 0.0
        for i in range(update_start[k], update_start[k + 1]):
            jacobian[target[i]] -= jacobian[factor[i]] * jacobian[source[i]]
    for k in range(n - 1, -1, -1):
        right = -residual[pivot_row[k]]
        for i in range(upper_start[k], upper_start[k + 1]):
            right -= jacobian[upper[i]] * step[upper_column[i]]
        step[pivot_column[k]] = right * inverse[k]
    return 1, electrical, total


@compiled
def eliminate_densely(tables, residual, jacobian, step, matrix, right):
    """The same by Gauss elimination with row scaling and pivot search, for regimes that the program cannot serve."""
    pivots = tables.pivot
    entry_row = tables.entry_row
    entry_column = tables.entry_column
    n = pivots.size
    matrix[:, :] = 0.0
    for place in range(entry_row.size):
        matrix[entry_row[place], entry_column[place]] = jacobian[place]
    for i in range(n):
        largest = 0.0
        for j in range(n):
            largest = max(largest, abs(matrix[i, j]))
        if not largest > 0.0:
            return 0, 0.0, 0.0
        for j in range(n):
            matrix[i, j] /= largest
        right[i] = -residual[i] / largest
    total = 1.0
    for k in range(n):
        best = k
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > abs(matrix[best, k]):
                best = i
        if not abs(matrix[best, k]) > 0.0:
            return 0, 0.0, 0.0
        if best != k:
            total = -total
            for j in range(k, n):
                matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
            right[k], right[best] = right[best], right[k]
        if matrix[k, k] < 0.0:
            total = -total
        for i in range(k + 1, n):
            factor = matrix[i, k] / matrix[k, k]
            if factor != 0.0:
                for j in range(k + 1, n):
                    matrix[i, j] -= factor * matrix[k, j]
                right[i] -= factor * right[k]
    for k in range(n - 1, -1, -1):
        value = right[k]
        for j in range(k + 1, n):
            value -= matrix[k, j] * step[j]
        step[k] = value / matrix[k, k]
    return 1, 0.0, total


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
    """True when every residual is below 1e-12 plus eight roundings of its largest term."""
    pivots = tables.pivot
    entry_row = tables.entry_row
    entry_column = tables.entry_column
    n = pivots.size
    worst = 0.0
    for i in range(n):
        size = abs(residual[i])
        if not size <= 1e-6:
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
            if x[i] + share * step[i] < COLDEST:
                share = min(share, 0.5 * (x[i] - COLDEST) / rise)
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
    """Newton's method from x, which is overwritten: (solved, iterations, electrical sign, sign of the whole)."""
    pivots = tables.pivot
    dense = tables.dense
    step = scratch.step
    residual = scratch.residual
    jacobian = scratch.jacobian
    kept_residual = scratch.kept_residual
    kept_jacobian = scratch.kept_jacobian
    n = pivots.size
    step[n] = 0.0
    step[n + 1] = 0.0
    polished = 0
    for iteration in range(most_iterations):
        balance(x, p, tables, scratch, holding, electrical_anchor, thermal_anchor)
        balanced = is_balanced(x, tables, residual, jacobian, scratch.right)
        kept_residual[:] = residual
        kept_jacobian[:] = jacobian
        healthy, electrical, total = 0, 0.0, 0.0
        if not dense:
            healthy, electrical, total = eliminate(tables, residual, jacobian, step, scratch.inverse)
        if not healthy:
            healthy, electrical, total = eliminate_densely(
                tables, kept_residual, kept_jacobian, step, scratch.matrix, scratch.right
            )
        if not healthy:
            return False, iteration, 0.0, 0.0
        largest = 0.0
        for i in range(n):
            if not abs(step[i]) < 1e300:
                return False, iteration, 0.0, 0.0
            largest = max(largest, abs(step[i]))
        share = 1.0
        if largest > SMALL_STEP:
            share = allowed_share(x, step, tables)
            share = share_to_corner(x, p, tables, scratch, share)
        for i in range(n):
            x[i] += share * step[i]
        if balanced:
            polished += 1
            if largest < 1e-8 or polished >= 4:
                return True, iteration + 1, electrical, total
    return False, most_iterations, 0.0, 0.0


@inlined
def is_stable(electrical, total, reference_electrical, reference_total):
    """Signs as before the sources came up; an electrical sign of 0 means that only the whole is known."""
    if electrical * reference_electrical < 0.0:
        return False
    return total * reference_total > 0.0


@inlined
def hottest(x, tables):
    """Highest temperature of all thermal unknowns."""
    is_temperature = tables.is_temperature
    high = 0.0
    for i in range(is_temperature.size):
        if is_temperature[i]:
            high = max(high, x[i])
    return high


@inlined
def set_between(scratch, share):
    """Parameters on the straight way between two sets."""
    parameters = scratch.parameters
    parameters_from = scratch.parameters_from
    parameters_to = scratch.parameters_to
    for j in range(parameters.size):
        a, b = parameters_from[j], parameters_to[j]
        parameters[j] = b if a == b else a + share * (b - a)


@compiled
def walk(x, tables, scratch, holding, electrical, total, first, gap, leak):
    """Follows a solution x from one set of parameters to another.

    Returns (status, iterations, share of the way reached, whether the circuit jumped, signs of the determinants).
    Steps double when they are easy and shrink when they fail; the guess is a secant through `scratch.earlier`,
    which lies `gap` of the way behind x (0: none).  Signs of 0 are taken from the starting point, solved first.
    Where no step leads on (a fold) the circuit is left to settle in time from the last point, as it would on the
    bench, with a capacity on every node: implicit Euler with growing steps ends in a stable point, in a junction
    past 500 °C, or undecided.
    """
    is_temperature = tables.is_temperature
    trial = scratch.trial
    earlier = scratch.earlier
    anchor = scratch.anchor
    parameters = scratch.parameters
    n = is_temperature.size
    reached, advance, spent, steps = 0.0, first, 0, 0
    settling, at_rest, duration = False, False, 1e-6
    while True:
        goal = min(1.0, reached + advance)
        electrical_anchor, thermal_anchor, ratio = 0.0, 0.0, 0.0
        if settling:
            goal = 1.0
            if not at_rest:
                electrical_anchor, thermal_anchor = 1e-4 / duration, 1.0 / duration
        elif total == 0.0:
            goal, electrical_anchor = 0.0, leak
        else:
            ratio = 0.0 if gap == 0.0 else (goal - reached) / gap
            electrical_anchor = leak * (1.0 - goal)
        set_between(scratch, goal)
        for i in range(n):
            trial[i] = x[i] + ratio * (x[i] - earlier[i])
            anchor[i] = x[i] if settling else (parameters[0] if is_temperature[i] else 0.0)
        trial[n], trial[n + 1] = 0.0, parameters[0]
        most = 12 if ratio != 0.0 and reached == 0.0 else MOST_ITERATIONS
        good, used, sign, whole = newton(
            trial, parameters, tables, scratch, holding, electrical_anchor, thermal_anchor, most
        )
        spent += used
        if total == 0.0:
            if not good:
                return NOT_CONVERGED, spent, 0.0, False, 0.0, 0.0
            electrical, total = sign, whole
            for i in range(n + 2):
                x[i] = trial[i]
            continue
        stable = good and is_stable(sign, whole, electrical, total)
        if not settling:
            if stable:
                gap = goal - reached
                for i in range(n + 2):
                    earlier[i] = x[i]
                    x[i] = trial[i]
                reached = goal
                if hottest(x, tables) > HOTTEST:
                    return RUNAWAY, spent, reached, False, electrical, total
                if reached >= 1.0:
                    return SOLVED, spent, 1.0, False, electrical, total
                advance *= 2.0 if used <= 8 else 1.0
            else:
                advance *= 0.25 if ratio == 0.0 else 0.5
                gap = 0.0
                settling = advance < LEAST_SHARE
            continue
        steps += 1
        if at_rest:
            if stable:
                for i in range(n):
                    x[i] = trial[i]
                status = RUNAWAY if hottest(x, tables) > HOTTEST else SOLVED
                return status, spent, reached, True, electrical, total
            at_rest = False
        elif good:
            for i in range(n + 2):
                x[i] = trial[i]
            if hottest(x, tables) > HOTTEST:
                return RUNAWAY, spent, reached, True, electrical, total
            duration *= 3.0 if used <= 8 else 1.5
            at_rest = duration > 1e5
        else:
            duration *= 0.2
        if duration < 1e-15 or duration > 1e12 or steps > 600:
            return NOT_CONVERGED, spent, reached, True, electrical, total


@compiled
def follow(
    base, tables, scratch, holding, before_slots, before, corner_slots, corners, sweep_slots, sweep, position,
    raise_each, xs, statuses, notes,
):  # fmt: skip
    """Solves a block of cases: every corner (row of overrides) along a sweep.

    The sources are raised for the first point of each corner and the sweep is followed from there with a secant;
    `raise_each` raises them anew for every point.  While `holding`, xs holds a start for each corner instead,
    which solves the corner with the overrides `before`; held unknowns keep their values of that start.
    xs [corner, point, unknown + 2], statuses [corner, point], notes [corner, point, 3]: iterations, share of the
    way that could be followed, 1 where the circuit jumped.
    """
    is_temperature = tables.is_temperature
    raised = tables.raised
    earlier = scratch.earlier
    parameters_from = scratch.parameters_from
    parameters_to = scratch.parameters_to
    n = is_temperature.size
    x = np.empty(n + 2)
    last = np.empty(n + 2)
    for row in range(corners.shape[0]):
        electrical, total = 0.0, 0.0
        standing = 0
        parameters_to[:] = base
        for j in range(corner_slots.size):
            parameters_to[corner_slots[j]] = corners[row, j]
        for point in range(sweep.shape[0]):
            parameters_from[:] = parameters_to
            for j in range(sweep_slots.size):
                parameters_to[sweep_slots[j]] = sweep[point, j]
            first, gap, leak = 1.0, 0.0, 0.0
            if holding:
                parameters_from[:] = parameters_to
                for j in range(before_slots.size):
                    parameters_from[before_slots[j]] = before[row, j]
                electrical, total, first = 0.0, 0.0, 0.5
                for i in range(n + 2):
                    x[i] = xs[row, point, i]
            elif raise_each or standing == 0:
                parameters_from[:] = parameters_to
                for j in range(raised.size):
                    parameters_from[raised[j]] = 0.0
                electrical, total, first, leak, standing = 0.0, 0.0, 0.2, LEAK, 0
                for i in range(n):
                    x[i] = parameters_to[0] if is_temperature[i] else 0.0
                x[n], x[n + 1] = 0.0, parameters_to[0]
            elif standing > 1:
                gap = (position[point - 1] - position[point - 2]) / (position[point] - position[point - 1])
                earlier[:] = last
            last[:] = x
            status, spent, share, jumped, electrical, total = walk(
                x, tables, scratch, holding, electrical, total, first, gap, leak
            )
            standing = standing + 1 if status == SOLVED else 0
            if status == SOLVED and not least_range(x, parameters_to, tables) > 0.0:
                status = OUT_OF_RANGE
            for i in range(n + 2):
                xs[row, point, i] = x[i]
            statuses[row, point] = status
            notes[row, point, 0] = spent
            notes[row, point, 1] = share
            notes[row, point, 2] = 1.0 if jumped else 0.0


@compiled
def measure_flows(base, tables, slots, overrides, xs, flows):
    """Contribution of every element port at every solved point; xs [lane, unknown + 2], flows [lane, port]."""
    p = np.empty(base.size)
    for lane in range(xs.shape[0]):
        p[:] = base
        for j in range(slots.size):
            p[slots[j]] = overrides[lane, j]
        evaluate_flows(xs[lane], p, tables, flows[lane])


@compiled
def balances(x, p, tables, residual, jacobian):
    """Residual [row] and jacobian [place] at one point."""
    assemble(x, p, tables, residual, jacobian)
