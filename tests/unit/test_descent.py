"""Searches in a box: functions whose least is known."""

from collections.abc import Callable

import numpy as np
import pytest

from outboard.analysis.descent import Search, descend

Floats = np.ndarray


def found(
    value: Callable[[Floats], float], slope: Callable[[Floats], Floats], start: Floats, least: Floats, most: Floats,
    rounds: int = 60,
) -> Search:  # fmt: skip
    search = Search(start, value(start), 1e-12)
    descend([search], lambda points, _: np.array([value(x) for x in points]),
            lambda points, _: np.array([slope(x) for x in points]), least, most, rounds)  # fmt: skip
    return search


def bowl(centre: Floats) -> tuple[Callable[[Floats], float], Callable[[Floats], Floats]]:
    curved = np.array([[3.0, 1.0], [1.0, 2.0]])
    return lambda x: float((x - centre) @ curved @ (x - centre)), lambda x: 2.0 * curved @ (x - centre)


def test_a_bowl_inside_the_box() -> None:
    search = found(*bowl(np.array([0.3, -0.2])), np.array([-1.0, 1.0]), -np.ones(2), np.ones(2))
    np.testing.assert_allclose(search.at, [0.3, -0.2], atol=1e-5)
    assert search.settled and not search.cornered


def test_a_bowl_beyond_an_end() -> None:
    """At x = 1 the least of 3(x − 2)² + 2(x − 2)(y − 0) + 2y² lies at y = 1/2 (worked by hand)."""
    search = found(*bowl(np.array([2.0, 0.0])), np.zeros(2), -np.ones(2), np.ones(2))
    np.testing.assert_allclose(search.at, [1.0, 0.5], atol=1e-5)


def test_a_slope_leads_to_the_corner() -> None:
    way = np.array([1.0, -2.0, 0.0])
    search = found(lambda x: float(way @ x), lambda x: way, np.zeros(3), -np.ones(3), np.ones(3))
    np.testing.assert_array_equal(search.at, [-1.0, 1.0, 0.0])
    assert search.settled and search.cornered


def test_a_bent_valley() -> None:
    """(1 − x)² + 100(y − x²)², least at (1, 1): a usual trial of such methods (Rosenbrock 1960, memory)."""
    search = found(
        lambda x: float((1.0 - x[0]) ** 2 + 100.0 * (x[1] - x[0] ** 2) ** 2),
        lambda x: np.array([-2.0 * (1.0 - x[0]) - 400.0 * x[0] * (x[1] - x[0] ** 2), 200.0 * (x[1] - x[0] ** 2)]),
        np.array([-1.2, 1.0]), np.full(2, -2.0), np.full(2, 2.0), rounds=200,
    )  # fmt: skip
    np.testing.assert_allclose(search.at, [1.0, 1.0], atol=1e-3)


def test_a_search_that_is_cut_short_says_so() -> None:
    search = found(*bowl(np.array([0.3, -0.2])), np.array([-1.0, 1.0]), -np.ones(2), np.ones(2), rounds=1)
    assert not search.settled


def test_places_without_a_value_are_avoided() -> None:
    search = found(lambda x: float("nan") if x[0] > 0.5 else -float(x[0]), lambda x: -np.ones(1), np.zeros(1),
                   -np.ones(1), np.ones(1))  # fmt: skip
    assert 0.4 < search.at[0] <= 0.5


def test_searches_do_not_disturb_each_other() -> None:
    centres = [np.array([0.3, -0.2]), np.array([-0.5, 0.6]), np.array([2.0, 0.0])]
    bowls = [bowl(centre) for centre in centres]
    alone = [found(*each, np.zeros(2), -np.ones(2), np.ones(2)) for each in bowls]
    together = [Search(np.zeros(2), value(np.zeros(2)), 1e-12) for value, _ in bowls]
    descend(together, lambda points, owners: np.array([bowls[k][0](x) for x, k in zip(points, owners, strict=True)]),
            lambda points, owners: np.array([bowls[k][1](x) for x, k in zip(points, owners, strict=True)]),
            -np.ones(2), np.ones(2), 60)  # fmt: skip
    for one, other in zip(alone, together, strict=True):
        np.testing.assert_array_equal(one.at, other.at)


def test_nothing_to_search() -> None:
    descend([], lambda points, _: points[:, 0], lambda points, _: points, -np.ones(1), np.ones(1))


@pytest.mark.parametrize("start", [0.0, 1.0, -1.0])
def test_where_nothing_moves_it_stays(start: float) -> None:
    search = found(lambda x: 3.0, lambda x: np.zeros(1), np.array([start]), -np.ones(1), np.ones(1))
    assert search.at[0] == start and search.cornered
