"""What is worse between the ends of the tolerances than at the corners: found, and taken by the verdict."""

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Literal

import pytest
from click.testing import CliRunner

from outboard.arrangements import Design, designed
from outboard.brief import read, read_text
from outboard.brief.design import Tolerances
from outboard.checks.between import BY_SIGNS
from outboard.checks.between_verdict import REQUIREMENT, Extreme, ExtremeVerdict, contained, extreme_verdict
from outboard.checks.draw_run import run
from outboard.checks.draws import BEYOND, Lot, lot
from outboard.checks.finding import FAIL, UNDECIDED, Verdict
from outboard.checks.needs import Need, weak
from outboard.checks.verification import judged
from outboard.cli.program import program

ROOT = Path(__file__).resolve().parents[2]
RAILWAY = ROOT / "examples" / "model-railway.toml"
UNIFORM = Tolerances(gain="uniform", V_BE="uniform", leakage="uniform", regulator="uniform")


def divider(limit: str) -> str:
    """10 kΩ and 10 kΩ at 5 V whose resistors the corners move together, so that they see 2.5 V only."""
    text = (ROOT / "tests" / "published" / "test_divider.py").read_text(encoding="utf-8")
    found = text.partition('DIVIDER = """')[2].partition('"""')[0].replace("{role}", "lower half")
    together = found.replace('role = "base resistor"', 'role = "upper half"')
    assert 'tolerance = "2 %"' in together
    return together.replace('tolerance = "2 %"', f'tolerance = "{limit}"')


EXAMPLES = ("model-railway", "museum-follower", "workshop-feed", "adjustable-bench-low", "shelf-lights-pmos")


@cache
def drawn_from(example: str, conditions: Literal["ends", "drawn"] = "ends") -> Lot:
    found = designed(read(ROOT / "examples" / f"{example}.toml"))
    return lot(replace(found, brief=replace(found.brief, tolerances=replace(UNIFORM, conditions=conditions))), seed=11)


@cache
def extremes(example: str, conditions: Literal["ends", "drawn"] = "ends") -> ExtremeVerdict:
    return extreme_verdict(drawn_from(example, conditions))


def with_extremes(design: Design) -> Verdict:
    found = lot(design, seed=1)
    return contained(judged(found.corners, 0.0), found, extreme_verdict(found))


def span(one: Extreme) -> float:
    least, check = one.between.least, one.between.check
    assert least is not None
    return max(abs(least.limit - check.rest), abs(least.margin))


def the(found: ExtremeVerdict, title: str) -> Extreme:
    return next(one for one in found.extremes if one.between.check.title == title)


def test_a_divider_has_its_extremes_where_the_corners_do_not_look() -> None:
    """2.475 … 2.525 V: R1 and R2 of ±1 % against each other (worked by hand)."""
    found = with_extremes(designed(read_text(divider("2 %"), "divider.toml")))
    worst = {finding.requirement: finding.worst for finding in found.findings}
    assert worst["output not too low"] == pytest.approx(2.475, abs=1e-6)
    assert worst["output not too high"] == pytest.approx(2.525, abs=1e-6)


def test_a_closer_resistor_in_a_divider() -> None:
    """R1 at +0.5 % and R2 at −1 %: 5·0.99/(1.005 + 0.99) = 2.48120 V against 2.45 V (worked by hand)."""
    found = extreme_verdict(lot(designed(read_text(divider("2 %"), "divider.toml")), seed=1))
    low = the(found, "output not too low")
    assert low.behind is not None
    assert set(low.standing) == {"most R1", "least R2"}
    closer = {one.way: one for one in low.behind.tolerances}["R1"]
    assert closer.grade == "0.5 %"
    assert closer.tightened == pytest.approx(5.0 * 0.99 / 1.995 - 2.45, abs=1e-6)
    assert closer.gained == pytest.approx(5.0 * 0.99 / 1.99 - 2.475, abs=1e-6)


def test_slopes_behind_a_divider() -> None:
    """V·R2/(R1 + R2) at +1 % and −1 %: by R1 −V·R2/ΣR² (worked by hand), for 1 % of R1."""
    found = extreme_verdict(lot(designed(read_text(divider("2 %"), "divider.toml")), seed=1))
    low = the(found, "output not too low")
    assert low.behind is not None
    slopes = {(one.part, one.field): one for one in low.behind.slopes}
    by_upper = slopes["R1", "resistance"]
    assert by_upper.slope == pytest.approx(-5.0 * 9.9e3 / 20e3**2, rel=1e-6)
    assert by_upper.by_step == pytest.approx(-5.0 * 9.9e3 / 20e3**2 * 101.0, rel=1e-6)


def test_what_the_corners_pass_and_the_box_does_not_fails() -> None:
    design = designed(read_text(divider("0.5 %"), "divider.toml"))
    at_corners = judged(lot(design, seed=1).corners, 0.0)
    requirement = "output not too low"
    assert next(f.verdict for f in at_corners.findings if f.requirement == requirement) != FAIL
    found = with_extremes(design)
    assert next(f.verdict for f in found.findings if f.requirement == requirement) == FAIL
    assert requirement in next(f.note for f in found.findings if f.requirement == REQUIREMENT)


