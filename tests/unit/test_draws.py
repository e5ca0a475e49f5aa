"""Where drawn units lie, and that nothing but its number decides a draw."""

import json
import math
import random
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from drawn_units import GOOD, lot_of, several, told
from hypothesis import given
from hypothesis import strategies as st

from outboard.brief.design import Tolerances
from outboard.cases.distributions import correlations, ways
from outboard.cases.sampling import BLOCK, METHODS, Sampling, numbers
from outboard.checks import draws as drawing
from outboard.checks.draw_run import blocks_of, draws_in, run
from outboard.checks.drawn import Drawn, restored, stored
from outboard.checks.draws import drawn_block, reduced, replayed, units_at


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
