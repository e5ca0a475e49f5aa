"""How a meter would show a fault: the net whose voltage stands furthest from what it should be."""

from dataclasses import dataclass

from outboard.whatif.effect import Effect

NOTICED = 0.02
"""Share of the healthy voltage (and at least 50 mV) that a person at a meter notices (our own choice)."""

LEAST_NOTICED = 50e-3


@dataclass(frozen=True, slots=True)
class Reading:
    """One voltage against ground that tells: what the meter reads, what it would read on a whole supply [V]."""

    net: str
    loaded: bool
    faulty: float
    healthy: float


def tell_tale(faulty: Effect, healthy: Effect) -> Reading | None:
    """The reading that tells most, without load or at the usual load; None where no meter shows it."""
    best, score = None, 1.0
    for net, healthy_pair in healthy.readings.items():
        if net not in faulty.readings:
            continue
        for loaded, (now, then) in enumerate(zip(faulty.readings[net], healthy_pair, strict=True)):
            told = abs(now - then) / max(LEAST_NOTICED, NOTICED * abs(then))
            if told > score:
                best, score = Reading(net, bool(loaded), now, then), told
    return best
