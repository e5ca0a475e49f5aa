"""What the verbs answer: JSON shapes, exit codes, words for people, files that they write."""

import csv
import io
import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
from answer_shapes import (
    BYPASS,
    DIVIDED,
    ERRORS,
    EXAMPLES,
    EXPANDED,
    FAILING,
    GOOD,
    NETWORKS,
    RUNS_AWAY,
    SIZED,
    SOLVED,
    UNSOLVED,
    VERIFIED,
    answer,
    edited,
    run,
)


@pytest.fixture
def runaway(tmp_path: Path) -> Path:
    return edited(tmp_path, RUNS_AWAY)


# One operating point


def test_solve_answers_in_the_documented_shape() -> None:
    found = answer(SOLVED, "solve", GOOD)
    assert found["conditions"] == {"input_V": 18.0, "load_A": pytest.approx(2.0), "ambient_C": 15.0}
    assert "ground" not in found["nets"] and "ambient" not in found["thermal_nodes"]
    assert found["balance"]["worst_kcl_A"] < 1e-9
    assert found["balance"]["power_in_W"] == pytest.approx(found["balance"]["power_out_W"], rel=1e-9)


def test_solve_reports_heat_only_where_there_is_a_path() -> None:
    parts = answer(SOLVED, "solve", GOOD)["parts"]
    assert {name for name, part in parts.items() if "junction_C" in part} == {"U1", "Q1", "Q2"}
    assert set(parts["sink main"]) == {"heat_flow_W"}
    dissipated = sum(parts[name]["power_W"] for name in ("U1", "Q1", "Q2"))
    assert parts["sink main"]["heat_flow_W"] == pytest.approx(dissipated, rel=1e-9)


def test_solve_sets_input_load_and_ambient() -> None:
    found = answer(SOLVED, "solve", GOOD, "--input", "17V", "--load", "500mA", "--ambient", "25C")
    assert found["conditions"] == {"input_V": 17.0, "load_A": pytest.approx(0.5), "ambient_C": 25.0}
    assert found["nets"]["in"] == pytest.approx(17.0 + 60e-3 * found["parts"]["input"]["currents"]["plus"], abs=1e-9)


def test_solve_says_what_runs_away(runaway: Path) -> None:
    found = answer(UNSOLVED, "solve", runaway, code=3)
    assert found["outcome"] == "runaway"
    assert found["runs_away"][0] == "Q2"
    words = run("solve", runaway)
    assert words.exit_code == 3
    assert "runs away" in words.stdout and "Q2" in words.stdout


@pytest.mark.parametrize(
    ("network", "word"), [("drop-out", "dropped out"), ("current-limit-foldback", "limits its current")]
)
def test_solve_warns_of_a_regulator_that_does_not_regulate(network: str, word: str) -> None:
    """What the independent networks are named after."""
    (warning,) = answer(SOLVED, "solve", NETWORKS / f"{network}.toml")["warnings"]
    assert warning.startswith("U1") and word in warning


def test_solve_warns_of_an_output_that_leakage_lifts() -> None:
    found = answer(SOLVED, "solve", FAILING, "--load", "0A")
    assert found["nets"]["out"] > 12.6
    assert "floats up" in found["warnings"][0]


# The verdict


@pytest.mark.parametrize("path", [GOOD, BYPASS], ids=lambda path: path.stem)
def test_verify_passes_what_is_right(path: Path) -> None:
    found = answer(VERIFIED, "verify", path, "--input", "18V" if path == GOOD else "10V")
    assert found["verdict"] == "PASS" and found["counts"]["FAIL"] == found["counts"]["UNDECIDED"] == 0


def test_verify_fails_what_is_wrong_and_puts_it_first() -> None:
    found = answer(VERIFIED, "verify", FAILING, code=1)
    verdicts = [finding["verdict"] for finding in found["findings"]]
    assert found["verdict"] == verdicts[0] == "FAIL"
    assert verdicts == sorted(verdicts, key=["FAIL", "UNDECIDED", "PASS"].index)
    assert found["counts"] == {word: verdicts.count(word) for word in ("PASS", "FAIL", "UNDECIDED")}


def test_verify_leaves_open_what_the_file_does_not_say(tmp_path: Path) -> None:
    lines = [line for line in GOOD.read_text(encoding="utf-8").splitlines() if not line.startswith("short_circuit")]
    path = edited(tmp_path, "\n".join(lines))
    found = answer(VERIFIED, "verify", path, "--input", "18V", code=3)
    assert [finding["requirement"] for finding in found["findings"] if finding["verdict"] == "UNDECIDED"] == [
        "short circuit"
    ]


def test_verify_looks_only_at_what_it_is_narrowed_to() -> None:
    narrow = answer(VERIFIED, "verify", GOOD, "--input", "18V", "--load", "2A", "--ambient", "15C")
    corners = [finding["corner"] for finding in narrow["findings"] if finding["corner"]]
    assert corners
    assert all(corner["input_V"] == 18.0 and corner["ambient_C"] == 15.0 for corner in corners)
    assert {corner["load_A"] for corner in corners} == {2.0}


def test_the_ledger_says_verdict_margin_corner_and_what_is_not_judged() -> None:
    shown = run("verify", FAILING).stdout
    assert "\nFails\n" in shown
    assert "■ FAIL" in shown and "● PASS" in shown
    assert "20.5 V in · " in shown
    assert "−" in shown, "a margin that is short has a true minus sign"
    flat = " ".join(shown.split())
    assert "not judged here: safe operating area (`outboard heat` does), transients and stability" in flat
    assert "† typical figures: " in flat


# The division


