"""respond as a verb: its numbers, exit codes and drawings, and mistakes told with their place."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from lettering import no_words_touch
from moving_designs import EXAMPLE, OBSERVATORY, ROOT, SWINGS, TEXT, changed, judged

from outboard.cli.program import program
from outboard.dossier import opened_text
from outboard.draw.response import response_figure
from outboard.draw.steps import steps_figure
from outboard.errors import WrongInput


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
