"""What is worse between the ends of the tolerances than at the corners: found, and taken by the verdict."""

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from outboard.arrangements import Design, designed
from outboard.brief import read, read_text
from outboard.brief.design import Tolerances
from outboard.checks.between import BY_SIGNS, REQUIREMENT, contained, least_between
from outboard.checks.draw_run import run
from outboard.checks.draws import BEYOND, Lot, lot
from outboard.checks.finding import FAIL, Verdict
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


@cache
def railway() -> Lot:
    found = designed(read(RAILWAY))
    return lot(replace(found, brief=replace(found.brief, tolerances=UNIFORM)), seed=11)


def with_extremes(design: Design) -> Verdict:
    found = lot(design, seed=1)
    return contained(judged(found.corners, 0.0), found, least_between(found))


def test_a_divider_has_its_extremes_where_the_corners_do_not_look() -> None:
    """2.475 … 2.525 V: R1 and R2 of ±1 % against each other (worked by hand)."""
    found = with_extremes(designed(read_text(divider("2 %"), "divider.toml")))
    worst = {finding.requirement: finding.worst for finding in found.findings}
    assert worst["output not too low"] == pytest.approx(2.475, abs=1e-6)
    assert worst["output not too high"] == pytest.approx(2.525, abs=1e-6)


def test_what_the_corners_pass_and_the_box_does_not_fails() -> None:
    design = designed(read_text(divider("0.5 %"), "divider.toml"))
    at_corners = judged(lot(design, seed=1).corners, 0.0)
    requirement = "output not too low"
    assert next(f.verdict for f in at_corners.findings if f.requirement == requirement) != FAIL
    found = with_extremes(design)
    assert next(f.verdict for f in found.findings if f.requirement == requirement) == FAIL
    assert requirement in next(f.note for f in found.findings if f.requirement == REQUIREMENT)


def test_no_unit_lies_beyond_what_was_found() -> None:
    """Uniform draws, which reach the ends more often than bells."""
    drawn = run(railway(), 1500, 2).drawn
    for one, kept in zip(least_between(railway()), drawn.checks, strict=True):
        assert one.least is not None and kept.least is not None
        span = max(abs(one.least.limit - one.check.rest), abs(one.least.margin))
        assert kept.least.margin >= one.least.margin - BEYOND * span, one.check.title


def test_it_is_never_kinder_than_the_corners_of_a_stage() -> None:
    """A verdict takes the lesser of both, so a search that stopped short can do no harm."""
    before = judged(railway().corners, 0.0)
    after = contained(before, railway(), least_between(railway()))
    for was, now in zip(before.findings, after.findings, strict=False):
        assert was.title == now.title
        assert was.margin is None or (now.margin is not None and now.margin <= was.margin)
    assert any(one.way == BY_SIGNS for one in least_between(railway()))


def test_asked_for_by_its_option() -> None:
    result = CliRunner().invoke(program, ["verify", str(RAILWAY), "--extremes", "--json"])
    assert result.exit_code == 0, result.output
    findings = json.loads(result.output)["findings"]
    assert ["units tried" in found["note"] for found in findings if found["requirement"] == REQUIREMENT] == [True]
    both = CliRunner().invoke(program, ["verify", str(RAILWAY), "--extremes", "--draws", "10"])
    assert both.exit_code == 2
