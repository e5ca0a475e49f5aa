"""The command line: exit codes, JSON shapes, errors, files that it writes, words for people."""

import csv
import io
import json
import os
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result

from outboard.cli.program import program

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "examples"
GOOD = EXAMPLES / "observatory.toml"
BYPASS = EXAMPLES / "model-railway.toml"
FAILING = EXAMPLES / "wrong-attic-server.toml"
NETWORKS = ROOT / "tests" / "reference" / "networks"

RUNS_AWAY = """
[[parts]]
name = "input"
kind = "source"
pins = { plus = "in", minus = "ground" }
voltage = "20 V"

[[parts]]
name = "Q2"
kind = "bipolar"
polarity = "npn"
pins = { collector = "in", base = "b", emitter = "ground" }
type = "2N3055"
heat = { to = "sink", resistance = "10 K/W" }

[[parts]]
name = "RB"
kind = "resistor"
pins = { a = "in", b = "b" }
resistance = "470 Ω"

[[parts]]
name = "scrap of tin"
kind = "thermal_resistance"
pins = { a = "sink", b = "ambient" }
resistance = "20 K/W"
"""
"""Invented: a transistor whose base current alone makes it glow on such a sink."""

NUMBER = {"type": "number"}
MAYBE = {"type": ["number", "null"]}
TEXT = {"type": "string"}
TEXTS = {"type": "array", "items": TEXT}


def shape(**properties: Any) -> dict[str, Any]:
    """An object with exactly these keys."""
    return {"type": "object", "properties": properties, "required": list(properties), "additionalProperties": False}


def all_of(item: Any) -> dict[str, Any]:
    return {"type": "object", "additionalProperties": item}


def list_of(item: Any) -> dict[str, Any]:
    return {"type": "array", "items": item}


