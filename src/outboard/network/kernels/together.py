"""Several corners at a time along a sweep: the easy steps as vector code, the rest lane by lane on foot.

A step that Newton's method does not manage from the guess, or that ends in a point whose sign or counts raise a doubt,
is left to `walk`.
"""

import numpy as np

from outboard.network.generated import (
    LANES,
    any_of,
    choose,
    entry,
    inlined,
    least_range_lanes,
    load,
    size_of,
    spread,
    store,
)
from outboard.network.kernels.elimination import UNCOUNTED, copy
from outboard.network.kernels.lanes import DONE, LOST, ONE, WALKING, ZERO, newton_lanes
from outboard.network.kernels.paths import HOTTEST, LEAK, MOST_RISE, MOST_WARMING, SMOOTH, pass_through, walk
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, SOLVED

FREE = np.False_
"""No unknown held, nothing guessed: Python's own False is a type to the compiler, which would compile `walk` again."""

MOST_TOGETHER = 30
RAISING = np.array([0.0, 0.2, 0.5, 0.7, 0.85, 1.0])


@inlined
def put_column(target, w, values):
    """One lane's numbers into an array of lanes."""
    for i in range(np.uint64(values.size)):
        target[i * LANES + w] = values[i]


@inlined
def take_column(values, source, w):
    """One lane's numbers out of an array of lanes."""
    for i in range(np.uint64(values.size)):
        values[i] = source[i * LANES + w]


@inlined
def begin_column(target, w, parameters, tables):
    """A lane where nothing flows: no voltage, everything as warm as the surroundings."""
    n = np.uint64(tables.pivot.size)
    for i in range(n):
        target[i * LANES + w] = parameters[0] if tables.is_temperature[i] else 0.0
    target[n * LANES + w] = 0.0
    target[(n + ONE) * LANES + w] = parameters[0]


@inlined
def put_parameters(tables, lanes, parameters, w):
    """One lane's parameters into the lanes, in the order of elements."""
    parameter = tables.parameter
    for j in range(np.uint64(parameter.size)):
        lanes.p[j * LANES + w] = parameters[parameter[j]]


@inlined
def raise_lanes(tables, lanes, width):
    """Brings the sources of all lanes up in a few steps; lanes that do not follow are LOST."""
    size = np.uint64(tables.pivot.size + 2)
    for turn in range(RAISING.size):
        share = RAISING[turn]
        for w in range(width):
            copy(lanes.row, lanes.rows[w])
            for j in range(tables.raised.size):
                lanes.row[tables.raised[j]] *= share
            put_parameters(tables, lanes, lanes.row, w)
            if turn == 0:
                begin_column(lanes.x, w, lanes.row, tables)
                lanes.state[w] = WALKING
            elif lanes.state[w] == DONE:
                lanes.state[w] = WALKING
        newton_lanes(tables, lanes, LEAK * (1.0 - share), MOST_TOGETHER)
        if turn == 0:
            store(lanes.first_electrical, ZERO, load(lanes.electrical, ZERO))
            store(lanes.first_total, ZERO, load(lanes.total, ZERO))
        accept_lanes(tables, lanes, turn > 0)
        keep_lanes(lanes.here, lanes.x, lanes.state, size)


@inlined
def accept_lanes(tables, lanes, compared):
    """Lanes that are not stable beyond doubt, with a junction past 500 °C or much warmer than at the point before, are
    LOST."""
    state = load(lanes.state, ZERO)
    if compared:
        good = (load(lanes.electrical, ZERO) == load(lanes.first_electrical, ZERO)) & (
            load(lanes.total, ZERO) * load(lanes.first_total, ZERO) > 0.0
        )
        for i in range(np.uint64(tables.pivot.size)):
            if tables.is_temperature[i]:
                now = load(lanes.x, i * LANES)
                good = good & (now <= HOTTEST) & (size_of(now - load(lanes.here, i * LANES)) <= MOST_WARMING)
        store(lanes.state, ZERO, choose(good, state, LOST))


