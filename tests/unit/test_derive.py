"""Exact results, bounds, slopes, steps of the gap and pages, of one compound stage."""

import random
import xml.etree.ElementTree as ElementTree

import pytest
from derived_designs import COMPOUND

from outboard.dossier import opened
from outboard.explain.asked import Asked, Derivation
from outboard.explain.bounds import bound_of_ratio
from outboard.explain.definitions import definition_value
from outboard.explain.derivation import derived
from outboard.explain.expression import value
from outboard.explain.gap import EFFECTS
from outboard.explain.neglect import Box
from outboard.report.derive_forms import FORMS
from outboard.report.derive_page import page


@pytest.fixture(scope="module")
def compound() -> Derivation:
    design = opened(COMPOUND).design
    return derived(design, Asked(within=0.01, sensitivities=True, gap=True, order_free=True))


def numbers_in(derivation: Derivation, result: object, letters: dict[str, float]) -> dict[str, float]:
    numbers = dict(letters)
    for entry in result.definitions:  # type: ignore[attr-defined]
        numbers[entry.name] = value(definition_value(entry), numbers)
    return numbers


def test_exact_results_are_the_point_itself(compound: Derivation) -> None:
    for result in compound.results:
        numbers = dict(result.numbers)
        if result.gain is not None:
            numbers[result.gain.name] = value(result.gain.expression, numbers)
        assert value(result.exact, numbers) == pytest.approx(result.value, rel=1e-12)
        assert value(result.told, numbers) == pytest.approx(result.value, rel=1e-12)


def test_no_draw_from_the_box_is_worse_than_its_bound(compound: Derivation) -> None:
    """Two thousand designs inside the box: every neglect stays within the bound that is stated for it."""
    chance = random.Random(5)
    for result in compound.results:
        for _ in range(2000):
            drawn = {name: chance.choice((letter.least, letter.most, chance.uniform(letter.least, letter.most)))
                     for name, letter in compound.letters.items()}  # fmt: skip
            numbers = numbers_in(compound, result, drawn)
            exact = value(result.told, numbers)
            for step in result.neglects:
                error = abs(value(step.expression, numbers) / exact - 1.0)
                assert step.bound.proved and error <= step.bound.most * (1.0 + 1e-9) + 1e-12
            assert result.shortest is not None
            assert abs(value(result.shortest.expression, numbers) / exact - 1.0) <= 0.01


def test_bounds_are_met_inside_the_box(compound: Derivation) -> None:
    """A bound is no more than 2 % above a value that occurs, unless it is nothing."""
    for result in compound.results:
        for step in result.neglects:
            assert step.bound.most <= step.bound.occurs * 1.02 + 1e-11


def test_bound_of_a_ratio_whose_extreme_lies_inside() -> None:
    """x(2 − x) on [0, 2] against 2: at most 1 (where x is 0), and 1 − x(2 − x) is nothing in the middle."""
    from sympy import ZZ
    from sympy.polys.rings import ring

    made, x = ring("x", ZZ)
    found = bound_of_ratio(x * (2 - x), made.one, ["x"], {"x": 1.0}, {"x": (0.5, 1.5)})
    assert found.most == pytest.approx(0.25, rel=0.03) and found.occurs == pytest.approx(0.25, rel=1e-12)
    inside = bound_of_ratio(1 + x * (2 - x), made.one, ["x"], {"x": 1.0}, {"x": (0.0, 2.0)})
    assert 1.0 <= inside.most <= 1.03, "the largest deviation, 1, is reached at x = 1"
    assert bound_of_ratio(made.one, x - 1, ["x"], {"x": 2.0}, {"x": (0.5, 2.0)}).most == float("inf")


def test_good_from_is_where_the_promise_begins(compound: Derivation) -> None:
    """At the load from which a formula is good it is good over the box; well below it is not, or nothing conducts."""
    for result in compound.results:
        assert result.shortest is not None and result.good_from is not None
        starts = [event.at for event in compound.loads]
        if result.good_from <= starts[-1] * 1.001:
            continue
        letters = {n: letter for n, letter in compound.letters.items()}
        box = Box(letters, result.definitions)
        below = box.ranges | {"I_O": (0.9 * result.good_from, letters["I_O"].most)}
        assert box.bound(result.shortest.expression, result.told, below).most > 0.01


def test_steps_of_the_gap_add_up(compound: Derivation) -> None:
    for result in compound.results:
        gap = result.gap
        assert gap is not None and [step.effect for step in gap.steps] == list(EFFECTS)
        assert gap.hand + sum(step.change for step in gap.steps) == pytest.approx(gap.solved, rel=1e-12)
        assert gap.shares is not None
        assert gap.hand + sum(gap.shares.values()) == pytest.approx(gap.solved, rel=1e-12)
        assert result.solved_value == pytest.approx(gap.solved, rel=1e-7)


def test_gap_begins_at_the_formula_without_quiescent_current(compound: Derivation) -> None:
    for result in compound.results:
        assert result.gap is not None
        numbers = numbers_in(compound, result, {**compound.values, "I_Q": 0.0})
        assert value(result.told, numbers) == pytest.approx(result.gap.hand, rel=2e-6)


def test_slopes_are_the_differences_of_nearby_results(compound: Derivation) -> None:
    for result in compound.results:
        for slope in result.sensitivities:
            here = compound.values[slope.letter]
            ends = []
            for factor in (1.0 - 1e-6, 1.0 + 1e-6):
                numbers = numbers_in(compound, result, {**compound.values, slope.letter: here * factor})
                ends.append(value(result.told, numbers))
            assert slope.slope == pytest.approx((ends[1] - ends[0]) / (2e-6 * here), rel=1e-5, abs=1e-12)


@pytest.mark.parametrize("form", FORMS)
def test_pages_hold_every_result(compound: Derivation, form: str) -> None:
    text = page(compound, form)
    assert "kit-manual-p5" in text
    telling = {"markdown": r"I_{\mathrm{REG}}", "latex": r"\begin{document}", "html": "<msub>", "typst": '_"REG"'}
    assert telling[form] in text
    if form == "html":
        for piece in text.split("<math")[1:]:
            ElementTree.fromstring("<math" + piece.split("</math>")[0] + "</math>")
    if form in ("markdown", "latex"):
        assert text.count("{") == text.count("}")
    assert all(letter in text for letter in ("tolerance box", "left out, one after another", "Elenco"))


def test_latex_pages_hold_no_sign_that_a_plain_tex_run_refuses(compound: Derivation) -> None:
    """Beside ASCII only what LaTeX itself knows in T1: dots and accented letters."""
    assert {sign for sign in page(compound, "latex") if ord(sign) > 255} <= {"…", "–", "’", "“", "”"}


@pytest.mark.parametrize("form", FORMS)
def test_pages_hold_the_numbers_that_are_put_in(compound: Derivation, form: str) -> None:
    """630 mV over 2.2 Ω stand in the page as a fraction with its units, and so does what it comes to."""
    text = page(compound, form)
    put = {
        "markdown": r"\frac{630\,\mathrm{mV}}{2.2\,\mathrm{\Omega }} = 286.4\,\mathrm{mA}",
        "latex": r"\frac{630\,\mathrm{mV}}{2.2\,\mathrm{\Omega }} = 286.4\,\mathrm{mA}",
        "html": '<mn>630</mn><mspace width="0.17em"/><mtext>mV</mtext>',
        "typst": '(630 thin "mV") / (2.2 thin "Ω") = 286.4 thin "mA"',
    }
    assert put[form] in text
