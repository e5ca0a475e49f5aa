"""Slopes of margins by where parts stand, against circuits solved anew: settled, started, let go while hot."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from outboard.analysis.sensitivity import sloped
from outboard.arrangements import designed
from outboard.brief import read
from outboard.checks.box import LOAD, Box
from outboard.checks.check import Check
from outboard.checks.derating import derated
from outboard.checks.draws import RELEASED, SETTLED, STARTED, Lot, lot
from outboard.checks.known import pieces_of
from outboard.checks.margin_slopes import by_coordinate, values
from outboard.formulas.derating_policies import Policy
from outboard.formulas.resistor_derating import POLICY
from outboard.network.circuit import AMBIENT_FIELD
from outboard.network.overrides import Overrides
from outboard.network.sloped import slope_of, value_of
from outboard.network.solve import solved

ROOT = Path(__file__).resolve().parents[2]
STEP = 0.01
ROUNDING = 1e-8
"""What the solver's last digits make of a difference over such a step, as a share of the way to the limit."""


@cache
def drawn_from(example: str) -> Lot:
    return lot(designed(read(ROOT / "examples" / f"{example}.toml")), seed=1, loads=2)


def inside(box: Box) -> np.ndarray:
    """A point away from every bend: no coordinate within some steps of −1, 0 or 1."""
    away = np.random.default_rng(4).uniform(0.2, 0.8, len(box.names)) * np.where(np.arange(len(box.names)) % 2, 1, -1)
    return np.where(box.most > box.least, np.maximum(away, box.least + 0.2), 0.0)


@pytest.mark.parametrize("manner", [SETTLED, RELEASED, STARTED])
@pytest.mark.parametrize("example", ["observatory", "museum-follower", "shelf-lights-pmos", "workshop-feed"])
def test_slopes_of_margins_are_those_of_circuits_solved_anew(example: str, manner: str) -> None:
    """Against central differences of sixth order; every requirement of this manner, of like parts each."""
    found = drawn_from(example)
    box = Box.of(found.setting, found.sampling)
    pieces = [piece for each in pieces_of(found) for piece in each[1:] if piece.manner == manner]
    owners = np.arange(len(pieces))
    points = np.tile(inside(box), (len(pieces), 1))
    slopes = by_coordinate(box, pieces, points, owners)
    usual, limit, margin = values(box, pieces, points, owners)
    assert np.isfinite(margin).any()
    for coordinate in np.flatnonzero(box.most > box.least):
        if manner != SETTLED and coordinate == len(box.names) + LOAD:
            assert not slopes[:, coordinate].any()
            continue
        moved = points.repeat(7, axis=0)
        moved[:, coordinate] += np.tile(STEP * np.arange(-3.0, 4.0), len(pieces))
        y = values(box, pieces, moved, owners.repeat(7))[2].reshape(-1, 7)
        difference = y @ np.array([-1.0, 9.0, -45.0, 0.0, 45.0, -9.0, 1.0]) / (60.0 * STEP)
        for k, piece in enumerate(pieces):
            if np.isfinite(y[k]).all():
                rounding = ROUNDING / STEP * max(abs(limit[k]), abs(usual[k]))
                what = f"{piece.check.title} by {box.names[coordinate]}"
                assert slopes[k, coordinate] == pytest.approx(difference[k], rel=1e-6, abs=rounding), what


def test_ways_have_the_slopes_of_their_numbers() -> None:
    """Linear, logarithmic and by reciprocals: central differences of fourth order."""
    step = 1e-4
    for example in ("observatory", "shelf-lights-pmos"):
        for way in drawn_from(example).sampling.ways:
            for place in (-0.7, 0.3):
                stepped = [dict(way.numbers(np.array([place + k * step]))) for k in (-2, -1, 1, 2)]
                for address, slope in zip(way.fields, way.slopes(np.array([place])), strict=True):
                    one, two, three, four = (float(numbers[address][0]) for numbers in stepped)
                    difference = (one - 8.0 * two + 8.0 * three - four) / (12.0 * step)
                    assert slope[0] == pytest.approx(difference, rel=1e-7, abs=1e-10 * abs(three)), (way.name, address)


def test_a_policy_for_resistors_leaves_limits_with_slopes() -> None:
    """As the policy says them one by one; slopes against differences of these, which are exact on straight lines."""
    found = drawn_from("observatory")
    check = next(check for check in found.checks if check.rating == "P")
    part, circuit = found.setting.design.part(check.part or ""), found.setting.circuit
    assert part.rated_power is not None
    power, policy = part.rated_power.power, Policy("lines", {}, None, POLICY).of_style("RWR")
    hot = np.array([290.0, 310.0, 325.0, 340.0])
    block = solved(circuit, Overrides.column(*AMBIENT_FIELD, hot))

    def share(check: Check, ambient: float) -> float:
        assert callable(check.limit)
        own = check.limit(solved(circuit, Overrides.column(*AMBIENT_FIELD, np.array([ambient]))))
        return policy.resistor_share(float(own[0, 0]) / power, ambient)

    limit = derated(check, part, policy).limit
    assert callable(limit)
    tilted = limit(sloped(block, [AMBIENT_FIELD]))
    np.testing.assert_allclose(value_of(tilted)[:, 0], [power * share(check, each) for each in hot], rtol=1e-12)
    difference = [power * (share(check, each + 0.1) - share(check, each - 0.1)) / 0.2 for each in hot]
    np.testing.assert_allclose(slope_of(tilted)[:, 0, 0], difference, rtol=1e-8, atol=1e-12)
    assert (np.array(difference) < 0.0).any()
