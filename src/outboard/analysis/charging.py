"""One cycle of a reservoir, over and over: the stored voltage that comes back to itself after each half cycle.

C·dv/dt = i(|e(t)|, v) − I, integrated by Runge and Kutta's fourth-order rule over many steps, together with how the end
depends on the beginning; Newton's rule then finds the beginning that comes back.  What a half cycle makes of a
beginning shrinks differences, so that there is one such beginning.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.rectified import Rectified

Floats = NDArray[np.float64]

STEPS = 900
"""Steps of a half cycle at least: a fifth of a degree."""

COARSER = 8
MOST_STEPS = 20_000
STABLE = 0.5
"""A step is at most this share of the time constant of charging path and reservoir, which the rule can follow."""

ROUNDS = 40
CLOSE = 1e-10
"""A beginning has come back when it is met to this share of the crest."""

CONDUCTS = 0.01
"""Diodes conduct while they carry more than this share of their peak."""


@dataclass(frozen=True, slots=True)
class Waves:
    """A half cycle of every feed, [feed, place]: places are evenly apart, the last is the first of the next.

    angle     from the zero of the sine [rad], [place]
    terminal  voltage of the reservoir [V]; rectified: of the winding without load [V]; charging: current [A]
    settled   whether the beginning came back, [feed]
    """

    feeds: Rectified
    angle: Floats
    rectified: Floats
    terminal: Floats
    charging: Floats
    settled: NDArray[np.bool_]

    @property
    def valley(self) -> Floats:
        """Least voltage of the reservoir [V]."""
        return np.asarray(self.terminal.min(axis=1))

    @property
    def peak(self) -> Floats:
        """Greatest voltage of the reservoir [V]."""
        return np.asarray(self.terminal.max(axis=1))

    @property
    def mean(self) -> Floats:
        """Mean voltage of the reservoir, what a meter for direct voltage shows [V]."""
        return _mean(self.terminal)

    @property
    def conduction(self) -> Floats:
        """Angle of a half cycle in which diodes conduct [rad]."""
        conducting = self.charging[:, :-1] > CONDUCTS * self.charging.max(axis=1, keepdims=True)
        return np.asarray(np.pi * conducting.mean(axis=1))

    @property
    def mean_current(self) -> Floats:
        """Mean current of the rectifier [A]."""
        return _mean(self.charging)

    @property
    def peak_current(self) -> Floats:
        """Peak current of the rectifier, of each diode [A]."""
        return np.asarray(self.charging.max(axis=1))

    @property
    def effective_current(self) -> Floats:
        """Effective current of the rectifier [A]."""
        return np.asarray(np.sqrt(_mean(self.charging**2)))

    @property
    def ripple_current(self) -> Floats:
        """Effective current of the reservoir [A]."""
        drawn = self.charging - self.mean_current[:, None]
        return np.asarray(np.sqrt(_mean(drawn**2)))

    def share_below(self, level: Floats) -> Floats:
        """Share of the cycle in which the reservoir is below a level [V], [feed]."""
        left, right = (piece - level[:, None] for piece in (self.terminal[:, :-1], self.terminal[:, 1:]))
        low, high = np.minimum(left, right), np.maximum(left, right)
        wide = np.where(high > low, high - low, 1.0)
        below = np.where(high <= 0.0, 1.0, np.where(low >= 0.0, 0.0, -low / wide))
        return np.asarray(below.mean(axis=1))


def _mean(values: Floats) -> Floats:
    """Over a half cycle that closes: all places count alike."""
    return np.asarray(values[:, :-1].mean(axis=1))


def stable_steps(feeds: Rectified) -> int:
    """Steps of a half cycle that the quickest feed needs, lest the rule makes up swings of its own."""
    return int(np.ceil(np.max(feeds.half_cycle / (STABLE * feeds.path * feeds.capacitance))))


def settled(feeds: Rectified, steps: int = STEPS) -> Waves:
    """The periodic half cycle of every feed; few steps find where it begins nearly, many where it does."""
    stable = stable_steps(feeds)
    start = feeds.crest - feeds.offset - np.minimum(
        0.5 * feeds.crest, feeds.load * (feeds.half_cycle / feeds.capacitance + feeds.path)
    )  # fmt: skip
    coarse, count = (min(MOST_STEPS, max(number, stable)) for number in (steps // COARSER, steps))
    start, _, _ = _come_back(feeds, start, coarse)
    _, way, back = _come_back(feeds, start, count)
    angle = np.linspace(0.0, np.pi, count + 1)
    whole = spread(feeds, count + 1)
    currents, _ = whole.charging_law()(whole.spare(angle, way))
    rectified = feeds.crest[:, None] * np.abs(np.sin(angle))
    return Waves(feeds, angle, rectified, whole.terminal(way, currents), currents, back)


def _come_back(feeds: Rectified, start: Floats, count: int) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """The beginning that comes back after a half cycle, the way from it, and for which feeds it was found."""
    way, back = np.empty((len(feeds), 0)), np.zeros(len(feeds), dtype=np.bool_)
    for _ in range(ROUNDS):
        way, slope = followed(feeds, start, count)
        missed = way[:, -1] - start
        back = np.abs(missed) <= CLOSE * feeds.crest
        if back.all():
            break
        start = start + missed / np.maximum(1.0 - slope, 1e-9)
    return start, way, back


def spread(feeds: Rectified, places: int) -> Rectified:
    """The feeds with as many columns as there are places."""
    return replace(feeds, **{field.name: np.repeat(getattr(feeds, field.name)[:, None], places, axis=1)
                             for field in fields(feeds)})  # fmt: skip


def followed(feeds: Rectified, start: Floats, count: int, begin: float | Floats = 0.0, half_cycles: int = 1
             ) -> tuple[Floats, Floats]:  # fmt: skip
    """Stored voltages from a beginning on, [feed, place], and how the end depends on it."""
    step = np.pi / count
    seconds = step / feeds.omega
    rate = _rates(feeds)
    stored, sensitive = np.array(start, dtype=np.float64), np.zeros(len(feeds))
    way = np.empty((half_cycles * count + 1, len(feeds)))
    way[0] = stored
    next_sine = np.abs(np.sin(begin + np.zeros(1)))
    for n in range(half_cycles * count):
        sine, middle, next_sine = next_sine, *(np.abs(np.sin(begin + (n + part) * step)) for part in (0.5, 1.0))
        k1, s1 = rate(sine, stored)
        k2, s2 = rate(middle, stored + 0.5 * seconds * k1)
        k3, s3 = rate(middle, stored + 0.5 * seconds * k2)
        k4, s4 = rate(next_sine, stored + seconds * k3)
        stored = stored + seconds / 6.0 * (k1 + 2.0 * (k2 + k3) + k4)
        sensitive += s1 + 2.0 * (s2 + s3) + s4
        way[n + 1] = stored
    return np.ascontiguousarray(way.T), np.exp(seconds / 6.0 * sensitive)


def _rates(feeds: Rectified) -> Callable[[Floats, Floats], tuple[Floats, Floats]]:
    """How fast the stored voltage moves [V/s], and how that depends on it [1/s], for a sine and a stored voltage."""
    charging, per_farad = feeds.charging_law(), 1.0 / feeds.capacitance
    leaks, damped = feeds.bleeder * per_farad, 1.0 - feeds.esr * feeds.bleeder

    def rate(sine: Floats, stored: Floats) -> tuple[Floats, Floats]:
        current, slope = charging(feeds.spare_of(sine, stored))
        return (current - feeds.load) * per_farad - leaks * stored, -(slope * damped * per_farad + leaks)

    return rate
