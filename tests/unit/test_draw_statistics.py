"""What is kept of the draws: ladders, quantiles, intervals, sums, shares of the variance."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from drawn_units import lot_of
from hypothesis import given
from hypothesis import strategies as st

from outboard.checks.culprits import root_sum_square, variance_shares
from outboard.checks.drawn import CheckDraws, Drawn
from outboard.checks.rungs import Ladder, edge_of, proportion, quantile, rungs_of
from outboard.checks.sums import ExactSums

# ---- what is kept of margins -----------------------------------------------------------------------------------------

MARGINS = st.lists(st.floats(-1e6, 1e6, allow_nan=False).map(lambda x: 0.0 if abs(x) < 1e-200 else x), min_size=1)


@given(MARGINS)
def test_ladder_is_numpys_sorting_within_a_rung(margins: list[float]) -> None:
    ladder = Ladder()
    ladder.put(np.array(margins))
    rising = np.sort(margins)
    assert ladder.total == len(margins)
    for rank, true in enumerate(rising, 1):
        kept = ladder.ranked(rank)
        assert kept is not None and kept <= true
        assert true - kept <= 2.0**-12 * max(abs(true), abs(kept)) * (1.0 + 1e-12)
    assert ladder.ranked(0) is None and ladder.ranked(len(margins) + 1) is None


@given(MARGINS, st.sampled_from([0.001, 0.01, 0.05, 0.5]))
def test_quantiles_are_numpys(margins: list[float], share: float) -> None:
    """Against numpy's inverted distribution function, the definition without interpolation."""
    ladder = Ladder()
    ladder.put(np.array(margins))
    found = quantile(ladder, share)
    true = float(np.quantile(margins, share, method="inverted_cdf"))
    assert found.margin is not None
    assert found.margin <= true and true - found.margin <= 2.0**-12 * max(abs(true), abs(found.margin)) * (1 + 1e-12)
    assert found.least is None or found.least <= found.margin
    assert found.most is None or found.most >= found.margin


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=2, max_size=50))
def test_rungs_rise_with_margins_and_their_edges_lie_below(margins: list[float]) -> None:
    rising = np.sort(np.array(margins))
    rungs = rungs_of(rising)
    assert (np.diff(rungs) >= 0).all()
    assert all(edge_of(int(rung)) <= value for rung, value in zip(rungs, rising, strict=True))


@given(MARGINS, st.randoms())
def test_ladders_add_up_in_any_order(margins: list[float], chance: Any) -> None:
    whole, parts = Ladder(), Ladder()
    whole.put(np.array(margins))
    mixed = list(margins)
    chance.shuffle(mixed)
    for piece in (mixed[::2], mixed[1::2]):
        parts.put(np.array(piece))
    assert parts == whole


@pytest.mark.parametrize(("total", "low", "high"), [(10, 2, 9), (20, 6, 15), (100, 40, 61)])
def test_ranks_of_the_median(total: int, low: int, high: int) -> None:
    """95 % limits of a median by order statistics: ranks as tables print them, e.g. W. J. Conover, Practical
    Nonparametric Statistics, table for n = 10, 20 (memory); n = 100 by the binomial law."""
    ladder = Ladder()
    ladder.put(np.arange(1.0, total + 1.0))
    found = quantile(ladder, 0.5)
    assert (found.least, found.most) == (pytest.approx(low, rel=2.0**-12), pytest.approx(high, rel=2.0**-12))


@pytest.mark.parametrize(("total", "share"), [(50, 0.05), (200, 0.01), (400, 0.5), (1000, 0.05)])
def test_limits_hold_for_any_distribution(total: int, share: float) -> None:
    """The ranks' coverage by the binomial law, summed term by term."""
    ladder = Ladder()
    ladder.put(np.arange(1.0, total + 1.0))
    found = quantile(ladder, share)
    low = 0 if found.least is None else round(found.least)
    high = total + 1 if found.most is None else round(found.most)
    covered = sum(math.comb(total, k) * share**k * (1.0 - share) ** (total - k) for k in range(low, high))
    assert covered >= 0.95
    assert covered < 0.985 or total * share < 10  # not wastefully wide either


