"""Which junctions conduct, and what the regulator does: the regime that is consistent with its own solution."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np
from numpy.typing import NDArray

from outboard.errors import OutboardError
from outboard.explain.ideal import Ideal, Margin, Regime, Switch, equations
from outboard.explain.rows import ONE, Row, number

MOST_STEPS = 60
MOST_REGIMES = 40_000
SLACK = 1e-10
"""A margin counts as kept down to this share of what it is made of."""

Floats = NDArray[np.float64]


class NoRegime(OutboardError):
    """No combination of conducting and blocking devices is consistent with its own solution."""


@dataclass(frozen=True, slots=True)
class Point:
    """Numbers of all unknowns in one regime."""

    regime: Regime
    numbers: Mapping[str, float]
    values: Mapping[str, float]

    def read(self, row: Row) -> float:
        """What a row is worth here."""
        return sum(number(t, self.values) * (1.0 if u == ONE else self.numbers[u]) for u, t in row.items())

    def size(self, row: Row) -> float:
        """The largest of the terms that make up a row."""
        terms = (abs(number(t, self.values) * (1.0 if u == ONE else self.numbers[u])) for u, t in row.items())
        return max(terms, default=0.0)


def point_in(ideal: Ideal, regime: Regime, values: Mapping[str, float]) -> Point | None:
    """The solution of one regime whether or not its conditions hold; None where it has none or many."""
    place = {unknown: i for i, unknown in enumerate(ideal.unknowns)}
    rows = equations(ideal, regime)
    matrix, right = np.zeros((len(rows), len(place))), np.zeros(len(rows))
    for i, row in enumerate(rows):
        for unknown, terms in row.items():
            if unknown == ONE:
                right[i] = -number(terms, values)
            else:
                matrix[i, place[unknown]] = number(terms, values)
    found = _solution(matrix, right)
    return None if found is None else Point(regime, dict(zip(ideal.unknowns, map(float, found), strict=True)), values)


def _solution(matrix: Floats, right: Floats) -> Floats | None:
    """Rows and columns brought to one size first, so that singular means singular."""
    scale = np.abs(matrix).max(axis=1)
    if not scale.all():
        return None
    matrix, right = matrix / scale[:, None], right / scale
    columns = np.abs(matrix).max(axis=0)
    if not columns.all():
        return None
    matrix = matrix / columns
    try:
        found = np.linalg.solve(matrix, right)
        found += np.linalg.solve(matrix, right - matrix @ found)
    except np.linalg.LinAlgError:
        return None
    if not np.isfinite(found).all() or np.abs(matrix @ found - right).max() > 1e-9 * max(1.0, np.abs(found).max()):
        return None
    return np.asarray(found / columns)


def broken(ideal: Ideal, point: Point) -> list[tuple[float, Switch, Margin]]:
    """Conditions that a point does not keep, the worst first."""
    found = []
    for switch in ideal.switches:
        for margin in switch.margins(point.regime):
            worth, size = point.read(margin.row), point.size(margin.row)
            if worth < -max(SLACK * size, 1e-13):
                found.append((worth / max(size, 1e-12), switch, margin))
    return sorted(found, key=lambda entry: entry[0])


def regime_at(ideal: Ideal, values: Mapping[str, float], start: Regime | None = None) -> Point:
    """The point of a consistent regime: from a guess by giving way where a condition is broken, else by trying all.

    Raises NoRegime.
    """
    regime = {switch.name: switch.usual for switch in ideal.switches} | dict(start or {})
    tried: set[tuple[str, ...]] = set()
    for _ in range(MOST_STEPS):
        key = tuple(regime[switch.name] for switch in ideal.switches)
        point = None if key in tried else point_in(ideal, regime, values)
        tried.add(key)
        if point is None:
            break
        wrong = broken(ideal, point)
        if not wrong:
            return point
        _, switch, margin = next((entry for entry in wrong if not _known(ideal, regime, entry, tried)), wrong[0])
        regime = regime | {switch.name: margin.then}
    return _by_trying(ideal, values)


def _known(ideal: Ideal, regime: Regime, entry: tuple[float, Switch, Margin], tried: set[tuple[str, ...]]) -> bool:
    changed = dict(regime) | {entry[1].name: entry[2].then}
    return tuple(changed[switch.name] for switch in ideal.switches) in tried


def _by_trying(ideal: Ideal, values: Mapping[str, float]) -> Point:
    if prod(len(switch.states) for switch in ideal.switches) > MOST_REGIMES:
        raise NoRegime("no consistent regime was found, and there are too many to try them all")
    for states in product(*(switch.states for switch in ideal.switches)):
        regime = {switch.name: state for switch, state in zip(ideal.switches, states, strict=True)}
        point = point_in(ideal, regime, values)
        if point is not None and not broken(ideal, point):
            return point
    raise NoRegime("no regime of constant V_BE and constant gain is consistent here: check V_BE, gains and the load")
