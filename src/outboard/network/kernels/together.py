"""Cases along a sweep, as many at a time as there are lanes: the easy steps together, the rest lane by lane on foot.

The circuit as it stands, without overrides, goes first and guides all others: where it bends, they bend nearby.  A
step that Newton's method does not manage from the guess, or that ends in a point whose sign or counts raise a doubt, is
left to `walk`.

Arrays hold [number, lane] flat; parameters are in the order of elements.
"""

import numpy as np

from outboard.network.generated import compiled, entry, evaluate_flows_lanes, inlined, least_range_lanes
from outboard.network.kernels.branch import follow_branch
from outboard.network.kernels.elimination import UNCOUNTED, copy
from outboard.network.kernels.exchange import copy_lanes, hand_out, places_of_slots, put_parameters, put_rows, put_sweep
from outboard.network.kernels.lanes import DONE, LOST, VAIN_LOOKS, WALKING, newton_lanes
from outboard.network.kernels.paths import LEAK, MOST_RISE, MOST_WARMING, SMOOTH, walk
from outboard.network.kernels.standing import HOTTEST
from outboard.network.lane_numbers import WIDTH, any_of, choose, every, lane, put, size_of
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, SOLVED

FREE, HOLDING = np.False_, np.True_
"""Whether unknowns are held or guessed: Python's own False is a type to the compiler, which would compile `walk` again.
"""

RAISING = np.array([0.0, 0.2, 0.5, 0.7, 0.85, 1.0])
LAST = RAISING.size
"""Place of the solved point behind the turns of the guide."""

ON_THE_WAY = 1e-3
"""A step that is short enough where a point only leads to the next [V or K]: it is off by its square over V_T."""

EARLY = 0.4
"""Forward voltage up to which no junction matters [V]."""

SMOOTHEST, EVER = 2, 1e9
LAST_POINTS = 5
"""Points of the guide that are looked at: the next, and those that a cubic goes through."""


@compiled
def accepted(tables, lanes):
    """Lanes that are solved, stable beyond doubt, no junction past 500 °C or much warmer than at the point before."""
    good = (lane(lanes.state, 0) == DONE) & (lane(lanes.electrical, 0) == lane(lanes.first_electrical, 0))
    good = good & (lane(lanes.total, 0) * lane(lanes.first_total, 0) > 0.0)
    for i in range(np.uint64(tables.pivot.size)):
        if tables.is_temperature[i]:
            now = lane(lanes.x, i)
            good = good & (now <= HOTTEST) & (size_of(now - lane(lanes.here, i)) <= MOST_WARMING)
    return good


@inlined
def raise_lanes(tables, lanes, held, raised, guide, guided, learning):
    """Brings the sources of all lanes up in a few steps; lanes that do not follow are LOST."""
    n = np.uint64(tables.pivot.size)
    put(lanes.state, 0, WALKING)
    for turn in range(RAISING.size):
        share = RAISING[turn]
        put_parameters(tables, lanes, lanes.raised, raised, share)
        if turn == 0:
            for i in range(n):
                if tables.is_temperature[i]:
                    put(lanes.x, i, lane(lanes.x, n + np.uint64(1)))
                else:
                    put(lanes.x, i, 0.0)
        elif guided:
            for i in range(n):
                put(lanes.x, i, lane(lanes.here, i) + (guide[turn, i] - guide[turn - 1, i]))
            shorten_lanes(tables, lanes, guided, guide[turn - 1], guide[turn])
        newton_lanes(tables, lanes, held, FREE, LEAK * (1.0 - share), ON_THE_WAY if share < 1.0 else 0.0)
        solved = lane(lanes.state, 0) == DONE
        if turn == 0:
            put(lanes.first_electrical, 0, lane(lanes.electrical, 0))
            put(lanes.first_total, 0, lane(lanes.total, 0))
        else:
            solved = accepted(tables, lanes)
        for i in range(n + np.uint64(2)):
            put(lanes.here, i, choose(solved, lane(lanes.x, i), lane(lanes.here, i)))
        put(lanes.state, 0, choose(solved, WALKING, LOST))
        if learning:
            for i in range(n):
                guide[turn, i] = lanes.here[i * np.uint64(WIDTH)]
    put(lanes.state, 0, choose(lane(lanes.state, 0) == WALKING, DONE, LOST))


