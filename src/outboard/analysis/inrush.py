"""Switching on: the reservoir is empty, and only resistance limits what flows; tried at many phases of the mains."""

from dataclasses import dataclass

import numpy as np

from outboard.analysis.charging import followed, spread, stable_steps
from outboard.analysis.rectified import Rectified

PHASES = 24
"""Phases of the mains, evenly over a half cycle, at which it is switched on; the crest is one of them."""

STEPS = 300
HALF_CYCLES = 12
"""How long it is followed."""

CHARGED = 0.95
"""Share of what it holds in the end at which the reservoir counts as charged."""


@dataclass(frozen=True, slots=True)
class Inrush:
    """Switching on at the worst phase, seen at the secondary.

    phase       of the mains at switching on [rad] where the peak is greatest
    peak        greatest current [A]
    first       what the first half cycle brings [A²·s]; `whole` what all brings that was followed
    charged     time until the reservoir is charged [s]
    """

    phase: float
    peak: float
    first: float
    whole: float
    charged: float


def inrush(feed: Rectified) -> Inrush:
    """One feed, from an empty reservoir, without load; each of its figures at its own worst phase."""
    phases = np.pi * np.arange(PHASES) / PHASES
    feeds = _many(feed, PHASES)
    count = max(STEPS, stable_steps(feed))
    way, _ = followed(feeds, np.zeros(PHASES), count, phases, HALF_CYCLES)
    angles = phases[:, None] + np.pi / count * np.arange(way.shape[1])[None, :]
    whole = spread(feeds, way.shape[1])
    current = whole.charging_law()(whole.spare(angles, way))[0]
    seconds = float(feed.half_cycle[0]) / count
    brought = np.cumsum(0.5 * seconds * (current[:, 1:] ** 2 + current[:, :-1] ** 2), axis=1)
    peaks = current.max(axis=1)
    worst = int(np.argmax(peaks))
    full = np.flatnonzero((way >= CHARGED * way[:, -1:]).all(axis=0))
    return Inrush(
        phase=float(phases[worst]), peak=float(peaks[worst]), first=float(brought[:, count - 1].max()),
        whole=float(brought[:, -1].max()), charged=float(full[0]) * seconds,
    )  # fmt: skip


def _many(feed: Rectified, number: int) -> Rectified:
    """The same feed so many times, without load."""
    whole = spread(feed, number)
    columns = {name: getattr(whole, name)[0] for name in Rectified.__slots__}
    return Rectified(**columns | {"load": np.zeros(number), "bleeder": np.zeros(number)})
