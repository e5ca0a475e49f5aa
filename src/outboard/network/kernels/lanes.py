"""Several corners at a time along a sweep: the easy steps as vector code, the rest lane by lane on foot.

Lanes never look at each other: a lane does the same arithmetic whatever stands beside it, and is frozen once it is
solved, so that results do not depend on how corners are grouped.  A step that Newton's method does not manage from
the guess, or that ends in a point whose sign or counts raise a doubt, is left to `walk`.

Arrays hold [number, lane] flat; parameters are in the order of elements.
"""

import numpy as np

from outboard.network.generated import (
    assemble_lanes,
    compiled,
    entry,
    evaluate_corners_lanes,
    inlined,
    least_range_lanes,
)
from outboard.network.kernels.elimination import MOST_GROWTH, UNCOUNTED, copy
from outboard.network.kernels.newton import (
    BALANCE,
    COLDER,
    FAR,
    MOST_POLISHES,
    NEAR,
    PAST_CORNER,
    POLISHED,
    QUICKLY,
    ROUNDINGS,
    SMALL_STEP,
)
from outboard.network.kernels.paths import HOTTEST, LEAK, MOST_WARMING, SMOOTH, extrapolate, walk
from outboard.network.outcome import OUT_OF_RANGE, SOLVED

WALKING, DONE, LOST = 0, 1, 2
FREE = np.False_
"""No unknown held, nothing guessed: Python's own False is a type to the compiler, which would compile `walk` again."""

MOST_TOGETHER = 30
RAISING = np.array([0.0, 0.2, 0.5, 0.7, 0.85, 1.0])


@inlined
def eliminate_lanes(tables, lanes, width):
    """`eliminate` for all lanes; `growth` says where the program cannot serve."""
    pivots, pivot_row, pivot_column = tables.pivot, tables.pivot_row, tables.pivot_column
    lower_start, lower, lower_row = tables.lower_start, tables.lower, tables.lower_row
    upper_start, upper, upper_column = tables.upper_start, tables.upper, tables.upper_column
    update_start, target, factor, source = tables.update_start, tables.target, tables.factor, tables.source
    residual, jacobian, step, inverse = lanes.residual, lanes.jacobian, lanes.step, lanes.inverse
    electrical, total, growing, growth = lanes.electrical, lanes.total, lanes.growing, lanes.growth
    for w in range(width):
        electrical[w], total[w], growing[w], growth[w] = 0.0, tables.parity, 0.0, 0.0
    for k in range(pivots.size):
        pivot, right, turn = pivots[k] * width, pivot_row[k] * width, np.uint64(k) * width
        thermal = k >= tables.thermal_from
        for w in range(width):
            value = jacobian[pivot + w]
            inverse[turn + w] = 1.0 / value
            negative = 1.0 if value < 0.0 else 0.0
            total[w] *= 1.0 - 2.0 * negative
            electrical[w] += 0.0 if thermal else negative
            growing[w] += negative if thermal else 0.0
        for i in range(lower_start[k], lower_start[k + 1]):
            place, row = lower[i] * width, lower_row[i] * width
            for w in range(width):
                share = jacobian[place + w] * inverse[turn + w]
                jacobian[place + w] = share
                size = abs(share)
                growth[w] = size if size > growth[w] else growth[w]
                residual[row + w] -= share * residual[right + w]
        for i in range(update_start[k], update_start[k + 1]):
            a, b, c = target[i] * width, factor[i] * width, source[i] * width
            for w in range(width):
                jacobian[a + w] -= jacobian[b + w] * jacobian[c + w]
    for turned in range(pivots.size):
        k = np.uint64(pivots.size - 1 - turned)
        row, column = pivot_row[k] * width, pivot_column[k] * width
        for i in range(upper_start[k], upper_start[k + np.uint64(1)]):
            a, b = upper[i] * width, upper_column[i] * width
            for w in range(width):
                residual[row + w] += jacobian[a + w] * step[b + w]
        for w in range(width):
            step[column + w] = -residual[row + w] * inverse[k * width + w]