@compiled
def shorten_lanes(tables, lanes, guided, last_there, next_there):
    """Draws guesses in x back towards the last point as far as junction voltages stay sensible.

    Beyond that devices take over from each other, and what was before says nothing; with a guide, at `next_there` after
    `last_there`, they may come up as far as it does, and always to where they begin to conduct.
    """
    x, here = lanes.x, lanes.here
    share = every(1.0)
    for j in range(tables.junction_plus.size):
        plus, minus, sign = tables.junction_plus[j], tables.junction_minus[j], tables.junction_sign[j]
        forward = sign * (lane(here, plus) - lane(here, minus))
        rise = sign * ((lane(x, plus) - lane(here, plus)) - (lane(x, minus) - lane(here, minus)))
        most = every(MOST_RISE)
        if guided:
            rise_there = sign * ((next_there[plus] - last_there[plus]) - (next_there[minus] - last_there[minus]))
            along = MOST_RISE + max(rise_there, 0.0)
            most = choose(EARLY - forward > along, EARLY - forward, along)
        allowed = choose((rise > MOST_RISE) & (forward + rise > EARLY), most / rise, 1.0)
        share = choose(allowed < share, allowed, share)
    if any_of(share < 1.0):
        for i in range(np.uint64(tables.pivot.size)):
            shorter = lane(here, i) + share * (lane(x, i) - lane(here, i))
            put(x, i, choose(share < 1.0, shorter, lane(x, i)))


@inlined
def weight(position, point, count, k):
    """Of the k-th last of `count` points, to go on to the next along the polynomial through them (Lagrange)."""
    share = 1.0
    for other in range(count):
        if other != k:
            there = position[point - 1 - other]
            share *= (position[point] - there) / (position[point - 1 - k] - there)
    return share


@inlined
def points_in_a_row(position, point):
    """How many of the last points lie one behind the other on the way to the next; two are taken as they are."""
    count = min(point, 2)
    while (
        1 < count < min(point, LAST_POINTS - 1)
        and (position[point] - position[point - 1]) * (position[point - count] - position[point - count - 1]) > 0.0
    ):
        count += 1
    return count


@inlined
def extrapolate_lanes(tables, lanes, position, point, guide, known):
    """Where Newton's method is to begin in every lane that stands: along a polynomial through its last points.

    Where the guide has been solved as far back, what is extrapolated is the difference from it; the difference is kept
    where the last point was not easy: the guide knows the bends.
    """
    n = np.uint64(tables.pivot.size)
    x, here, earlier, earliest, oldest = lanes.x, lanes.here, lanes.earlier, lanes.earliest, lanes.oldest
    standing, effort = lane(lanes.standing, 0), lane(lanes.effort, 0)
    put(lanes.state, 0, choose(standing > 0.0, WALKING, LOST))
    back = 0
    while back < LAST_POINTS and back <= point and known[point - back]:
        back += 1
    guided = back > 1
    row = points_in_a_row(position, point)
    usable = every(float(min(row, back - 1) if guided else row))
    straight = (standing > 1.0) & (usable > 1.0) & (effort <= (SMOOTH if guided else EVER))
    curved = straight & (standing > 2.0) & (usable > 2.0) & (effort <= (SMOOTHEST if guided else SMOOTH))
    bent = curved & (standing > 3.0) & (usable > 3.0) & (effort <= SMOOTHEST)
    first, second, third, fourth = every(1.0), every(0.0), every(0.0), every(0.0)
    for count in range(2, row + 1):
        taken = straight if count == 2 else (curved if count == 3 else bent)
        first = choose(taken, weight(position, point, count, 0), first)
        second = choose(taken, weight(position, point, count, 1), second)
        if count > 2:
            third = choose(taken, weight(position, point, count, 2), third)
        if count > 3:
            fourth = choose(taken, weight(position, point, count, 3), fourth)
    for i in range(n):
        next_there, last_there, before, long_before, first_there = 0.0, 0.0, 0.0, 0.0, 0.0
        if guided:
            next_there, last_there = guide[point, LAST, i], guide[point - 1, LAST, i]
        if back > 2:
            before = guide[point - 2, LAST, i]
        if back > 3:
            long_before = guide[point - 3, LAST, i]
        if back > 4:
            first_there = guide[point - 4, LAST, i]
        guess = next_there + first * (lane(here, i) - last_there)
        guess = guess + choose(straight, second * (lane(earlier, i) - before), 0.0)
        guess = guess + choose(curved, third * (lane(earliest, i) - long_before), 0.0)
        put(x, i, guess + choose(bent, fourth * (lane(oldest, i) - first_there), 0.0))
    shorten_lanes(tables, lanes, guided, guide[point - 1, LAST], guide[point, LAST])


