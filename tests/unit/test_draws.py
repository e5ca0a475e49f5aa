"""Random draws: where they lie, that only their number decides them, what is kept of them, shards that survive."""

import contextlib
import json
import math
import os
import random
import re
import signal
import subprocess
import sys
import time
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from outboard.arrangements import Design, designed, expanded_text
from outboard.brief import json_schema, read, read_text
from outboard.brief.design import Tolerances
from outboard.cases.corners import every_choice
from outboard.cases.distributions import correlations, ways
from outboard.cases.sampling import BLOCK, METHODS, Sampling, numbers
from outboard.checks import draws as drawing
from outboard.checks.culprits import root_sum_square, variance_shares
from outboard.checks.draw_run import blocks_of, draws_in, run, together, usual_shards
from outboard.checks.draw_verdict import bound_finding, draw_verdict
from outboard.checks.drawn import CheckDraws, Drawn, restored, stored
from outboard.checks.draws import Lot, drawn_block, lanes, lot, reduced, replayed, units, units_at
from outboard.checks.finding import FAIL, PASS, UNDECIDED
from outboard.checks.ratings import rating_checks
from outboard.checks.rungs import Ladder, edge_of, proportion, quantile, rungs_of
from outboard.checks.shards import PLAN, Shards
from outboard.checks.sums import ExactSums
from outboard.cli.program import program
from outboard.errors import WrongInput
from outboard.network.solve import solved

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "examples"
RAILWAY = EXAMPLES / "model-railway.toml"
GOOD = ("observatory", "model-railway")
UNIFORM = Tolerances(gain="uniform", V_BE="uniform", leakage="uniform", regulator="uniform")


def design(name: str, **changed: Any) -> Design:
    found = designed(read(EXAMPLES / f"{name}.toml"))
    tolerances = replace(found.brief.tolerances, **changed)
    return replace(found, brief=replace(found.brief, tolerances=tolerances))


@cache
def lot_of(name: str, seed: int = 1) -> Lot:
    return lot(design(name), seed)


def told(drawn: Drawn) -> str:
    """All that is kept, to the bit."""
    return json.dumps(stored(drawn))


def counted(drawn: Drawn) -> dict[str, Any]:
    """All that is kept but the sums, whose last digit follows the order within a block."""
    found = stored(drawn)
    found.pop("places")
    for check in found["checks"]:
        check.pop("sums")
    return found


# ---- where draws lie -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("shape", ["uniform", "normal"])
@pytest.mark.parametrize("name", GOOD)
def test_every_draw_lies_in_the_box_that_the_corners_span(name: str, shape: str, method: Any) -> None:
    found = lot_of(name)
    axes, base = found.setting.axes, found.setting.base
    box: dict[Any, list[float]] = {}
    for axis in axes:
        for option in axis.options:
            for address, value in option.values.items():
                box.setdefault(address, [base[address]]).append(value)
    chosen = Tolerances(gain=shape, V_BE=shape, leakage=shape, regulator=shape, resistors=shape)  # type: ignore[arg-type]
    at_work = found.setting.design
    some = ways(replace(at_work, brief=replace(at_work.brief, tolerances=chosen)), axes)
    sampling = replace(found.sampling, ways=some, method=method)
    addresses, values = numbers(some, np.vstack([sampling.block(number)[0] for number in range(4)]))
    assert set(addresses) == box.keys(), "what the corners move is drawn, and nothing else"
    assert len(set(addresses)) == len(addresses)
    for column, address in enumerate(addresses):
        assert min(box[address]) <= values[:, column].min() <= values[:, column].max() <= max(box[address]), address


def test_set_voltage_and_regulation_share_what_the_sheet_guarantees_for_both() -> None:
    sampling = lot_of("observatory").sampling
    names = [way.name for way in sampling.ways]
    places = sampling.block(0)[0]
    setting, regulation = (places[:, names.index(f"{kind} U1")] for kind in ("set voltage", "regulation"))
    assert (np.abs(setting) + regulation <= 1.0 + 1e-12).all()
    assert (regulation >= 0.0).all() and regulation.max() > 0.3