def test_divide_accounts_for_the_whole_load() -> None:
    found = answer(DIVIDED, "divide", BYPASS, "--points", "40")
    assert {(curve["condition"], curve["direction"]) for curve in found["curves"]} == {
        (condition, direction) for condition in ("cold", "usual", "hot") for direction in ("up", "down")
    }
    for curve in found["curves"]:
        regulator, bypass = (curve["parts"][name]["current_A"] for name in ("U1", "Q1"))
        for load, output, *shares in zip(curve["load_A"], curve["output_V"], regulator, bypass, strict=True):
            assert sum(shares) == pytest.approx(load + output / 560.0, abs=1e-4), "R9 draws its part beside the load"


def test_divide_writes_the_same_curves_as_a_table(tmp_path: Path) -> None:
    path = tmp_path / "division.csv"
    found = answer(DIVIDED, "divide", GOOD, "--points", "12", "--csv", path)
    rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))
    assert len(rows) == sum(len(curve["load_A"]) for curve in found["curves"])
    curve = found["curves"][0]
    for row, load, current in zip(rows, curve["load_A"], curve["parts"]["Q2"]["current_A"], strict=False):
        assert (float(row["load_A"]), float(row["Q2_current_A"])) == (load, current)


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_divide_draws(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"division.{ending}"
    assert run("divide", GOOD, "--points", "12", "--figure", path, "--quiet").exit_code == 0
    start = path.read_bytes()[:200]
    assert start.startswith(b"\x89PNG") if ending == "png" else b"<?xml" in start or b"<svg" in start


def test_a_figure_that_cannot_be_written_is_a_mistake(tmp_path: Path) -> None:
    (error,) = answer(ERRORS, "divide", GOOD, "--points", "10", "--figure", tmp_path / "no" / "x.svg", code=2)["errors"]
    assert error["where"] == "--figure" and "cannot be written" in error["what"]


def test_divide_needs_a_load(runaway: Path) -> None:
    (error,) = answer(ERRORS, "divide", runaway, code=2)["errors"]
    assert "load" in error["what"] and "draws" in error["write"]


# Sizing, expanding, the catalogue, the schema


def test_size_shows_formula_numbers_and_source() -> None:
    found = answer(SIZED, "size", BYPASS)
    (base,) = found["values"]
    assert (base["names"], base["origin"], base["fits"]) == (["R1"], "sized", True)
    assert base["formula"]["text"].count("=") == 3 and base["formula"]["source"]
    shown = run("size", BYPASS).stdout
    assert base["formula"]["text"] in " ".join(shown.split())


def test_size_fails_a_written_value_outside_its_window() -> None:
    (base,) = answer(SIZED, "size", FAILING, code=1)["values"]
    assert not base["fits"] and base["chosen_ohm"] < base["window"]["least_ohm"]


def test_size_writes_into_the_file_and_keeps_its_comments(tmp_path: Path) -> None:
    before = BYPASS.read_text(encoding="utf-8")
    path = edited(tmp_path, before)
    sized = answer(SIZED, "size", path)["values"][0]["chosen_ohm"]
    assert run("size", path, "--write").exit_code == 0
    after = path.read_text(encoding="utf-8")
    (added,) = set(after.splitlines()) - set(before.splitlines())
    assert added.startswith("R1")
    assert [line for line in after.splitlines() if line != added] == before.splitlines()
    again = answer(SIZED, "size", path)["values"][0]
    assert (again["chosen_ohm"], again["origin"]) == (sized, "from the file")
    again = run("size", path, "--write")
    assert "nothing" in again.stdout and path.read_text(encoding="utf-8") == after


def test_expand_gives_a_file_with_the_same_solution(tmp_path: Path) -> None:
    path = edited(tmp_path, run("expand", GOOD).stdout, "expanded.toml")
    first, second = (answer(SOLVED, "solve", file, "--load", "5A") for file in (GOOD, path))
    assert second["nets"] == pytest.approx(first["nets"], abs=1e-9)
    assert answer(EXPANDED, "expand", GOOD)["toml"] == path.read_text(encoding="utf-8")


def test_expand_writes_no_file_over(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    assert run("expand", GOOD, "-o", path).exit_code == 0
    text = path.read_text(encoding="utf-8")
    refused = run("expand", BYPASS, "-o", path)
    assert refused.exit_code == 2 and "is there already" in refused.stderr
    assert path.read_text(encoding="utf-8") == text


def test_parts_lists_and_shows_with_sources() -> None:
    listed = answer({"type": "object"}, "parts", "list")["types"]
    assert {"7812", "2N3055", "BD140"} <= {row["name"] for row in listed}
    sheet = answer({"type": "object"}, "parts", "show", "2n3055")
    assert sheet["name"] == "2N3055"
    assert all(figure["source"] and figure["citation"] for figure in sheet["figures"])
    (hottest,) = [figure for figure in sheet["figures"] if figure["name"] == "TJ_max"]
    assert (hottest["most"], hottest["unit"]) == (200.0, "°C")
    for words in (run("parts", "list"), run("parts", "show", "LM7812")):
        assert words.exit_code == 0 and "7812" in words.stdout


def test_parts_check_counts_what_it_says() -> None:
    found = answer({"type": "object"}, "parts", "check")
    assert {remark["severity"] for remark in found["remarks"]} <= {"note", "warning"}


def test_parts_names_what_comes_near_an_unknown_type() -> None:
    (error,) = answer(ERRORS, "parts", "show", "BD141", code=2)["errors"]
    assert "parts show BD140" in error["write"]


def test_schema_describes_the_examples() -> None:
    schema = json.loads(run("schema").stdout)
    for path in sorted(EXAMPLES.glob("*.toml")):
        jsonschema.validate(tomllib.loads(path.read_text(encoding="utf-8")), schema)