@inlined
def walk_alone(tables, scratch, lanes, w, fresh, sweep_slots, sweep, point):
    """One lane's point with all care: (status, iterations, share of the way, whether it jumped)."""
    n = tables.pivot.size
    x, here = scratch.here, lanes.here
    copy(scratch.parameters_to, lanes.rows[w])
    copy(scratch.parameters_from, lanes.rows[w])
    electrical, total = int(lanes.first_electrical[w]), lanes.first_total[w]
    first, leak = 1.0, 0.0
    if fresh or lanes.standing[w] == 0.0:
        for j in range(tables.raised.size):
            scratch.parameters_from[tables.raised[j]] = 0.0
        electrical, total, first, leak = UNCOUNTED, 0.0, 0.2, LEAK
        lanes.standing[w] = 0.0
        for i in range(n):
            x[i] = lanes.rows[w, 0] if tables.is_temperature[i] else 0.0
        x[n], x[n + 1] = 0.0, lanes.rows[w, 0]
    else:
        for i in range(n + 2):
            x[i] = here[i * WIDTH + w]
        for j in range(sweep_slots.size):
            scratch.parameters_from[sweep_slots[j]] = sweep[point - 1, j]
    status, spent, share, jumped, electrical, total = walk(
        x, tables, scratch, FREE, electrical, total, first, FREE, leak
    )
    lanes.first_electrical[w], lanes.first_total[w] = electrical, total
    if status == NOT_CONVERGED:
        begin = share
        copy(scratch.beyond, scratch.stopped)
        if lanes.kept_point[w] >= 0.0:
            begin = 0.0
            copy(scratch.parameters_from, lanes.rows[w])
            for j in range(sweep_slots.size):
                scratch.parameters_from[sweep_slots[j]] = sweep[int(lanes.kept_point[w]), j]
            for i in range(n + 2):
                scratch.beyond[i] = lanes.kept[i * WIDTH + w]
        at_rest, more = follow_branch(scratch.beyond, begin, tables, scratch, electrical, total)
        spent += more
        if at_rest:
            status, jumped = SOLVED, True
            copy(x, scratch.beyond)
    for i in range(n + 2):
        here[i * WIDTH + w] = x[i]
    return status, spent, share, jumped


