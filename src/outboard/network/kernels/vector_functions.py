"""Elementary functions of lane numbers in plain arithmetic: a call to the C library would take the lanes one by one.

All are exact to about two units in the last place.

References
----------
[CodyWaite] Software Manual for the Elementary Functions, 1980, ch. 5 and 6: reduction by ln 2 in two pieces (memory)
"""

from outboard.network.generated import inlined
from outboard.network.lane_numbers import choose, exponent_of, mantissa_of, power_of_two, size_of

ROUNDER = 6755399441055744.0
"""1.5·2^52: adding it leaves an integer in the low bits."""

LN_2_HIGH = 0.6931471803691238
LN_2_LOW = 1.9082149292705877e-10
ROOT_2 = 1.4142135623730951


@inlined
def lane_exp(x):
    """exp(x), nothing below −708; the argument stays below 709."""
    x = choose(x > -708.0, x, -708.0)
    shifted = x * 1.4426950408889634 + ROUNDER
    k = shifted - ROUNDER
    r = (x - k * LN_2_HIGH) - k * LN_2_LOW
    r2 = r * r
    r4 = r2 * r2
    a = (1.0 + r) + r2 * (0.5 + r * 0.16666666666666666)
    b = (0.041666666666666664 + r * 0.008333333333333333) + r2 * (0.001388888888888889 + r * 1.984126984126984e-4)
    c = (2.48015873015873e-5 + r * 2.7557319223985893e-6) + r2 * (2.755731922398589e-7 + r * 2.505210838544172e-8)
    d = 2.08767569878681e-9 + r * 1.6059043836821613e-10
    return (a + r4 * (b + r4 * (c + r4 * d))) * power_of_two(shifted)


@inlined
def lane_log(x):
    """ln x for positive normal numbers."""
    mantissa, exponent = mantissa_of(x), exponent_of(x)
    high = mantissa > ROOT_2
    mantissa = choose(high, 0.5 * mantissa, mantissa)
    exponent = choose(high, exponent + 1.0, exponent)
    f = (mantissa - 1.0) / (mantissa + 1.0)
    s = f * f
    tail = s * (
        0.3333333333333333
        + s * (0.2 + s * (0.14285714285714285 + s * (0.1111111111111111 + s * (0.09090909090909091
        + s * (0.07692307692307693 + s * (0.06666666666666667 + s * (0.058823529411764705
        + s * (0.05263157894736842 + s * 0.047619047619047616))))))))
    )  # fmt: skip
    return exponent * LN_2_HIGH + (2.0 * f + (2.0 * f * tail + exponent * LN_2_LOW))


@inlined
def lane_log1p(x):
    """ln(1 + x) for 0 ≤ x ≤ 1, without losing a small x: 2·artanh(x/(2 + x))."""
    s = x / (2.0 + x)
    y = s * s
    tail = y * (
        0.3333333333333333
        + y * (0.2 + y * (0.14285714285714285 + y * (0.1111111111111111
        + y * (0.09090909090909091 + y * (0.07692307692307693 + y * (0.06666666666666667
        + y * (0.058823529411764705 + y * (0.05263157894736842 + y * (0.047619047619047616
        + y * (0.043478260869565216 + y * (0.04 + y * (0.037037037037037035
        + y * (0.034482758620689655 + y * (0.03225806451612903 + y * (0.030303030303030304
        + y * 0.02857142857142857)))))))))))))))
    )  # fmt: skip
    return 2.0 * s + 2.0 * s * tail


@inlined
def lane_tanh(x):
    """tanh x, to the last digit of 1."""
    low = lane_exp(-2.0 * size_of(x))
    value = (1.0 - low) / (1.0 + low)
    return choose(x < 0.0, -value, value)
