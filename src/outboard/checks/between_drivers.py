"""What moves a least margin: each tolerance put back to usual, each at a tighter grade, and the slope by every number.

gained     what the margin gains at its worst place when this tolerance alone is usual again
tightened  the least margin along all loads, inputs and ambients of the worst unit with this tolerance at a tighter
           grade; where the slopes keep their signs that is the least margin of the narrower box
slope      ∂margin/∂number at the worst place, exact; per 1 % of the number, or per kelvin of a temperature
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.sensitivity import parameters_of
from outboard.arrangements.design import DesignPart
from outboard.cases.axes import Address
from outboard.cases.distributions import Way
from outboard.checks.between import Between, Extremes
from outboard.checks.box import LOAD_FIELD, Box
from outboard.checks.culprits import closer_grade
from outboard.checks.draws import SETTLED, Judged, Lot, lanes
from outboard.checks.margin_slopes import Piece, by_address, of_manner, values
from outboard.network.circuit import AMBIENT_FIELD
from outboard.network.fields import fields
from outboard.network.overrides import Overrides
from outboard.parts.records import Origin

Floats = NDArray[np.float64]

MATTERS = 0.005
"""A tolerance matters that gains the margin more than this share of the way to the limit."""

PERCENT = 0.01


@dataclass(frozen=True, slots=True)
class Tolerance:
    """One tolerance at the worst place: what it takes there, what tightening it gives.

    place    where it stands: −1 least, 0 usual, 1 most
    origin   where its end comes from;  tightened   None where it is not told
    """

    way: str
    place: float
    gained: float
    grade: str
    tightened: float | None
    origin: Origin | None

    @property
    def words(self) -> str:
        """ "least gain Q2"; between the ends how far it is from usual."""
        end = "least" if self.place < 0.0 else "most"
        share = "" if abs(self.place) > 1.0 - PERCENT else f"{abs(self.place):.0%} towards ".replace("%", " %")
        return f"{share}{end} {self.way}"


@dataclass(frozen=True, slots=True)
class Slope:
    """How a margin moves with one number of the circuit: ∂margin/∂number [SI per SI], and by one step of it.

    step    one hundredth of the number, or one kelvin of a temperature
    """

    part: str
    field: str
    value: float
    slope: float
    step: float

    @property
    def by_step(self) -> float:
        """What the margin gains with one step more."""
        return self.slope * self.step


@dataclass(frozen=True, slots=True)
class Behind:
    """What is behind one least margin, strongest first."""

    tolerances: tuple[Tolerance, ...]
    slopes: tuple[Slope, ...]


def behind(lot: Lot, found: Extremes) -> tuple[Behind | None, ...]:
    """What is behind each least margin; None where there is none."""
    told = [k for k, one in enumerate(found.found) if one.least is not None]
    gains = _gains(found, told)
    tightened = _tightened(lot, found, gains)
    slopes = _slopes(lot, found, told)
    result: list[Behind | None] = [None] * len(found.found)
    for k in told:
        one = found.found[k]
        mine = [
            Tolerance(way.name, place, gain, *tightened.get((k, number), ("", None)), _origin(lot, way, place))
            for number, (way, place, gain) in enumerate(
                zip(found.box.sampling.ways, found.box.places(one.point[None])[0].tolist(), gains[k], strict=True)
            )
            if abs(gain) > MATTERS * scale(one)
        ]  # fmt: skip
        strongest = sorted(mine, key=lambda tolerance: -tolerance.gained)
        result[k] = Behind(tuple(strongest), slopes[k])
    return tuple(result)


def scale(one: Between) -> float:
    """The way from rest to limit, or the margin where that is more."""
    assert one.least is not None
    return max(abs(one.least.limit - one.check.rest), abs(one.least.margin), 1e-12)


def _gains(found: Extremes, told: Sequence[int]) -> dict[int, list[float]]:
    """What each margin gains with each way alone put back to usual; ways that go together go back together."""
    box, pieces = found.box, [Piece(one.check, one.manner) for one in found.found]
    points, owners = [], []
    for k in told:
        for way in range(-1, box.ways):
            moved = found.found[k].point.copy()
            if way >= 0:
                moved[way] = 0.0
            points.append(moved)
            owners.append(k)
    margins = values(box, pieces, np.array(points).reshape(len(points), -1), np.array(owners, dtype=np.intp))[2]
    each = margins.reshape(len(told), box.ways + 1)
    gains = np.nan_to_num(each[:, 1:] - each[:, :1])
    return dict(zip(told, gains.tolist(), strict=True))


def _tightened(
    lot: Lot, found: Extremes, gains: dict[int, list[float]]
) -> dict[tuple[int, int], tuple[str, float | None]]:
    """Of each tolerance that matters its tighter grade and the least margin with it."""
    box = found.box
    asked = [(k, way) for k, mine in gains.items() for way, gain in enumerate(mine)
             if gain > MATTERS * scale(found.found[k])]  # fmt: skip
    if not asked:
        return {}
    grades = [closer_grade([box.sampling.ways[way]]) for _, way in asked]
    points = np.array([found.found[k].point for k, _ in asked])
    for row, ((_, way), (factor, _)) in enumerate(zip(asked, grades, strict=True)):
        points[row, way] = np.clip(points[row, way], -factor, factor)
    pieces = [Piece(found.found[k].check, found.found[k].manner) for k, _ in asked]
    there = values(box, pieces, points, np.arange(len(asked)))[2]
    units = box.units(points, 0)
    solved = lanes(lot.setting, units.rows, lot.manners)
    least = []
    for row, (k, _) in enumerate(asked):
        one = found.found[k]
        margins = Judged.of(one.check, solved[one.manner], units).margins
        least.append(min(float(there[row]), float(margins[row])))
    return {
        pair: (grade, margin if np.isfinite(margin) else None)
        for pair, (_, grade), margin in zip(asked, grades, least, strict=True)
    }


def _origin(lot: Lot, way: Way, place: float) -> Origin | None:
    """Where the end of a tolerance comes from."""
    part: DesignPart = lot.setting.design.part(way.part)
    if way.kind == "resistance":
        return part.tolerance_origin
    spread = part.identified.spread(way.kind) if part.identified is not None else None
    return spread.origins[0 if place < 0.0 else 1] if spread is not None else None


def _slopes(lot: Lot, found: Extremes, told: Sequence[int]) -> dict[int, tuple[Slope, ...]]:
    """The slope of each margin by every number that moves it, strongest step first; of like parts by the weakest."""
    box, numbers = found.box, np.array(told, dtype=np.intp)
    pieces = [found.weakest[k] for k in told]
    result: dict[int, tuple[Slope, ...]] = {}
    for manner, rows in of_manner(pieces, np.arange(len(told))).items():
        addresses = [address for address in parameters_of(lot.setting.circuit)
                     if manner == SETTLED or address != LOAD_FIELD]  # fmt: skip
        points = np.array([found.found[k].point for k in numbers[rows]])
        slopes = by_address(box, pieces, points, rows, manner, addresses)
        usual = _values(lot, box, points, addresses)
        for row, k in enumerate(numbers[rows].tolist()):
            result[k] = _ranked(lot, addresses, usual[row], slopes[row])
    return result


def _values(lot: Lot, box: Box, points: Floats, addresses: Sequence[Address]) -> Floats:
    """Numbers of the circuit at points, [point, address]."""
    rows: Overrides = box.rows(points)
    known = {field: rows.values[:, column] for column, field in enumerate(rows.fields)}
    known[LOAD_FIELD] = box.surroundings(points)[:, -1]
    base = lot.setting.base
    return np.column_stack([np.broadcast_to(known.get(a, base.get(a, np.nan)), len(points)) for a in addresses])


def _ranked(lot: Lot, addresses: Sequence[Address], usual: Floats, slopes: Floats) -> tuple[Slope, ...]:
    found = [
        Slope(*_named(address), float(value), float(slope), step)
        for address, value, slope in zip(addresses, usual, slopes, strict=True)
        if np.isfinite(slope) and slope != 0.0 and (step := _step(lot, address, float(value)))
    ]
    return tuple(sorted(found, key=lambda slope: -abs(slope.by_step)))


def _named(address: Address) -> Address:
    return ("", "ambient") if address == AMBIENT_FIELD else address


def _step(lot: Lot, address: Address, value: float) -> float:
    """One kelvin of a temperature, one hundredth of anything else; nothing for where a model counts kelvins from."""
    if address == AMBIENT_FIELD:
        return 1.0
    if address[1] == "reference_temperature":
        return 0.0
    part = lot.setting.design.part(address[0]).part
    field = fields(part.kind, part.model).get(address[1])
    if field is not None and field.dimension == "temperature":
        return 1.0
    return PERCENT * abs(value) if np.isfinite(value) else 0.0
