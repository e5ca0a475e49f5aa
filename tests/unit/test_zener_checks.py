"""A Zener diode is judged by its current at the ends of its breakdown voltage, an adjustable regulator by V_I − V_O."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from outboard.cli.program import program

SHUNT = """
[surroundings]
ambient = "25 °C"

[[parts]]
name = "D1"
kind = "diode"
type = "{type}"
pins = {{ anode = "ground", cathode = "held" }}
heat = {{ to = "ambient", resistance = "140 K/W" }}

[[parts]]
name = "R1"
kind = "resistor"
resistance = "400 Ω"
tolerance = "1 %"
rated_power = "10 W"
pins = {{ a = "in", b = "held" }}

[[parts]]
name = "input"
kind = "source"
voltage = "{volts} V"
pins = {{ plus = "in", minus = "ground" }}
"""


def findings(tmp_path: Path, text: str) -> dict[tuple[str, str], dict]:
    path = tmp_path / "design.toml"
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(program, ["verify", str(path), "--json"])
    return {(one["requirement"], one["part"]): one for one in json.loads(result.stdout)["findings"]}


@pytest.mark.parametrize(("volts", "verdict"), [(20, "PASS"), (60, "FAIL")])
def test_zener_current(tmp_path, volts, verdict):
    """1N4742A (Digitron): I_ZM 76 mA; at worst (volts − 11.4 V)/396 Ω, but for the diode's own few ohms."""
    found = findings(tmp_path, SHUNT.format(type="1N4742A", volts=volts))[("Zener current", "D1")]
    assert found["verdict"] == verdict and found["limit"] == 76e-3
    assert found["worst"] == pytest.approx((volts - 11.4) / 396, rel=0.05)
    assert found["limit_kind"] == "limit" and found["source"] == "S130"


def test_the_looser_tolerance_is_worse(tmp_path):
    """1N4742, 10 %, draws more than 1N4742A, 5 %."""
    worst = [
        findings(tmp_path, SHUNT.format(type=name, volts=20))[("Zener current", "D1")]["worst"]
        for name in ("1N4742A", "1N4742")
    ]
    assert worst[1] > 1.02 * worst[0]


def test_a_family_has_no_zener_current(tmp_path):
    """Without its member's name nothing can pass."""
    found = findings(tmp_path, SHUNT.format(type="1N47xx", volts=20))
    assert found[("reverse voltage", "D1")]["verdict"] == "UNDECIDED"
    assert ("Zener current", "D1") not in found


@pytest.mark.parametrize(("volts", "verdict"), [(30, "PASS"), (60, "FAIL")])
def test_input_output_voltage_of_an_adjustable_regulator(tmp_path, volts, verdict):
    """LM317: 40 V between input and output (STMicroelectronics); no input voltage is rated."""
    text = f"""
[surroundings]
ambient = "25 °C"

[[parts]]
name = "U1"
kind = "regulator"
type = "317"
pins = {{ in = "in", out = "out", ref = "ground" }}
heat = {{ to = "ambient", resistance = "50 K/W" }}

[[parts]]
name = "R1"
kind = "resistor"
resistance = "100 Ω"
tolerance = "1 %"
rated_power = "1 W"
pins = {{ a = "out", b = "ground" }}

[[parts]]
name = "input"
kind = "source"
voltage = "{volts} V"
pins = {{ plus = "in", minus = "ground" }}
"""
    found = findings(tmp_path, text)
    assert found[("input-output voltage", "U1")]["verdict"] == verdict
    assert ("input voltage", "U1") not in found
