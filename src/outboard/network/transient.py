"""Steps through time: f(x, t) + dq(x)/dt = 0 from a point at rest, with a step as long as accuracy allows.

Each step is a trapezoidal one over the share γ = 2 − √2 and a backward difference over the whole, which damps what is
stiff; both solve with the same matrix.  The local error follows from the three rates of one step.

References
----------
[TR-BDF2] R. E. Bank et al., IEEE Trans. Electron Devices 32 (1985) p. 1992; error estimate as in M. E. Hosea and
L. F. Shampine, Appl. Numer. Math. 20 (1996) p. 21 (memory)
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.network.moving import Drives, Evaluation, Floats, MovingCircuit, NoPoint, newton_step

GAMMA = 2.0 - math.sqrt(2.0)
HALF = 0.5 * GAMMA
"""γ/2 = (1 − γ)/(2 − γ): what both stages have before their new rate."""

OLD, MIDDLE = (1.0 - GAMMA) ** 2 / (GAMMA * (2.0 - GAMMA)), 1.0 / (GAMMA * (2.0 - GAMMA))
ERROR = (-3.0 * GAMMA * GAMMA + 4.0 * GAMMA - 2.0) / (12.0 * (2.0 - GAMMA))
ERROR_RATES = (2.0 * ERROR / GAMMA, -2.0 * ERROR / (GAMMA * (1.0 - GAMMA)), 2.0 * ERROR / (1.0 - GAMMA))

RELATIVE, ABSOLUTE = 1e-4, 1e-5
"""Local error that a step may make: share of an unknown, and beside it [V; A]."""

CLOSE = 0.02
"""Newton is done when its step is this share of the error that is allowed."""

ITERATIONS, LARGEST_GROWTH, SMALLEST_SHRINK = 8, 3.0, 0.2
SAFETY = 0.9
FIRST = 1e-2
"""A first step, and one after a bend, is this share of the way to the next bend."""

SHORTEST = 1e-13
"""Of the whole time; a step that must be shorter is given up."""

MOST_STEPS = 1_500
SWINGS_ON = "it swings on and on"


@dataclass(frozen=True, slots=True)
class Course:
    """x at every time that was stepped on; `broken` says why it ends before its time, where it does."""

    times: Floats
    xs: Floats
    broken: str = ""


@dataclass(frozen=True, slots=True)
class _Place:
    time: float
    x: Floats
    found: Evaluation


def course(
    circuit: MovingCircuit, x: Floats, drives: Drives, end: float, bends: Sequence[float] = (),
    relative: float = RELATIVE, absolute: float = ABSOLUTE, begin: float = 0.0,
) -> Course:  # fmt: skip
    """The way from x, at rest, between two times [s]; steps end at `bends`, where a drive changes its slope."""
    here = _Place(begin, x, circuit.evaluation(x, circuit.numbers(drives, begin)))
    moves = np.abs(here.found.by_q).max(axis=1) > 0.0
    times, xs = [begin], [x]
    stops = sorted({time for time in bends if begin < time < end} | {end})
    step, why = FIRST * (stops[0] - begin), ""
    for _ in range(MOST_STEPS):
        stop = next(time for time in stops if time > here.time * (1.0 + 1e-12))
        last = here.time + 1.0001 * step >= stop
        taken = stop - here.time if last else step
        try:
            new, error = _stepped(circuit, here, drives, taken, moves, (relative, absolute))
        except NoPoint as reason:
            new, error, why = None, math.inf, str(reason)
        if new is None or error > 1.0:
            step = taken * max(SMALLEST_SHRINK, SAFETY * error ** (-1.0 / 3.0))
            if step < SHORTEST * (end - begin):
                return Course(np.array(times), np.array(xs), why or "no step is short enough")
            continue
        here = _Place(stop, new.x, new.found) if last else new
        times.append(here.time)
        xs.append(here.x)
        if here.time >= end:
            return Course(np.array(times), np.array(xs))
        grown = taken * min(LARGEST_GROWTH, SAFETY * max(error, 1e-6) ** (-1.0 / 3.0))
        following = next(time for time in stops if time > here.time * (1.0 + 1e-12)) - here.time
        step = min(grown, FIRST * following) if last else grown  # a bend begins something new
    return Course(np.array(times), np.array(xs), SWINGS_ON)


def _stepped(
    circuit: MovingCircuit, old: _Place, drives: Drives, h: float, moves: NDArray[np.bool_],
    allowed: tuple[float, float],
) -> tuple[_Place, float]:  # fmt: skip
    """One step, and its error as a share of what is allowed."""
    weight = allowed[1] + allowed[0] * np.abs(old.x)
    middle_time, end_time = old.time + GAMMA * h, old.time + h
    rate = -old.found.f
    wanted = np.where(moves, old.found.q + HALF * h * rate, 0.0)
    middle = _solution(circuit, circuit.numbers(drives, middle_time), middle_time, old.x, wanted, h, moves, weight)
    wanted = np.where(moves, MIDDLE * middle.found.q - OLD * old.found.q, 0.0)
    guess = old.x + (middle.x - old.x) / GAMMA
    new = _solution(circuit, circuit.numbers(drives, end_time), end_time, guess, wanted, h, moves, weight)
    rates = (rate, -middle.found.f, -new.found.f)
    local = h * sum(share * one for share, one in zip(ERROR_RATES, rates, strict=True))
    local = np.where(moves, local, 0.0)
    error = newton_step(_matrix(new.found, h, moves), local)
    return new, float(np.abs(error / (weight + allowed[0] * np.abs(new.x))).max())


def _matrix(found: Evaluation, h: float, moves: NDArray[np.bool_]) -> Floats:
    return np.where(moves[:, None], found.by_q + HALF * h * found.by_f, found.by_f)


def _solution(
    circuit: MovingCircuit, numbers: Sequence[Sequence[float]], time: float, x: Floats, wanted: Floats, h: float,
    moves: NDArray[np.bool_], weight: Floats,
) -> _Place:  # fmt: skip
    """q(x) + γ/2·h·f(x) = wanted where something is stored, f(x) = 0 where nothing is."""
    for _ in range(ITERATIONS):
        found = circuit.evaluation(x, numbers)
        residual = np.where(moves, found.q + HALF * h * found.f - wanted, found.f)
        step = newton_step(_matrix(found, h, moves), residual)
        x = x - step
        if np.abs(step / weight).max() < CLOSE:
            return _Place(time, x, circuit.evaluation(x, numbers))
    raise NoPoint("a step does not settle")
