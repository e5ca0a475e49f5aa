"""Elimination of one circuit's equations: by its own program, or densely where that cannot serve."""

from outboard.network.generated import compiled, inlined

MOST_GROWTH = 1e10


@inlined
def eliminate(tables, residual, jacobian, step, inverse):
    """Solves jacobian·step = −residual by the circuit's elimination program, destroying both.

    Returns 1, the signs of the electrical and of the whole determinant and the number of negative thermal pivots,
    or 0 where a pivot is too small.
    """
    pivots, pivot_row, pivot_column = tables.pivot, tables.pivot_row, tables.pivot_column
    lower_start, lower, lower_row = tables.lower_start, tables.lower, tables.lower_row
    upper_start, upper, upper_column = tables.upper_start, tables.upper, tables.upper_column
    update_start, target, factor, source = tables.update_start, tables.target, tables.factor, tables.source
    n = pivots.size
    electrical = 1.0
    total = tables.parity
    growing = 0
    for k in range(n):
        pivot = jacobian[pivots[k]]
        if not abs(pivot) > 0.0:
            return 0, 0.0, 0.0, 0
        if pivot < 0.0:
            total = -total
            if k < tables.thermal_from:
                electrical = -electrical
            else:
                growing += 1
        inverse[k] = 1.0 / pivot
        right = residual[pivot_row[k]]
        largest = 0.0
        for i in range(lower_start[k], lower_start[k + 1]):
            share = jacobian[lower[i]] * inverse[k]
            largest = max(largest, abs(share))
            jacobian[lower[i]] = share
            residual[lower_row[i]] -= share * right
        if largest > MOST_GROWTH:
            return 0, 0.0, 0.0, 0
        for i in range(update_start[k], update_start[k + 1]):
            jacobian[target[i]] -= jacobian[factor[i]] * jacobian[source[i]]
    for k in range(n - 1, -1, -1):
        right = -residual[pivot_row[k]]
        for i in range(upper_start[k], upper_start[k + 1]):
            right -= jacobian[upper[i]] * step[upper_column[i]]
        step[pivot_column[k]] = right * inverse[k]
    return 1, electrical, total, growing


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
            return 0, 0.0, 0.0, 0
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
            return 0, 0.0, 0.0, 0
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
    return 1, 0.0, total, 0


@compiled
def growing_modes(tables, jacobian, matrix):
    """How many temperatures run away from each other: a second opinion on negative thermal pivots.

    The electrical unknowns are eliminated with pivot search, then the temperatures from the stiffest to the softest.
    In that order a negative pivot means a growing mode even where one device's temperature drives another's hard.
    Without an electrical solution (a pivot of zero) nothing is known: 0.
    """
    is_temperature = tables.is_temperature
    entry_row, entry_column = tables.entry_row, tables.entry_column
    n = is_temperature.size
    matrix[:, :] = 0.0
    for place in range(entry_row.size):
        matrix[entry_row[place], entry_column[place]] = jacobian[place]
    growing = 0
    for k in range(n):
        best = k
        if is_temperature[k]:
            for i in range(k + 1, n):
                if abs(matrix[i, i]) > abs(matrix[best, best]):
                    best = i
            for i in range(n):
                matrix[i, k], matrix[i, best] = matrix[i, best], matrix[i, k]
        else:
            for i in range(k + 1, n):
                if not is_temperature[i] and abs(matrix[i, k]) > abs(matrix[best, k]):
                    best = i
        for j in range(n):
            matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
        if not abs(matrix[k, k]) > 0.0:
            return 0
        if is_temperature[k] and matrix[k, k] < 0.0:
            growing += 1
        for i in range(k + 1, n):
            factor = matrix[i, k] / matrix[k, k]
            if factor != 0.0:
                for j in range(k + 1, n):
                    matrix[i, j] -= factor * matrix[k, j]
    return growing
