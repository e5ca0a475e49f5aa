"""Numbers into lanes and out of them: rows of parameters, what a sweep changes, solved points."""

import numpy as np

from outboard.network.generated import compiled, inlined
from outboard.network.kernels.elimination import copy
from outboard.network.lane_numbers import WIDTH, lane, put


@inlined
def copy_lanes(target, source, count):
    """Copies the first numbers of an array of lanes."""
    for i in range(np.uint64(count)):
        put(target, i, lane(source, i))


@inlined
def places_of_slots(tables, slots, places):
    """Finds where the parameters of some slots stand in the order of elements; returns how many there are."""
    count = 0
    for j in range(tables.parameter.size):
        for k in range(slots.size):
            if tables.parameter[j] == slots[k]:
                places[count] = j
                count += 1
                break
    return count


@compiled
def put_parameters(tables, lanes, places, count, share):
    """Parameters of the lanes' rows at some places into the lanes, a share of each; the ambient temperature too."""
    n = np.uint64(tables.pivot.size)
    for w in range(WIDTH):
        for k in range(np.uint64(count)):
            j = np.uint64(places[k])
            lanes.p[j * np.uint64(WIDTH) + np.uint64(w)] = share * lanes.rows[w, tables.parameter[j]]
        lanes.x[n * np.uint64(WIDTH) + np.uint64(w)] = 0.0
        lanes.x[(n + np.uint64(1)) * np.uint64(WIDTH) + np.uint64(w)] = lanes.rows[w, 0]


@inlined
def put_sweep(tables, lanes, swept, sweep_slots, sweep, point):
    """What all lanes have alike at a point of the sweep."""
    for w in range(WIDTH):
        for j in range(sweep_slots.size):
            lanes.rows[w, sweep_slots[j]] = sweep[point, j]
    put_parameters(tables, lanes, lanes.swept, swept, 1.0)


@compiled
def put_rows(tables, lanes, base, slots, values, start, count):
    """The parameters of the corners from `start` on into the lanes; the last of `count` fills those that are left."""
    for w in range(WIDTH):
        copy(lanes.rows[w], base)
        if count > 0:
            row = start + min(w, count - 1)
            for j in range(slots.size):
                lanes.rows[w, slots[j]] = values[row, j]
    put_parameters(tables, lanes, lanes.all, lanes.all.size, 1.0)


@compiled
def hand_out(tables, lanes, start, count, point, xs, statuses, notes):
    """The lanes' points to where the caller wants them."""
    for w in range(count):
        row, first = xs[start + w, point], np.uint64(w)
        statuses[start + w, point] = int(lanes.outcome[w])
        for k in range(3):
            notes[start + w, point, k] = lanes.notes[w, k]
        for i in range(np.uint64(tables.pivot.size + 2)):
            row[i] = lanes.here[i * np.uint64(WIDTH) + first]
