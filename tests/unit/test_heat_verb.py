"""heat as a verb: its figure, its exit codes, its words and numbers."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from heated_designs import ATTIC, EXAMPLES, LASTING, OBSERVATORY, report_of, text_of
from lettering import no_words_touch

from outboard.checks.finding import PASS
from outboard.cli.program import main, program
from outboard.draw.safe_area import safe_area_figure, write


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
@pytest.mark.parametrize(
    "text",
    [OBSERVATORY, LASTING, ATTIC, text_of("radio-shack"), text_of("shelf-lights-pmos"),
     text_of("observatory", ('short_circuit = "none"', 'short_circuit = "for ever"'))],
    ids=["observatory", "lasting", "attic", "radio-shack", "pmos", "short"],
)  # fmt: skip
def test_no_words_touch_in_the_figure(text: str, theme: str) -> None:
    for area in report_of(text).areas:
        no_words_touch(safe_area_figure(area, "A title that is rather long " * 3, theme))  # type: ignore[arg-type]


def test_the_figure_names_lines_and_marks_the_worst_point(tmp_path: Path) -> None:
    area = next(one for one in report_of(OBSERVATORY).areas if one.parts == ("Q2",))
    words = " ".join(text.get_text() for text in safe_area_figure(area).texts)
    for expected in ("at most 15 A", "at most 60 V", "case 25 °C", "2.87 A for 1 s", "58 % of 8.16 A", "not certified"):
        assert expected in words
    write(area, tmp_path / "safe.svg")
    drawn = (tmp_path / "safe.svg").read_text(encoding="utf-8")
    for piece in ("edge-power", "edge-greatest-current", "edge-voltage", "edge-25", "path", "to-the-edge"):
        assert f'id="safe-{piece}"' in drawn


def run(*words: str) -> tuple[int, str, str]:
    found = CliRunner().invoke(program, ["heat", *words])
    return found.exit_code, found.stdout, found.stderr


@pytest.fixture
def railway(tmp_path: Path) -> str:
    (tmp_path / "railway.toml").write_text(LASTING, encoding="utf-8")
    return str(tmp_path / "railway.toml")


def test_the_exit_code_answers(railway: str) -> None:
    assert main(["heat", railway, "--quiet"]) == 0
    assert main(["heat", str(EXAMPLES / "model-railway.toml"), "--quiet"]) == 3
    assert main(["heat", str(EXAMPLES / "wrong-attic-server.toml"), "--quiet"]) == 1


def test_json_has_junctions_areas_sinks_and_runaway(railway: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["heat", railway, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["verdict"] == PASS and found["safe_areas"][0]["verdict"] == PASS
    assert {"part", "power_W", "junction_C", "sink_C", "case_C", "limit_C", "share"} <= found["junctions"][0].keys()
    (sink,) = found["sinks"]
    assert sink["needed"]["largest_K_per_W"] > sink["written_K_per_W"]
    assert sink["stock"]["kind"] in ("typical", "recalled")
    assert found["runaway"]["factor"] == 30.0 and found["runaway"]["factor_at_end"]


def test_words_tell_what_is_open_and_what_hurts(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["heat", str(EXAMPLES / "observatory.toml")]) == 3
    words = " ".join(capsys.readouterr().out.split())
    for expected in ("Undecided", "+30.7 K", "[heat.safe_area.TYPE]", "needed: 1.71 K/W or less", "hot metal",
                     "it burns at a touch", "not judged here: loads shorter than lasting"):  # fmt: skip
        assert expected in words


def test_a_figure_of_a_part_without_an_area_is_a_located_mistake(railway: str, tmp_path: Path) -> None:
    where = str(tmp_path / "safe.svg")
    code = main(["heat", railway, "--figure", where, "--of", "R1"])
    assert code == 2 and not Path(where).exists()
    assert main(["heat", railway, "--figure", str(tmp_path / "safe.gif")]) == 2
    assert main(["heat", railway, "--figure", where, "--of", "Q1", "--quiet"]) == 0
    assert Path(where).exists()


def test_a_narrowed_span_is_cooler(railway: str) -> None:
    hot = json.loads(CliRunner().invoke(program, ["heat", railway, "--json"], standalone_mode=False).stdout)
    cold = json.loads(CliRunner().invoke(program, ["heat", railway, "--json", "--ambient", "0C", "--load", "1A"],
                                         standalone_mode=False).stdout)  # fmt: skip
    assert cold["junctions"][0]["junction_C"] < hot["junctions"][0]["junction_C"] - 10.0
    assert {one["ambient_C"] for one in cold["junctions"]} == {0.0}