CONDITIONS = shape(input_V=MAYBE, load_A=MAYBE, ambient_C=NUMBER)
PART = {
    "type": "object",
    "properties": {"currents": all_of(NUMBER), "power_W": NUMBER, "junction_C": NUMBER, "heat_flow_W": NUMBER},
    "additionalProperties": False,
}
SOLVED = shape(
    outcome={"const": "solved"}, conditions=CONDITIONS, nets=all_of(NUMBER), thermal_nodes=all_of(NUMBER),
    parts=all_of(PART), balance=shape(worst_kcl_A=NUMBER, power_in_W=NUMBER, power_out_W=NUMBER),
    jumped={"type": "boolean"}, runs_away=TEXTS, warnings=TEXTS,
)  # fmt: skip
UNSOLVED = shape(
    outcome={"enum": ["runaway", "out of range", "not converged"]}, conditions=CONDITIONS, jumped={"type": "boolean"},
    runs_away=TEXTS, warnings=TEXTS,
)  # fmt: skip
VERDICT = {"enum": ["PASS", "FAIL", "UNDECIDED"]}
COUNT = {"type": "integer", "minimum": 0}
FINDING = shape(
    requirement=TEXT, part={"type": ["string", "null"]}, verdict=VERDICT, worst=MAYBE, limit=MAYBE, margin=MAYBE,
    unit=TEXT, limit_kind=TEXT, source=TEXT, derating={"type": ["string", "null"]}, rests_on=TEXTS,
    corner=all_of({"type": ["number", "string"]}), in_words=TEXT, missing=TEXTS, note=TEXT,
)  # fmt: skip
VERIFIED = shape(
    verdict=VERDICT, counts=shape(PASS=COUNT, FAIL=COUNT, UNDECIDED=COUNT), findings=list_of(FINDING),
    not_judged=TEXTS, conditions=shape(points=COUNT, solved=COUNT, runaway=COUNT, undecided=COUNT, seconds=NUMBER),
    notes=TEXTS,
)  # fmt: skip
CURVE = shape(
    condition={"enum": ["cold", "usual", "hot"]}, direction={"enum": ["up", "down"]},
    conditions=shape(input_V=MAYBE, ambient_C=NUMBER), load_A=list_of(NUMBER), outcome=TEXTS, output_V=list_of(MAYBE),
    parts=all_of(shape(current_A=list_of(MAYBE), power_W=list_of(MAYBE), junction_C=list_of(MAYBE))),
    limiting=all_of(list_of({"type": "boolean"})), dropped_out=all_of(list_of({"type": "boolean"})),
)  # fmt: skip
DIVIDED = shape(
    devices=list_of(shape(name=TEXT, role=TEXT, kind=TEXT)), promised_A=list_of(NUMBER),
    output=shape(voltage_V=MAYBE, tolerance=MAYBE), curves=list_of(CURVE),
    handovers=list_of(shape(condition=TEXT, part=TEXT, load_A=MAYBE, regulator_A=MAYBE)),
    events=list_of(shape(condition=TEXT, what=TEXT, part={"type": ["string", "null"]}, from_A=NUMBER, to_A=NUMBER)),
    differs=list_of(shape(condition=TEXT, from_A=NUMBER, to_A=NUMBER, gap_V=NUMBER)),
    does_not_start=list_of(shape(condition=TEXT, load_A=NUMBER, followed_V=MAYBE, started_V=MAYBE)),
)  # fmt: skip
FORMULA = shape(title=TEXT, text=TEXT, value=NUMBER, unit=TEXT, validity=TEXT, source=TEXT)
WORKED = {"anyOf": [{"type": "null"}, FORMULA]}
BOUND = shape(formula=WORKED, missing=TEXT, open={"type": "boolean"})
WINDOW = shape(least_ohm=MAYBE, most_ohm=MAYBE, least=BOUND, most=BOUND, below=TEXT, above=TEXT, tolerance=NUMBER)
VALUE = shape(
    names=TEXTS, role=TEXT, key=TEXT, chosen_ohm=MAYBE, exact_ohm=NUMBER, series=TEXT, direction=TEXT, origin=TEXT,
    formula=WORKED, window={"anyOf": [{"type": "null"}, WINDOW]}, fits={"type": "boolean"}, dissipation=WORKED,
    needed_rating=WORKED, construction=TEXT, rated_power_W=MAYBE,
)  # fmt: skip
PUT_IN = shape(words=TEXT, value=NUMBER, unit=TEXT, kind=TEXT, source=TEXT, origin=TEXT, formula=WORKED)
SIZED = shape(
    values=list_of(VALUE), count=shape(chosen=COUNT, by_power=BOUND, by_current=BOUND), handover_A=NUMBER,
    handover_origin=TEXT, headroom=WORKED, facts=list_of(shape(words=TEXT, formula=FORMULA)), figures=list_of(PUT_IN),
    remarks=TEXTS,
)  # fmt: skip
EXPANDED = shape(
    title=TEXT, toml=TEXT, notes=TEXTS,
    parts=list_of(shape(name=TEXT, kind=TEXT, role=TEXT, pins=all_of(TEXT), polarity={"type": ["string", "null"]},
                        type={"type": ["string", "null"]})),
)  # fmt: skip
ERRORS = shape(
    errors={
        "type": "array", "minItems": 1,
        "items": shape(file=TEXT, line={"type": ["integer", "null"]}, column={"type": ["integer", "null"]}, where=TEXT,
                       what={"type": "string", "minLength": 1}, expected=TEXT, write=TEXT),
    }
)  # fmt: skip


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(program, [str(argument) for argument in arguments])


def refuse_constant(word: str) -> None:
    raise AssertionError(f"{word} is no JSON")


def answer(schema: dict[str, Any], *arguments: str | Path, code: int = 0) -> Any:
    """What a verb answers with --json: one object of this shape, nothing else on stdout."""
    result = run(*arguments, "--json")
    assert result.exit_code == code, result.output
    content = json.loads(result.stdout, parse_constant=refuse_constant)
    jsonschema.validate(content, schema)
    return content


def edited(tmp_path: Path, text: str, name: str = "design.toml") -> Path:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


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


# Mistakes