@pytest.mark.parametrize("method", METHODS)
def test_shapes_are_what_they_say(method: Any) -> None:
    """Uniform on −1 … 1: σ = 1/√3.  Normal cut at 3 σ: the cut one has √(1 − 6φ(3)/(2Φ(3) − 1)) = 0.9866 of it."""
    found = lot_of("observatory")
    sampling = replace(found.sampling, method=method, correlation=np.eye(len(found.sampling.ways)))
    places = np.vstack([sampling.block(number)[0] for number in range(32)])
    density, inside = math.exp(-4.5) / math.sqrt(2.0 * math.pi), math.erf(3.0 / math.sqrt(2.0))
    expected = {"uniform": 1.0 / math.sqrt(3.0), "normal": math.sqrt(1.0 - 6.0 * density / inside) / 3.0}
    slack = 5.0 / math.sqrt(2.0 * len(places))  # five standard errors of a standard deviation
    for column, way in enumerate(sampling.ways):
        if not way.one_sided:
            assert places[:, column].std() == pytest.approx(expected[way.shape], rel=slack), way.name
            assert abs(places[:, column].mean()) < 5.0 * expected[way.shape] / math.sqrt(len(places)), way.name


SEVERAL = """
title = "Invented: three pass devices in parallel"
[input]
voltage = ["17 V", "19 V", "21 V"]
[output]
voltage = "12 V"
tolerance = "6 %"
load = ["0.1 A", "3 A", "6 A"]
[tolerances]
batch = "{batch}"
[stage]
arrangement = "bypass"
regulator = "7812"
pass = "MJ2955"
count = 3
ballast = "0.1 Ω"
resistors = "5 %"
[heat.sinks]
main = "0.4 K/W"
[heat]
pass = {{ sink = "main", pad = "0.5 K/W" }}
regulator = {{ sink = "main", pad = "1 K/W" }}
"""


def several(batch: str) -> Lot:
    return lot(designed(read_text(SEVERAL.format(batch=batch), "several.toml")), seed=3)


def test_devices_of_a_batch_go_together_and_gain_goes_against_voltage() -> None:
    sampling = several("80 %").sampling
    names = [way.name for way in sampling.ways]
    places = np.vstack([sampling.block(number)[0] for number in range(16)])
    found = np.corrcoef(places.T)

    def between(first: str, second: str) -> float:
        return float(found[names.index(first), names.index(second)])

    slack = 5.0 / math.sqrt(len(places))
    assert between("gain Q1", "gain Q2") == pytest.approx(0.8, abs=slack)
    assert between("V_BE Q1", "V_BE Q3") == pytest.approx(0.8, abs=slack)
    assert between("gain Q2", "V_BE Q2") == pytest.approx(-0.5, abs=slack)
    assert between("gain Q1", "V_BE Q2") == pytest.approx(-0.4, abs=slack)
    assert abs(between("gain Q1", "leakage Q1")) < slack
    assert abs(between("gain Q1", "set voltage U1")) < slack


def test_matched_devices_are_the_same_device() -> None:
    sampling = several("100 %").sampling
    names = [way.name for way in sampling.ways]
    places = sampling.block(0)[0]
    for kind in ("gain", "V_BE", "leakage"):
        first, third = (places[:, names.index(f"{kind} Q{device}")] for device in (1, 3))
        np.testing.assert_allclose(first, third, atol=1e-6)


def test_correlations_are_possible() -> None:
    """No combination of normal quantities may have a negative variance."""
    for batch in ("0 %", "50 %", "100 %"):
        found = several(batch)
        matrix = correlations(found.setting.design, found.sampling.ways)
        assert np.linalg.eigvalsh(matrix).min() > -1e-12


def test_leakage_lies_between_its_ends_at_every_temperature() -> None:
    """On a logarithmic scale at 25 °C and at 150 °C: half way is the geometric mean at both."""
    way = next(way for way in lot_of("observatory").sampling.ways if way.name == "leakage Q2")

    def leakage(place: float, rise: float) -> float:
        current, doubling = (float(value[0]) for _, value in way.numbers(np.array([place])))
        return current * 2.0 ** (rise / doubling)

    for rise in (0.0, 60.0, 125.0):
        assert leakage(0.5, rise) == pytest.approx(math.sqrt(leakage(0.0, rise) * leakage(1.0, rise)), rel=1e-9)
    assert leakage(-1.0, 125.0) == 0.0


