"""Elimination of one circuit's equations: by its own program, or densely where that cannot serve."""

from outboard.network.generated import compiled, inlined

MOST_GROWTH = 1e10
UNCOUNTED = -1
SLOWEST, FASTEST_THERMAL, FASTEST = 1e-4, 1e3, 1e9
NEXT_RATE = 1.5
THERMAL_CAPACITY, ELECTRICAL_CAPACITY = 1.0, 1e-6
SPREADS = (1.0, 10.0)
GOLDEN = 0.618033988749895


@inlined
def copy(target, source):
    """Copies a row of numbers; a slice assignment would make a copy of its own first."""
    for i in range(target.size):
        target[i] = source[i]


@inlined
def eliminate(tables, residual, jacobian, step, inverse):
    """Solves jacobian·step = −residual by the circuit's elimination program, destroying both.

    Returns 1, the number of negative electrical pivots, the sign of the determinant and the number of thermal doubts:
    negative pivots, and junctions that would run away if all others kept their temperature; or 0 where a pivot is too
    small.
    """
    pivots, pivot_row, pivot_column = tables.pivot, tables.pivot_row, tables.pivot_column
    lower_start, lower, lower_row = tables.lower_start, tables.lower, tables.lower_row
    upper_start, upper, upper_column = tables.upper_start, tables.upper, tables.upper_column
    update_start, target, factor, source = tables.update_start, tables.target, tables.factor, tables.source
    n = pivots.size
    electrical, growing = 0, 0
    total = tables.parity
    for k in range(n):
        pivot = jacobian[pivots[k]]
        if not abs(pivot) > 0.0:
            return 0, UNCOUNTED, 0.0, 0
        if pivot < 0.0:
            total = -total
            if k < tables.thermal_from:
                electrical += 1
            else:
                growing += 1
        if k == tables.thermal_from:
            for i in range(k, n):
                growing += 1 if jacobian[pivots[i]] < 0.0 else 0
        inverse[k] = 1.0 / pivot
        right = residual[pivot_row[k]]
        largest = 0.0
        for i in range(lower_start[k], lower_start[k + 1]):
            share = jacobian[lower[i]] * inverse[k]
            largest = max(largest, abs(share))
            jacobian[lower[i]] = share
            residual[lower_row[i]] -= share * right
        if largest > MOST_GROWTH:
            return 0, UNCOUNTED, 0.0, 0
        for i in range(update_start[k], update_start[k + 1]):
            jacobian[target[i]] -= jacobian[factor[i]] * jacobian[source[i]]
    for k in range(n - 1, -1, -1):
        right = -residual[pivot_row[k]]
        for i in range(upper_start[k], upper_start[k + 1]):
            right -= jacobian[upper[i]] * step[upper_column[i]]
        step[pivot_column[k]] = right * inverse[k]
    return 1, electrical, total, growing


@compiled
def solve_densely(matrix, right, step, size):
    """Solves matrix·step = right, destroying both, by Gauss elimination with row scaling and pivot search.

    Returns (1, sign of the determinant), or (0, 0.0) where the matrix is singular.
    """
    for i in range(size):
        largest = 0.0
        for j in range(size):
            largest = max(largest, abs(matrix[i, j]))
        if not largest > 0.0:
            return 0, 0.0
        for j in range(size):
            matrix[i, j] /= largest
        right[i] /= largest
    total = 1.0
    for k in range(size):
        best = k
        for i in range(k + 1, size):
            if abs(matrix[i, k]) > abs(matrix[best, k]):
                best = i
        if not abs(matrix[best, k]) > 0.0:
            return 0, 0.0
        if best != k:
            total = -total
            for j in range(k, size):
                matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
            right[k], right[best] = right[best], right[k]
        if matrix[k, k] < 0.0:
            total = -total
        for i in range(k + 1, size):
            factor = matrix[i, k] / matrix[k, k]
            if factor != 0.0:
                for j in range(k + 1, size):
                    matrix[i, j] -= factor * matrix[k, j]
                right[i] -= factor * right[k]
    for k in range(size - 1, -1, -1):
        value = right[k]
        for j in range(k + 1, size):
            value -= matrix[k, j] * step[j]
        step[k] = value / matrix[k, k]
    return 1, total


@compiled
def eliminate_densely(tables, residual, jacobian, step, matrix, right):
    """The same as `eliminate` with pivot search, for regimes that the program cannot serve.

    Rows change places here, so that negative pivots say nothing by themselves: they stay UNCOUNTED.
    """
    size = tables.pivot.size
    for i in range(size):
        right[i] = -residual[i]
        for j in range(size):
            matrix[i, j] = 0.0
    for place in range(tables.entry_row.size):
        matrix[tables.entry_row[place], tables.entry_column[place]] = jacobian[place]
    healthy, total = solve_densely(matrix, right, step, size)
    return healthy, UNCOUNTED, total, 0


@compiled
def sign_at(tables, scratch, rate, electrical_capacity, spread):
    """Sign of the determinant of the jacobian kept in `scratch`, with capacities at a rate of growth; 0 if singular."""
    residual, jacobian, step, diagonal = scratch.residual, scratch.jacobian, scratch.step, tables.diagonal
    is_temperature = tables.is_temperature
    healthy, sign = 0, 0.0
    for dense in range(2):
        if healthy == 0:
            copy(jacobian, scratch.kept_jacobian)
            for i in range(is_temperature.size):
                if diagonal[i] < tables.entry_row.size:
                    capacity = THERMAL_CAPACITY if is_temperature[i] else electrical_capacity
                    jacobian[diagonal[i]] += rate * capacity * spread ** ((i * GOLDEN) % 1.0)
            if dense == 1:
                healthy, _, sign, _ = eliminate_densely(
                    tables, residual, jacobian, step, scratch.matrix, scratch.right
                )
            elif not tables.dense:
                healthy, _, sign, _ = eliminate(tables, residual, jacobian, step, scratch.inverse)
    return sign


@compiled
def grows(tables, scratch, total, electrical_capacity):
    """Whether the jacobian kept in `scratch`, of the sign `total`, has a mode that grows without swinging.

    At its rate s the determinant of J + s·C is zero, so its sign is looked at along s: turned at two places, it is the
    same at both ends.  The capacities C are tried alike, and spread over a decade: the modes of devices that are
    alike would turn the sign at one place, and twice there is not at all, whereas other modes swing once capacities
    differ.  Without an electrical capacity the electrical side follows the temperatures at once.
    """
    end = FASTEST if electrical_capacity > 0.0 else FASTEST_THERMAL
    for spread in SPREADS:
        rate = SLOWEST
        while rate < end:
            if sign_at(tables, scratch, rate, electrical_capacity, spread) * total < 0.0:
                return True
            rate *= NEXT_RATE
    return False