@inlined
def balance_lanes(tables, lanes, leak, width):
    """Residual, jacobian and how far each lane is from balance: `excess` is positive where it is not balanced."""
    x, residual, jacobian, terms, excess = lanes.x, lanes.residual, lanes.jacobian, lanes.terms, lanes.excess
    entry_row, entry_column, diagonal = tables.entry_row, tables.entry_column, tables.diagonal
    assemble_lanes(x, lanes.p, tables, lanes.taken, lanes.given, residual, jacobian, width)
    n = tables.pivot.size
    if leak > 0.0:
        for i in range(n):
            if diagonal[i] < entry_row.size and not tables.is_temperature[i]:
                a, b = np.uint64(i) * width, diagonal[i] * width
                for w in range(width):
                    residual[a + w] += leak * x[a + w]
                    jacobian[b + w] += leak
    for a in range(np.uint64(n) * width):
        terms[a] = 0.0
    for place in range(np.uint64(entry_row.size)):
        row, column, a = entry_row[place] * width, entry_column[place] * width, place * width
        for w in range(width):
            term = abs(jacobian[a + w] * x[column + w])
            terms[row + w] = term if term > terms[row + w] else terms[row + w]
    for w in range(width):
        excess[w] = -1.0
    for i in range(np.uint64(n)):
        a = i * width
        for w in range(width):
            over = abs(residual[a + w]) - (BALANCE + ROUNDINGS * terms[a + w])
            excess[w] = over if over > excess[w] or over != over else excess[w]


@inlined
def limit_lanes(tables, lanes, width):
    """Shares of the steps: junctions within 0.15 V past 0.5 V, temperatures within 40 K, no further than a bend."""
    x, step, share, ahead = lanes.x, lanes.step, lanes.share, lanes.ahead
    junction_plus, junction_minus, junction_sign = tables.junction_plus, tables.junction_minus, tables.junction_sign
    corner, corner_ahead = lanes.corner, lanes.corner_ahead
    for w in range(width):
        share[w] = 1.0
    for j in range(junction_plus.size):
        plus, minus, sign = junction_plus[j] * width, junction_minus[j] * width, junction_sign[j]
        for w in range(width):
            rise = sign * (step[plus + w] - step[minus + w])
            forward = sign * (x[plus + w] - x[minus + w])
            room = 0.5 - forward if forward < 0.35 else 0.15
            limited = rise > 0.15 and forward + rise > 0.5
            allowed = room / rise if limited else 1.0
            share[w] = allowed if allowed < share[w] else share[w]
    for i in range(np.uint64(tables.pivot.size)):
        if tables.is_temperature[i]:
            a = i * width
            for w in range(width):
                rise = abs(step[a + w])
                allowed = 40.0 / rise if rise > 40.0 else 1.0
                share[w] = allowed if allowed < share[w] else share[w]
    count = np.uint64(tables.pivot.size + 2)
    for i in range(count):
        a = i * width
        for w in range(width):
            ahead[a + w] = x[a + w] + share[w] * step[a + w]
    evaluate_corners_lanes(x, lanes.p, tables, lanes.taken, lanes.given, corner, width)
    evaluate_corners_lanes(ahead, lanes.p, tables, lanes.taken, lanes.given, corner_ahead, width)
    for w in range(width):
        lanes.nearest[w] = 1.0
    for k in range(np.uint64(tables.corner_start[tables.device.size])):
        a = k * width
        for w in range(width):
            here, there = corner[a + w], corner_ahead[a + w]
            crossing = here * there < 0.0 and abs(there) > PAST_CORNER
            reach = (abs(here) + PAST_CORNER) / (abs(here) + abs(there)) if crossing else 1.0
            lanes.nearest[w] = reach if reach < lanes.nearest[w] else lanes.nearest[w]
    for w in range(width):
        share[w] *= lanes.nearest[w]


