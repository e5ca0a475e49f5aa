"""Newton's method in several lanes at a time: the step that nearly all of the work consists of.

The same rules as `newton` for one point, over lane numbers.  Lanes never look at each other: a lane does the same
arithmetic whatever stands beside it, and is frozen once it is solved, so that results do not depend on how cases are
grouped.  What Newton's method does not manage is LOST, and left to `walk`.

Arrays hold [number, lane] flat; parameters are in the order of elements.
"""

import numpy as np

from outboard.network.generated import (
    assemble_lanes,
    compiled,
    evaluate_corners_lanes,
    evaluate_flows_lanes,
    inlined,
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
from outboard.network.lane_numbers import any_of, choose, every, lane, put, size_of

WALKING, DONE, LOST = 0.0, 1.0, 2.0
MOST_TOGETHER = 30
SURELY_OFF = 1e-6
"""A balance that is off by more could only be rounding where its terms are above 10⁸ A."""

LOOKED_AT = 3e-7
"""After a shorter step [V or K] it is worth while to look first whether that was all: without slopes it costs less."""

VAIN_LOOKS = 3.0
"""So often in a row a lane looks in vain; where only the roundings of large terms excuse a balance it always would."""


@inlined
def eliminate_lanes(tables, lanes):
    """`eliminate` for all lanes: (negative electrical pivots, sign, thermal doubts, growth).

    The growth says where the program cannot serve.
    """
    pivots, pivot_row, pivot_column = tables.pivot, tables.pivot_row, tables.pivot_column
    lower_start, lower, lower_row = tables.lower_start, tables.lower, tables.lower_row
    upper_start, upper, upper_column = tables.upper_start, tables.upper, tables.upper_column
    target = tables.target
    residual, jacobian, step, inverses = lanes.residual, lanes.jacobian, lanes.step, lanes.inverse
    electrical, total, growing, growth = every(0.0), every(tables.parity), every(0.0), every(0.0)
    update = np.uint64(0)
    for turn in range(pivots.size):
        k = np.uint64(turn)
        value = lane(jacobian, pivots[k])
        inverse = 1.0 / value
        put(inverses, k, inverse)
        negative = value < 0.0
        total = choose(negative, -total, total)
        if turn < tables.thermal_from:
            electrical = electrical + choose(negative, 1.0, 0.0)
        else:
            growing = growing + choose(negative, 1.0, 0.0)
            if turn == tables.thermal_from:
                for i in range(k, np.uint64(pivots.size)):
                    growing = growing + choose(lane(jacobian, pivots[i]) < 0.0, 1.0, 0.0)
        right = lane(residual, pivot_row[k])
        first, end = upper_start[k], upper_start[k + np.uint64(1)]
        for i in range(lower_start[k], lower_start[k + np.uint64(1)]):
            row = lower_row[i]
            share = lane(jacobian, lower[i]) * inverse
            size = size_of(share)
            growth = choose(size > growth, size, growth)
            put(residual, row, lane(residual, row) - share * right)
            for j in range(first, end):
                place = target[update]
                put(jacobian, place, lane(jacobian, place) - share * lane(jacobian, upper[j]))
                update += np.uint64(1)
    for turned in range(pivots.size):
        k = np.uint64(pivots.size - 1 - turned)
        right = -lane(residual, pivot_row[k])
        for i in range(upper_start[k], upper_start[k + np.uint64(1)]):
            right = right - lane(jacobian, upper[i]) * lane(step, upper_column[i])
        put(step, pivot_column[k], right * lane(inverses, k))
    return electrical, total, growing, growth


@inlined
def balance_lanes(tables, lanes, held, holding, leak, walking):
    """Residual and jacobian; how far each walking lane is from balance: positive where it is not balanced."""
    x, residual, jacobian = lanes.x, lanes.residual, lanes.jacobian
    entry_row, entry_column, diagonal = tables.entry_row, tables.entry_column, tables.diagonal
    assemble_lanes(x, lanes.p, tables, residual, jacobian)
    n = np.uint64(tables.pivot.size)
    if leak > 0.0:
        for i in range(n):
            if diagonal[i] < entry_row.size and not tables.is_temperature[i]:
                put(residual, i, lane(residual, i) + leak * lane(x, i))
                put(jacobian, diagonal[i], lane(jacobian, diagonal[i]) + leak)
    if holding:
        for place in range(np.uint64(entry_row.size)):
            if held[entry_row[place]]:
                put(jacobian, place, 0.0)
        for i in range(n):
            if held[i]:
                put(residual, i, 0.0)
                put(jacobian, diagonal[i], 1.0)
    worst = every(0.0)
    for i in range(n):
        size = size_of(lane(residual, i))
        worst = choose(size <= worst, worst, size)
    if not any_of(walking & (worst > BALANCE) & (worst <= SURELY_OFF)):
        return worst - BALANCE
    excess = every(-1.0)
    place = np.uint64(0)
    for i in range(n):
        term = every(0.0)
        while place < entry_row.size and entry_row[place] == i:
            size = size_of(lane(jacobian, place) * lane(x, entry_column[place]))
            term = choose(size > term, size, term)
            place += np.uint64(1)
        over = size_of(lane(residual, i)) - (BALANCE + ROUNDINGS * term)
        excess = choose(over <= excess, excess, over)
    return excess


@inlined
def imbalance_lanes(tables, lanes, held, holding, leak):
    """The largest residual of each lane, without slopes: as in `balance_lanes`."""
    x, residual, flow, row = lanes.x, lanes.residual, lanes.flow, tables.row
    evaluate_flows_lanes(x, lanes.p, tables, flow)
    n = np.uint64(tables.pivot.size)
    for i in range(n + np.uint64(1)):
        put(residual, i, 0.0)
    for port in range(np.uint64(row.size)):
        i = row[port]
        put(residual, i, lane(residual, i) + lane(flow, port))
    worst = every(0.0)
    for i in range(n):
        size = lane(residual, i)
        if leak > 0.0 and tables.diagonal[i] < tables.entry_row.size and not tables.is_temperature[i]:
            size = size + leak * lane(x, i)
        size = size_of(size)
        if not (holding and held[i]):
            worst = choose(size <= worst, worst, size)
    return worst


@inlined
def limited_share(tables, lanes):
    """Shares of the steps: junctions within 0.15 V past 0.5 V, temperatures within 40 K, no further than a bend."""
    x, step, ahead = lanes.x, lanes.step, lanes.ahead
    junction_plus, junction_minus, junction_sign = tables.junction_plus, tables.junction_minus, tables.junction_sign
    corner, corner_ahead = lanes.corner, lanes.corner_ahead
    share = every(1.0)
    for j in range(junction_plus.size):
        plus, minus, sign = junction_plus[j], junction_minus[j], junction_sign[j]
        rise = sign * (lane(step, plus) - lane(step, minus))
        forward = sign * (lane(x, plus) - lane(x, minus))
        room = choose(forward < 0.35, 0.5 - forward, 0.15)
        allowed = choose((rise > 0.15) & (forward + rise > 0.5), room / rise, 1.0)
        share = choose(allowed < share, allowed, share)
    for i in range(np.uint64(tables.pivot.size)):
        if tables.is_temperature[i]:
            rise = size_of(lane(step, i))
            allowed = choose(rise > 40.0, 40.0 / rise, 1.0)
            share = choose(allowed < share, allowed, share)
    for i in range(np.uint64(tables.pivot.size + 2)):
        put(ahead, i, lane(x, i) + share * lane(step, i))
    evaluate_corners_lanes(x, lanes.p, tables, corner)
    evaluate_corners_lanes(ahead, lanes.p, tables, corner_ahead)
    nearest = every(1.0)
    for k in range(np.uint64(tables.corner_start[tables.device.size])):
        here, there = lane(corner, k), lane(corner_ahead, k)
        crossing = (here * there < 0.0) & (size_of(there) > PAST_CORNER)
        reach = choose(crossing, (size_of(here) + PAST_CORNER) / (size_of(here) + size_of(there)), 1.0)
        nearest = choose(reach < nearest, reach, nearest)
    return share * nearest


@inlined
def largest_step(tables, lanes):
    """Size of the largest step of each lane."""
    largest = every(0.0)
    for i in range(np.uint64(tables.pivot.size)):
        size = size_of(lane(lanes.step, i))
        largest = choose(size <= largest, largest, size)
    return largest


@compiled
def newton_lanes(tables, lanes, held, holding, leak, enough):
    """Newton's method in all lanes that are WALKING; each ends DONE or LOST.  Same rules as `newton`.

    A whole step of less than `enough` ends it too, for points that are only on the way to others.
    """
    x, step = lanes.x, lanes.step
    n = np.uint64(tables.pivot.size)
    put(step, n, 0.0)
    put(step, n + np.uint64(1), 0.0)
    coldest = lane(x, n + np.uint64(1)) - COLDER
    state = lane(lanes.state, 0)
    electrical, total, growing = lane(lanes.electrical, 0), lane(lanes.total, 0), every(0.0)
    moved, before, last = every(FAR / 2.0), every(0.0), every(1e300)
    spent, polishes, trust = every(0.0), every(0.0), lane(lanes.trust, 0)
    for _ in range(MOST_TOGETHER):
        walking = state == WALKING
        looking = walking & (moved < LOOKED_AT) & (moved < QUICKLY * before) & (trust > 0.0)
        if any_of(looking):
            done = looking & (imbalance_lanes(tables, lanes, held, holding, leak) <= BALANCE)
            trust = choose(looking, choose(done, VAIN_LOOKS, trust - 1.0), trust)
            state = choose(done, choose(growing == 0.0, DONE, LOST), state)
            walking = state == WALKING
            if not any_of(walking):
                break
        balanced = (balance_lanes(tables, lanes, held, holding, leak, walking) <= 0.0) & (moved < FAR)
        ending = walking & balanced & (moved < NEAR) & (moved < QUICKLY * before)
        state = choose(ending, choose(growing == 0.0, DONE, LOST), state)
        walking = state == WALKING
        if not any_of(walking):
            break
        now_electrical, now_total, now_growing, growth = eliminate_lanes(tables, lanes)
        electrical = choose(walking, now_electrical, electrical)
        total = choose(walking, now_total, total)
        growing = choose(walking, now_growing, growing)
        largest = largest_step(tables, lanes)
        spent = choose(walking, spent + 1.0, spent)
        share = every(1.0)
        long = largest > SMALL_STEP
        if any_of(walking & long):
            share = choose(long, limited_share(tables, lanes), 1.0)
        state = choose(walking & ~((largest < 1e300) & (growth <= MOST_GROWTH)), LOST, state)
        walking = state == WALKING
        polishes = choose(balanced, polishes + 1.0, polishes)
        stuck = (largest > 0.5 * last) & (long | (polishes > MOST_POLISHES))
        close = largest < POLISHED
        polished = balanced & (close | stuck)
        before = moved
        last = choose(balanced, largest, last)
        moved = choose(share == 1.0, largest, FAR)
        going = walking & (close | ~polished)
        state = choose(walking & (polished | (moved < enough)), choose(growing == 0.0, DONE, LOST), state)
        for i in range(n):
            here = lane(x, i)
            there = choose(going, here + share * lane(step, i), here)
            if tables.is_temperature[i]:
                moved = choose(there < coldest, FAR, moved)
                there = choose(there < coldest, coldest, there)
            put(x, i, there)
    put(lanes.state, 0, choose(state == WALKING, LOST, state))
    put(lanes.electrical, 0, electrical)
    put(lanes.total, 0, total)
    put(lanes.spent, 0, spent)
    put(lanes.trust, 0, trust)