@pytest.mark.parametrize("conditions", ["ends", "drawn"])
@pytest.mark.parametrize("example", EXAMPLES)
def test_no_unit_lies_beyond_what_was_found(example: str, conditions: Literal["ends", "drawn"]) -> None:
    """Uniform draws, which reach the ends more often than bells."""
    drawn = run(drawn_from(example, conditions), 600, 2).drawn
    for one, kept in zip(extremes(example, conditions).extremes, drawn.checks, strict=True):
        assert one.between.least is not None and kept.least is not None
        assert kept.least.margin >= one.between.least.margin - BEYOND * span(one), one.between.check.title


@pytest.mark.parametrize("example", EXAMPLES)
def test_it_is_never_kinder_than_the_corners(example: str) -> None:
    """Every corner lies in the box."""
    for one, bound in zip(extremes(example).extremes, drawn_from(example).bounds, strict=True):
        assert one.between.least is not None
        assert one.between.least.margin <= bound + 2.0 * BEYOND * span(one), one.between.check.title
        assert one.between.settled


def test_most_of_a_stage_lies_at_corners_that_signs_name() -> None:
    """And those that do not say which coordinate turns."""
    found = extremes("model-railway").extremes
    assert sum(one.between.way == BY_SIGNS for one in found) > len(found) / 2
    for one in found:
        assert ("keeps its sign" in one.between.sure) == (one.between.way == BY_SIGNS)
        if one.between.turning:
            assert one.between.way != BY_SIGNS
            assert one.between.turning[0] in one.between.sure


def test_a_margin_between_the_ends_rests_on_what_makes_it() -> None:
    """The drop-out of the museum's regulator, not only what its corner rested on."""
    chosen = drawn_from("museum-follower")
    before, found = judged(chosen.corners, 0.0), extremes("museum-follower")
    after = contained(before, chosen, found)
    taken = [one for one in found.extremes if one.taken]
    assert taken
    for one in taken:
        finding = next(f for f in after.findings if f.title == one.between.check.title)
        ends = (Need(tolerance.origin) for tolerance in one.mattering)
        assert set(weak([need for need in ends if need.origin is not None])) <= set(finding.rests_on)
        assert set(one.standing) <= set(finding.in_words.split(", "))
        assert all(tolerance.way in finding.corner for tolerance in one.mattering)


def test_where_only_limits_are_trusted_a_typical_end_leaves_it_open() -> None:
    found = drawn_from("museum-follower")
    design = found.setting.design
    wanted = replace(design.brief.requirements, trust="limits")
    careful = replace(design, brief=replace(design.brief, requirements=wanted))
    lot_ = Lot(replace(found.corners, setting=replace(found.setting, design=careful)), found.sampling)
    title = next(one for one in extremes("museum-follower").extremes if one.taken and one.mattering).between.check.title
    before = judged(found.corners, 0.0)  # as if every figure behind the corner were a limit
    after = contained(before, lot_, extremes("museum-follower"))
    finding = next(f for f in after.findings if f.title == title)
    assert (finding.verdict == UNDECIDED) == bool(finding.rests_on)
    assert finding.margin is None or not finding.rests_on


def test_asked_for_by_its_option() -> None:
    result = CliRunner().invoke(program, ["verify", str(RAILWAY), "--extremes", "--json"])
    assert result.exit_code == 0, result.output
    content = json.loads(result.output)
    assert ["units" in found["note"] for found in content["findings"] if found["requirement"] == REQUIREMENT] == [True]
    first = content["extremes"]["findings"][0]
    assert first["least"]["margin"] == pytest.approx(min(
        found["margin"] for found in content["findings"] if found["requirement"] == first["requirement"]
    ), rel=1e-5)  # fmt: skip
    moves = [abs(slope["margin_moves_by"]) for slope in first["slopes"]]
    assert moves and moves == sorted(moves, reverse=True)
    assert {"way", "place", "takes", "tightened_to", "tightened_margin"} == first["tolerances"][0].keys()


def test_in_words(tmp_path: Path) -> None:
    figure = tmp_path / "margins.svg"
    result = CliRunner().invoke(program, ["verify", str(RAILWAY), "--extremes", "--figure", str(figure)])
    assert result.exit_code == 0, result.output
    for words in ("Between the ends of the tolerances", "takes", "closer", "margin moves by", "keeps its sign"):
        assert words in result.output
    assert figure.read_text(encoding="utf-8").startswith("<?xml")


@pytest.mark.parametrize("also", [("--draws", "10"), ("--save", "folder")])
def test_what_does_not_go_with_it(also: tuple[str, str], tmp_path: Path) -> None:
    result = CliRunner().invoke(program, ["verify", str(RAILWAY), "--extremes", *also])
    assert result.exit_code == 2
    assert "--extremes" in result.output and "needs draws" not in result.output
