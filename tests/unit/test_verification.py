"""Verdicts of whole designs: outcomes, open lanes, explicit networks, the examples, golden verdicts."""

import json
import os
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from verified_designs import EXAMPLES, GOOD, ROOT, WRONG, by_name, corners, design, verdict

from outboard.arrangements import designed, expanded_text
from outboard.brief import read, read_text
from outboard.cases.axes import axes
from outboard.cases.corners import USUAL, every_choice
from outboard.checks import verification
from outboard.checks.check import AT_MOST, Check
from outboard.checks.finding import FAIL, PASS, UNDECIDED
from outboard.checks.tally import Tally
from outboard.checks.verdict import finding
from outboard.checks.verification import verified
from outboard.cli.program import program
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY
from outboard.network.overrides import Overrides
from outboard.network.solve import solved
from outboard.parts.records import Origin

NETWORKS = sorted((ROOT / "tests" / "reference" / "networks").glob("*.toml"))


# ---- outcomes ----------------------------------------------------------------------------------------------------

GLOWS = """
title = "Invented: its base current alone makes it glow"
[surroundings]
ambient = "25 °C"
[[parts]]
name = "input"
kind = "source"
pins = { plus = "in", minus = "ground" }
voltage = "20 V"
[[parts]]
name = "Q2"
kind = "bipolar"
polarity = "npn"
pins = { collector = "in", base = "b", emitter = "ground" }
type = "2N3055"
heat = { to = "sink", resistance = "10 K/W" }
[[parts]]
name = "RB"
kind = "resistor"
pins = { a = "in", b = "b" }
resistance = "470 Ω"
[[parts]]
name = "tin"
kind = "thermal_resistance"
pins = { a = "sink", b = "ambient" }
resistance = "20 K/W"
"""


def test_a_runaway_fails() -> None:
    found = verified(designed(read_text(GLOWS, "glows.toml")))
    (point,) = (f for f in found.findings if f.requirement == "an operating point everywhere")
    assert found.verdict == point.verdict == FAIL
    assert found.conditions.runaway > 0 and "run away" in point.note and point.in_words
    assert {f.verdict for f in found.findings if f is not point} == {UNDECIDED}


@pytest.mark.parametrize("outcome", [NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY])
@pytest.mark.parametrize("entry", ["solved", "released"])
def test_one_open_lane_anywhere_keeps_the_checks_from_passing(
    monkeypatch: pytest.MonkeyPatch, outcome: int, entry: str
) -> None:
    """One lane of one block loses its solution; nothing that should have been judged there may pass."""
    real, spoiled = getattr(verification, entry), []

    def spoil(*arguments: Any, **more: Any) -> Any:
        block = real(*arguments, **more)
        if not spoiled and block.outcomes.shape[0] > 1:
            spoiled.append(True)
            outcomes = block.outcomes.copy()
            outcomes[1, -1] = outcome
            return replace(block, outcomes=outcomes)
        return block

    whole = design("model-railway")
    monkeypatch.setattr(verification, entry, spoil)
    found = verified(whole, loads=3)
    assert spoiled
    after = [f for f in found.findings if "released" in f.requirement]
    steady = [f for f in found.findings[1:] if "released" not in f.requirement and "start" not in f.requirement]
    assert {f.verdict for f in after} == {UNDECIDED}
    assert {f.verdict for f in steady} == ({UNDECIDED} if entry == "solved" else {PASS})
    if entry == "solved":
        assert found.findings[0].verdict == (FAIL if outcome == RUNAWAY else UNDECIDED)
        assert found.findings[0].in_words
    assert found.verdict != PASS


# ---- figures that cannot be told at the working current -------------------------------------------------------------