# ---- nothing but its number decides a draw ---------------------------------------------------------------------------


@pytest.mark.parametrize("method", METHODS)
def test_a_block_follows_from_seed_and_number(method: Any) -> None:
    sampling = replace(lot_of("observatory").sampling, method=method)
    again = Sampling(sampling.ways, sampling.correlation, sampling.limits_at, sampling.seed, method)
    late = again.block(7)[0]
    assert np.array_equal(sampling.block(7)[0], late)
    assert not np.array_equal(sampling.block(6)[0], late)
    assert not np.array_equal(replace(sampling, seed=2).block(7)[0], late)


def test_sobol_blocks_are_pieces_of_one_sequence() -> None:
    from scipy.stats import qmc

    sampling = lot_of("model-railway").sampling
    engine = qmc.Sobol(len(sampling.ways), scramble=True, rng=np.random.default_rng(sampling.seed))
    whole = engine.random(4 * BLOCK)
    pieces = np.vstack([sampling._uniform(number) for number in range(4)])
    np.testing.assert_allclose(pieces, whole, atol=1e-15)


@pytest.mark.parametrize("name", GOOD)
def test_threads_change_nothing(name: str) -> None:
    found = lot_of(name)
    assert BLOCK < 1000, "else there is nothing to share out"
    one, two, eight = (run(found, 1000, workers).drawn for workers in (1, 2, 8))
    assert told(one) == told(two) == told(eight)
    assert one.draws == 1000


