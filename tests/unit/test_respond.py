"""respond: what is found of designs whose answer is known, what is missing is said, every key acts."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from lettering import no_words_touch

from outboard.analysis.moving_design import MovingDesign, moving_design
from outboard.analysis.response import FREQUENCIES, Answer, response
from outboard.analysis.step import INPUT_RISES, LOAD_FALLS, LOAD_RISES, OFF, START
from outboard.analysis.steps import changes, stepped
from outboard.arrangements.expand import expanded_text
from outboard.checks.responding import BACKWARDS, PHASE_MARGIN, RECOVERY, STABILITY, STEP_OUTPUT, Responded, responded
from outboard.cli.program import program
from outboard.constants import thermal_voltage
from outboard.dossier import opened_text
from outboard.draw.response import response_figure
from outboard.draw.steps import steps_figure
from outboard.errors import WrongInput
from outboard.identify.speed import speed
from outboard.network.moving import at_rest, moving_circuit, temperatures_of
from outboard.network.transient import course
from outboard.parts import find

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "word-clock.toml"
TEXT = EXAMPLE.read_text(encoding="utf-8")
OBSERVATORY = (ROOT / "examples" / "observatory.toml").read_text(encoding="utf-8").replace("[stage]\n", """[dynamics]
regulator_bandwidth = "15 kHz"
driver_f_T = "50 MHz"
driver_C_ob = "50 pF"
pass_f_T = "2.5 MHz"
pass_C_ob = "500 pF"

