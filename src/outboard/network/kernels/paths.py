"""Ways to the operating point that exists physically, and along a table of cases."""

from outboard.network.generated import assemble, compiled, entry, inlined, least_range
from outboard.network.kernels.branch import follow_branch
from outboard.network.kernels.elimination import UNCOUNTED, copy
from outboard.network.kernels.newton import newton
from outboard.network.kernels.standing import HOTTEST, hottest, is_stable, set_between, warming
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY, SOLVED

MOST_ITERATIONS = 40
LEAST_SHARE = 1e-5
LEAK = 1e-9
SMOOTH = 4
MOST_RISE = 0.04
MOST_WARMING = 60.0
UNEVEN = 1e-2
# settling in time: a step of so many seconds still follows what grows by heat; after a longer one that did not, so many
# steps pass before another is tried
SHORT_REST, PATIENT_STEPS = 100.0, 40


@inlined
def push(x, tables, scratch, holding):
    """Makes temperatures a little uneven, so that like devices may part."""
    for i in range(tables.is_temperature.size):
        if tables.is_temperature[i] and not (holding and scratch.held[i]):
            x[i] += UNEVEN * ((i * 0.618033988749895) % 1.0 - 0.5)


@compiled
def walk(x, tables, scratch, holding, electrical, total, first, guessed, leak):
    """Follows a solution x from one set of parameters to another.

    Returns (status, iterations, share of the way reached, whether the circuit jumped, negative electrical pivots and
    sign of the determinant at a stable point).
    Steps double when they are easy and shrink when they fail; the first may start from `scratch.guess`, the others
    from a secant.  A sign of 0 is taken from the starting point, solved first.
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
    guess = scratch.guess
    reached, advance, gap, spent, steps = 0.0, first, 0.0, 0, 0
    settling, at_rest, duration, longest, patience = False, False, 1e-6, 1e5, 0
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
            trial[i] = guess[i] if guessed else x[i] + ratio * (x[i] - earlier[i])
            anchor[i] = x[i] if settling else (parameters[0] if is_temperature[i] else 0.0)
        trial[n], trial[n + 1] = 0.0, parameters[0]
        most = 12 if guessed else MOST_ITERATIONS
        good, used, negative, whole, growing = newton(
            trial, parameters, tables, scratch, holding, electrical_anchor, thermal_anchor, most
        )
        spent += used
        if total == 0.0:
            copy(scratch.stopped, x)
            if not good:
                return NOT_CONVERGED, spent, 0.0, False, UNCOUNTED, 0.0
            electrical, total = negative, whole
            for i in range(n + 2):
                x[i] = trial[i]
            continue
        stable = good and is_stable(tables, scratch, negative, whole, growing, electrical, total)
        if stable and not settling and advance > LEAST_SHARE and warming(x, trial, tables) > MOST_WARMING:
            stable = False  # so long a step may end on another branch than the one that heat leads along
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
                advance *= 0.5 if guessed or ratio != 0.0 else 0.25
                gap, guessed = 0.0, False
                settling = advance < LEAST_SHARE
                if settling:
                    copy(scratch.stopped, x)
                    push(x, tables, scratch, holding)
            continue
        steps += 1
        if at_rest:
            if stable:
                for i in range(n):
                    x[i] = trial[i]
                status = RUNAWAY if hottest(x, tables) > HOTTEST else SOLVED
                return status, spent, reached, True, electrical, total
            at_rest = False
            if good:  # steps that long damp what really grows, if slowly: another push, and shorter ones for a while
                longest, patience, duration = SHORT_REST, steps + PATIENT_STEPS, SHORT_REST
                push(x, tables, scratch, holding)
        elif stable:
            for i in range(n + 2):
                x[i] = trial[i]
            if hottest(x, tables) > HOTTEST:
                return RUNAWAY, spent, reached, True, electrical, total
            duration *= 3.0 if used <= 8 else 1.5
            if patience > 0:
                duration = min(duration, 3.0 * longest)
            at_rest = duration > longest and steps >= patience
        else:
            if good and duration > SHORT_REST:  # so long a step does not follow what grows: no longer ones for a while
                longest, patience = 0.2 * duration, steps + PATIENT_STEPS
                push(x, tables, scratch, holding)
            duration *= 0.2
        if duration < 1e-15 or duration > 1e12 or steps > 600:
            return NOT_CONVERGED, spent, reached, True, electrical, total


@inlined
def extrapolate(tables, x, last, earliest, position, point, curved, guess):
    """Guess of a point of a sweep from the two or three before it: a secant or a parabola.

    It goes no further than a junction voltage stays sensible: beyond that devices take over from each other and what
    was before says nothing.
    """
    ahead = position[point] - position[point - 1]
    back = position[point - 1] - position[point - 2]
    here, there, far = 1.0 + ahead / back, -ahead / back, 0.0
    if curved and (ahead * back < 0.0 or back * (position[point - 2] - position[point - 3]) <= 0.0):
        curved = False  # the sweep has turned round
    if curved:
        span = position[point - 1] - position[point - 3]
        here = (ahead + back) * (ahead + span) / (back * span)
        there = -ahead * (ahead + span) / (back * (span - back))
        far = ahead * (ahead + back) / (span * (span - back))
    for i in range(x.size):
        guess[i] = here * x[i] + there * last[i]
        if curved:
            guess[i] += far * earliest[i]
    share = 1.0
    for j in range(tables.junction_plus.size):
        plus, minus = tables.junction_plus[j], tables.junction_minus[j]
        rise = tables.junction_sign[j] * ((guess[plus] - x[plus]) - (guess[minus] - x[minus]))
        forward = tables.junction_sign[j] * (x[plus] - x[minus])
        if rise > MOST_RISE and forward + rise > 0.4:
            share = min(share, MOST_RISE / rise)
    if share < 1.0:
        for i in range(x.size):
            guess[i] = x[i] + share * (guess[i] - x[i])


@entry
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
    parameters_from = scratch.parameters_from
    parameters_to = scratch.parameters_to
    n = is_temperature.size
    x = scratch.here
    last = scratch.last
    for row in range(corners.shape[0]):
        electrical, total = UNCOUNTED, 0.0
        standing, spent, kept_point = 0, 0, -1
        copy(parameters_to, base)
        for j in range(corner_slots.size):
            parameters_to[corner_slots[j]] = corners[row, j]
        for point in range(sweep.shape[0]):
            copy(parameters_from, parameters_to)
            for j in range(sweep_slots.size):
                parameters_to[sweep_slots[j]] = sweep[point, j]
            first, guessed, leak = 1.0, False, 0.0
            if holding:
                copy(parameters_from, parameters_to)
                for j in range(before_slots.size):
                    parameters_from[before_slots[j]] = before[row, j]
                electrical, total, first = UNCOUNTED, 0.0, 0.5
                for i in range(n + 2):
                    x[i] = xs[row, point, i]
            elif raise_each or standing == 0:
                copy(parameters_from, parameters_to)
                for j in range(raised.size):
                    parameters_from[raised[j]] = 0.0
                electrical, total, first, leak, standing = UNCOUNTED, 0.0, 0.2, LEAK, 0
                for i in range(n):
                    x[i] = parameters_to[0] if is_temperature[i] else 0.0
                x[n], x[n + 1] = 0.0, parameters_to[0]
            elif standing > 1:
                curved = standing > 2 and spent <= SMOOTH
                extrapolate(tables, x, last, scratch.earliest, position, point, curved, scratch.guess)
                guessed = True
            copy(scratch.earliest, last)
            copy(last, x)
            status, spent, share, jumped, electrical, total = walk(
                x, tables, scratch, holding, electrical, total, first, guessed, leak
            )
            if status == NOT_CONVERGED and not holding:
                begin = share
                copy(scratch.beyond, scratch.stopped)
                if kept_point >= 0:
                    begin = 0.0
                    copy(scratch.beyond, scratch.kept)
                    copy(parameters_from, parameters_to)
                    for j in range(sweep_slots.size):
                        parameters_from[sweep_slots[j]] = sweep[kept_point, j]
                at_rest, used = follow_branch(scratch.beyond, begin, tables, scratch, electrical, total)
                spent += used
                if at_rest:
                    status, jumped = SOLVED, True
                    copy(x, scratch.beyond)
            if status == SOLVED:
                kept_point = point
                copy(scratch.kept, x)
            standing = standing + 1 if status == SOLVED else 0
            if status == SOLVED and not least_range(x, parameters_to, tables) > 0.0:
                status = OUT_OF_RANGE
            for i in range(n + 2):
                xs[row, point, i] = x[i]
            statuses[row, point] = status
            notes[row, point, 0] = spent
            notes[row, point, 1] = share
            notes[row, point, 2] = 1.0 if jumped else 0.0


@entry
def balances(x, p, tables, residual, jacobian):
    """Residual [row] and jacobian [place] at one point."""
    assemble(x, p, tables, residual, jacobian)
