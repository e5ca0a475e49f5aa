"""The branch of balances, followed through places where it is steep or turns back.

Load and state move together along the length of the branch: where the state runs far ahead of the load, or at a
turning point (a fold), a step in the load alone leads nowhere.
"""

from outboard.network.generated import assemble, compiled, inlined
from outboard.network.kernels.elimination import ELECTRICAL_CAPACITY, copy, grows, solve_densely
from outboard.network.kernels.newton import is_balanced, newton
from outboard.network.kernels.standing import HOTTEST, hottest, is_stable, set_between

KELVINS = 50.0  # a step of 1 along the branch is 1 V or A, or so many kelvins
FIRST_LENGTH, LONGEST_LENGTH, SHORTEST_LENGTH = 1e-3, 0.2, 1e-12
STRAIGHT, BEND, BEYOND_BEND, AROUND_BEND = 0.8, 1e-9, 1e-6, 1e-5
FARTHEST = 2.0
SMALL_SHARE = 1e-6
MOST_CORRECTIONS, MOST_LENGTHS = 12, 2000


@inlined
def move(target, x, along, length, tables):
    """The state so far along the branch."""
    for i in range(tables.is_temperature.size):
        target[i] = x[i] + length * along[i] * (KELVINS if tables.is_temperature[i] else 1.0)


@compiled
def border(x, share, along, tables, scratch):
    """Residual at a place, and in `scratch.matrix` its slopes by scaled unknowns and share, with the way on below."""
    n = tables.is_temperature.size
    residual, jacobian, matrix = scratch.residual, scratch.jacobian, scratch.matrix
    for offset in (SMALL_SHARE, -SMALL_SHARE, 0.0):
        set_between(scratch, share + offset)
        x[n], x[n + 1] = 0.0, scratch.parameters[0]
        assemble(x, scratch.parameters, tables, residual, jacobian)
        if offset > 0.0:
            matrix[:, :] = 0.0
            for i in range(n):
                matrix[i, n] = residual[i] / (2.0 * SMALL_SHARE)
        elif offset < 0.0:
            for i in range(n):
                matrix[i, n] -= residual[i] / (2.0 * SMALL_SHARE)
    for place in range(tables.entry_row.size):
        column = tables.entry_column[place]
        size = KELVINS if tables.is_temperature[column] else 1.0
        matrix[tables.entry_row[place], column] = jacobian[place] * size
    for i in range(n + 1):
        matrix[n, i] = along[i]


@compiled
def point_along(tables, scratch, side, along):
    """Into `along` the way on from a place that has been bordered: (whether there is one, side, turn).

    `side`, the sign of the determinant of slopes and way on, is the same before and after any bend; 0 takes it from
    here.  The turn is the cosine of the angle to the way by which the place was bordered.
    """
    n = tables.is_temperature.size
    step, right = scratch.step, scratch.right
    for i in range(n):
        right[i] = 0.0
    right[n] = 1.0
    healthy, sign = solve_densely(scratch.matrix, right, step, n + 1)
    length = 0.0
    for i in range(n + 1):
        length += step[i] * step[i]
    if not (healthy and length < 1e300):
        return False, side, 0.0
    length = length**0.5
    side = sign if side == 0.0 else side
    for i in range(n + 1):
        along[i] = side * sign * step[i] / length
    return True, side, side * sign / length


@compiled
def correct(x, share, length, tables, scratch):
    """A step along the branch, brought back to it in `scratch.trial`: (whether it could be, share, iterations)."""
    n = tables.is_temperature.size
    trial, along, step, right, residual = scratch.trial, scratch.along, scratch.step, scratch.right, scratch.residual
    move(trial, x, along, length, tables)
    ahead, moved = share + length * along[n], 1e300
    for used in range(MOST_CORRECTIONS):
        border(trial, ahead, along, tables, scratch)
        if is_balanced(trial, tables, residual, scratch.jacobian, right) or (moved < 1e-9 and used > 2):
            return True, ahead, used
        gone = (ahead - share) * along[n]
        for i in range(n):
            right[i] = -residual[i]
            gone += (trial[i] - x[i]) * along[i] / (KELVINS if tables.is_temperature[i] else 1.0)
        right[n] = length - gone
        healthy, _ = solve_densely(scratch.matrix, right, step, n + 1)
        moved = 0.0
        for i in range(n + 1):
            moved = max(moved, abs(step[i])) if abs(step[i]) < 1e300 else 1e300
        if not healthy or moved > 4.0 * max(length, BEND) + BEND:
            return False, ahead, used
        move(trial, trial, step, 1.0, tables)
        ahead += step[n]
    return False, ahead, MOST_CORRECTIONS


@compiled
def rests(x, tables, scratch, electrical, total):
    """Whether a place at the end of the way is, or leads at once to, a balance that lasts; x becomes that."""
    n = tables.is_temperature.size
    set_between(scratch, 1.0)
    x[n], x[n + 1] = 0.0, scratch.parameters[0]
    good, _, negative, whole, growing = newton(
        x, scratch.parameters, tables, scratch, False, 0.0, 0.0, MOST_CORRECTIONS
    )
    if not good or hottest(x, tables) > HOTTEST:
        return False
    # counts and sign say little about a point that was reached through unstable ones: its modes are looked for
    if not is_stable(tables, scratch, negative, whole, growing, electrical, total):
        return False
    return not (grows(tables, scratch, total, 0.0) or grows(tables, scratch, total, ELECTRICAL_CAPACITY))


@compiled
def follow_branch(x, share, tables, scratch, electrical, total):
    """Follows a solution x at a share of the way between two sets of parameters through points that cannot last.

    Beyond loads at which a circuit hunts it may come to rest again, and where the branch turns back and forth its
    later course may be stable.  Returns (whether x is now a stable end, steps).
    """
    n = tables.is_temperature.size
    along, along_next, trial, found = scratch.along, scratch.along_next, scratch.trial, scratch.found
    length, around = FIRST_LENGTH, False
    for i in range(n):
        along[i] = 0.0
    along[n] = 1.0
    border(x, share, along, tables, scratch)
    healthy, side, _ = point_along(tables, scratch, 0.0, along)
    if not healthy:
        return False, 0
    for steps in range(MOST_LENGTHS):
        good, ahead, used = correct(x, share, length, tables, scratch)
        if good:
            good, _, turn = point_along(tables, scratch, side, along_next)
            good = good and (turn > STRAIGHT or length <= BEND)
        if not good and length >= 2.0 * SHORTEST_LENGTH:
            length *= 0.5
            continue
        if not good:  # a bend sharper than a right angle: the way on as it is seen a little beyond it
            if around:
                return False, steps
            move(trial, x, along, BEYOND_BEND, tables)
            border(trial, share, along, tables, scratch)
            healthy, _, _ = point_along(tables, scratch, side, along)
            length, around = AROUND_BEND, True
            continue
        if (share - 1.0) * (ahead - 1.0) <= 0.0 and ahead != share:
            inside = (1.0 - share) / (ahead - share)
            for i in range(n):
                found[i] = x[i] + inside * (trial[i] - x[i])
            if rests(found, tables, scratch, electrical, total):
                copy(x, found)
                return True, steps
        copy(x, trial)
        copy(along, along_next)
        share, around = ahead, False
        length = min(LONGEST_LENGTH, length * (2.0 if used <= 4 else 1.0 if used <= 6 else 0.5))
        if hottest(x, tables) > HOTTEST or not 0.0 <= share <= FARTHEST:
            return False, steps
    return False, MOST_LENGTHS
