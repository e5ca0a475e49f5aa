"""Places on the curves of a division: where devices hand over, where the regulator gives up, where two ways part."""

from collections.abc import Iterator, Sequence

import numpy as np

from outboard.analysis.curves import Curve, Device, Difference, Event, Floats, Handover, Mask

STARTS = 0.01
"""Share of its own current at full load from which a transistor counts as carrying."""

COUNTS_AS_OFF = 1e-3
"""A transistor that carries less than this at full load carries nothing worth the name [A]."""

PART = 0.01
"""Two ways part where the output differs by this share of itself, or a device's current by this share of full load."""

LIMITS, DROPS_OUT = "limits its current", "drops out"
TOO_HIGH, TOO_LOW, NO_POINT = "output too high", "output too low", "no operating point"


def handovers(curve: Curve, devices: Sequence[Device], full_load: float) -> Iterator[Handover]:
    """The load at which each transistor starts to carry, on one curve."""
    regulators = [device.name for device in devices if device.kind == "regulator"]
    delivered = sum((curve.currents[name] for name in regulators), np.zeros_like(curve.load))
    for device in devices:
        if device.kind in ("bipolar", "mosfet"):
            load = _start(curve, curve.currents[device.name], full_load)
            beside = None
            if load is not None and regulators:
                beside = float(np.interp(load, curve.load[curve.solved], delivered[curve.solved]))
            yield Handover(curve.condition, device.name, load, beside)


def _start(curve: Curve, current: Floats, full_load: float) -> float | None:
    """The load at which a current reaches its hundredth, between two points on a logarithmic scale."""
    within = curve.solved & (curve.load <= full_load)
    if not within.any() or current[within].max() < COUNTS_AS_OFF:
        return None
    load, current = curve.load[within], np.maximum(current[within], 1e-15)
    wanted = STARTS * current[-1] if current[-1] >= COUNTS_AS_OFF else STARTS * current.max()
    after = int(np.argmax(current >= wanted))
    if after == 0:
        return float(load[0])
    x, y = load[after - 1 : after + 1], np.log(current[after - 1 : after + 1])
    return float(np.interp(np.log(wanted), y, x))


def events(curve: Curve, target: float | None, tolerance: float | None) -> Iterator[Event]:
    """On which loads a regulator gives up, the output is off, or there is no operating point."""
    for what, masks in ((DROPS_OUT, curve.dropped_out), (LIMITS, curve.limiting)):
        for name, mask in masks.items():
            yield from _stretches(curve, mask & curve.solved, what, name)
    if target is not None and tolerance is not None:
        limit = tolerance * target
        yield from _stretches(curve, (curve.output > target + limit) & curve.solved, TOO_HIGH, None)
        yield from _stretches(curve, (curve.output < target - limit) & curve.solved, TOO_LOW, None)
    yield from _stretches(curve, ~curve.solved, NO_POINT, None)


def _stretches(curve: Curve, mask: Mask, what: str, part: str | None) -> Iterator[Event]:
    for start, end in _runs(mask):
        yield Event(curve.condition, what, part, float(curve.load[start]), float(curve.load[end - 1]))


def _runs(mask: Mask) -> Iterator[tuple[int, int]]:
    """Start and end (not included) of every run of true."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(int)))
    yield from ((int(start), int(end)) for start, end in edges.reshape(-1, 2))


def differences(up: Curve, down: Curve, full_load: float) -> Iterator[Difference]:
    """Stretches of load on which the way up and the way down end in different points."""
    apart = up.solved != down.solved
    both = up.solved & down.solved
    gap = np.where(both, np.abs(up.output - down.output), 0.0)
    apart |= gap > PART * np.maximum(up.output, down.output)
    for name, current in up.currents.items():
        apart |= both & (np.abs(current - down.currents[name]) > PART * full_load)
    for start, end in _runs(apart):
        yield Difference(up.condition, float(up.load[start]), float(up.load[end - 1]), float(gap[start:end].max()))