@inlined
def follow_point(
    tables, scratch, lanes, count, fresh, raised, swept, sweep_slots, sweep, position, point, guide, known, learning
):
    """All lanes at one point of the sweep, their outcomes and notes; lanes from `count` on only keep company."""
    n = tables.pivot.size
    put_sweep(tables, lanes, swept, sweep_slots, sweep, point)
    if fresh:
        raise_lanes(tables, lanes, scratch.held, raised, guide[point], known[point], learning)
        good = lane(lanes.state, 0) == DONE
    else:
        extrapolate_lanes(tables, lanes, position, point, guide, known)
        newton_lanes(tables, lanes, scratch.held, FREE, 0.0, 0.0)
        good = accepted(tables, lanes)
    put(lanes.state, 0, choose(good, DONE, LOST))
    for i in range(np.uint64(n + 2)):
        put(lanes.oldest, i, lane(lanes.earliest, i))
        put(lanes.earliest, i, lane(lanes.earlier, i))
        put(lanes.earlier, i, lane(lanes.here, i))
        put(lanes.here, i, choose(good, lane(lanes.x, i), lane(lanes.here, i)))
    for w in range(WIDTH):
        status, spent, share, jumped = SOLVED, int(lanes.spent[w]), 1.0, False
        if w >= count:
            status = SOLVED if lanes.state[w] == DONE else NOT_CONVERGED
        elif lanes.state[w] != DONE:
            status, used, share, jumped = walk_alone(tables, scratch, lanes, w, fresh, sweep_slots, sweep, point)
            spent += used
        lanes.effort[w] = float(spent)
        lanes.standing[w] = lanes.standing[w] + 1.0 if status == SOLVED else 0.0
        lanes.outcome[w] = float(status)
        lanes.notes[w, 0], lanes.notes[w, 1], lanes.notes[w, 2] = spent, share, 1.0 if jumped else 0.0
    solved = lane(lanes.standing, 0) > 0.0
    put(lanes.kept_point, 0, choose(solved, float(point), lane(lanes.kept_point, 0)))
    for i in range(np.uint64(n + 2)):
        put(lanes.kept, i, choose(solved, lane(lanes.here, i), lane(lanes.kept, i)))
    keep_in_range(tables, lanes)


@inlined
def keep_in_range(tables, lanes):
    """Solved lanes are OUT_OF_RANGE where a device has left the range of its model."""
    valid = least_range_lanes(lanes.here, lanes.p, tables) > 0.0
    outcome = lane(lanes.outcome, 0)
    put(lanes.outcome, 0, choose((outcome == float(SOLVED)) & ~valid, float(OUT_OF_RANGE), outcome))


@inlined
def release_alone(tables, scratch, lanes, w, before_slots, before, begin):
    """One lane from the solution `begin` with all care: (status, iterations, share of the way, whether it jumped)."""
    x = scratch.here
    copy(scratch.parameters_to, lanes.rows[w])
    copy(scratch.parameters_from, lanes.rows[w])
    for j in range(before_slots.size):
        scratch.parameters_from[before_slots[j]] = before[j]
    copy(x, begin)
    status, spent, share, jumped, _, _ = walk(x, tables, scratch, HOLDING, UNCOUNTED, 0.0, 0.5, FREE, 0.0)
    for i in range(x.size):
        lanes.here[i * WIDTH + w] = x[i]
    return status, spent, share, jumped


