"""Junctions and safe areas: against verify, against sums by hand, with and without a line for lasting current;
that line in the design file and in an own part."""

from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from heated_designs import ATTIC, LASTING, OBSERVATORY, RAILWAY, design_of, report_of, text_of, verdict_on, with_line

from outboard.arrangements.expand import expanded_text
from outboard.brief import json_schema, read_text
from outboard.checks.finding import FAIL, PASS, UNDECIDED
from outboard.checks.heat import SHORTED
from outboard.checks.sink_needed import HEAT, JUNCTION
from outboard.checks.verification import verified
from outboard.cli.program import program
from outboard.constants import ZERO_CELSIUS
from outboard.errors import WrongInput
from outboard.own_parts.short_form import read_own
from outboard.parts import Conditions, Figure, find
from outboard.parts.consistency import consistency
from outboard.parts.safe_area import safe_area
from outboard.quantity import CURRENT, VOLTAGE, parse


@pytest.mark.parametrize("text", [OBSERVATORY, RAILWAY, ATTIC], ids=["observatory", "railway", "attic"])
def test_junctions_and_powers_are_those_of_the_verification(text: str) -> None:
    judged = {one.title: one for one in verified(design_of(text)).findings if one.requirement in HEAT}
    found = {one.title: one for one in report_of(text).verdict.findings if one.requirement in HEAT}
    assert judged.keys() == found.keys() and len(found) >= 3
    for title, one in found.items():
        assert one.verdict == judged[title].verdict
        assert one.worst == pytest.approx(judged[title].worst, abs=1e-3)


def test_kelvins_add_up_and_the_share_is_that_of_the_power_line() -> None:
    """T_C = T_J − P·R_thJC; I_allowed = (T_J,max − T_C)/(V·R_thJC): 1.52 K/W, 200 °C (ON Semiconductor 2N3055/D)."""
    found = report_of(OBSERVATORY)
    rise = next(one for one in found.rises if one.parts == ("Q2",))
    assert rise.case is not None and rise.sink_temperature is not None
    assert rise.junction - rise.case == pytest.approx(rise.power * 1.52)
    assert rise.case - rise.sink_temperature == pytest.approx(rise.power * 0.5)  # the pad of the file
    area = next(one for one in found.areas if one.parts == ("Q2",))
    by_hand = (200.0 + ZERO_CELSIUS - area.case) / (area.voltage * 1.52)
    # the sheet's own 115 W is 0.1 % less than (200 − 25)/1.52
    assert area.allowed == pytest.approx(by_hand, rel=0.002) and area.binding == "power"
    assert area.share == pytest.approx(area.current / area.allowed)
    assert area.path[0].load == 0.0 and area.path[-1].load == 5.0
    assert max(one.share for one in area.path) == pytest.approx(area.share, rel=1e-6)


def test_requirements_of_heat_are_named_as_in_the_verification() -> None:
    assert JUNCTION in HEAT


def test_without_a_line_for_lasting_current_nothing_is_certified() -> None:
    verdict, missing = verdict_on(RAILWAY)
    assert verdict == UNDECIDED and "3 A at 30 V for 1 s" in missing
    verdict, missing = verdict_on(text_of("shelf-lights-pmos"))
    assert verdict == UNDECIDED and "nor any point of second breakdown" in missing


def test_with_the_line_it_passes_and_beyond_it_fails() -> None:
    assert verdict_on(LASTING)[0] == PASS
    assert verdict_on(with_line(RAILWAY, '[["2 V", "0.3 A"], ["60 V", "0.1 A"]]'))[0] == FAIL
    assert report_of(LASTING).verdict.verdict == PASS


def test_beyond_its_last_point_a_line_tells_nothing() -> None:
    area = report_of(LASTING).areas[0]
    short = f'[["1 V", "15 A"], ["{0.9 * area.voltage:.3f} V", "12 A"]]'
    verdict, missing = verdict_on(with_line(RAILWAY, short))
    assert verdict == UNDECIDED and "the limit is not known" in missing


def test_what_exceeds_the_known_lines_fails_though_the_line_is_missing() -> None:
    verdict, missing = verdict_on(ATTIC)
    assert verdict == FAIL and "no line for lasting current" in missing


def test_a_hot_case_takes_the_line_down_unless_the_sheet_says_that_it_stays() -> None:
    points = '[["2 V", "6 A"], ["60 V", "3 A"]]'
    falls, stays = (report_of(with_line(RAILWAY, points, more=more)).areas[0] for more in ("", 'hot = "as drawn"\n'))
    assert falls.binding == "second breakdown"
    share_left = (150.0 + ZERO_CELSIUS - falls.case) / 125.0  # TIP2955: 150 °C
    assert falls.allowed < stays.allowed
    drawn = falls.allowed / share_left
    assert drawn == pytest.approx(6.0 * (falls.voltage / 2.0) ** -0.20379, rel=1e-3)  # ln 2/ln 30


def test_a_policy_leaves_less_of_every_line() -> None:
    """W5, MIL-STD-975M: half the power, three quarters of current and voltage, 125 °C."""
    strict = report_of(text_of("museum-follower", ("[requirements]", '[requirements]\nderating = "MIL-STD-975M"')))
    plain = report_of(text_of("museum-follower"))
    lines, whole = strict.areas[0].lines, plain.areas[0].lines
    assert (lines.power, lines.most_current, lines.most_voltage) == (
        0.5 * whole.power, 0.75 * whole.most_current, 0.75 * whole.most_voltage
    )  # fmt: skip
    assert lines.junction == 125.0 + ZERO_CELSIUS and lines.share == 0.5
    assert strict.areas[0].share > 2.0 * plain.areas[0].share - 1e-9