@inlined
def keep_lanes(target, source, state, size):
    """Unknowns of the lanes that are DONE."""
    done = load(state, ZERO) == DONE
    for i in range(size):
        a = i * LANES
        store(target, a, choose(done, load(source, a), load(target, a)))


@inlined
def extrapolate_lanes(tables, lanes, position, point):
    """`extrapolate` in all lanes, from `here` into `x`: as far as each has stood."""
    x, here, earlier, earliest = lanes.x, lanes.here, lanes.earlier, lanes.earliest
    n = np.uint64(tables.pivot.size)
    standing = load(lanes.standing, ZERO)
    ahead, back = position[point] - position[point - 1], 1.0
    near, far, least, middle = 0.0, 0.0, 0.0, 0.0
    moving, curved = standing > 1.0, standing < 0.0
    if point > 1:
        back = position[point - 1] - position[point - 2]
        near = ahead / back
    if point > 2 and ahead * back > 0.0 and back * (position[point - 2] - position[point - 3]) > 0.0:
        span = position[point - 1] - position[point - 3]
        curved = (standing > 2.0) & (load(lanes.effort, ZERO) <= SMOOTH)
        far = (ahead + back) * (ahead + span) / (back * span)
        middle = 0.0 - ahead * (ahead + span) / (back * (span - back))
        least = ahead * (ahead + back) / (span * (span - back))
    first = choose(curved, far, choose(moving, 1.0 + near, 1.0))
    second = choose(curved, middle, choose(moving, 0.0 - near, 0.0))
    third = choose(curved, least, 0.0)
    for i in range(n):
        a = i * LANES
        store(x, a, first * load(here, a) + second * load(earlier, a) + third * load(earliest, a))
    share = spread(1.0)
    for j in range(np.uint64(tables.junction_plus.size)):
        plus, minus = tables.junction_plus[j] * LANES, tables.junction_minus[j] * LANES
        sign, before = tables.junction_sign[j], load(here, plus) - load(here, minus)
        forward = sign * before
        rise = sign * (load(x, plus) - load(x, minus) - before)
        allowed = choose((rise > MOST_RISE) & (forward + rise > 0.4), MOST_RISE / rise, 1.0)
        share = choose(allowed < share, allowed, share)
    if any_of(share < 1.0):
        for i in range(n):
            a = i * LANES
            store(x, a, choose(share < 1.0, load(here, a) + share * (load(x, a) - load(here, a)), load(x, a)))


@inlined
def walk_column(tables, scratch, lanes, w, sweep_slots, sweep, point, fresh):
    """One lane on foot, from the point before or, where there is none, from the sources' rise."""
    x = scratch.here
    copy(scratch.parameters_to, lanes.rows[w])
    copy(scratch.parameters_from, lanes.rows[w])
    electrical, total, first, leak = int(lanes.first_electrical[w]), lanes.first_total[w], 1.0, 0.0
    if fresh or lanes.standing[w] == 0.0:
        for j in range(tables.raised.size):
            scratch.parameters_from[tables.raised[j]] = 0.0
        electrical, total, first, leak = UNCOUNTED, 0.0, 0.2, LEAK
        lanes.standing[w] = 0.0
        begin_column(lanes.here, w, lanes.rows[w], tables)
    else:
        for j in range(sweep_slots.size):
            scratch.parameters_from[sweep_slots[j]] = sweep[point - 1, j]
    take_column(x, lanes.here, w)
    status, used, share, jumped, electrical, total = walk(
        x, tables, scratch, FREE, electrical, total, first, FREE, leak
    )
    lanes.first_electrical[w], lanes.first_total[w] = electrical, total
    if status == NOT_CONVERGED and lanes.kept_point[w] >= 0.0:
        copy(scratch.parameters_from, lanes.rows[w])
        for j in range(sweep_slots.size):
            scratch.parameters_from[sweep_slots[j]] = sweep[int(lanes.kept_point[w]), j]
        take_column(scratch.beyond, lanes.kept, w)
        at_rest, more = pass_through(scratch.beyond, tables, scratch, electrical, total)
        used += more
        if at_rest:
            status, jumped = SOLVED, True
            copy(x, scratch.beyond)
    lanes.spent[w] += used
    put_column(lanes.here, w, x)
    return status, share, jumped