@inlined
def release_lanes(base, tables, scratch, lanes, before_slots, before, corner_slots, corners, xs, statuses, notes):
    """Solves corners from solutions xs with the overrides `before`, while held unknowns keep their values there."""
    n = tables.pivot.size
    for start in range(0, corners.shape[0], WIDTH):
        count = min(WIDTH, corners.shape[0] - start)
        put_rows(tables, lanes, base, corner_slots, corners, start, count)
        for w in range(WIDTH):
            row = start + min(w, count - 1)
            for j in range(before_slots.size):
                lanes.rows[w, before_slots[j]] = before[row, j]
            for i in range(n):
                lanes.x[i * WIDTH + w] = xs[row, 0, i]
        put_parameters(tables, lanes, lanes.all, lanes.all.size, 1.0)
        put(lanes.trust, 0, VAIN_LOOKS)
        put(lanes.state, 0, WALKING)
        newton_lanes(tables, lanes, scratch.held, HOLDING, 0.0, ON_THE_WAY)
        put(lanes.first_electrical, 0, lane(lanes.electrical, 0))
        put(lanes.first_total, 0, lane(lanes.total, 0))
        put(lanes.state, 0, choose(lane(lanes.state, 0) == DONE, WALKING, LOST))
        copy_lanes(lanes.here, lanes.x, n + 2)
        put_rows(tables, lanes, base, corner_slots, corners, start, count)
        newton_lanes(tables, lanes, scratch.held, HOLDING, 0.0, 0.0)
        put(lanes.state, 0, choose(accepted(tables, lanes), DONE, LOST))
        copy_lanes(lanes.here, lanes.x, n + 2)
        for w in range(WIDTH):
            status, spent, share, jumped = SOLVED, int(lanes.spent[w]), 1.0, False
            if lanes.state[w] != DONE and w < count:
                status, used, share, jumped = release_alone(
                    tables, scratch, lanes, w, before_slots, before[start + w], xs[start + w, 0]
                )
                spent += used
            lanes.outcome[w] = float(status)
            lanes.notes[w, 0], lanes.notes[w, 1], lanes.notes[w, 2] = spent, share, 1.0 if jumped else 0.0
        keep_in_range(tables, lanes)
        hand_out(tables, lanes, start, count, 0, xs, statuses, notes)


@entry
def follow_together(
    base, tables, scratch, lanes, guide, known, holding, before_slots, before, corner_slots, corners, sweep_slots,
    sweep, position, raise_each, xs, statuses, notes,
):  # fmt: skip
    """`follow` for as many corners at a time as there are lanes; the arguments are the same.

    The circuit as it stands goes first, without corners: it guides all others.  guide [point, turn, unknown + 2] and
    known [point], all False, are room for that.
    """
    if holding:
        release_lanes(base, tables, scratch, lanes, before_slots, before, corner_slots, corners, xs, statuses, notes)
        return
    raised = places_of_slots(tables, tables.raised, lanes.raised)
    swept = places_of_slots(tables, sweep_slots, lanes.swept)
    for start in range(-WIDTH, corners.shape[0], WIDTH):
        learning = start < 0
        count = 0 if learning else min(WIDTH, corners.shape[0] - start)
        put_rows(tables, lanes, base, corner_slots, corners, start, count)
        put(lanes.standing, 0, 0.0)
        put(lanes.kept_point, 0, -1.0)
        put(lanes.trust, 0, VAIN_LOOKS)
        for point in range(sweep.shape[0]):
            fresh = raise_each or point == 0
            follow_point(
                tables, scratch, lanes, count, fresh, raised, swept, sweep_slots, sweep, position, point, guide, known,
                learning,
            )  # fmt: skip
            hand_out(tables, lanes, start, count, point, xs, statuses, notes)
            if learning:
                known[point] = lanes.outcome[0] == float(SOLVED)
                for i in range(tables.pivot.size + 2):
                    guide[point, LAST, i] = lanes.here[i * WIDTH]


@entry
def measure_flows(base, tables, lanes, corner_slots, corners, sweep_slots, sweep, xs, flows):
    """Contribution of every element port: xs [corner, point, unknown + 2], flows [port, corner, point]."""
    swept = places_of_slots(tables, sweep_slots, lanes.swept)
    for start in range(0, corners.shape[0], WIDTH):
        count = min(WIDTH, corners.shape[0] - start)
        put_rows(tables, lanes, base, corner_slots, corners, start, count)
        for point in range(sweep.shape[0]):
            put_sweep(tables, lanes, swept, sweep_slots, sweep, point)
            for w in range(WIDTH):
                row = start + min(w, count - 1)
                for i in range(xs.shape[2]):
                    lanes.here[i * WIDTH + w] = xs[row, point, i]
            evaluate_flows_lanes(lanes.here, lanes.p, tables, lanes.flow)
            for port in range(flows.shape[0]):
                for w in range(count):
                    flows[port, start + w, point] = lanes.flow[port * WIDTH + w]
