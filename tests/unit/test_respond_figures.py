"""respond: every figure of the file or the sheets acts, and what is missing is said and leaves the verdict open."""

import math
from pathlib import Path

import numpy as np
import pytest
from lettering import no_words_touch
from moving_designs import OBSERVATORY, TEXT, changed, design_of, judged, usual, verdicts

from outboard.analysis.response import response
from outboard.analysis.step import INPUT_RISES, LOAD_FALLS, LOAD_RISES, OFF, START
from outboard.analysis.steps import changes, stepped
from outboard.checks.responding import BACKWARDS, PHASE_MARGIN, RECOVERY, STABILITY, STEP_OUTPUT
from outboard.constants import thermal_voltage
from outboard.draw.response import response_figure
from outboard.identify.speed import speed
from outboard.parts import find

# --- what is not known ----------------------------------------------------------------------------------------------


def test_without_a_bandwidth_nothing_is_decided_and_it_is_said_what_to_look_up() -> None:
    found = judged(changed('regulator_bandwidth = ["10 kHz", "15 kHz", "20 kHz"]', ""))
    assert found.verdict.verdict == "UNDECIDED" and not found.response.answers and not found.steps.steps
    (words,) = found.response.missing
    assert "regulator_bandwidth" in words and "output impedance" in words and "U1" in words


def test_a_figure_that_no_sheet_prints_is_missing_only_where_current_flows() -> None:
    found = judged(changed('pass_C_ob      = "300 pF"', ""))
    (words,) = found.response.missing
    assert "C_ob of Q1 (TIP2955)" in words and "pass_C_ob in [dynamics]" in words
    idle = changed('load      = ["0 A", "1 A", "3 A"]', 'load = "10 mA"', changed('pass_C_ob      = "300 pF"', ""))
    assert not response(design_of(idle)).missing


def test_only_limits_trusted_leaves_it_undecided() -> None:
    found = judged(changed('trust         = "typical"', 'trust = "limits"'))
    assert verdicts(found)[STABILITY] == "UNDECIDED"


def test_a_regulator_driven_backwards_without_a_diode_stays_undecided() -> None:
    found = judged(changed('reverse_diode = "1N4002"', ""))
    assert verdicts(found)[f"{BACKWARDS} U1"] == "UNDECIDED"
    assert verdicts(judged(TEXT))[f"{BACKWARDS} U1"] == "PASS"


def test_a_load_without_an_operating_point_is_said_and_nothing_is_drawn_of_it(tmp_path: Path) -> None:
    far = changed('load      = ["0 A", "1 A", "3 A"]', 'load = ["0 A", "1 A", "60 A"]')
    found = judged(far)
    assert verdicts(found)[STABILITY] == "UNDECIDED" and not found.response.answer("most").is_solved
    no_words_touch(response_figure(found.response, "Title"))
    stability = next(one for one in found.verdict.findings if one.requirement == STABILITY)
    assert stability.missing == ("at 60 A load: runaway, so there is nothing to swing about",)


def test_a_promise_without_a_step_stays_undecided() -> None:
    still = TEXT.replace('["0 A", "1 A", "3 A"]', '"1 A"').replace('["9.6 V", "10 V", "11 V"]', '"10 V"')
    assert verdicts(judged(still))[STEP_OUTPUT] == "UNDECIDED"


# --- every key acts -------------------------------------------------------------------------------------------------


def test_bandwidth_moves_the_crossover() -> None:
    faster = changed('["10 kHz", "15 kHz", "20 kHz"]', '"30 kHz"')
    assert usual(faster).margins.crossover > 1.2 * usual(TEXT).margins.crossover
    assert {one.end for one in response(design_of(faster)).answers} == {"usual"}


@pytest.mark.parametrize(("old", "new"), [
    ('pass_f_T = "2.5 MHz"', 'pass_f_T = "5 MHz"'), ('pass_C_ob = "500 pF"', 'pass_C_ob = "5 nF"'),
    ('driver_f_T = "50 MHz"', 'driver_f_T = "10 MHz"'), ('driver_C_ob = "50 pF"', 'driver_C_ob = "2 nF"'),
])  # fmt: skip
def test_speed_of_driver_and_pass_device_moves_the_margin(old: str, new: str) -> None:
    before, after = (usual(text).margins.phase for text in (OBSERVATORY, changed(old, new, OBSERVATORY)))
    assert abs(after - before) > 0.5


