"""The program as a test calls it: designs to call it on, and the shapes of what it answers with --json."""

import json
from pathlib import Path
from typing import Any

import jsonschema
from click.testing import CliRunner, Result

from outboard.cli.program import program

ROOT = Path(__file__).resolve().parents[1]
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
