"""Along what a built unit can differ from its usual self, and how likely: one way for each spread of each part.

A place on a way is a coordinate from −1 (least) over 0 (usual) to 1 (most).  Voltages, resistances and coefficients lie
in proportion to it between usual and end, gains and currents on a logarithmic scale; a leakage's doubling interval by
its reciprocal, so that the leakage itself lies on a logarithmic scale at every temperature.  So every place lies inside
the box that the corners span.

How likely a place is (all common practice, no source; [tolerances] chooses otherwise):
resistors       uniform: sorted to a tolerance, they may lie anywhere in it, and the better ones may be sorted out
gain, leakage   log-normal: spreads of processes multiply; leakage lies one thousandth to one tenth below its limit
V_BE            normal: it follows the logarithm of the gain's cause, the charge in the base
regulator       normal: trimmed or tested to limits at several standard deviations
field effect    threshold like V_BE, on-resistance like gain; a diode's breakdown like its forward voltage
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements.design import Design, DesignPart
from outboard.brief.design import Shape, Tolerances
from outboard.cases.alike import parallel_groups
from outboard.cases.axes import Address, Axis
from outboard.identify import Spread
from outboard.network.fields import fields

Floats = NDArray[np.float64]
Base = Mapping[Address, float]

LINEAR, LOGARITHMIC, RECIPROCAL = "linear", "logarithmic", "reciprocal"

LOGARITHMIC_FIELDS = (
    "forward_gain", "saturation_current", "emitter_leakage_current", "cutoff_current", "transconductance",
    "body_saturation_current",
)  # fmt: skip
RECIPROCAL_FIELDS = ("cutoff_doubling",)

GAIN_AND_VOLTAGE = -0.5
"""Correlation between gain and V_BE of one device (default): less charge in the base gives more of the one and less of
the other, but the resistance in the emitter, which is in V_BE too, knows nothing of it."""

BATCHED = ("gain", "V_BE", "leakage")
REGULATOR = ("set voltage", "regulation", "drop-out", "limit", "quiescent current")


@dataclass(frozen=True, slots=True)
class Way:
    """One quantity of one part that is drawn.

    name       "gain Q2"; `kind` is "gain", `part` "Q2"
    axis       the axis of the corners on which it lies
    fields     what moves, with its numbers at least, usual and most, and the scale of each
    one_sided  only from usual to most
    room       another way whose distance from usual takes this one's room: the sheet guarantees the sum of both
    """

    name: str
    kind: str
    part: str
    axis: str
    fields: tuple[Address, ...]
    least: tuple[float, ...]
    usual: tuple[float, ...]
    most: tuple[float, ...]
    shape: Shape
    one_sided: bool = False
    room: str | None = None

    def numbers(self, place: Floats) -> Iterator[tuple[Address, Floats]]:
        """What each field is at coordinates −1 to 1."""
        for address, least, usual, most in zip(self.fields, self.least, self.usual, self.most, strict=True):
            yield address, _between(scale_of(address[1]), least, usual, most, place)

    def slopes(self, place: Floats) -> Iterator[Floats]:
        """∂number/∂coordinate of each field at coordinates −1 to 1; at usual that towards most."""
        for address, least, usual, most in zip(self.fields, self.least, self.usual, self.most, strict=True):
            scale = scale_of(address[1])
            below, above = (_slope_towards(scale, usual, end, np.abs(place)) for end in (least, most))
            yield np.asarray(np.where(place < 0.0, -below, above))


def scale_of(field: str) -> str:
    """On which scale a field lies between its ends."""
    if field in RECIPROCAL_FIELDS:
        return RECIPROCAL
    return LOGARITHMIC if field in LOGARITHMIC_FIELDS else LINEAR


def _between(scale: str, least: float, usual: float, most: float, place: Floats) -> Floats:
    """Numbers at coordinates; never outside of the three, whatever the rounding."""
    below, above = (_towards(scale, usual, end, np.abs(place)) for end in (least, most))
    found = np.where(place < 0.0, below, above)
    return np.asarray(np.clip(found, min(least, usual, most), max(least, usual, most)))


def _towards(scale: str, usual: float, end: float, share: Floats) -> Floats:
    """From usual to an end; to nothing there is no logarithmic way, and it hardly matters which."""
    if scale == RECIPROCAL:
        return np.asarray(1.0 / ((1.0 - share) / usual + share / end))
    if scale == LOGARITHMIC and usual > 0.0 and end > 0.0:
        return np.asarray(usual * (end / usual) ** share)
    return np.asarray(usual + (end - usual) * share)


def _slope_towards(scale: str, usual: float, end: float, share: Floats) -> Floats:
    """∂/∂share of `_towards`."""
    if scale == RECIPROCAL:
        return np.asarray(np.square(_towards(scale, usual, end, share)) * (1.0 / usual - 1.0 / end))
    if scale == LOGARITHMIC and usual > 0.0 and end > 0.0:
        return np.asarray(_towards(scale, usual, end, share) * np.log(end / usual))
    return np.full_like(share, end - usual)


def ways(design: Design, axes: Sequence[Axis]) -> tuple[Way, ...]:
    """All ways in which a unit of this design can differ; `axes` are those of its corners."""
    chosen = design.brief.tolerances
    base = usual_numbers(design.parts)
    found = [way for part in design.parts for way in _of_part(part, chosen, base)]
    return tuple(_on_axis(way, axes) for way in found)


def usual_numbers(parts: Iterable[DesignPart]) -> Base:
    """Every number of every part as it usually is."""
    return {
        (part.name, name): part.part.values.get(name, field.default if field.default is not None else 0.0)
        for part in parts
        for name, field in fields(part.part.kind, part.part.model).items()
    }


def _of_part(part: DesignPart, chosen: Tolerances, base: Base) -> Iterator[Way]:
    if part.part.kind == "bipolar":
        shapes = {"gain": chosen.gain, "V_BE": chosen.V_BE, "leakage": chosen.leakage}
        yield from (_way(part, kind, shape, base) for kind, shape in shapes.items() if _spread(part, kind))
    elif part.part.kind == "regulator":
        yield from (_way(part, kind, chosen.regulator, base) for kind in REGULATOR if _spread(part, kind))
    elif part.part.kind == "mosfet":
        like = {"threshold": chosen.V_BE, "on-resistance": chosen.gain, "leakage": chosen.leakage}
        yield from (_way(part, kind, shape, base) for kind, shape in like.items() if _spread(part, kind))
    elif part.part.kind == "diode":
        kinds = ("forward voltage", "breakdown voltage")
        yield from (_way(part, kind, chosen.forward_voltage, base) for kind in kinds if _spread(part, kind))
    elif part.part.kind == "resistor" and part.tolerance:
        usual = part.part.values["resistance"]
        ends = ((usual * (1.0 - part.tolerance),), (usual * (1.0 + part.tolerance),))
        address = ((part.name, "resistance"),)
        yield Way(part.name, "resistance", part.name, "", address, ends[0], (usual,), ends[1], chosen.resistors)


def _spread(part: DesignPart, kind: str) -> Spread | None:
    return part.identified.spread(kind) if part.identified is not None else None


def _way(part: DesignPart, kind: str, shape: Shape, base: Base) -> Way:
    """A spread of a sheet as a way.  The corners take regulation at its usual or most, never below."""
    spread = _spread(part, kind)
    assert spread is not None
    addresses = tuple((part.name, field) for field in spread.fields)
    usual = tuple(base[address] for address in addresses)
    regulation = kind == "regulation"
    setting = _spread(part, "set voltage")
    apart = regulation and setting is not None and (
        "set voltage" in spread.apart_from or "regulation" in setting.apart_from
    )  # fmt: skip
    return Way(
        f"{kind} {part.name}", kind, part.name, "", addresses, usual if regulation else spread.least, usual,
        spread.most, shape, regulation, f"set voltage {part.name}" if apart else None,
    )  # fmt: skip


def _on_axis(way: Way, axes: Sequence[Axis]) -> Way:
    """The way with the name of the axis that moves the same numbers."""
    mine = set(way.fields)
    names = (axis.name for axis in axes if any(mine & option.values.keys() for option in axis.options))
    return Way(
        way.name, way.kind, way.part, next(names, way.name), way.fields, way.least, way.usual, way.most, way.shape,
        way.one_sided, way.room,
    )  # fmt: skip


def correlations(design: Design, found: Sequence[Way]) -> Floats:
    """Correlation of the normal quantities behind the ways, [way, way].

    Within a batch, gains go with gains, V_BE with V_BE and leakages with leakages; gain and V_BE against each other,
    across devices as much less as the devices are less alike.
    """
    place = {way.name: number for number, way in enumerate(found)}
    matrix = np.eye(len(found))
    alike = design.brief.tolerances.batch
    for group in parallel_groups(design.parts):
        for first in group:
            for second in group:
                between = 1.0 if first is second else alike
                for kind in BATCHED:
                    _set(matrix, place, f"{kind} {first.name}", f"{kind} {second.name}", between)
                _set(matrix, place, f"gain {first.name}", f"V_BE {second.name}", GAIN_AND_VOLTAGE * between)
    return matrix


def _set(matrix: Floats, place: Mapping[str, int], first: str, second: str, value: float) -> None:
    if first in place and second in place:
        matrix[place[first], place[second]] = matrix[place[second], place[first]] = value
