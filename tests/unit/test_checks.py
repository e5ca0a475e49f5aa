"""Weak figures, lanes without a solution, margins and units, and the whole verdict."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest
from checked_designs import LOADS, NAMES, block_of, design, judged, narrow, whole

from outboard.checks.check import AT_LEAST, AT_MOST, Check
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding
from outboard.checks.needs import Need
from outboard.checks.requirements import headroom_checks
from outboard.checks.tally import Tally
from outboard.checks.verdict import finding
from outboard.checks.verification import verified
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY
from outboard.network.solution import Block
from outboard.parts import find, ratings
from outboard.parts.records import Origin
from outboard.quantities import figures

# ---- weak figures -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_typical_figures_count_only_when_they_are_trusted_and_are_named(name: str) -> None:
    whole = narrow(name)
    cautious = replace(whole.brief, requirements=replace(whole.brief.requirements, trust="limits"))
    trusting, strict = verified(whole, loads=3), verified(replace(whole, brief=cautious), loads=3)
    weak = [found for found in trusting.findings if found.rests_on]
    assert trusting.verdict == PASS and len(weak) > 5
    by_name = {(found.requirement, found.part): found for found in strict.findings}
    for found in trusting.findings:
        again = by_name[found.requirement, found.part]
        assert again.verdict == (UNDECIDED if found.rests_on else PASS)
        assert again.rests_on == found.rests_on
        for words in found.rests_on:
            assert words.partition(": ")[0] in ("typical", "recalled", "default")
            assert words in again.missing[-1]
    assert strict.verdict == UNDECIDED


@pytest.mark.parametrize("kind", ["typical", "recalled", "default", "limit", "derived", "stated", "promised"])
def test_which_kinds_are_weak(kind: str) -> None:
    check = Check("a", "U1", lambda block: np.zeros(block.outcomes.shape), 1.0, AT_MOST, "V", Origin("limit", "", ""),
                  (Need(Origin(kind, "", f"{kind}: x")),))  # fmt: skip
    weak = kind in ("typical", "recalled", "default")
    assert judged(check, "observatory").rests_on == ((f"{kind}: x",) if weak else ())
    assert judged(check, "observatory").verdict == PASS
    assert judged(check, "observatory", "limits").verdict == (UNDECIDED if weak else PASS)


# ---- lanes without a solution, limits without a number ---------------------------------------------------------------


def simple(value: object, limit: object, sense: float = AT_MOST, unit: str = "V", rest: float = 0.0) -> Check:
    """A check of plain numbers; an array is [corner, point]."""

    def given(number: object) -> Callable[[Block], np.ndarray]:
        return lambda block: np.broadcast_to(np.asarray(number, dtype=float), block.outcomes.shape)

    return Check("plain", None, given(value), given(limit), sense, unit, Origin("limit", "", ""),
                 (Need(Origin("limit", "", "")),), rest)  # fmt: skip


def with_outcome(outcome: int, everywhere: bool = False) -> Block:
    block, _ = block_of("observatory")
    outcomes = block.outcomes.copy()
    outcomes[...] = outcome if everywhere else outcomes
    outcomes[1, 2] = outcome
    return replace(block, outcomes=outcomes)


def taken(check: Check, block: Block) -> Finding:
    tally = Tally(check)
    tally.take(block, block_of("observatory")[1], LOADS)  # type: ignore[arg-type]
    return finding(tally, "typical", ())


@pytest.mark.parametrize("outcome", [RUNAWAY, OUT_OF_RANGE, NOT_CONVERGED])
@pytest.mark.parametrize("everywhere", [False, True])
def test_no_check_passes_over_a_lane_without_a_solution(outcome: int, everywhere: bool) -> None:
    found = taken(simple(1.0, 2.0), with_outcome(outcome, everywhere))
    assert found.verdict == UNDECIDED
    assert f"{9 if everywhere else 1} points have no solution" in found.missing
    assert found.worst is None  # an undecided number would be a guess


def test_a_lane_without_a_solution_is_never_judged() -> None:
    value = np.zeros((3, 3))
    value[1, 2] = 99.0
    assert taken(simple(value, 2.0), with_outcome(NOT_CONVERGED)).verdict == UNDECIDED
    assert taken(simple(value, 2.0), block_of("observatory")[0]).verdict == FAIL


@pytest.mark.parametrize("gap", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("of_limit", [False, True])
@pytest.mark.parametrize("sense", [AT_MOST, AT_LEAST])
def test_what_is_no_number_never_passes(gap: float, of_limit: bool, sense: float) -> None:
    numbers = np.full((3, 3), 1.0)
    numbers[2, 1] = gap
    other = 2.0 if (sense == AT_MOST) != of_limit else 0.0
    check = simple(other, numbers, sense) if of_limit else simple(numbers, other, sense)
    found = taken(check, block_of("observatory")[0])
    assert found.verdict == UNDECIDED
    assert found.missing == ("at 1 points the limit is not known",)
    nowhere = taken(simple(np.full((3, 3), gap), 1.0, sense), block_of("observatory")[0])
    assert (nowhere.verdict, nowhere.worst) == (UNDECIDED, None)


def test_nothing_judged_is_undecided() -> None:
    found = finding(Tally(simple(1.0, 2.0)), "typical", ())
    assert (found.verdict, found.missing) == (UNDECIDED, ("no point was judged",))
    skipped = Tally(simple(1.0, 2.0))
    skipped.skip(7)
    assert finding(skipped, "typical", ()).missing == ("7 points have no solution",)


def test_a_failure_stands_beside_lanes_that_stay_open() -> None:
    assert taken(simple(3.0, 2.0), with_outcome(NOT_CONVERGED)).verdict == FAIL


# ---- margins, units, lines ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "limit", "sense", "margin", "verdict"),
    [(3.0, 5.0, AT_MOST, 2.0, PASS), (5.5, 5.0, AT_MOST, -0.5, FAIL), (5.0, 5.0, AT_MOST, 0.0, PASS),
     (5.0, 3.0, AT_LEAST, 2.0, PASS), (2.0, 3.0, AT_LEAST, -1.0, FAIL), (-4.0, -3.0, AT_MOST, 1.0, PASS)],
)  # fmt: skip
def test_margins_have_a_sign(value: float, limit: float, sense: float, margin: float, verdict: str) -> None:
    found = taken(simple(value, limit, sense), block_of("observatory")[0])
    assert (found.margin, found.verdict, found.worst, found.limit) == (margin, verdict, value, limit)


def test_temperatures_are_read_in_degrees_and_margins_are_differences() -> None:
    found = taken(simple(373.15, 423.15, unit="K", rest=298.15), block_of("observatory")[0])
    assert (found.worst, found.limit, found.margin, found.rest, found.unit) == (
        pytest.approx(100.0), pytest.approx(150.0), pytest.approx(50.0), pytest.approx(25.0), "°C",
    )  # fmt: skip
    assert found.share_left == pytest.approx(50.0 / 125.0)


def test_the_worst_lane_is_the_one_with_the_least_margin() -> None:
    value = np.array([[1.0, 2.0, 3.0], [4.0, 9.0, 5.0], [6.0, 7.0, 8.0]])
    limit = np.array([[10.0, 10.0, 3.5], [10.0, 10.0, 10.0], [10.0, 10.0, 10.0]])
    found = taken(simple(value, limit), block_of("observatory")[0])
    assert (found.worst, found.limit, found.margin, found.corner["load_A"]) == (3.0, 3.5, 0.5, 3.0)


def test_derating_line_of_a_power_transistor() -> None:
    """115 W at 25 °C case, 200 °C junction, hence 65.7 W at 100 °C (onsemi data sheet 2N3055/MJ2955: 115 W, derate
    0.657 W/K above 25 °C, T_J 200 °C)."""
    case = np.array([248.15, 298.15, 373.15, 473.15, 500.0])
    allowed = figures.allowed_power(case, 115.0, 473.15)
    assert allowed == pytest.approx([115.0, 115.0, 65.7, 0.0, 0.0], abs=0.05)
    assert (allowed[1] - allowed[2]) / 75.0 == pytest.approx(0.657, abs=0.0005)
    known = ratings(find("MJ2955"))
    assert (known["P_tot"].value, known["T_J"].value) == (115.0, pytest.approx(473.15))


def test_power_is_judged_at_the_case_and_not_at_the_junction() -> None:
    """R_thJC and pad are in series: the case is colder than the junction by P·R_thJC."""
    name = "observatory"
    block, _ = block_of(name)
    part = design(name).part("Q2")
    to_case = part.ratings["R_thJC"].value
    assert part.part.heat is not None and part.pad is not None
    case = figures.case_temperature(block, "Q2", to_case)
    sink = block.at(("heat", "main"))
    assert case == pytest.approx(sink + part.pad * block.power("Q2"), abs=1e-6)


@pytest.mark.parametrize(
    ("current", "limit"), [(0.5, 1.1), (4.0, 1.1), (4.5, 3.0), (10.0, 3.0), (10.5, np.nan)]
)
def test_saturation_is_the_one_printed_for_at_least_that_current(
    monkeypatch: pytest.MonkeyPatch, current: float, limit: float
) -> None:
    """V_CE(sat) of 2N3055: 1.1 V at 4 A, 3.0 V at 10 A (onsemi data sheet 2N3055); beyond, nothing is known."""
    monkeypatch.setattr(figures, "collector_current", lambda block, part: np.full((3, 3), current))
    (check,) = (
        check for check in headroom_checks(design("observatory"))
        if (check.requirement, check.part) == ("headroom above saturation", "Q2")
    )  # fmt: skip
    assert callable(check.limit)
    assert np.unique(check.limit(block_of("observatory")[0])) == pytest.approx([limit], nan_ok=True)


# ---- the whole ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "verdict"),
    [((PASS, PASS), PASS), ((PASS, UNDECIDED), UNDECIDED), ((UNDECIDED, FAIL, PASS), FAIL), ((FAIL,), FAIL),
     ((), UNDECIDED)],
)  # fmt: skip
def test_fail_beats_undecided_beats_pass(words: Sequence[str], verdict: str) -> None:
    made = whole(*(Finding("x", None, word) for word in words))
    assert made.verdict == verdict
    assert made.counts == {word: list(words).count(word) for word in (PASS, FAIL, UNDECIDED)}


def test_findings_are_ordered_by_verdict_then_by_what_is_left() -> None:
    roomy = Finding("roomy", None, PASS, worst=1.0, limit=10.0, margin=9.0)
    tight = Finding("tight", None, PASS, worst=99.0, limit=100.0, margin=1.0)
    warm = Finding("warm", None, PASS, worst=140.0, limit=150.0, margin=10.0, rest=25.0)
    unknown = Finding("unknown", None, UNDECIDED)
    slightly = Finding("slightly", None, FAIL, worst=11.0, limit=10.0, margin=-1.0)
    badly = Finding("badly", None, FAIL, worst=30.0, limit=10.0, margin=-20.0)
    ordered = whole(roomy, warm, unknown, slightly, tight, badly).ordered
    assert [found.requirement for found in ordered] == ["badly", "slightly", "unknown", "tight", "warm", "roomy"]