def test_a_spread_that_cannot_be_told_at_work_is_undecided(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuses(part_type: Any, working_current: float | None = None) -> Any:
        raise ValueError("no active point at 3 A and 2 V")

    whole = design("model-railway")
    monkeypatch.setattr("outboard.arrangements.catalogued.identified", refuses)
    found = by_name(verified(whole, loads=3))["junction temperature", "Q1"]
    assert found.verdict == UNDECIDED
    assert any("gain of Q1" in words and "no active point" in words for words in found.missing)


# ---- explicit networks -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", NETWORKS, ids=lambda path: path.stem)
def test_a_network_of_explicit_parts_is_judged_as_far_as_it_is_known(path: Path) -> None:
    found = verified(designed(read(path)))
    assert found.verdict in (UNDECIDED, FAIL)
    point, *others = found.findings
    assert point.verdict == PASS, "every one of them has its operating point"
    assert others and {f.verdict for f in others} == {UNDECIDED}
    for f in others:
        assert f.missing and f.worst is None
        assert all(re.search(r"is not known|is given|not given|only limits", words) for words in f.missing), f.missing
        assert not any("points" in words for words in f.missing), "the reason, not its consequence"


# ---- the examples ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "word"), [(GOOD[0], PASS), (GOOD[1], PASS), (WRONG, FAIL)])
def test_examples_are_what_their_names_say(name: str, word: str) -> None:
    found = verdict(name)
    assert found.verdict == word
    done = found.conditions
    assert done.points == done.solved > 1000 and done.runaway == done.undecided == 0
    if word == PASS:
        assert {f.verdict for f in found.findings} == {PASS}


def test_the_wrong_example_fails_for_each_of_its_reasons() -> None:
    """As its own words say: regulator overloaded, junction too hot, input too low for drop-out."""
    found = by_name(verdict(WRONG))
    for key in (
        ("current within the guaranteed range", "U1"), ("junction temperature", "Q1"),
        ("headroom above drop-out", "U1"), ("output not too low", None),
    ):  # fmt: skip
        assert found[key].verdict == FAIL, key
        assert found[key].margin is not None and found[key].margin < -0.01  # type: ignore[operator]


@pytest.mark.parametrize(("name", "code"), [(GOOD[0], 0), (GOOD[1], 0), (WRONG, 1)])
def test_exit_codes_of_the_examples(name: str, code: int) -> None:
    assert CliRunner().invoke(program, ["verify", str(EXAMPLES / f"{name}.toml"), "--quiet"]).exit_code == code


@pytest.mark.parametrize("name", [*GOOD, WRONG])
def test_an_expanded_example_gets_the_same_verdict(name: str) -> None:
    again = verified(designed(read_text(expanded_text(design(name)), "expanded.toml")))
    before, after = by_name(verdict(name)), by_name(again)
    assert before.keys() == after.keys()
    for key, found in before.items():
        assert after[key].verdict == found.verdict
        assert after[key].rests_on == found.rests_on
        for figure in ("worst", "limit", "margin"):
            first, second = getattr(found, figure), getattr(after[key], figure)
            assert (first is None) == (second is None)
            assert first is None or second == pytest.approx(first, rel=1e-9, abs=1e-9), (key, figure)


def test_a_verdict_repeats_itself() -> None:
    first, second = verified(design("model-railway"), loads=6), verified(design("model-railway"), loads=6)
    assert first.findings == second.findings


# ---- golden: what our own code said, kept so that a change is seen ---------------------------------------------------

GOLDEN = ROOT / "tests" / "golden"
RENEW = "OUTBOARD_RENEW_GOLDEN"
"""Set to 1, the golden verdicts are written anew instead of compared; look at the difference before it is kept."""


def rounded(value: Any) -> Any:
    """Numbers to six digits, times left out."""
    if isinstance(value, dict):
        return {key: rounded(item) for key, item in value.items() if key != "seconds"}
    if isinstance(value, list):
        return [rounded(item) for item in value]
    if isinstance(value, float):
        return 0.0 if abs(value) < 1e-9 else float(f"{value:.6g}")
    return value


def alike(found: Any, kept: Any, where: str = "") -> None:
    """Equal text and structure, numbers to five digits."""
    if isinstance(kept, dict):
        assert found.keys() == kept.keys(), where
        for key in kept:
            alike(found[key], kept[key], f"{where}.{key}")
    elif isinstance(kept, list):
        assert len(found) == len(kept), where
        for place, (one, other) in enumerate(zip(found, kept, strict=True)):
            alike(one, other, f"{where}[{place}]")
    elif isinstance(kept, float):
        assert found == pytest.approx(kept, rel=1e-5, abs=1e-6), where
    else:
        assert found == kept, where


@pytest.mark.parametrize("name", [*GOOD, WRONG])
def test_golden_verdicts(name: str) -> None:
    """Values that this program produced itself: they prove nothing but that it still says the same."""
    result = CliRunner().invoke(program, ["verify", str(EXAMPLES / f"{name}.toml"), "--json"])
    found = rounded(json.loads(result.stdout))
    if name == WRONG:  # a collapsed output is much the same at many corners: which one is worst hangs on a rounding
        for judged in found["findings"]:
            for key in ("corner", "in_words", "rests_on"):
                del judged[key]
    file = GOLDEN / f"verdict-{name}.json"
    if os.environ.get(RENEW) == "1":
        file.write_text(json.dumps(found, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
        pytest.skip(f"{file.name} was written anew")
    alike(found, json.loads(file.read_text(encoding="utf-8")))


def test_golden_comparison_sees_a_change() -> None:
    alike({"a": [1.0, "x"]}, {"a": [1.000001, "x"]})
    for other in ({"a": [1.001, "x"]}, {"a": [1.0, "y"]}, {"a": [1.0]}, {"b": [1.0, "x"]}):
        with pytest.raises(AssertionError):
            alike({"a": [1.0, "x"]}, other)


# ---- the tally stream ------------------------------------------------------------------------------------------------


def test_judging_in_pieces_is_judging_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    at_once = verified(design("model-railway"), loads=3)
    monkeypatch.setattr(verification, "PIECE", 7)
    assert verified(design("model-railway"), loads=3).findings == at_once.findings


def test_a_check_over_corners_finds_the_row(monkeypatch: pytest.MonkeyPatch) -> None:
    name = "model-railway"
    found = axes(design(name))
    rows = corners(name, [[USUAL] * len(found), *(list(c) for c in every_choice(found)[1:4])], [(10.0, 293.15)])
    block = solved(verification.setting_of(design(name), 2).circuit, rows.overrides,
                   Overrides.column("load", "draws", np.array([1.0, 2.0])))  # fmt: skip
    value = np.zeros((4, 2))
    value[2, 1] = 5.0
    check = Check("planted", None, lambda block: value, 6.0, AT_MOST, "V", Origin("limit", "", ""))
    tally = Tally(check)
    tally.take(block, rows, np.array([1.0, 2.0]))
    assert tally.worst is not None and tally.worst.load == 2.0
    assert list(tally.worst.corners.choices[0]) == list(every_choice(found)[2])
    assert finding(tally, "typical", ()).worst == 5.0
