"""What drives a margin: how much of its variance each axis makes, how much of its extreme, and what tightening gives.

share of the variance   linear regression of the draws' margins on their places: regression coefficient times
                        covariance, over the variance of the margin.  The shares add up to R², the part of the variance
                        that straight lines explain; places that go together share what they explain together, which
                        can make one of them a little negative.  Ways on one axis count together.
share of the extreme    from the worst corner, each axis in turn put back to usual: what is gained, over all gains.
tightened               the worst corner solved again with the axis at a tighter grade: the next closer tolerance of
                        resistors, half the way to the limits for devices (as sorted ones would have).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outboard.cases.axes import Address
from outboard.cases.corners import USUAL
from outboard.cases.distributions import Way
from outboard.checks.drawn import CheckDraws, Drawn
from outboard.checks.draws import Lot, lanes, overrides
from outboard.checks.tally import Tally

Floats = NDArray[np.float64]

GRADES = (0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.001)
"""Tolerances in which resistors are sold, loosest first (IEC 60062 letters M, K, J, G, F, D, B; memory)."""

HALF = 0.5

FEWEST = 2
"""Draws in a margin's variance at the least, per way."""


@dataclass(frozen=True, slots=True)
class Culprit:
    """One axis behind one margin; shares are fractions, None where they cannot be told.

    tightened   the margin at the worst corner with the axis at a tighter grade, and `grade` says which
    """

    axis: str
    variance_share: float | None
    extreme_share: float | None
    grade: str
    tightened: float | None


@dataclass(frozen=True, slots=True)
class Drivers:
    """All axes behind one margin, strongest first; `explained` is R², `usual` the margin of the usual unit there."""

    culprits: tuple[Culprit, ...]
    explained: float | None
    usual: float | None
    root_sum_square: float | None


def drivers(lot: Lot, number: int, drawn: Drawn | None) -> Drivers:
    """What drives the margin of one requirement; without draws only its extreme."""
    tally, manner = lot.tallies[number], lot.manners[number]
    shares, explained = (
        variance_shares(lot.sampling.ways, drawn, drawn.checks[number]) if drawn is not None else ({}, None)
    )
    if tally.worst is None:
        return Drivers((), explained, None, None)
    extremes = _extreme_shares(lot, tally, manner)
    usual, statistical = _root_sum_square(lot, tally, manner)
    grades = dict(_tightened(lot, tally, manner))
    names = [axis.name for axis in lot.setting.axes]
    found = [Culprit(name, shares.get(name), extremes.get(name), *grades.get(name, ("", None))) for name in names]
    return Drivers(tuple(sorted(found, key=_weight, reverse=True)), explained, usual, statistical)


def _weight(culprit: Culprit) -> tuple[float, float]:
    """Strongest in the extreme first, since that is what the verdict rests on; then in the variance."""
    return round(culprit.extreme_share or 0.0, 6), culprit.variance_share or 0.0


def variance_shares(ways: tuple[Way, ...], drawn: Drawn, check: CheckDraws) -> tuple[dict[str, float], float | None]:
    """Share of the variance by axis, and R²; nothing where a draw is open or there are too few."""
    count = check.draws
    if check.ladder.below or count <= FEWEST * (len(ways) + 1):
        return {}, None
    sums, own = drawn.places.totals, check.sums.totals
    means = sums[: len(ways)] / count
    covariance = sums[len(ways) :].reshape(len(ways), len(ways)) / count - np.outer(means, means)
    mean = own[0] / count
    variance = own[1] / count - mean * mean
    if variance <= 1e-12 * max(mean * mean, 1e-30):
        return {}, None
    together = own[2:] / count - mean * means
    slopes = np.linalg.lstsq(covariance, together, rcond=1e-9)[0]
    parts = slopes * together / variance
    shares: dict[str, float] = {}
    for way, part in zip(ways, parts.tolist(), strict=True):
        shares[way.axis] = shares.get(way.axis, 0.0) + part
    return shares, float(parts.sum())


