"""Laws of the least margins between the ends, tried on drawn designs: tests/strategies.py makes them."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import WrittenBrief, briefs

from outboard.arrangements import Design, designed
from outboard.brief import read_text
from outboard.brief.design import Tolerances
from outboard.cases.distributions import Way
from outboard.checks.between import Between, least_between
from outboard.checks.box import Box
from outboard.checks.draws import BEYOND, Lot, drawn_block, lanes, lot
from outboard.checks.known import pieces_of
from outboard.checks.margin_slopes import by_coordinate, values
from outboard.network.overrides import Overrides
from outboard.network.solve import solved

LOADS = 3
UNIFORM = Tolerances(gain="uniform", V_BE="uniform", leakage="uniform", regulator="uniform")
SAME = 1e-6
"""Relative to what is judged: the solver stops at 1e-8 V, from whichever side it comes."""


def drawn_from(brief: WrittenBrief, design: Design | None = None) -> Lot:
    found = design or designed(read_text(brief.text, "drawn.toml"))
    return lot(replace(found, brief=replace(found.brief, tolerances=UNIFORM)), seed=1, loads=LOADS)


def span(one: Between) -> float:
    assert one.least is not None
    return max(abs(one.least.limit - one.check.rest), abs(one.least.margin), 1.0)


def with_resistors(design: Design, factor: float) -> Design:
    """The same parts, bought with another tolerance."""
    parts = tuple(replace(part, tolerance=factor * part.tolerance) if part.tolerance else part for part in design.parts)
    return replace(design, parts=parts)


def narrower(way: Way, share: float) -> Way:
    """A way whose ends are a share of the way from usual to what they were, on its own scale."""
    ends = ((dict(way.numbers(np.array([place * share])))[field].item() for field in way.fields)
            for place in (-1.0, 1.0))  # fmt: skip
    least, most = (tuple(end) for end in ends)
    return replace(way, least=way.least if way.one_sided else least, most=most)


def worse_or_same(wide: tuple[Between, ...], narrow: tuple[Between, ...]) -> None:
    """A margin that falls short may end at the edge of a runaway, which no search meets twice alike: it stays short."""
    compared = 0
    for one, other in zip(wide, narrow, strict=True):
        if one.least is not None and other.least is not None and not one.opened:
            assert one.least.margin <= max(other.least.margin, 0.0) + SAME * span(one), one.check.title
            compared += 1
    assert compared > 5


@settings(max_examples=2)
@given(briefs(most_devices=1, loaded=True), st.sampled_from((1.5, 2.0, 4.0)))
def test_a_wider_tolerance_never_improves_a_margin(brief: WrittenBrief, factor: float) -> None:
    """Of any figure, headroom too, which corners alone do not bound."""
    one = drawn_from(brief)
    wide = drawn_from(brief, with_resistors(designed(read_text(brief.text, "drawn.toml")), factor))
    worse_or_same(least_between(wide).found, least_between(one).found)


@settings(max_examples=4)
@given(briefs(loaded=True), st.sampled_from((0.2, 0.5, 0.9)))
def test_a_narrower_box_lies_inside(brief: WrittenBrief, share: float) -> None:
    """Every tolerance of every part closer, resistors or not."""
    one = drawn_from(brief)
    ways = tuple(narrower(way, share) for way in one.sampling.ways)
    inside = replace(one, sampling=replace(one.sampling, ways=ways))
    worse_or_same(least_between(one).found, least_between(inside).found)


@settings(max_examples=4)
@given(briefs(loaded=True))
def test_no_draw_lies_beyond_the_extremes(brief: WrittenBrief) -> None:
    found = drawn_from(brief)
    drawn = drawn_block(found, 0, 128)
    for one, kept in zip(least_between(found).found, drawn.checks, strict=True):
        if one.least is not None and kept.least is not None:
            assert kept.least.margin >= one.least.margin - BEYOND * span(one), one.check.title


@settings(max_examples=4)
@given(briefs(loaded=True), st.integers(0, 2**32 - 1))
def test_the_order_of_lanes_is_irrelevant(brief: WrittenBrief, seed: int) -> None:
    """Margins and slopes of points in another order are the same in that order, to the bit."""
    found = drawn_from(brief)
    box, random = Box.of(found.setting, found.sampling), np.random.default_rng(seed)
    pieces = [piece for each in pieces_of(found) for piece in each[1:]]
    points = random.uniform(box.least, box.most, (len(pieces), len(box.names)))
    owners, order = np.arange(len(pieces)), random.permutation(len(pieces))
    for reading in (lambda *asked: values(box, pieces, *asked)[2], lambda *asked: by_coordinate(box, pieces, *asked)):
        one, other = reading(points, owners), reading(points[order], owners[order])
        np.testing.assert_array_equal(one[order], other)


@settings(max_examples=4)
@given(briefs(), st.integers(0, 2**32 - 1))
def test_a_batch_is_what_its_lanes_are_one_by_one(brief: WrittenBrief, seed: int) -> None:
    """Every unknown, every current, every outcome; the solver's last 1e-8 apart."""
    found = drawn_from(brief)
    box = Box.of(found.setting, found.sampling)
    points = np.random.default_rng(seed).uniform(box.least, box.most, (5, len(box.names)))
    rows, loads = box.rows(points), found.setting.loads
    together = lanes(found.setting, rows, found.manners)
    for k in range(len(points)):
        alone = lanes(found.setting, Overrides(rows.fields, rows.values[k : k + 1]), found.manners)
        assert alone.keys() == together.keys()
        for manner, piece in alone.items():
            one, other = piece.block, together[manner].block
            np.testing.assert_array_equal(one.outcomes[0], other.outcomes[k])
            here = one.is_solved[0]
            for each, both in ((one.xs, other.xs), (one.flows, other.flows)):
                np.testing.assert_allclose(each[0][here], both[k][here], rtol=SAME, atol=1e-6)
    sweep = found.setting.sweep(loads)
    whole = solved(found.setting.circuit, rows, sweep, workers=1)
    np.testing.assert_array_equal(whole.xs, solved(found.setting.circuit, rows, sweep, workers=2).xs)


@pytest.mark.parametrize("wrong", [1.5, 4.0])
def test_the_comparison_would_notice(wrong: float) -> None:
    """A law that cannot fail is none: a wider box taken for the narrower one breaks it."""
    text = (
        '[input]\nvoltage = ["18 V", "19 V", "20 V"]\n[output]\nvoltage = "12 V"\ntolerance = "6 %"\n'
        'load = ["0.1 A", "1 A", "2 A"]\n[requirements]\nshort_circuit = "none"\n[stage]\narrangement = "bypass"\n'
        'regulator = "7812"\npass = "TIP2955"\nresistors = "2 %"\n[heat.sinks]\nplate = "1 K/W"\n'
        '[heat]\nregulator = { sink = "plate", pad = "1 K/W" }\npass = { sink = "plate", pad = "1 K/W" }\n'
    )
    design = designed(read_text(text, "drawn.toml"))
    narrow, wide = (lot(each, seed=1, loads=LOADS) for each in (design, with_resistors(design, wrong)))
    with pytest.raises(AssertionError):
        worse_or_same(least_between(narrow).found, least_between(wide).found)