def test_shards_and_their_order_change_nothing() -> None:
    found, draws = lot_of("model-railway"), 1100
    blocks = [drawn_block(found, block, draws) for block in range(-(-draws // BLOCK))]
    whole = run(found, draws, 2).drawn
    for seed in range(5):
        order = list(range(len(blocks)))
        random.Random(seed).shuffle(order)
        merged = Drawn.none(len(found.sampling.ways), len(found.checks))
        for block in order:
            merged.merge(restored(json.loads(told(blocks[block]))))
        assert told(merged) == told(whole)


@given(draws=st.integers(1, 300_000), shards=st.integers(1, 999))
def test_shards_have_every_block_once(draws: int, shards: int) -> None:
    blocks = [block for shard in range(1, shards + 1) for block in blocks_of(draws, shard, shards)]
    assert blocks == list(range(-(-draws // BLOCK)))
    assert draws_in(blocks, draws) == draws


@pytest.mark.parametrize("name", GOOD)
def test_many_together_are_the_same_units_one_by_one(name: str) -> None:
    """In every field: counts, ladders, least margins with their places to the bit; sums to rounding."""
    found = lot_of(name)
    places = found.sampling.block(2)[0][:24]
    none = np.empty((24, 0))
    whole = reduced(found, units_at(found, places, none, first=512))
    merged = Drawn.none(len(found.sampling.ways), len(found.checks))
    for unit in np.random.default_rng(1).permutation(24).tolist():
        merged.merge(reduced(found, units_at(found, places[unit : unit + 1], none[:1], first=512 + unit)))
    assert counted(merged) == counted(whole)
    np.testing.assert_allclose(merged.places.totals, whole.places.totals, rtol=1e-12, atol=1e-12)
    for one, many in zip(merged.checks, whole.checks, strict=True):
        np.testing.assert_allclose(one.sums.totals, many.sums.totals, rtol=1e-9, atol=1e-12)


def test_the_order_of_units_changes_nothing_for_any_of_them() -> None:
    found = lot_of("observatory")
    places, _ = found.sampling.block(1)
    order = np.random.default_rng(2).permutation(BLOCK)
    none = np.empty((BLOCK, 0))
    forwards, mixed = (units_at(found, rows, none) for rows in (places, places[order]))
    for manner, straight in drawing.lanes(found.setting, forwards.rows, found.manners).items():
        shuffled = drawing.lanes(found.setting, mixed.rows, found.manners)[manner]
        for check, own in zip(found.checks, found.manners, strict=True):
            if own == manner:
                there, here = (drawing.Judged.of(check, lanes, some)
                               for lanes, some in ((straight, forwards), (shuffled, mixed)))  # fmt: skip
                assert np.array_equal(there.margins[order], here.margins)
                assert np.array_equal(there.places[order], here.places)


def test_a_draw_can_be_drawn_again() -> None:
    found = lot_of("observatory")
    drawn = run(found, 700, 2).drawn
    for number, check in enumerate(drawn.checks):
        assert check.least is not None
        unit, worst = replayed(found, check.least.draw)
        assert unit.first == check.least.draw
        assert worst[number] == check.least


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


# ---- beside the corners ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", GOOD)
def test_no_unit_lies_beyond_the_corners(name: str) -> None:
    """Uniform spreads, which reach the ends more often than bells; the benchmark does it with many more."""
    found = lot(replace(design(name), brief=replace(design(name).brief, tolerances=UNIFORM)), seed=11)
    result = run(found, 1500, 2)
    assert sum(check.outside for check in result.drawn.checks) == 0
    assert bound_finding(found, result).verdict == PASS
    assert result.drawn.holds == 1500


@pytest.mark.parametrize("batch", [0.0, 0.8])
def test_what_one_of_like_devices_suffers_stands_for_all(batch: float) -> None:
    """Only Q1 is ever apart from the rest at a corner, but any of the three may be the hot one among drawn units: by
    every requirement each of them keeps the margin that the corners found for all."""
    found = several("0 %")
    whole = replace(found.setting.design.brief, tolerances=replace(UNIFORM, batch=batch))
    found = lot(replace(found.setting.design, brief=whole), seed=2)
    result = run(found, 1500, 2)
    assert sum(check.outside for check in result.drawn.checks) == 0
    place = {check.requirement: number for number, check in enumerate(found.checks) if check.part in ("Q1", "R3")}
    assert found.checks[place["junction temperature"]].alike == ("Q1", "Q2", "Q3")
    assert found.checks[place["resistor power"]].alike == ("R3", "R4", "R5")
    second = next(check for check in rating_checks(found.setting.design)
                  if (check.requirement, check.part) == ("junction temperature", "Q2"))  # fmt: skip
    some = units(found, 0)
    settled = lanes(found.setting, some.rows, ("settled",))["settled"].block
    drawn = float(second.margins(settled)[2].min())
    corners = found.setting.corners(every_choice(found.setting.axes), found.setting.ends)
    own = min(
        float(second.margins(solved(found.setting.circuit, piece.overrides,
                                    found.setting.sweep(found.setting.loads)))[2].min())
        for piece in corners.pieces(384)
    )  # fmt: skip
    bound = found.bounds[place["junction temperature"]]
    assert bound <= drawn
    assert batch > 0.0 or drawn < own, "else this would show nothing: the corners alone judge Q2 too kindly"


def test_corners_that_are_no_bound_are_found_out() -> None:
    """Resistors of a divider that the corners move together: 2.5 V at every corner, 2.475 V for some units."""
    text = (ROOT / "tests" / "published" / "test_divider.py").read_text(encoding="utf-8")
    divider = text.partition('DIVIDER = """')[2].partition('"""')[0].replace("{role}", "lower half")
    together_too = divider.replace('role = "base resistor"', 'role = "upper half"')
    found = lot(designed(read_text(together_too, "divider.toml")), seed=1)
    result = run(found, 512, 2)
    finding = bound_finding(found, result)
    assert finding.verdict == UNDECIDED and "output not too low" in finding.missing[0]
    tighter = together_too.replace('tolerance = "2 %"', 'tolerance = "0.5 %"')
    found = lot(designed(read_text(tighter, "divider.toml")), seed=1)
    result = run(found, 512, 2)
    finding = bound_finding(found, result)
    assert finding.verdict == FAIL and "output not too high" in finding.note
    assert 0 < result.drawn.fails < 512 and result.drawn.fails + result.drawn.holds == 512


def test_what_the_corners_leave_undecided_has_no_numbers_here() -> None:
    text = RAILWAY.read_text(encoding="utf-8").replace('trust         = "typical"', 'trust = "limits"')
    assert 'trust = "limits"' in text
    found = lot(designed(read_text(text, "limits.toml")), seed=1)
    result = run(found, 256, 2)
    judged = draw_verdict(found, result, (), 0.0, mapped=False)
    assert judged.left_out
    for finding in judged.findings:
        assert bool(finding.missing) != bool(finding.quantiles)
        assert not finding.missing or (finding.least is None and finding.drivers is None)


def test_a_failing_design_has_failing_units() -> None:
    found = lot_of("wrong-attic-server")
    result = run(found, 512, 2)
    judged = draw_verdict(found, result, (), 0.0, mapped=False)
    assert judged.fails > 0 and judged.yields[1] < 1.0
    first = judged.ordered[0]
    assert first.least is not None and first.least.margin < 0.0


def test_conditions_may_be_drawn() -> None:
    found = lot(design("model-railway", conditions="drawn"), seed=5)
    some = units(found, 0)
    assert some.each == 1 and len(some.inputs) == BLOCK
    for drawn, ends in ((some.inputs, found.setting.inputs), (some.ambients, found.setting.ambients)):
        assert min(ends) <= drawn.min() < drawn.max() <= max(ends)
    assert run(found, 256, 1).drawn.holds == 256


def test_the_file_may_choose_and_a_wrong_choice_is_located() -> None:
    text = RAILWAY.read_text(encoding="utf-8") + '\n[tolerances]\nresistors = "normal"\nlimits_at = 2\nbatch = "50 %"\n'
    chosen = read_text(text, "chosen.toml").tolerances
    assert (chosen.resistors, chosen.limits_at, chosen.batch, chosen.gain) == ("normal", 2.0, 0.5, "normal")
    with pytest.raises(WrongInput) as refused:
        read_text(text.replace('"normal"', '"norml"'), "chosen.toml")
    assert refused.value.mistakes[0].line is not None and "normal" in refused.value.mistakes[0].write
    assert "description" in json_schema()["properties"]["tolerances"]["properties"]["batch"]


def test_a_design_written_out_keeps_what_it_chose() -> None:
    chosen_keys = '[tolerances]\nresistors = "normal"\nlimits_at = 2.5\nbatch = "50 %"\n'
    text = RAILWAY.read_text(encoding="utf-8") + chosen_keys
    chosen = read_text(text, "chosen.toml")
    again = read_text(expanded_text(designed(chosen)), "again.toml")
    assert again.tolerances == chosen.tolerances != Tolerances()
    assert "[tolerances]" not in expanded_text(design("model-railway"))


NETWORKS = sorted((ROOT / "tests" / "reference" / "networks").glob("*.toml"))


@pytest.mark.parametrize("path", NETWORKS, ids=lambda path: path.stem)
def test_a_network_of_explicit_parts_is_drawn_too(path: Path) -> None:
    """Few of its parts have a spread; what is not known stays undecided, whatever is drawn."""
    shown = outboard("verify", str(path), "--draws", "20", "--json")
    assert shown.exit_code in (0, 1, 3), shown.output
    found = json.loads(shown.output)
    assert found["draws"]["draws"] == 20
    corners = {(one["requirement"], one["part"]): one for one in found["findings"]}
    for one in found["draws"]["findings"]:
        if one["missing"]:
            assert corners[one["requirement"], one["part"]]["verdict"] == UNDECIDED


def test_nothing_grows_with_the_number_of_draws() -> None:
    """Twice the draws, hardly more rungs: what is kept is bounded by the resolution of the ladder, not by the draws."""
    found = lot_of("model-railway")
    few, many = (sum(len(check.ladder.counts) for check in run(found, draws, 2).drawn.checks) for draws in (2048, 4096))
    assert many < 1.7 * few


# ---- shards ----------------------------------------------------------------------------------------------------------


def begun(folder: Path, draws: int = 1100, **plan: Any) -> Shards:
    content = {"inputs": "x", "draws": draws, "seed": 1, "method": "sobol", "shards": usual_shards(draws)} | plan
    return Shards.begun(folder, content | {"text": "", "file": "x"})


def test_a_run_that_is_stopped_goes_on_where_it_was(tmp_path: Path) -> None:
    found, draws = lot_of("model-railway"), 1100
    seen: list[int] = []
    first = run(found, draws, 1, lambda done, wanted: seen.append(done), lambda: len(seen) > 2, begun(tmp_path))
    assert first.stopped and 0 < first.drawn.draws < draws
    kept = {path.name: path.stat().st_mtime_ns for path in tmp_path.glob("shard-*.json")}
    assert kept
    second = run(found, draws, 2, kept=begun(tmp_path))
    assert not second.stopped and told(second.drawn) == told(run(found, draws, 1).drawn)
    assert all((tmp_path / name).stat().st_mtime_ns == when for name, when in kept.items())
    assert told(together(found, draws, begun(tmp_path)).drawn) == told(second.drawn)
    assert not list(tmp_path.glob(".*"))


def test_a_folder_of_something_else_is_refused(tmp_path: Path) -> None:
    begun(tmp_path)
    with pytest.raises(WrongInput, match="seed 1"):
        begun(tmp_path, seed=2)
    with pytest.raises(WrongInput, match="the design"):
        begun(tmp_path, inputs="y")
    found = begun(tmp_path)
    found.path(1).write_text("{}", encoding="utf-8")
    with pytest.raises(WrongInput, match="not a shard"):
        found.read(1)
    assert found.read(2) is None


def outboard(*arguments: str) -> Result:
    return CliRunner().invoke(program, list(arguments))


def without_time(text: str) -> Any:
    found = json.loads(text)
    found["draws"].pop("seconds")
    found["conditions"].pop("seconds")
    return found


def started(*arguments: str, stderr: int | None = None) -> "subprocess.Popen[bytes]":
    call = "import sys; sys.argv[0] = 'outboard'; from outboard.cli import main; sys.exit(main())"
    here = dict(os.environ, PYTHONPATH=str(ROOT / "src"))
    return subprocess.Popen([sys.executable, "-c", call, *arguments], env=here, stdout=subprocess.PIPE, stderr=stderr)


def test_a_killed_run_loses_and_repeats_no_shard(tmp_path: Path) -> None:
    folder, draws = tmp_path / "kept", "12000"
    arguments = ("verify", str(RAILWAY), "--draws", draws, "--workers", "1", "--save", str(folder), "--json")
    kept: dict[str, int] = {}
    for least in (3, 8):
        process = started(*arguments)
        until = time.monotonic() + 60.0
        while len(list(folder.glob("shard-*.json"))) < least and process.poll() is None and time.monotonic() < until:
            time.sleep(0.01)
        assert process.poll() is None, "killed while it was at work"
        process.send_signal(signal.SIGKILL)
        process.communicate()
        there = {path.name: path.stat().st_ino for path in folder.glob("shard-*.json")}
        assert least <= len(there) < usual_shards(int(draws))
        assert kept.items() <= there.items(), "what was kept stays as it was"
        kept = there
    process = started(*arguments)
    resumed, _ = process.communicate(timeout=120)
    assert process.returncode == 0
    assert all((folder / name).stat().st_ino == number for name, number in kept.items())
    assert len(list(folder.glob("shard-*.json"))) == usual_shards(int(draws))
    uninterrupted = outboard("verify", str(RAILWAY), "--draws", draws, "--json")
    assert without_time(resumed.decode()) == without_time(uninterrupted.output)
    assert without_time(outboard("merge", str(folder), "--json").output) == without_time(uninterrupted.output)


def test_an_interrupted_run_gives_a_partial_verdict(tmp_path: Path) -> None:
    folder, draws = tmp_path / "kept", 100_000
    process = started("verify", str(RAILWAY), "--draws", str(draws), "--workers", "1", "--save", str(folder), "--json")
    until = time.monotonic() + 60.0
    while not list(folder.glob("shard-*.json")) and process.poll() is None and time.monotonic() < until:
        time.sleep(0.01)
    process.send_signal(signal.SIGINT)
    output, _ = process.communicate(timeout=60)
    assert process.returncode == 130
    found = json.loads(output)
    assert found["verdict"] == "PASS" and found["draws"]["partial"] is True
    assert 0 < found["draws"]["draws"] < draws == found["draws"]["wanted"]


def test_a_terminal_sees_how_far_it_is_and_nobody_else(tmp_path: Path) -> None:
    ours, theirs = os.openpty()
    shard = ("--draws", "3000", "--shard", "1/1", "--save", str(tmp_path), "--json")  # its answer is short
    process = started("draws", str(RAILWAY), *shard, stderr=theirs)
    os.close(theirs)
    seen = b""
    with contextlib.suppress(OSError):  # how a terminal says that the other side has gone
        while piece := os.read(ours, 65536):
            seen += piece
    output, _ = process.communicate(timeout=60)
    assert process.returncode == 0
    assert json.loads(output)["draws"] == 3000
    words = re.sub(rb"\x1b\[[0-9;?]*[A-Za-z]", b"", seen).decode()
    assert re.search(r"\d+ of 3000", words) and "a second" in words and re.search(r"\d:\d\d:\d\d", words)
    quiet = started("verify", str(RAILWAY), "--draws", "300", "--json", stderr=subprocess.PIPE)
    assert quiet.communicate(timeout=60)[1] == b""


# ---- the command line ------------------------------------------------------------------------------------------------


def test_shards_of_several_machines_make_the_same_verdict(tmp_path: Path) -> None:
    folder = str(tmp_path / "kept")
    for shard in ("2/3", "3/3"):
        done = outboard("draws", str(RAILWAY), "--draws", "700", "--shard", shard, "--save", folder, "--json")
        assert done.exit_code == 0 and json.loads(done.output)["stopped"] is False
    partial = outboard("merge", folder, "--json")
    assert partial.exit_code == 3 and json.loads(partial.output)["draws"]["partial"] is True
    assert outboard("draws", str(RAILWAY), "--draws", "700", "--shard", "1/3", "--save", folder).exit_code == 0
    whole = outboard("verify", str(RAILWAY), "--draws", "700", "--json")
    assert without_time(outboard("merge", folder, "--json").output) == without_time(whole.output)


def test_words_say_yield_likelihood_drivers_and_reach(tmp_path: Path) -> None:
    figure, reach = tmp_path / "margins.svg", tmp_path / "reach.svg"
    shown = outboard("verify", str(RAILWAY), "--draws", "300", "--figure", str(figure), "--reach", str(reach))
    assert shown.exit_code == 0
    for words in ("Drawn at random", "300 hold, 0 fail, 0 are open", "of all units hold", "what drives the margins",
                  "how far it holds", "no draw beyond the corners"):  # fmt: skip
        assert words in " ".join(shown.output.split())
    assert all(len(line) <= 80 for line in shown.output.splitlines())
    assert figure.read_text(encoding="utf-8").count("<title>") == 1
    assert reach.exists()
    alone = outboard("verify", str(RAILWAY), "--draws", "300")
    assert "how far it holds" not in alone.output, "a map takes long: it is made when asked for"


def test_one_draw_again_in_words_and_json() -> None:
    found = json.loads(outboard("draws", str(RAILWAY), "--number", "299", "--json").output)
    assert found["draw"] == 299 and 2.09 <= found["parts"]["R1"]["resistance"] <= 2.31
    many = json.loads(outboard("verify", str(RAILWAY), "--draws", "300", "--json").output)["draws"]
    for finding in many["findings"]:
        if finding["least"]["draw"] == 299:
            (own,) = (one for one in found["findings"]
                      if (one["requirement"], one["part"]) == (finding["requirement"], finding["part"]))  # fmt: skip
            assert own["worst"] == finding["least"]
    words = outboard("draws", str(RAILWAY), "--number", "299")
    assert words.exit_code == 0 and "draw 299" in words.output


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("verify", str(RAILWAY), "--save", "x"), "--save needs draws"),
        (("verify", str(RAILWAY), "--draws", "0"), "--draws"),
        (("verify", str(RAILWAY), "--draws", "10", "--sampling", "dice"), "sobol or latin or plain"),
        (("verify", str(RAILWAY), "--draws", "10", "--figure", "x.jpeg"), "svg"),
        (("draws", str(RAILWAY)), "--shard"),
        (("draws", str(RAILWAY), "--shard", "4/3"), "3/16"),
        (("merge", "nowhere-at-all"), PLAN),
    ],
)
def test_mistakes_are_told(arguments: tuple[str, ...], words: str) -> None:
    told_off = outboard(*arguments)
    assert told_off.exit_code == 2
    assert words in told_off.stderr


settings.register_profile("draws", deadline=None)
settings.load_profile("draws")
