"""Whether a point can last, and small questions about points.

The sign of the determinant and the number of negative electrical pivots are taken from the circuit before its sources
come up, when it is passive and stable.  An odd number of unstable loops turns the sign, an even number leaves negative
pivots: there the modes are looked for.  A point with a growing mode is never an operating point.
"""

from outboard.network.generated import inlined
from outboard.network.kernels.elimination import ELECTRICAL_CAPACITY, UNCOUNTED, grows, sign_at

HOTTEST = 773.15
LEAST_LEAK = 1e-10  # [S], and as little to air [W/K]


@inlined
def is_stable(tables, scratch, electrical, total, growing, reference_electrical, reference_total):
    """No unstable loop: sign and counts as before the sources came up, or else no mode that grows (`grows`)."""
    odd = (electrical - reference_electrical) % 2 != 0
    if not total * reference_total > 0.0 and (odd or electrical == UNCOUNTED):
        # where a net hangs on less than the roundings of what meets there, its sign is chance: so small a leak tells
        electrical, total = UNCOUNTED, sign_at(tables, scratch, LEAST_LEAK, 1.0, 1.0)
    if not total * reference_total > 0.0:
        return False
    if electrical == reference_electrical and electrical != UNCOUNTED:
        return growing == 0 or not grows(tables, scratch, total, 0.0)
    if odd and electrical != UNCOUNTED and reference_electrical != UNCOUNTED:
        return False
    return not grows(tables, scratch, total, ELECTRICAL_CAPACITY)


@inlined
def hottest(x, tables):
    """Highest temperature of all thermal unknowns."""
    is_temperature = tables.is_temperature
    high = 0.0
    for i in range(is_temperature.size):
        if is_temperature[i]:
            high = max(high, x[i])
    return high


@inlined
def warming(x, other, tables):
    """Largest difference of temperature between two points."""
    is_temperature = tables.is_temperature
    most = 0.0
    for i in range(is_temperature.size):
        if is_temperature[i]:
            most = max(most, abs(x[i] - other[i]))
    return most


@inlined
def set_between(scratch, share):
    """Parameters on the straight way between two sets."""
    parameters = scratch.parameters
    parameters_from = scratch.parameters_from
    parameters_to = scratch.parameters_to
    for j in range(parameters.size):
        a, b = parameters_from[j], parameters_to[j]
        parameters[j] = b if a == b else a + share * (b - a)