def _margins(lot: Lot, tally: Tally, manner: str, changes: list[dict[Address, float]], usual: bool) -> Floats:
    """Margins at the worst lane's input, ambient and load with some numbers changed, not a number without a solution.

    The rest of the unit is as in the worst corner, or `usual`.
    """
    assert tally.worst is not None
    worst, setting = tally.worst, lot.setting
    corner = worst.corners.overrides
    base = {
        field: float(value) if not usual else setting.base[field]
        for field, value in zip(corner.fields, corner.values[worst.row], strict=True)
        if field in setting.base and field != (setting.input, "voltage")
    }
    addresses = list(dict.fromkeys([*base, *(field for change in changes for field in change)]))
    rows = [[change.get(field, base.get(field, setting.base[field])) for field in addresses] for change in changes]
    values = np.array(rows, dtype=float).reshape(len(changes), len(addresses))
    inputs, ambients = (
        np.full(len(changes), float(ends[worst.row])) for ends in (worst.corners.inputs, worst.corners.ambients)
    )
    piece = lanes(setting, overrides(setting, addresses, values, inputs, ambients), (manner,))[manner]
    point = int(np.argmin(np.abs(piece.loads - (worst.load if worst.load is not None else 0.0))))
    _, _, margins = tally.check.margins(piece.block)
    return np.asarray(np.where(piece.block.is_solved, margins, np.nan)[:, point])


def _extreme_shares(lot: Lot, tally: Tally, manner: str) -> dict[str, float]:
    """What each axis of the worst corner adds to it."""
    assert tally.worst is not None
    rows = tally.worst.corners.changed_one_by_one(tally.worst.row)
    fields = [field for field in rows.overrides.fields if field in rows.usual]
    columns = [rows.overrides.fields.index(field) for field in fields]
    changes = [dict(zip(fields, row.tolist(), strict=True)) for row in rows.overrides.values[:, columns]]
    margins = _margins(lot, tally, manner, changes, usual=False)
    gains = np.maximum(np.nan_to_num(margins[1:] - margins[0]), 0.0)
    way = max(abs(tally.worst.limit - tally.check.rest), abs(tally.worst.margin))
    if gains.sum() <= 1e-9 * way:
        return {}
    return {axis.name: float(gain / gains.sum()) for axis, gain in zip(rows.axes, gains, strict=True)}


def _root_sum_square(lot: Lot, tally: Tally, manner: str) -> tuple[float | None, float | None]:
    """Margin of the usual unit at the worst conditions, and that less the root of the summed squares of what each way
    alone takes from it at its worse end: the least margin if ways were independent and met by chance."""
    ways = lot.sampling.ways
    changes: list[dict[Address, float]] = [{}]
    for way in ways:
        for place in (-1.0, 1.0):
            changes.append({field: float(value[0]) for field, value in way.numbers(np.array([place]))})
    margins = _margins(lot, tally, manner, changes, usual=True)
    return root_sum_square(margins[0], margins[1:].reshape(-1, 2))


def root_sum_square(usual: float, ends: Floats) -> tuple[float | None, float | None]:
    """The usual margin, and with what each way takes from it at its worse end [way, end] summed as squares."""
    if not (np.isfinite(usual) and np.isfinite(ends).all()):
        return None, None
    taken = np.maximum(usual - ends.min(axis=1, initial=np.inf), 0.0)
    return float(usual), float(usual - np.sqrt(np.sum(taken * taken)))


def _tightened(lot: Lot, tally: Tally, manner: str) -> Iterator[tuple[str, tuple[str, float | None]]]:
    """The worst corner with one axis at a tighter grade, for every axis that is at an end there."""
    assert tally.worst is not None
    names, grades, changes = [], [], []
    for number, axis in enumerate(lot.setting.axes):
        if int(tally.worst.corners.choices[tally.worst.row, number]) == USUAL:
            continue
        mine = [way for way in lot.sampling.ways if way.axis == axis.name]
        option = axis.options[int(tally.worst.corners.choices[tally.worst.row, number])]
        factor, grade = closer_grade(mine)
        names.append(axis.name)
        grades.append(grade)
        changes.append({field: value for way in mine for field, value in _nearer(way, option.values, factor)})
    if changes:
        margins = _margins(lot, tally, manner, changes, usual=False)
        for name, grade, margin in zip(names, grades, margins.tolist(), strict=True):
            yield name, (grade, margin if np.isfinite(margin) else None)


def closer_grade(ways: list[Way]) -> tuple[float, str]:
    """How much of the way to its end is left at the next grade, and what that grade is."""
    if ways and all(way.kind == "resistance" for way in ways):
        tolerance = max(way.most[0] / way.usual[0] - 1.0 for way in ways)
        closer = next((grade for grade in GRADES if grade < 0.99 * tolerance), None)
        if closer is not None:
            return closer / tolerance, f"{100.0 * closer:g} %"
    return HALF, "half the spread"


def _nearer(way: Way, at: Mapping[Address, float], factor: float) -> Iterator[tuple[Address, float]]:
    """The numbers of a way that a corner has at its least or its most, moved towards usual."""
    mine = [at.get(field) for field in way.fields]
    if None in mine or tuple(mine) == way.usual:
        return
    place = -factor if tuple(mine) == way.least else factor
    for field, number in way.numbers(np.array([place])):
        yield field, float(number[0])