@pytest.mark.parametrize(
    ("met", "total", "low", "high"), [(0, 10, 0.0, 0.3085), (3, 10, 0.0667, 0.6525), (10, 10, 0.6915, 1.0)]
)
def test_interval_of_a_share(met: int, total: int, low: float, high: float) -> None:
    """Clopper and Pearson's limits at 95 %, n = 10, as tables of exact binomial limits print them (memory)."""
    found = proportion(met, met, total)
    assert found == (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5))


@given(st.integers(0, 40), st.integers(0, 40), st.integers(0, 40))
def test_open_draws_widen_the_interval_and_never_count_as_good(holds: int, opened: int, fails: int) -> None:
    total = holds + opened + fails
    if total:
        low, high = proportion(holds, holds + opened, total)
        assert low == proportion(holds, holds, total)[0]
        assert high == proportion(holds + opened, holds + opened, total)[1]


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False), max_size=40), st.randoms())
def test_sums_do_not_depend_on_order_or_groups(values: list[float], chance: Any) -> None:
    whole, left, right = ExactSums(1), ExactSums(1), ExactSums(1)
    for value in values:
        whole.add(np.array([value]))
    mixed = list(values)
    chance.shuffle(mixed)
    for place, value in enumerate(mixed):
        (left if place % 2 else right).add(np.array([value]))
    left.merge(right)
    assert left.wholes == whole.wholes
    with_care = None
    try:
        with_care = math.fsum(values)
    except OverflowError:
        return
    if math.isfinite(with_care):
        assert whole.totals[0] == with_care


def test_a_draw_with_an_open_lane_is_neither_good_nor_in_a_quantile() -> None:
    kept = CheckDraws(1)
    margins, opened = np.array([0.5, 0.2, -0.1, np.inf]), np.array([False, True, True, True])
    kept.take(margins, opened, np.zeros((4, 1)), -np.inf)
    assert (kept.holds, kept.fails, kept.open) == (1, 1, 2)
    assert kept.ladder.below == 3
    assert quantile(kept.ladder, 0.5).margin is None
    assert quantile(kept.ladder, 0.99).margin == pytest.approx(0.5, rel=2.0**-12)


# ---- shares and tightening -------------------------------------------------------------------------------------------


def test_shares_of_the_variance_of_a_straight_line() -> None:
    """margin = 3·a − 4·b of independent places with one variance: 9/25 and 16/25, whatever the order."""
    some = tuple(replace(way, axis=name) for way, name in zip(lot_of("observatory").sampling.ways, "ab", strict=False))
    places = np.random.default_rng(4).uniform(-1.0, 1.0, (40_000, 2))
    drawn = Drawn.none(2, 1)
    drawn.take_places(places)
    drawn.checks[0].take(10.0 + places @ [3.0, -4.0], np.zeros(len(places), dtype=bool), places, -np.inf)
    drawn.holds = len(places)
    shares, explained = variance_shares(some, drawn, drawn.checks[0])
    assert explained == pytest.approx(1.0, abs=1e-9)
    assert shares == {"a": pytest.approx(9 / 25, abs=0.01), "b": pytest.approx(16 / 25, abs=0.01)}


def test_root_sum_of_squares_of_ways_that_only_help_is_nothing() -> None:
    assert root_sum_square(1.0, np.array([[1.2, 1.1], [1.0, 1.5]])) == (1.0, 1.0)
    assert root_sum_square(1.0, np.array([[0.7, 1.1], [1.0, 0.6]])) == (1.0, pytest.approx(0.5))
    assert root_sum_square(1.0, np.array([[np.nan, 1.1]])) == (None, None)