@compiled
def newton_lanes(tables, lanes, leak, most_iterations, width):
    """Newton's method in all lanes that are WALKING; each ends DONE or LOST.  Same rules as `newton`."""
    x, step, state, share = lanes.x, lanes.step, lanes.state, lanes.share
    moved, last, largest = lanes.moved, lanes.last, lanes.largest
    n = np.uint64(tables.pivot.size)
    for a in range(n * width, (n + np.uint64(2)) * width):
        step[a] = 0.0
    for w in range(width):
        moved[w], last[w], lanes.spent[w] = FAR / 2.0, 1e300, 0.0
        lanes.before[w], lanes.polishes[w] = 0.0, 0.0
    for _ in range(most_iterations):
        balance_lanes(tables, lanes, leak, width)
        walking = 0
        for w in range(width):
            balanced = moved[w] < FAR and lanes.excess[w] <= 0.0
            lanes.balanced[w] = 1.0 if balanced else 0.0
            if state[w] == WALKING:
                if balanced and moved[w] < NEAR and moved[w] < QUICKLY * lanes.before[w]:
                    state[w] = DONE if lanes.growing[w] == 0.0 else LOST
                else:
                    walking += 1
        if walking == 0:
            return
        eliminate_before(tables, lanes, width)
        far = 0.0
        for w in range(width):
            largest[w] = 0.0
        for i in range(n):
            a = i * width
            for w in range(width):
                size = abs(step[a + w])
                largest[w] = size if size > largest[w] or size != size else largest[w]
        for w in range(width):
            if state[w] == WALKING:
                lanes.spent[w] += 1.0
                far = max(far, largest[w])
        if far > SMALL_STEP:
            limit_lanes(tables, lanes, width)
        for w in range(width):
            if largest[w] <= SMALL_STEP:
                share[w] = 1.0
            if not (largest[w] < 1e300 and lanes.growth[w] <= MOST_GROWTH) and state[w] == WALKING:
                state[w] = LOST
            lanes.polishes[w] += lanes.balanced[w]
            stuck = largest[w] > 0.5 * last[w] and (largest[w] > SMALL_STEP or lanes.polishes[w] > MOST_POLISHES)
            polished = lanes.balanced[w] > 0.0 and (largest[w] < POLISHED or stuck)
            lanes.before[w] = moved[w]
            last[w] = largest[w] if lanes.balanced[w] > 0.0 else last[w]
            moved[w] = largest[w] if share[w] == 1.0 else FAR
            if state[w] != WALKING or (polished and not largest[w] < POLISHED):
                share[w] = 0.0
            if state[w] == WALKING and polished:
                state[w] = DONE if lanes.growing[w] == 0.0 else LOST
        for i in range(n):
            a = i * width
            for w in range(width):
                x[a + w] += share[w] * step[a + w] if share[w] > 0.0 else 0.0
            if tables.is_temperature[i]:
                for w in range(width):
                    coldest = x[(n + np.uint64(1)) * width + w] - COLDER
                    moved[w] = FAR if x[a + w] < coldest else moved[w]
                    x[a + w] = coldest if x[a + w] < coldest else x[a + w]
    for w in range(width):
        if state[w] == WALKING:
            state[w] = LOST


@inlined
def eliminate_before(tables, lanes, width):
    """Elimination that leaves the sign and counts of lanes alone that are no longer walking."""
    for w in range(width):
        lanes.kept_electrical[w], lanes.kept_total[w] = lanes.electrical[w], lanes.total[w]
        lanes.kept_growing[w] = lanes.growing[w]
    eliminate_lanes(tables, lanes, width)
    for w in range(width):
        if lanes.state[w] != WALKING:
            lanes.electrical[w], lanes.total[w] = lanes.kept_electrical[w], lanes.kept_total[w]
            lanes.growing[w] = lanes.kept_growing[w]


@inlined
def put(lanes, values, w, width):
    """One lane's unknowns into the lanes, with ground and the ambient temperature as its parameters have them."""
    n = np.uint64(values.size - 2)
    for i in range(n):
        lanes.x[i * width + w] = values[i]
    lanes.x[n * width + w] = 0.0
    lanes.x[(n + np.uint64(1)) * width + w] = lanes.rows[w, 0]


@inlined
def take(lanes, values, w, width):
    """One lane's unknowns out of the lanes."""
    for i in range(np.uint64(values.size)):
        values[i] = lanes.x[i * width + w]


@inlined
def put_parameters(tables, lanes, parameters, w, width):
    """One lane's parameters into the lanes, in the order of elements."""
    parameter = tables.parameter
    for j in range(np.uint64(parameter.size)):
        lanes.p[j * width + w] = parameters[parameter[j]]


@inlined
def raise_lanes(tables, lanes, width):
    """Brings the sources of all lanes up in a few steps; lanes that do not follow are LOST."""
    n = np.uint64(tables.pivot.size)
    for turn in range(RAISING.size):
        share = RAISING[turn]
        for w in range(width):
            copy(lanes.row, lanes.rows[w])
            for j in range(tables.raised.size):
                lanes.row[tables.raised[j]] *= share
            put_parameters(tables, lanes, lanes.row, w, width)
            if turn == 0:
                for i in range(n):
                    lanes.x[i * width + w] = lanes.row[0] if tables.is_temperature[i] else 0.0
                lanes.x[n * width + w] = 0.0
                lanes.x[(n + np.uint64(1)) * width + w] = lanes.row[0]
                lanes.state[w] = WALKING
            elif lanes.state[w] == DONE:
                lanes.state[w] = WALKING
        newton_lanes(tables, lanes, LEAK * (1.0 - share), MOST_TOGETHER, width)
        for w in range(width):
            if turn == 0:
                lanes.first_electrical[w], lanes.first_total[w] = lanes.electrical[w], lanes.total[w]
                take(lanes, lanes.here[w], w, width)
            elif accepted(tables, lanes, w, width):
                take(lanes, lanes.here[w], w, width)
            else:
                lanes.state[w] = LOST