def test_a_part_may_say_its_own_bandwidth() -> None:
    """A regulator spelt out with its bandwidth needs no [dynamics]."""
    text = changed('regulator_bandwidth = ["10 kHz", "15 kHz", "20 kHz"]', "") + """
[[parts]]
name = "U1"
kind = "regulator"
type = "7805"
pins = { in = "x", out = "out", ref = "ground" }
bandwidth = "15 kHz"
"""
    mine, other = usual(text), usual(TEXT)
    assert mine.margins.crossover == pytest.approx(other.margins.crossover, rel=1e-3)


def test_promises_turn_verdicts() -> None:
    strict = TEXT.replace('step_tolerance = "30 %"', 'step_tolerance = "5 %"').replace('"20 µs"', '"0.5 µs"')
    strict = strict.replace("[dynamics]", "[dynamics]\nphase_margin = 80", 1)
    found = verdicts(judged(strict))
    assert found[STEP_OUTPUT] == found[RECOVERY] == found[PHASE_MARGIN] == "FAIL"
    loose = TEXT.replace('step_tolerance = "30 %"', "").replace('recovery       = "20 µs"', "")
    assert not {STEP_OUTPUT, RECOVERY} & verdicts(judged(loose)).keys()


def test_a_slower_load_dips_less() -> None:
    steps = {}
    for edge in ("1 µs", "20 µs"):
        moving = design_of(changed('load_edge      = "1 µs"', f'load_edge = "{edge}"'))
        change = next(one for one in changes(moving) if one.name == LOAD_RISES)
        steps[edge] = stepped(moving, change, "usual")
    assert steps["20 µs"].dip < 0.5 * steps["1 µs"].dip


def test_edges_of_the_input_are_those_of_the_file() -> None:
    text = changed("[dynamics]", '[dynamics]\nline_edge = "3 µs"\nrise = "2 ms"\nfall = "4 ms"')
    edges = {one.name: one.edge for one in changes(design_of(text))}
    assert edges[INPUT_RISES] == 3e-6 and edges[START] == 2e-3 and edges[OFF] == 4e-3


def test_a_dip_before_the_loop_acts_is_that_of_its_capacitor() -> None:
    """With an edge that outruns the loop, the first dip is ΔI·ESR (L8's first term): 3 A through 1 Ω, 20 ns.

    A little less: the capacitance of pass device and diode, some 0.5 nF, gives 3 V/20 ns · 0.5 nF = 75 mA, and the
    control of the regulator, 6.6 mΩ at 15 kHz, rises by 3 V/6.6 mΩ/10.6 µs = 43 mA a nanosecond: 0.4 A at half of it.
    """
    moving = design_of(changed('load_edge      = "1 µs"', 'load_edge = "20 ns"'))
    step = stepped(moving, next(one for one in changes(moving) if one.name == LOAD_RISES), "usual")
    early = step.began - float(np.interp(20e-9, step.times, step.output))
    assert 2.4 < early < 3.0


def test_releasing_the_load_lifts_the_output() -> None:
    moving = design_of(TEXT)
    step = stepped(moving, next(one for one in changes(moving) if one.name == LOAD_FALLS), "usual")
    assert step.overshoot > 0.1 and step.ended == pytest.approx(step.began, abs=0.05)


# --- figures from sheets --------------------------------------------------------------------------------------------


def test_transit_time_of_a_transistor_follows_from_its_sheet() -> None:
    """2N3904: f_T 300 MHz least at 10 mA, C_ob 4 pF most at 5 V: 530.5 ps less 2.569 Ω·4 pF."""
    found = speed(find("2N3904"))
    taken = thermal_voltage(298.15) / 10e-3 * 4e-12
    assert found.values["forward_transit_time"] == pytest.approx(1.0 / (2.0 * math.pi * 300e6) - taken, rel=1e-9)
    assert found.values["collector_capacitance"] == pytest.approx(4e-12 * (1.0 + 5.0 / 0.75) ** 0.33, rel=1e-9)
    assert {one.kind for one in found.origins} == {"limit"} and not found.missing


def test_kinds_travel_and_what_is_not_printed_is_missing() -> None:
    assert [one.kind for one in speed(find("BD140")).origins] == ["recalled"]
    assert speed(find("BD140")).missing == ("C_ob",)
    assert set(speed(find("TIP127")).missing) == {"f_T"}
    assert set(speed(find("IRF9530N")).missing) == {"C_iss", "C_oss", "C_rss"}
    gate = speed(find("IRF9540N")).values
    assert gate["gate_drain_capacitance"] == pytest.approx(240e-12)
    assert gate["gate_source_capacitance"] == pytest.approx(1300e-12 - 240e-12)