[stage]
""", 1) + """
[[parts]]
name = "C2"
kind = "capacitor"
pins = { a = "out", b = "ground" }
capacitance = "47 µF"
series_resistance = "0.5 Ω"
"""


def design_of(text: str) -> MovingDesign:
    return moving_design(opened_text(text, str(EXAMPLE)).design)


def judged(text: str) -> Responded:
    return responded(opened_text(text, str(EXAMPLE)).design)


def verdicts(found: Responded) -> dict[str, str]:
    return {finding.title: finding.verdict for finding in found.verdict.findings}


def changed(old: str, new: str, text: str = TEXT) -> str:
    assert text.count(old) == 1, old
    return text.replace(old, new)


SWINGS = changed('series_resistance = "1 Ω"', 'series_resistance = "30 mΩ"').replace('"10 µF"', '"1 µF"')


@pytest.fixture(scope="module")
def clock() -> Responded:
    return judged(TEXT)


def usual(text: str, word: str = "most") -> Answer:
    return response(design_of(text)).answer(word)


# --- against the circuit at rest ------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", ["least", "usual", "most"])
def test_impedance_at_one_hertz_is_the_slope_of_the_output_over_the_load(clock: Responded, word: str) -> None:
    """Against the solver at rest, its temperatures held: 1 mA more."""
    moving = clock.response.moving
    load = dict(zip(("least", "usual", "most"), moving.loads, strict=True))[word]
    source = moving.inputs[1]
    before, after = moving.before_and_after((source, source), (load, load + 1e-3))
    fallen = float((before.net_voltage("out") - after.net_voltage("out"))[0, 0])
    assert clock.response.answer(word).impedance_at(1.0) == pytest.approx(fallen / 1e-3, rel=0.02)


def test_ripple_at_one_hertz_is_the_slope_of_the_output_over_the_input(clock: Responded) -> None:
    moving = clock.response.moving
    source, load = moving.inputs[1], moving.loads[1]
    before, after = moving.before_and_after((source, source + 0.1), (load, load))
    risen = float((after.net_voltage("out") - before.net_voltage("out"))[0, 0]) / 0.1
    assert abs(clock.response.answer("usual").rejected[0]) == pytest.approx(risen, rel=0.02)


def test_a_step_ends_where_the_circuit_at_rest_has_its_output(clock: Responded) -> None:
    moving = clock.response.moving
    for one in clock.steps.steps:
        if one.change.name in (LOAD_RISES, INPUT_RISES, START):
            before, after = moving.before_and_after(one.change.inputs, one.change.loads)
            assert one.began == pytest.approx(float(before.net_voltage("out")[0, 0]), abs=1e-6)
            assert one.ended == pytest.approx(float(after.net_voltage("out")[0, 0]), abs=1e-3)


def test_currents_of_a_step_add_up_at_every_net(clock: Responded) -> None:
    step = clock.steps.step(LOAD_RISES)
    assert step is not None
    nets: dict[str, np.ndarray] = {}
    for part in clock.response.moving.parts:
        if part.kind.startswith("thermal"):
            continue
        for pin, net in part.pins.items():
            nets[net] = nets.get(net, 0.0) + step.pins[part.name, pin]
    flows = max(float(np.abs(current).max()) for current in step.pins.values())
    for net in ("out", "x", "in"):
        assert np.abs(nets[net][5:-5]).mean() < 0.01 * flows, net


# --- does it swing? -------------------------------------------------------------------------------------------------


def test_the_example_passes_all_that_moves(clock: Responded) -> None:
    assert clock.verdict.verdict == "PASS"
    assert {STABILITY, PHASE_MARGIN, STEP_OUTPUT, RECOVERY} <= verdicts(clock).keys()


def test_a_design_that_grows_fails_whatever_its_margins() -> None:
    found = judged(SWINGS)
    assert verdicts(found)[STABILITY] == "FAIL" and found.verdict.verdict == "FAIL"
    assert any(one.growing for one in found.response.answers)


def test_a_disturbance_grows_as_fast_as_the_natural_frequency_says() -> None:
    """The way through time, which knows no natural frequencies: amplitude and period of what a small pulse leaves."""
    moving = design_of(SWINGS)
    mode = usual(SWINGS).growing[0]
    source, load = moving.inputs[1], moving.loads[2]
    block = moving.solved([source], [load])
    circuit = moving_circuit(moving.at_bandwidth("usual"), temperatures_of(block))
    still = {("input", "voltage"): lambda _: source, ("load", "draws"): lambda _: load}
    x = at_rest(circuit, block, still)
    period = 1.0 / mode.frequency
    pulse = 0.1 * period
    drives = still | {("load", "draws"): lambda t: load + 1e-6 * max(0.0, 1.0 - abs(t / pulse - 1.0))}
    way = course(circuit, x, drives, 8.0 * period, (pulse, 2.0 * pulse), relative=1e-9, absolute=1e-12)
    off = way.xs[:, circuit.place("out")] - x[circuit.place("out")]
    t = np.linspace(2.0 * period, 8.0 * period, 6000)
    values = np.interp(t, way.times, off)
    peaks = [k for k in range(1, len(t) - 1) if values[k - 1] < values[k] >= values[k + 1] and values[k] > 0.0]
    assert len(peaks) >= 4
    first, last = peaks[1], peaks[-1]
    swings = len(peaks) - 2
    assert (t[last] - t[first]) / swings == pytest.approx(period, rel=0.02)
    growth = math.log(values[last] / values[first]) / (t[last] - t[first])
    assert growth == pytest.approx(mode.s.real, rel=0.05)


def test_margins_and_natural_frequencies_agree_where_a_loop_grows_and_where_not() -> None:
    """A loop whose gain falls through one once grows exactly where its phase margin is negative (Nyquist)."""
    for ohms in ("0.02", "0.1", "0.3", "1"):
        text = changed('series_resistance = "1 Ω"', f'series_resistance = "{ohms} Ω"').replace('"10 µF"', '"1 µF"')
        for one in response(design_of(text)).answers:
            crossings = int(np.count_nonzero(np.diff(np.abs(one.loop) > 1.0)))
            if crossings == 1 and one.margins.phase is not None:
                assert bool(one.growing) == (one.margins.phase < 0.0), (ohms, one.word, one.end)


def test_loop_gain_at_the_crossover_is_one(clock: Responded) -> None:
    for one in clock.response.answers:
        assert one.margins.crossover is not None
        size = np.exp(np.interp(math.log(one.margins.crossover), np.log(FREQUENCIES), np.log(np.abs(one.loop))))
        assert size == pytest.approx(1.0, rel=2e-3)


def test_loop_gain_at_rest_is_what_comes_back_when_the_control_is_held() -> None:
    """No slopes, no return ratio: the control is held a little higher, the rest balances, and asks for so much less."""
    moving = design_of(TEXT)
    block = moving.solved([moving.inputs[1]], [moving.loads[1]])
    circuit = moving_circuit(moving.at_bandwidth("usual"), temperatures_of(block))
    drives = {("input", "voltage"): lambda _: moving.inputs[1], ("load", "draws"): lambda _: moving.loads[1]}
    x = at_rest(circuit, block, drives)
    numbers, control = circuit.numbers(drives, 0.0), circuit.index["control", "U1"]
    others = [k for k in range(circuit.size) if k != control]

    def asked(more: float) -> float:
        there = x.copy()
        there[control] += more
        for _ in range(50):
            point = circuit.evaluation(there, numbers)
            there[others] -= np.linalg.solve(point.by_f[np.ix_(others, others)], point.f[others])
        point = circuit.evaluation(there, numbers)
        assert np.abs(point.f[others]).max() < 1e-7
        return float(there[control] - point.f[control])

    more = 1e-8
    returned = (asked(more) - asked(-more)) / (2.0 * more)
    assert -returned == pytest.approx(abs(usual(TEXT, "usual").loop[0]), rel=0.05)


def test_a_design_written_out_part_by_part_answers_alike() -> None:
    design = opened_text(TEXT, str(EXAMPLE)).design
    mine, other = usual(TEXT).margins, usual(expanded_text(design)).margins
    assert mine.crossover == pytest.approx(other.crossover, rel=1e-6)
    assert mine.phase == pytest.approx(other.phase, abs=1e-4)


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


# --- the command line -----------------------------------------------------------------------------------------------


def run(*words: str):  # type: ignore[no-untyped-def]
    return CliRunner().invoke(program, ["respond", *words], standalone_mode=True)


def test_json_has_margins_curves_and_steps() -> None:
    ended = run(str(EXAMPLE), "--json")
    assert ended.exit_code == 0
    found = json.loads(ended.stdout)
    assert found["verdict"] == "PASS" and len(found["answers"]) == 9
    one = found["answers"][0]
    assert len(one["loop_gain_dB"]) == len(found["frequencies_Hz"]) == len(one["output_impedance_ohm"])
    assert {"crossover_Hz", "phase_margin_deg", "natural_frequencies"} <= one.keys()
    step = found["steps"][0]
    assert len(step["times_s"]) == len(step["output_V"]) and step["dip_V"] > 0.0


def test_exit_codes(tmp_path: Path) -> None:
    assert run(str(ROOT / "examples" / "model-railway.toml"), "--quiet").exit_code == 3
    swings = tmp_path / "swings.toml"
    swings.write_text(SWINGS, encoding="utf-8")
    ended = run(str(swings))
    assert ended.exit_code == 1 and "grows" in ended.stdout


def test_figures_are_written_and_their_options_checked(tmp_path: Path) -> None:
    bode, steps = tmp_path / "loop.svg", tmp_path / "steps.png"
    assert run(str(EXAMPLE), "--quiet", "--figure", str(bode), "--steps", str(steps), "--theme", "dark").exit_code == 0
    assert "response-phase-0" in bode.read_text(encoding="utf-8") and steps.stat().st_size > 10_000
    assert run(str(EXAMPLE), "--figure", "loop.bmp").exit_code == 2
    ended = run(str(ROOT / "examples" / "model-railway.toml"), "--figure", str(tmp_path / "none.svg"))
    assert ended.exit_code == 2 and "nothing to draw" in ended.stderr and not (tmp_path / "none.svg").exists()


@pytest.mark.parametrize("text", [TEXT, SWINGS, OBSERVATORY], ids=["clock", "swings", "observatory"])
def test_no_words_of_the_figures_touch(text: str) -> None:
    found = judged(text)
    no_words_touch(response_figure(found.response, "Title"))
    no_words_touch(response_figure(found.response, smaller=0.8))
    no_words_touch(steps_figure(found.response.moving.design, found.steps, "Title"))


@pytest.mark.parametrize(("old", "new", "said"), [
    ('load_edge      = "1 µs"', 'load_edge = "-1 µs"', "load_edge in [dynamics]"),
    ('load_edge      = "1 µs"', 'load_edges = "1 µs"', "load_edge"),
    ('recovery       = "20 µs"', 'recovery = "20 V"', "recovery in [dynamics]"),
    ('["10 kHz", "15 kHz", "20 kHz"]', '["20 kHz", "15 kHz", "10 kHz"]', "regulator_bandwidth in [dynamics]"),
    ("[dynamics]", "[dynamics]\nphase_margin = 200", "phase_margin in [dynamics]"),
])  # fmt: skip
def test_mistakes_are_told_with_their_place(old: str, new: str, said: str) -> None:
    with pytest.raises(WrongInput) as wrong:
        opened_text(changed(old, new), "clock.toml")
    (mistake,) = wrong.value.mistakes
    assert mistake.line and mistake.column and said in f"{mistake.what} {mistake.write} {mistake.where}"


def test_a_load_that_cannot_step_is_a_located_mistake(tmp_path: Path) -> None:
    text = TEXT + """
[[parts]]
name = "load"
kind = "load"
pins = { plus = "out", minus = "ground" }
resistance = "5 Ω"
"""
    file = tmp_path / "clock.toml"
    file.write_text(text, encoding="utf-8")
    ended = run(str(file))
    assert ended.exit_code == 2 and "clock.toml:" in ended.stderr and "draws" in ended.stderr


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