@inlined
def accepted(tables, lanes, w, width):
    """A lane is solved, stable beyond doubt, no junction past 500 °C or much warmer than at the point before."""
    if lanes.state[w] != DONE or lanes.electrical[w] != lanes.first_electrical[w]:
        return False
    if not lanes.total[w] * lanes.first_total[w] > 0.0:
        return False
    for i in range(np.uint64(tables.pivot.size)):
        if tables.is_temperature[i]:
            now = lanes.x[i * width + w]
            if now > HOTTEST or abs(now - lanes.here[w, i]) > MOST_WARMING:
                return False
    return True


@entry
def follow_together(
    base, tables, scratch, lanes, corner_slots, corners, sweep_slots, sweep, position, raise_each, xs, statuses, notes,
    width,
):  # fmt: skip
    """`follow` for up to `width` corners at a time; the arguments are the same."""
    raised = tables.raised
    n = tables.pivot.size
    points = sweep.shape[0]
    together = np.int64(width)
    for start in range(0, corners.shape[0], together):
        count = min(together, corners.shape[0] - start)
        for w in range(width):
            row = start + min(np.int64(w), count - 1)
            copy(lanes.rows[w], base)
            for j in range(corner_slots.size):
                lanes.rows[w, corner_slots[j]] = corners[row, j]
            lanes.standing[w] = 0.0
        for point in range(points):
            fresh = raise_each or point == 0
            for w in range(width):
                for j in range(sweep_slots.size):
                    lanes.rows[w, sweep_slots[j]] = sweep[point, j]
            if fresh:
                raise_lanes(tables, lanes, width)
            else:
                for w in range(width):
                    put_parameters(tables, lanes, lanes.rows[w], w, width)
                    lanes.state[w] = LOST
                    if lanes.standing[w] > 0.0:
                        lanes.state[w] = WALKING
                        copy(scratch.guess, lanes.here[w])
                        if lanes.standing[w] > 1.0:
                            curved = lanes.standing[w] > 2.0 and lanes.effort[w] <= SMOOTH
                            extrapolate(
                                tables, lanes.here[w], lanes.earlier[w], lanes.earliest[w], position, point, curved,
                                scratch.guess,
                            )  # fmt: skip
                        put(lanes, scratch.guess, w, width)
                newton_lanes(tables, lanes, 0.0, MOST_TOGETHER, width)
            for w in range(width):
                solve_alone = not (lanes.state[w] == DONE and (fresh or accepted(tables, lanes, w, width)))
                status, spent, share, jumped = SOLVED, int(lanes.spent[w]), 1.0, False
                copy(lanes.earliest[w], lanes.earlier[w])
                copy(lanes.earlier[w], lanes.here[w])
                if solve_alone:
                    x = scratch.here
                    copy(scratch.parameters_to, lanes.rows[w])
                    copy(scratch.parameters_from, lanes.rows[w])
                    electrical, total = int(lanes.first_electrical[w]), lanes.first_total[w]
                    first, leak = 1.0, 0.0
                    if fresh or lanes.standing[w] == 0.0:
                        for j in range(raised.size):
                            scratch.parameters_from[raised[j]] = 0.0
                        electrical, total, first, leak = UNCOUNTED, 0.0, 0.2, LEAK
                        lanes.standing[w] = 0.0
                        for i in range(n):
                            x[i] = lanes.rows[w, 0] if tables.is_temperature[i] else 0.0
                        x[n], x[n + 1] = 0.0, lanes.rows[w, 0]
                    else:
                        copy(x, lanes.here[w])
                        for j in range(sweep_slots.size):
                            scratch.parameters_from[sweep_slots[j]] = sweep[point - 1, j]
                    status, used, share, jumped, electrical, total = walk(
                        x, tables, scratch, FREE, electrical, total, first, FREE, leak
                    )
                    spent += used
                    lanes.first_electrical[w], lanes.first_total[w] = electrical, total
                    copy(lanes.here[w], x)
                else:
                    take(lanes, lanes.here[w], w, width)
                lanes.effort[w] = float(spent)
                lanes.standing[w] = lanes.standing[w] + 1.0 if status == SOLVED else 0.0
                lanes.outcome[w] = float(status)
                put(lanes, lanes.here[w], w, width)
                row = start + np.int64(w)
                if row < corners.shape[0]:
                    notes[row, point, 0] = spent
                    notes[row, point, 1] = share
                    notes[row, point, 2] = 1.0 if jumped else 0.0
            least_range_lanes(lanes.x, lanes.p, tables, lanes.taken, lanes.given, lanes.growth, width)
            for w in range(count):
                status = int(lanes.outcome[w])
                if status == SOLVED and not lanes.growth[w] > 0.0:
                    status = OUT_OF_RANGE
                statuses[start + w, point] = status
                for i in range(n + 2):
                    xs[start + w, point, i] = lanes.here[w, i]
