"""respond: what is found of designs whose answer is known, at rest and swinging."""

import math

import numpy as np
import pytest
from moving_designs import EXAMPLE, SWINGS, TEXT, changed, design_of, judged, usual, verdicts

from outboard.analysis.response import FREQUENCIES, response
from outboard.analysis.step import INPUT_RISES, LOAD_RISES, START
from outboard.arrangements.expand import expanded_text
from outboard.checks.responding import PHASE_MARGIN, RECOVERY, STABILITY, STEP_OUTPUT, Responded
from outboard.dossier import opened_text
from outboard.network.moving import at_rest, moving_circuit, temperatures_of
from outboard.network.transient import course


@pytest.fixture(scope="module")
def clock() -> Responded:
    return judged(TEXT)


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
