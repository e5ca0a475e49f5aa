"""Design files with a field-effect transistor, a lamp and parts that store: read, solved, written out, judged."""

import json
from pathlib import Path

import jsonschema
import pytest
import tomlkit

from outboard.brief import json_schema, read_text
from outboard.cli.program import main
from outboard.errors import WrongInput

SUPPLY = """\
title = "P-channel bypass, invented"
[surroundings]
ambient = "25 °C"
[[parts]]
name = "input"
kind = "source"
pins = { plus = "in", minus = "ground" }
voltage = "20 V"
[[parts]]
name = "L1"
kind = "inductor"
pins = { a = "in", b = "feed" }
inductance = "10 µH"
[[parts]]
name = "C1"
kind = "capacitor"
pins = { a = "feed", b = "ground" }
capacitance = "100 µF"
[[parts]]
name = "R1"
kind = "resistor"
pins = { a = "feed", b = "x" }
resistance = "6.8 Ω"
[[parts]]
name = "Q1"
kind = "mosfet"
polarity = "p-channel"
pins = { drain = "out", gate = "x", source = "feed" }
threshold_voltage = "2.9 V"
transconductance = "6.5 A/V²"
body_saturation_current = "1 pA"
gate_source_capacitance = "1.2 nF"
heat = { to = "sink", resistance = "1 K/W" }
[[parts]]
name = "Z1"
kind = "diode"
pins = { anode = "x", cathode = "feed" }
saturation_current = "1 fA"
breakdown_voltage = "15 V"
breakdown_resistance = "7 Ω"
[[parts]]
name = "U1"
kind = "regulator"
pins = { in = "x", out = "out", ref = "ground" }
set_voltage = "12 V"
current_limit = "2.2 A"
heat = { to = "sink", resistance = "4 K/W" }
[[parts]]
name = "lamp"
kind = "load"
pins = { plus = "out", minus = "ground" }
lamp_voltage = "12 V"
lamp_power = "21 W"
cold_resistance = "0.6 Ω"
time_constant = "50 ms"
[[parts]]
name = "load"
kind = "load"
pins = { plus = "out", minus = "ground" }
power = "20 W"
cut_in_voltage = "2 V"
[[parts]]
name = "mass"
kind = "thermal_capacitance"
pins = { a = "sink", b = "ambient" }
heat_capacity = "100 J/K"
[[parts]]
name = "sink to air"
kind = "thermal_resistance"
pins = { a = "sink", b = "ambient" }
resistance = "0.9 K/W"
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    place = tmp_path / "supply.toml"
    place.write_text(SUPPLY, encoding="utf-8")
    return place


def answered(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    with pytest.raises(SystemExit) as stop:
        raise SystemExit(main(list(words)))
    return int(stop.value.code or 0), capsys.readouterr().out


def test_schema_agrees() -> None:
    jsonschema.validate(tomlkit.parse(SUPPLY).unwrap(), json_schema())
    without = tomlkit.parse(SUPPLY.replace('polarity = "p-channel"\n', "")).unwrap()
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(without, json_schema())


@pytest.mark.parametrize(
    ("written", "instead", "said"),
    [
        ('polarity = "p-channel"\n', "", "polarity of Q1: this is missing; expected n-channel or p-channel"),
        ('polarity = "p-channel"', 'polarity = "pnp"', "none of the choices"),
        ('threshold_voltage = "2.9 V"\n', "", "threshold_voltage of Q1: this is missing"),
        ('gate = "x"', 'base = "x"', "there is no such pin of a mosfet"),
        ('transconductance = "6.5 A/V²"', 'transconductance = "6.5 A/V"', "transconductance of Q1"),
        ('cold_resistance = "0.6 Ω"', 'cold_resistance = "60 Ω"', "a cold lamp has less resistance"),
    ],
)
def test_mistakes_are_located(written: str, instead: str, said: str) -> None:
    with pytest.raises(WrongInput) as wrong:
        read_text(SUPPLY.replace(written, instead), "supply.toml")
    assert said in str(wrong.value)


def test_solve_expand_and_verify(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, text = answered(capsys, "solve", str(file), "--json")
    point = json.loads(text)
    assert code == 0 and point["outcome"] == "solved"
    assert point["parts"]["Q1"]["currents"]["gate"] == 0.0
    assert point["parts"]["C1"]["currents"] == {"a": 0.0, "b": 0.0}
    assert point["parts"]["L1"]["currents"]["a"] == pytest.approx(-point["parts"]["input"]["currents"]["plus"])
    _, expanded = answered(capsys, "expand", str(file))
    again = file.with_name("again.toml")
    again.write_text(expanded, encoding="utf-8")
    assert answered(capsys, "solve", str(again), "--json")[1] == text
    _, verdict = answered(capsys, "verify", str(file), "--json")
    of_device = [row for row in json.loads(verdict)["findings"] if row.get("subject", row.get("part")) == "Q1"]
    assert {row["verdict"] for row in of_device} == {"UNDECIDED"}, "no figures, nothing decided"
