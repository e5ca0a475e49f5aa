"""Fuses: what a pulse brings, what a fuse bears of many pulses, what it carries for hours; and the charge behind it."""

from math import log
from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.vocabulary import R

GUIDE = "Littelfuse-guide"

I_p = Annotated[float, Symbol("I_p", "A", "peak of the pulse")]
I_b = Annotated[float, Symbol("I_b", "A", "current at the end of the pulse")]
duration = Annotated[float, Symbol("t", "s", "length of the pulse")]
decay = Annotated[float, Symbol("τ", "s", "time constant of the pulse")]
integral = Annotated[float, Symbol("I²t", "A²·s", "what the pulse brings")]
V_1 = Annotated[float, Symbol("V_1", "V", "voltage at first")]
V_2 = Annotated[float, Symbol("V_2", "V", "voltage in the end")]
C = Annotated[float, Symbol("C", "A·s/V", "capacitance")]
t_e = Annotated[float, Symbol("t_e", "s", "time until it is empty")]

RATED = (0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0, 12.5, 16.0, 20.0)
"""Rated currents of miniature fuses [A], the series R10 of ISO 3 as IEC 60127 uses it (from memory)."""

SMALL = (0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4)
"""The same series below half an ampere, as primaries of small transformers take them [A] (from memory)."""

CONTINUOUS_SHARE = 0.75
"""Share of its rated current that a fuse is asked to carry for hours (common practice, no source)."""

OF_PULSES = ((100_000, 0.22), (10_000, 0.29), (1_000, 0.38), (100, 0.48))
"""Pulses that a fuse bears, 10 s apart, and the share of its melting integral that each may bring (Littelfuse)."""


@formula("I²t = 0.5·I_p^2·t", validity="half a sine", source=GUIDE)
def integral_of_half_sine(*, peak: I_p, length: duration) -> integral:
    """What half a sine of current brings [A²·s]."""
    return 0.5 * peak**2 * length


@formula("I²t = I_p^2·t / 3", validity="a triangle, or a ramp", source=GUIDE)
def integral_of_triangle(*, peak: I_p, length: duration) -> integral:
    """What a triangle of current brings [A²·s]."""
    return peak**2 * length / 3.0


@formula("I²t = (I_p^2 + I_p·I_b + I_b^2)·t / 3", validity="a trapezoid", source=GUIDE)
def integral_of_trapezoid(*, peak: I_p, end: I_b, length: duration) -> integral:
    """What a trapezoid of current brings [A²·s]."""
    return (peak**2 + peak * end + end**2) * length / 3.0


@formula("I²t = 0.2·I_p^2·t", validity="a parabola that ends at nothing", source=GUIDE)
def integral_of_parabola(*, peak: I_p, length: duration) -> integral:
    """What a parabola of current brings [A²·s]."""
    return 0.2 * peak**2 * length


@formula("I²t = 0.5·I_p^2·τ", validity="exponential decay, to its end", source=GUIDE)
def integral_of_decay(*, peak: I_p, time_constant: decay) -> integral:
    """What an exponential decay of current brings [A²·s]."""
    return 0.5 * peak**2 * time_constant


@formula("t_e = R·C·ln(V_1 / V_2)", validity="nothing else draws from the capacitor", source="textbook-ohm")
def discharge_time(*, bleeder: R, capacitance: C, first: V_1, last: V_2) -> t_e:
    """Time until a resistor has emptied a capacitor to a voltage [s]."""
    if first <= last:
        raise NoSolution("the capacitor holds less than that already; nothing is to wait for")
    return bleeder * capacitance * log(first / last)


def pulse_share(pulses: int) -> float:
    """Share of its melting integral that each of so many pulses may bring a fuse (Littelfuse, chart 2).

    Between two numbers of the chart that of the greater number; ValueError above the chart.
    """
    if pulses > OF_PULSES[0][0]:
        raise ValueError(f"the chart ends at {OF_PULSES[0][0]} pulses, {pulses} were asked for")
    return max(share for number, share in OF_PULSES if number >= pulses)


def fuse_rating(current: float, small: bool = False) -> float | None:
    """The smallest rated current of a fuse that carries a current [A] for hours; None above the series."""
    series = (*SMALL, *RATED) if small else RATED
    return next((rating for rating in series if CONTINUOUS_SHARE * rating >= current), None)