def test_mistakes_in_a_file_are_told_all_at_once_with_their_places(tmp_path: Path) -> None:
    text = GOOD.read_text(encoding="utf-8").replace('"60 mΩ"', '"60 mV"').replace('"2N3055"', '"2N3505"')
    path = edited(tmp_path, text)
    errors = answer(ERRORS, "solve", path, code=2)["errors"]
    assert [(error["where"], error["file"]) for error in errors] == [
        ("input.resistance", str(path)), ("stage.pass", str(path))
    ]  # fmt: skip
    lines = text.splitlines()
    assert ["60 mV" in lines[errors[0]["line"] - 1], "2N3505" in lines[errors[1]["line"] - 1]] == [True, True]
    told = run("solve", path)
    assert (told.exit_code, told.stdout) == (2, "")
    assert [line.startswith(f"{path}:{error['line']}:{error['column']}: ") for line, error in
            zip(told.stderr.splitlines(), errors, strict=True)] == [True, True]  # fmt: skip
    assert all("; expected " in line and "; write " in line for line in told.stderr.splitlines())


@pytest.mark.parametrize(
    ("change", "where", "word"),
    [
        (('b = "ambient"', 'b = "nowhere"'), "parts.", "ambient"),
        (('b = "b" }', 'b = "elsewhere" }'), "parts.", "only one pin"),
        (('minus = "ground"', 'minus = "in"'), "parts.", "in"),
    ],
)
def test_a_network_that_cannot_be_solved_is_a_mistake_with_a_place(
    tmp_path: Path, change: tuple[str, str], where: str, word: str
) -> None:
    path = edited(tmp_path, RUNS_AWAY.replace(*change))
    (error,) = answer(ERRORS, "solve", path, code=2)["errors"]
    assert error["where"].startswith(where) and word in error["what"]
    assert RUNS_AWAY.splitlines()[error["line"] - 1] == "[[parts]]"


@pytest.mark.parametrize(
    ("arguments", "where", "write"),
    [
        (["solv", GOOD], "solv", "outboard solve"),
        (["solve"], "DESIGN.toml", "outboard solve DESIGN.toml"),
        (["solve", GOOD, "--laod", "3A"], "--laod", "--load"),
        (["solve", GOOD, "--load", "3V"], "--load", "--load"),
        (["solve", GOOD, "--load"], "--load", "--load"),
        (["solve", GOOD, "--load", "-3A"], "--load", "--load"),
        (["solve", GOOD, "--load", "nan"], "--load", "--load"),
        (["solve", GOOD, "--ambient", "25"], "--ambient", '"25 °C"'),
        (["solve", GOOD, "--ambient", "0K"], "--ambient", "--ambient"),
        (["solve", GOOD, "and more"], "and more", "--help"),
        (["divide", GOOD, "--points", "2"], "--points", "--points 10"),
        (["divide", GOOD, "--points", "²"], "--points", "--points 10"),
        (["divide", GOOD, "--figure", "division.pdf"], "--figure", ".svg"),
        (["divide", GOOD, "--csv", "no folder/x.csv"], "--csv", ""),
        (["parts", "sho"], "sho", "outboard parts show"),
        (["parts", "show"], "TYPE", "TYPE"),
        (["size", NETWORKS / "drop-out.toml"], "stage", "[stage]"),
        (["verify", NETWORKS / "drop-out.toml", "--load", "1A"], "output", "[output]"),
        (["--bogus"], "--bogus", "--help"),
    ],
)
def test_misuse_is_told_like_every_other_mistake(arguments: list[str | Path], where: str, write: str) -> None:
    (error,) = answer(ERRORS, *arguments, code=2)["errors"]
    assert error["where"] == where and write in error["write"]
    if arguments != ["solve", GOOD, "--load"]:  # there --json itself would be taken for the load
        told = run(*arguments)
        assert told.exit_code == 2 and told.stdout == "" and error["what"] in told.stderr


