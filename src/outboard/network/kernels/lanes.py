"""Newton's method on several lanes of one circuit in step: every number is a vector of lanes.

Lanes never look at each other: a lane does the same arithmetic whatever stands beside it, and is frozen once it is
solved, so that results do not depend on how corners are grouped.

Arrays hold [number, lane] flat, so that number k begins at k·LANES; parameters are in the order of elements.
"""

import numpy as np

from outboard.network.generated import (
    LANES,
    any_of,
    assemble_lanes,
    choose,
    compiled,
    evaluate_corners_lanes,
    inlined,
    larger,
    load,
    size_of,
    spread,
    store,
)
from outboard.network.kernels.elimination import MOST_GROWTH
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

WALKING, DONE, LOST = 0.0, 1.0, 2.0
HOPELESS = 1e-6
"""No rounding excuses a balance that is open this far [A or W]: its terms need not be looked at."""

ZERO, ONE = np.uint64(0), np.uint64(1)


@inlined
def eliminate_lanes(tables, lanes):
    """`eliminate` for all lanes: negative electrical pivots, sign, thermal doubts, and `growth`, which says where the
    program cannot serve."""
    pivots, pivot_row, pivot_column = tables.pivot, tables.pivot_row, tables.pivot_column
    lower_start, lower, lower_row = tables.lower_start, tables.lower, tables.lower_row
    upper_start, upper, upper_column = tables.upper_start, tables.upper, tables.upper_column
    update_start, target, factor, source = tables.update_start, tables.target, tables.factor, tables.source
    residual, jacobian, step, inverse = lanes.residual, lanes.jacobian, lanes.step, lanes.inverse
    n = np.uint64(pivots.size)
    electrical, growing, growth, total = spread(0.0), spread(0.0), spread(0.0), spread(tables.parity)
    for k in range(n):
        value = load(jacobian, pivots[k] * LANES)
        over = 1.0 / value
        store(inverse, k * LANES, over)
        negative = choose(value < 0.0, 1.0, 0.0)
        total = total * (1.0 - 2.0 * negative)
        if k >= tables.thermal_from:
            growing = growing + negative
            if k == tables.thermal_from:
                for i in range(k, n):
                    growing = growing + choose(load(jacobian, pivots[i] * LANES) < 0.0, 1.0, 0.0)
        else:
            electrical = electrical + negative
        right = load(residual, pivot_row[k] * LANES)
        for i in range(np.uint64(lower_start[k]), np.uint64(lower_start[k + ONE])):
            place, row = lower[i] * LANES, lower_row[i] * LANES
            share = load(jacobian, place) * over
            store(jacobian, place, share)
            growth = larger(size_of(share), growth)
            store(residual, row, load(residual, row) - share * right)
        for i in range(np.uint64(update_start[k]), np.uint64(update_start[k + ONE])):
            a, b, c = target[i] * LANES, factor[i] * LANES, source[i] * LANES
            store(jacobian, a, load(jacobian, a) - load(jacobian, b) * load(jacobian, c))
    for turned in range(n):
        k = n - ONE - turned
        right = load(residual, pivot_row[k] * LANES)
        for i in range(np.uint64(upper_start[k]), np.uint64(upper_start[k + ONE])):
            right = right + load(jacobian, upper[i] * LANES) * load(step, upper_column[i] * LANES)
        store(step, pivot_column[k] * LANES, 0.0 - right * load(inverse, k * LANES))
    return electrical, total, growing, growth


@inlined
def balance_lanes(tables, lanes, leak, walking):
    """Residual and jacobian, and how far each walking lane is from balance: positive where it is not balanced."""
    x, residual, jacobian = lanes.x, lanes.residual, lanes.jacobian
    entry_row, entry_column, diagonal = tables.entry_row, tables.entry_column, tables.diagonal
    assemble_lanes(x, lanes.p, tables, residual, jacobian)
    n = np.uint64(tables.pivot.size)
    if leak > 0.0:
        for i in range(n):
            if diagonal[i] < entry_row.size and not tables.is_temperature[i]:
                a, b = i * LANES, diagonal[i] * LANES
                store(residual, a, load(residual, a) + leak * load(x, a))
                store(jacobian, b, load(jacobian, b) + leak)
    worst = spread(0.0)
    for i in range(n):
        worst = larger(size_of(load(residual, i * LANES)), worst)
    hopeless = worst > HOPELESS
    if not any_of(walking & ~hopeless):
        return worst
    excess, place = spread(-1.0), ZERO
    for i in range(n):
        term = spread(0.0)
        while place < entry_row.size and entry_row[place] == i:
            term = larger(size_of(load(jacobian, place * LANES) * load(x, entry_column[place] * LANES)), term)
            place += ONE
        over = size_of(load(residual, i * LANES)) - (BALANCE + ROUNDINGS * term)
        excess = choose((over > excess) | (over != over), over, excess)
    return choose(hopeless, worst, excess)


