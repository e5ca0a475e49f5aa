"""Sinks and runaway: the sink that is needed against the verdict with it; what runs away, against its loop gain."""

from dataclasses import replace
from pathlib import Path

import pytest
from heated_designs import OBSERVATORY, RAILWAY, design_of, report_of, text_of

from outboard.checks.finding import FAIL, PASS
from outboard.checks.heat import HeatReport
from outboard.checks.sink_needed import HEAT, rise_factor
from outboard.checks.verification import verified
from outboard.cli.program import main
from outboard.constants import TOUCHABLE

# --- sinks


@pytest.mark.parametrize("text", [OBSERVATORY, RAILWAY], ids=["observatory", "railway"])
def test_with_the_sink_that_is_needed_all_pass_and_with_a_worse_one_something_fails(text: str) -> None:
    (sink,) = report_of(text).sinks
    needed = sink.needed.resistance
    assert needed is not None and needed > sink.written

    def verdicts(resistance: float) -> set[str]:
        design = design_of(text)
        parts = tuple(
            replace(one, part=replace(one.part, values={"resistance": resistance})) if one.name == sink.part else one
            for one in design.parts
        )
        found = verified(replace(design, parts=parts)).findings
        return {one.verdict for one in found if one.requirement in HEAT}

    assert verdicts(0.999 * needed) == {PASS}
    assert FAIL in verdicts(1.01 * needed)


def test_by_hand_the_sink_comes_near_to_what_the_solver_finds() -> None:
    """R_SA = (T_J − T_A − P·(R_JC + R_CS))/P_all with the powers as they are: they hardly move."""
    (sink,) = report_of(OBSERVATORY).sinks
    assert sink.hand is not None and sink.needed.resistance is not None
    assert sink.hand.value == pytest.approx(sink.needed.resistance, rel=0.1)


def test_the_sink_that_may_be_touched_stands_at_sixty_degrees() -> None:
    (sink,) = report_of(OBSERVATORY).sinks
    assert sink.hottest is not None and sink.touchable.resistance is not None and sink.touchable.rise is not None
    assert sink.hottest > TOUCHABLE and sink.touchable.resistance < sink.written
    # 40 °C around: 20 K are left
    assert sink.touchable.rise == pytest.approx(20.0, abs=0.02)


def test_a_design_that_no_sink_saves_says_so() -> None:
    text = text_of("model-railway", ('pad = "1 K/W"', 'pad = "60 K/W"'))
    (sink,) = report_of(text).sinks
    assert sink.needed.resistance is None and sink.stock is None
    assert "device and pad alone" in sink.hand_fails


def test_a_sink_of_the_catalogue_serves_at_the_rise_that_it_then_has() -> None:
    (sink,) = report_of(OBSERVATORY).sinks
    assert sink.stock is not None and sink.stock_resistance is not None and sink.needed.resistance is not None
    assert sink.stock.resistance <= sink.stock_resistance <= sink.needed.resistance
    # S145 as the catalogue prints it: 1.17 at 40 K, 1.257 at 30 K; at the ends as there
    assert (rise_factor(40.0), rise_factor(75.0), rise_factor(90.0)) == (1.17, 1.0, 1.0)
    assert rise_factor(10.0) == rise_factor(None) == 1.257
    assert rise_factor(35.0) == pytest.approx((1.17 + 1.257) / 2.0)


def test_what_was_found_is_confirmed_in_every_corner_or_says_in_which() -> None:
    assert report_of(OBSERVATORY).sinks[0].needed.confirmed == "every corner"
    many = report_of(text_of("radio-shack")).sinks[0].needed
    assert many.resistance is not None and many.confirmed.startswith("the worst corners")


def test_parts_without_a_type_leave_the_sink_open(capsys: pytest.CaptureFixture[str]) -> None:
    network = Path(__file__).resolve().parents[1] / "reference" / "networks" / "four-in-parallel.toml"
    assert main(["heat", str(network)]) == 3
    words = " ".join(capsys.readouterr().out.split())
    assert "needed: cannot be told, since no limit of a part on it is known" in words
    assert "the safe area of Q1 is not known: it has no type" in words and "thermal runaway: none up to" in words


# --- runaway


HELD = """
[surroundings]
ambient = "25 °C"

[[parts]]
name = "input"
kind = "source"
pins = {{ plus = "c", minus = "ground" }}
voltage = "25 V"

[[parts]]
name = "hold"
kind = "source"
pins = {{ plus = "b", minus = "ground" }}
voltage = "{base} V"

[[parts]]
name = "Q1"
kind = "bipolar"
polarity = "npn"
pins = {{ collector = "c", base = "b", emitter = "e" }}
type = "2N3055"
heat = {{ to = "ambient", resistance = "1.52 K/W" }}

[[parts]]
name = "R1"
kind = "resistor"
pins = {{ a = "e", b = "ground" }}
resistance = "{resistance} Ω"
"""
"""T27: a transistor at held base voltage, 25 V, 1.52 K/W: what the loop gain is for."""


def held(base: float, resistance: float) -> HeatReport:
    return report_of(HELD.format(base=base, resistance=resistance))


def test_a_transistor_at_held_base_runs_away_where_its_loop_gain_says() -> None:
    """T27: below a loop gain of 1 there is an equilibrium; it is lost about where R_th makes that 1."""
    found = held(1.1, 0.22).runaway
    assert found is not None and found.factor is not None and not found.factor_at_end and found.folds
    (loop,) = found.loops
    assert loop.gain.value < 1.0
    # the current grows on the way there, so the fold comes before the loop gain of the start would have grown to 1
    assert 1.0 < found.factor < 1.0 / loop.gain.value
    assert found.warmer is not None and 0.0 < found.warmer < 400.0 and not found.warmer_at_end


def test_more_ballast_is_farther_from_the_runaway() -> None:
    factors = [held(base, ohms).runaway.factor for base, ohms in ((0.9, 0.22), (1.1, 0.47))]  # type: ignore[union-attr]
    assert all(factor is not None for factor in factors) and factors[1] > factors[0]  # type: ignore[operator]


def test_a_stage_that_its_regulator_holds_has_no_fold_but_an_output_that_gives_way() -> None:
    found = report_of(OBSERVATORY).runaway
    assert found is not None and found.factor_at_end and found.output is not None and 1.0 < found.output < 30.0