@pytest.mark.parametrize("name", ["absent.toml", "", "."])
def test_a_file_that_cannot_be_read_is_a_mistake(name: str, tmp_path: Path) -> None:
    for verb in ("size", "solve", "divide", "verify", "expand"):
        answer(ERRORS, verb, tmp_path / name if name else "", code=2)


# How the program ends


@pytest.mark.parametrize(
    "arguments",
    [["solve", GOOD], ["size", GOOD], ["divide", GOOD, "--points", "10"], ["verify", GOOD, "--input", "18V"],
     ["parts", "list"], ["parts", "show", "7812"], ["parts", "check"]],
    ids=lambda arguments: arguments[0],
)  # fmt: skip
def test_quiet_leaves_the_answer_to_the_exit_code(arguments: list[str | Path]) -> None:
    result = run(*arguments, "--quiet")
    assert (result.exit_code, result.output) == (0, "")


def test_quiet_keeps_exit_code_and_errors() -> None:
    assert (run("verify", FAILING, "--quiet").exit_code, run("verify", FAILING, "--quiet").output) == (1, "")
    wrong = run("solve", "absent.toml", "--quiet")
    assert wrong.exit_code == 2 and "no such file" in wrong.stderr


@pytest.mark.parametrize(
    ("ends_with", "code"),
    [(ZeroDivisionError("oops"), 70), (KeyboardInterrupt(), 130), (BrokenPipeError(), 141)],
)
def test_however_it_ends_the_exit_code_says_it(
    monkeypatch: pytest.MonkeyPatch, ends_with: BaseException, code: int
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ends_with

    monkeypatch.setattr("outboard.dossier.opened", broken)
    monkeypatch.delenv("OUTBOARD_DEBUG", raising=False)
    result = run("solve", GOOD)
    assert result.exit_code == code
    assert "Traceback" not in result.output
    assert ("bug of ours" in result.stderr) == (code == 70)


def test_a_bug_shows_its_place_when_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("oops")

    monkeypatch.setattr("outboard.dossier.opened", broken)
    monkeypatch.setenv("OUTBOARD_DEBUG", "1")
    assert "ZeroDivisionError: oops" in run("solve", GOOD).stderr


def process(*arguments: str | Path, code: str = "", **more: Any) -> subprocess.CompletedProcess[str]:
    """The program in a process of its own; `code` runs after it."""
    script = f"import sys\nfrom outboard.cli import main\nended = main()\n{code}\nsys.exit(ended)"
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src")}
    command = [sys.executable, "-X", "utf8", "-c", script, *map(str, arguments)]
    return subprocess.run(command, env=environment, text=True, check=False, **{"capture_output": True} | more)


SAY_MODULES = "print([name for name in ('numba', 'numpy', 'matplotlib', 'rich', 'tomlkit') if name in sys.modules])"


@pytest.mark.parametrize(
    ("arguments", "loaded"),
    [(["--help"], "[]"), (["--version"], "[]"), (["solve", "absent.toml", "--json"], "[]"), (["schema"], "[]"),
     (["solve", GOOD, "--json"], "['numba', 'numpy']"), (["parts", "list"], "['rich']")],
)  # fmt: skip
def test_nothing_is_loaded_before_it_is_needed(arguments: list[str | Path], loaded: str) -> None:
    assert process(*arguments, code=SAY_MODULES).stdout.splitlines()[-1] == loaded


def test_nobody_reading_on_is_no_verdict() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        for arguments in (["schema"], ["parts", "list"], ["solve", str(GOOD), "--json"]):
            ended = process(*arguments, capture_output=False, stdout=writing, stderr=subprocess.PIPE)
            assert (ended.returncode, ended.stderr) == (141, "")
    finally:
        os.close(writing)


@pytest.mark.skipif(not (ROOT / ".venv" / "outboard.stamp").exists(), reason="./run has not made its environment here")
def test_run_is_the_program(tmp_path: Path) -> None:
    ended = subprocess.run([ROOT / "run", "--version"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stdout.split()[0]) == (0, "outboard")
    ended = subprocess.run([ROOT / "run"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert ended.returncode == 0 and "verify" in ended.stdout
