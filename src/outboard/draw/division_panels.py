"""What the panels of a division show: numbers, axes, and the blocks of words beside the curves."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from outboard.analysis.curves import DOWN, Curve, Device, Division
from outboard.constants import ZERO_CELSIUS
from outboard.draw.axis import Axis, Floats
from outboard.draw.division_words import degrees, names
from outboard.quantity import CURRENT, POWER, shown

ALIKE = 0.006
"""Curves closer than this share of the axis are one to the eye, and get their words together."""

UNITS = {"current": "A", "heat": "W", "junction": "°C"}
LOAD = ("load", "usual")

Curves = Mapping[tuple[str, str], Floats]
Figures = Callable[[Curve], Mapping[str, Floats]]

HEADROOM = 1.03
COUNTS = 1e-3
"""Below nothing an axis goes only for figures of at least this share of the largest."""

STEP = 10.0
"""Temperatures begin and end at multiples of this [K]."""


@dataclass(frozen=True, slots=True)
class Block:
    """Words at a curve's end: a name, its reading at full load, a remark beneath.

    `at` is how high on the axis the curve ends, 0 to 1, and `ends` the load there [A]; None for a curve without points.
    """

    name: str
    reading: str
    beneath: str
    at: float
    ends: float | None


@dataclass(frozen=True, slots=True)
class Panel:
    """One quantity over the load, by device and condition; no number where there is no operating point.

    `ways_down` holds what the falling load gives, where that differs from what the rising one gave.
    """

    key: str
    axis: Axis
    curves: Curves
    ways_down: Curves
    blocks: tuple[Block, ...]

    @property
    def heading(self) -> str:
        """What it shows, in which unit."""
        return f"{self.key}, {self.axis.written_unit}"


def panels(division: Division, types: Mapping[str, str]) -> tuple[Panel, ...]:
    """Current, heat and junction temperature of every device."""

    def remark(device: Device) -> str:
        role = "transistor" if device.role == "bipolar" else device.role
        return f"{role} {types[device.name]}" if device.name in types else role

    def hot(device: Device) -> str:
        value = _reading(division, junctions, device, "hot") if "hot" in division.conditions else np.nan
        return f"hot {_celsius(value)}" if np.isfinite(value) else ""

    junctions = _ways_up(division, _junctions)
    return (
        _panel(division, "current", lambda curve: curve.currents, lambda value: shown(value, CURRENT), remark),
        _panel(division, "heat", lambda curve: curve.powers, lambda value: shown(value, POWER), lambda _: ""),
        _panel(division, "junction", _junctions, _celsius, hot),
    )


def _panel(
    division: Division, key: str, figures: Figures, text: Callable[[float], str], remark: Callable[[Device], str]
) -> Panel:
    load = division.curve("usual").load
    curves, ways_down = _ways_up(division, figures), _ways_down(division, figures)
    blocks = []
    if key == "current":
        axis = _axis(UNITS[key], curves, ways_down, {LOAD: load})
        end = float(load[-1])
        blocks.append(Block("the load", text(division.promised.most), "", float(axis.share(end)), end))
    else:
        axis = _axis(UNITS[key], curves, ways_down)
    for group in _alike(division.devices, curves, axis):
        first = group[0]
        value = _reading(division, curves, first, "usual")
        each = " each" if len(group) > 1 else ""
        reading = text(value) + each if np.isfinite(value) else "–"
        there = np.flatnonzero(np.isfinite(curves[first.name, "usual"]))
        ends = float(load[there[-1]]) if len(there) else None
        at = float(axis.share(curves[first.name, "usual"][there[-1]])) if len(there) else 0.0
        name = names([device.name for device in group])
        blocks.append(Block(name, reading, remark(first), at, ends))
    return Panel(key, axis, curves, ways_down, tuple(sorted(blocks, key=lambda block: block.at)))


def _junctions(curve: Curve) -> Mapping[str, Floats]:
    return {name: kelvin - ZERO_CELSIUS for name, kelvin in curve.junctions.items()}


def _ways_up(division: Division, figures: Figures) -> Curves:
    return {
        (name, word): np.where(curve.solved, values, np.nan)
        for word in division.conditions
        for curve in (division.curve(word),)
        for name, values in figures(curve).items()
    }


def _ways_down(division: Division, figures: Figures) -> Curves:
    """Only where the ways part, and one point more at either side, where they meet."""
    found: dict[tuple[str, str], Floats] = {}
    for word in dict.fromkeys(place.condition for place in division.differs):
        curve = division.curve(word, DOWN)
        apart = np.zeros(len(curve.load), dtype=bool)
        for place in division.differs:
            if place.condition == word:
                first = int(np.searchsorted(curve.load, place.least))
                after = int(np.searchsorted(curve.load, place.most, side="right"))
                apart[max(0, first - 1) : after + 1] = True
        for name, values in figures(curve).items():
            found[name, word] = np.where(curve.solved & apart, values, np.nan)
    return found


def _extremes(many: Sequence[Curves]) -> tuple[float, float]:
    values = np.concatenate([values[np.isfinite(values)] for curves in many for values in curves.values()])
    return (float(values.min()), float(values.max())) if len(values) else (0.0, 0.0)


def _axis(unit: str, *many: Curves) -> Axis:
    """From nothing, or from as far below it as counts; temperatures from one round value to another."""
    least, most = _extremes(many)
    if unit == "°C":
        first, last = np.floor(least / STEP), np.ceil(most / STEP)
        return Axis(float(STEP * first), float(STEP * max(last, first + 1.0)), unit, rooted=False)
    most = most if most > 0.0 else 1.0
    return Axis(HEADROOM * least if least < -COUNTS * most else 0.0, HEADROOM * most, unit, rooted=True)


def _alike(devices: Sequence[Device], curves: Curves, axis: Axis) -> list[list[Device]]:
    """Devices for the same, whose usual curves cannot be told apart on the axis."""
    groups: list[list[Device]] = []
    for device in devices:
        for group in groups:
            first = group[0]
            apart = axis.share(curves[device.name, "usual"]) - axis.share(curves[first.name, "usual"])
            if device.role == first.role and not np.any(np.abs(apart) > ALIKE):
                group.append(device)
                break
        else:
            groups.append([device])
    return groups


def _reading(division: Division, curves: Curves, device: Device, condition: str) -> float:
    """What a curve says at full load; no number where it has no point there."""
    load = division.curve(condition).load
    return float(curves[device.name, condition][np.argmin(np.abs(load - division.promised.most))])


def _celsius(value: float) -> str:
    return degrees(value + ZERO_CELSIUS)