@inlined
def limited_lanes(tables, lanes):
    """Shares of the steps: junctions within 0.15 V past 0.5 V, temperatures within 40 K, no further than a bend."""
    x, step, ahead, corner, corner_ahead = lanes.x, lanes.step, lanes.ahead, lanes.corner, lanes.corner_ahead
    junction_plus, junction_minus, junction_sign = tables.junction_plus, tables.junction_minus, tables.junction_sign
    n = np.uint64(tables.pivot.size)
    share = spread(1.0)
    for j in range(np.uint64(junction_plus.size)):
        plus, minus, sign = junction_plus[j] * LANES, junction_minus[j] * LANES, junction_sign[j]
        rise = sign * (load(step, plus) - load(step, minus))
        forward = sign * (load(x, plus) - load(x, minus))
        room = choose(forward < 0.35, 0.5 - forward, 0.15)
        allowed = choose((rise > 0.15) & (forward + rise > 0.5), room / rise, 1.0)
        share = choose(allowed < share, allowed, share)
    for i in range(n):
        if tables.is_temperature[i]:
            rise = size_of(load(step, i * LANES))
            allowed = choose(rise > 40.0, 40.0 / rise, 1.0)
            share = choose(allowed < share, allowed, share)
    if tables.corner_start[tables.device.size] == 0:
        return share
    for i in range(n + ONE + ONE):
        a = i * LANES
        store(ahead, a, load(x, a) + share * load(step, a))
    evaluate_corners_lanes(x, lanes.p, tables, corner)
    evaluate_corners_lanes(ahead, lanes.p, tables, corner_ahead)
    nearest = spread(1.0)
    for k in range(np.uint64(tables.corner_start[tables.device.size])):
        here, there = load(corner, k * LANES), load(corner_ahead, k * LANES)
        crossing = (here * there < 0.0) & (size_of(there) > PAST_CORNER)
        reach = choose(crossing, (size_of(here) + PAST_CORNER) / (size_of(here) + size_of(there)), 1.0)
        nearest = choose(reach < nearest, reach, nearest)
    return share * nearest


@compiled
def newton_lanes(tables, lanes, leak, most_iterations):
    """Newton's method in all lanes that are WALKING; each ends DONE or LOST.  Same rules as `newton`."""
    x, step = lanes.x, lanes.step
    n = np.uint64(tables.pivot.size)
    store(step, n * LANES, spread(0.0))
    store(step, (n + ONE) * LANES, spread(0.0))
    coldest = load(x, (n + ONE) * LANES) - COLDER
    state = load(lanes.state, ZERO)
    electrical, total, growing = load(lanes.electrical, ZERO), load(lanes.total, ZERO), load(lanes.growing, ZERO)
    moved, last, before = spread(FAR / 2.0), spread(1e300), spread(0.0)
    polishes, spent = spread(0.0), spread(0.0)
    for _ in range(most_iterations):
        excess = balance_lanes(tables, lanes, leak, state == WALKING)
        balanced = (moved < FAR) & (excess <= 0.0)
        arrived = balanced & (moved < NEAR) & (moved < QUICKLY * before) & (state == WALKING)
        state = choose(arrived, choose(growing == 0.0, DONE, LOST), state)
        walking = state == WALKING
        if not any_of(walking):
            break
        found_electrical, found_total, found_growing, growth = eliminate_lanes(tables, lanes)
        electrical, total = choose(walking, found_electrical, electrical), choose(walking, found_total, total)
        growing = choose(walking, found_growing, growing)
        largest = spread(0.0)
        for i in range(n):
            size = size_of(load(step, i * LANES))
            largest = choose((size > largest) | (size != size), size, largest)
        spent = spent + choose(walking, 1.0, 0.0)
        share = spread(1.0)
        if any_of(walking & (largest > SMALL_STEP)):
            share = choose(largest > SMALL_STEP, limited_lanes(tables, lanes), 1.0)
        walking = walking & (largest < 1e300) & (growth <= MOST_GROWTH)
        state = choose(walking | (state != WALKING), state, LOST)
        polishes = polishes + choose(balanced, 1.0, 0.0)
        stuck = (largest > 0.5 * last) & ((largest > SMALL_STEP) | (polishes > MOST_POLISHES))
        fine = largest < POLISHED
        polished = balanced & (fine | stuck)
        before = moved
        last = choose(balanced, largest, last)
        moved = choose(share == 1.0, largest, FAR)
        stepping = walking & (fine | ~polished)
        state = choose(walking & polished, choose(growing == 0.0, DONE, LOST), state)
        for i in range(n):
            a = i * LANES
            here = load(x, a)
            here = choose(stepping, here + share * load(step, a), here)
            if tables.is_temperature[i]:
                moved = choose(here < coldest, FAR, moved)
                here = larger(here, coldest)
            store(x, a, here)
    store(lanes.state, ZERO, choose(state == WALKING, LOST, state))
    store(lanes.electrical, ZERO, electrical)
    store(lanes.total, ZERO, total)
    store(lanes.growing, ZERO, growing)
    store(lanes.spent, ZERO, spent)
