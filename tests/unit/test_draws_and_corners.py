"""Drawn units beside the corners: what bounds what, what stays open, what a file may choose."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from drawn_units import GOOD, RAILWAY, ROOT, design, lot_of, outboard, several

from outboard.arrangements import designed, expanded_text
from outboard.brief import json_schema, read_text
from outboard.brief.design import Tolerances
from outboard.cases.corners import every_choice
from outboard.cases.sampling import BLOCK
from outboard.checks.draw_run import run
from outboard.checks.draw_verdict import bound_finding, draw_verdict
from outboard.checks.draws import lanes, lot, units
from outboard.checks.finding import FAIL, PASS, UNDECIDED
from outboard.checks.ratings import rating_checks
from outboard.errors import WrongInput
from outboard.network.solve import solved

UNIFORM = Tolerances(gain="uniform", V_BE="uniform", leakage="uniform", regulator="uniform")


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