def test_a_promised_short_is_followed_and_never_passes() -> None:
    text = text_of("observatory", ('short_circuit = "none"', 'short_circuit = "for ever"'))
    shorts = {one.part: one for one in report_of(text).verdict.findings if one.requirement == SHORTED}
    assert shorts["Q2"].verdict == FAIL  # nothing limits it: tens of amperes
    area = next(one for one in report_of(text).areas if one.parts == ("Q2",))
    assert area.short[0].current == pytest.approx(area.path[-1].current, rel=0.05)
    assert area.short[-1].current > 20.0
    brief = report_of(text.replace('"for ever"', '"10 s"'))
    assert {one.verdict for one in brief.verdict.findings if one.requirement == SHORTED} == {UNDECIDED}
    assert not any(one.requirement == SHORTED for one in report_of(OBSERVATORY).verdict.findings)


# --- the line in the design file


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ('[heat.safe_area.TIP2956]\npoints = [["20 V", "4 A"], ["60 V", "0.5 A"]]\nsheet = "a, b"', "no part of this"),
        ('[heat.safe_area.TIP2955]\nsheet = "a, b"', "points in [heat.safe_area.TIP2955]: this is missing"),
        ('[heat.safe_area.TIP2955]\npoints = [["20 V", "4 A"], ["60 V", "0.5 A"]]', "sheet"),
        ('[heat.safe_area.TIP2955]\npoints = [["20 V", "4 A"]]\nsheet = "a, b"', "too few points"),
        ('[heat.safe_area.TIP2955]\npoints = [["20 V", "4 A"], ["10 V", "5 A"]]\nsheet = "a, b"', "falls"),
        ('[heat.safe_area.TIP2955]\npoints = [["20 V", "4 A"], ["30 V", "5 A"]]\nsheet = "a, b"', "falls"),
        ('[heat.safe_area.TIP2955]\npoints = [["20 A", "4 A"], ["30 V", "1 A"]]\nsheet = "a, b"', "a voltage"),
        ('[heat.safe_area.TIP2955]\npoints = ["20 V", ["30 V", "1 A"]]\nsheet = "a, b"', "where a point is wanted"),
        ('[heat.safe_area.TIP2955]\npoints = "40 V"\nsheet = "a, b"', "where points of a line are wanted"),
        ('[heat.safe_area.TIP2955]\npoint = [["20 V", "4 A"], ["60 V", "1 A"]]\nsheet = "a, b"', "no such key"),
        ('[heat.safe_area.TIP2955]\npoints = [["2 V", "4 A"], ["6 V", "1 A"]]\nsheet = "a, b"\nhot = "x"', "choices"),
    ],
)
def test_a_mistake_in_a_line_is_told_at_its_place(line: str, what: str) -> None:
    text = f"{RAILWAY}\n{line}\n"
    with pytest.raises(WrongInput) as wrong:
        read_text(text, "trial.toml")
    (mistake,) = wrong.value.mistakes
    assert what in str(mistake)
    assert mistake.line is not None and mistake.line > RAILWAY.count("\n")


def test_the_schema_takes_a_line_and_refuses_half_of_one() -> None:
    schema = jsonschema.Draft202012Validator(json_schema())
    line = {"points": [["40 V", "2.8 A"], ["60 V", 0.9]], "sheet": "a, b"}
    table = {"stage": {}, "heat": {"safe_area": {"2N3055": line}}}
    errors = [one for one in schema.iter_errors(table) if list(one.path)[:1] == ["heat"]]
    assert errors == []
    line["points"][0].pop()  # type: ignore[attr-defined]
    assert [one for one in schema.iter_errors(table) if list(one.path)[:1] == ["heat"]]


def test_a_design_that_is_written_out_keeps_its_lines() -> None:
    written = expanded_text(design_of(LASTING))
    assert read_text(written, "expanded.toml").heat.areas == read_text(LASTING, "trial.toml").heat.areas
    assert verdict_on(written)[0] == PASS


def test_an_own_part_carries_its_line_and_is_certified(tmp_path: Path) -> None:
    form = CliRunner().invoke(program, ["parts", "add", "--form", "bipolar"]).stdout
    assert "# IC_dc = [" in form
    own = form.replace('sheet = ""', 'sheet = "Nobody, OWN-PNP, invented for a test"').replace("\n# IC_dc", "\nIC_dc")
    own = own.replace("\n#     {", "\n    {").replace("\n# ]", "\n]")
    (tmp_path / "own.toml").write_text(own, encoding="utf-8")
    area = safe_area(read_own(tmp_path / "own.toml"))
    assert area is not None and [(one.voltage, one.current) for one in area.lasting] == [(20.0, 4.0), (60.0, 0.6)]
    assert {one.origin.kind for one in area.lasting} == {"limit"}


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ((("20 V", "4 A"), ("60 V", "5 A")), "rises with voltage"),
        ((("20 V", "40 A"), ("60 V", "0.5 A")), "above P_tot"),
    ],
)
def test_figures_of_an_area_that_cannot_be_are_told(rows: tuple[tuple[str, str], ...], words: str) -> None:
    part = find("TIP2955")
    figures = tuple(
        Figure("IC_dc", None, None, parse(most, CURRENT), Conditions(collector_emitter_voltage=parse(volts, VOLTAGE)),
               "recalled") for volts, most in rows
    )  # fmt: skip
    found = consistency(replace(part, figures=(*part.figures, *figures)))
    assert any(words in one.words for one in found)
    assert not any(words in one.words for one in consistency(part))