@inlined
def put_swept(tables, lanes, sweep_slots, sweep, point, width):
    """The numbers of this point of the sweep into all lanes."""
    for j in range(sweep_slots.size):
        slot, value = sweep_slots[j], sweep[point, j]
        for w in range(width):
            lanes.rows[w, slot] = value
        for k in range(np.uint64(tables.parameter.size)):
            if tables.parameter[k] == slot:
                store(lanes.p, k * LANES, spread(value))
        if slot == 0:
            store(lanes.x, np.uint64(tables.pivot.size + 1) * LANES, spread(value))


@entry
def follow_together(
    base, tables, scratch, lanes, corner_slots, corners, sweep_slots, sweep, position, raise_each, xs, statuses, notes,
    width,
):  # fmt: skip
    """`follow` for up to `width` corners at a time; the arguments are the same."""
    size = np.uint64(tables.pivot.size + 2)
    together = np.int64(width)
    for start in range(0, corners.shape[0], together):
        count = min(together, corners.shape[0] - start)
        for w in range(width):
            copy(lanes.rows[w], base)
            for j in range(corner_slots.size):
                lanes.rows[w, corner_slots[j]] = corners[start + min(np.int64(w), count - 1), j]
        store(lanes.standing, ZERO, spread(0.0))
        store(lanes.kept_point, ZERO, spread(-1.0))
        for point in range(sweep.shape[0]):
            fresh = raise_each or point == 0
            put_swept(tables, lanes, sweep_slots, sweep, point, width)
            if fresh:
                raise_lanes(tables, lanes, width)
            else:
                store(lanes.state, ZERO, choose(load(lanes.standing, ZERO) > 0.0, WALKING, LOST))
                extrapolate_lanes(tables, lanes, position, point)
                newton_lanes(tables, lanes, 0.0, MOST_TOGETHER)
                accept_lanes(tables, lanes, True)
            for i in range(size):
                a = i * LANES
                store(lanes.earliest, a, load(lanes.earlier, a))
                store(lanes.earlier, a, load(lanes.here, a))
            keep_lanes(lanes.here, lanes.x, lanes.state, size)
            for w in range(width):
                status, share, jumped = SOLVED, 1.0, False
                if lanes.state[w] != DONE:
                    status, share, jumped = walk_column(
                        tables, scratch, lanes, w, sweep_slots, sweep, point, fresh
                    )
                lanes.standing[w] = lanes.standing[w] + 1.0 if status == SOLVED else 0.0
                lanes.outcome[w], row = status, start + np.int64(w)
                if row < corners.shape[0]:
                    notes[row, point, 0] = lanes.spent[w]
                    notes[row, point, 1] = share
                    notes[row, point, 2] = 1.0 if jumped else 0.0
            store(lanes.effort, ZERO, load(lanes.spent, ZERO))
            solved = load(lanes.standing, ZERO) > 0.0
            store(lanes.kept_point, ZERO, choose(solved, float(point), load(lanes.kept_point, ZERO)))
            for i in range(size):
                a = i * LANES
                store(lanes.kept, a, choose(solved, load(lanes.here, a), load(lanes.kept, a)))
            store(lanes.least, ZERO, least_range_lanes(lanes.here, lanes.p, tables))
            for w in range(count):
                outside = lanes.outcome[w] == SOLVED and not lanes.least[w] > 0.0
                statuses[start + w, point] = OUT_OF_RANGE if outside else int(lanes.outcome[w])
                take_column(xs[start + w, point], lanes.here, np.uint64(w))
