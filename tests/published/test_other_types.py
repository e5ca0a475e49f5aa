"""Regulators with a reference, Zener diodes and field-effect transistors, against what is printed elsewhere.

National LM117/LM317 (output formula); Texas Instruments SLVS047G (LM337); JEDEC ratings of 1N4728 to 1N4751 as every
maker prints them; International Rectifier IRF9540N, IRF4905PbF; Aavid Thermalloy on temperature rise.
"""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from outboard.cli.program import program
from outboard.constants import ZERO_CELSIUS
from outboard.parts import catalogue, find, ratings, sink_corrections

DIVIDER = """
[surroundings]
ambient = "25 °C"

[[parts]]
name = "U1"
kind = "regulator"
{polarity}type = "{type}"
pins = {{ in = "in", out = "out", ref = "adj" }}

[[parts]]
name = "R1"
kind = "resistor"
resistance = "{upper} Ω"
pins = {{ a = "out", b = "adj" }}

[[parts]]
name = "R2"
kind = "resistor"
resistance = "{lower} Ω"
pins = {{ a = "adj", b = "ground" }}

[[parts]]
name = "input"
kind = "source"
voltage = "20 V"
pins = {supply}

[[parts]]
name = "load"
kind = "load"
draws = "100 mA"
pins = {load}
"""


def solved(tmp_path: Path, text: str) -> dict[str, float]:
    """The nets of a design that is written part by part."""
    path = tmp_path / "design.toml"
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(program, ["solve", str(path), "--json"])
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)["nets"]


@pytest.mark.parametrize(
    ("upper", "lower", "output"),
    [
        (240, 720, 1.25 * (1 + 720 / 240) + 50e-6 * 720),
        (240, 2400, 1.25 * (1 + 2400 / 240) + 50e-6 * 2400),
        (120, 1200, 1.25 * (1 + 1200 / 120) + 50e-6 * 1200),
    ],
)
def test_output_of_an_adjustable_regulator(tmp_path, upper, lower, output):
    """V_O = V_REF(1 + R2/R1) + I_ADJ·R2 (National LM117/LM317), typical V_REF 1.25 V and I_ADJ 50 µA."""
    text = DIVIDER.format(
        type="317", polarity="", upper=upper, lower=lower, supply='{ plus = "in", minus = "ground" }',
        load='{ plus = "out", minus = "ground" }',
    )  # fmt: skip
    assert solved(tmp_path, text)["out"] == pytest.approx(output, rel=2e-3)


def test_output_of_a_negative_adjustable_regulator(tmp_path):
    """−V_O = V_REF(1 + R2/R1) + I_ADJ·R2 with 1.25 V and 65 µA (LM337: ON Semiconductor table)."""
    text = DIVIDER.format(
        type="337", polarity='polarity = "negative"\n', upper=120, lower=1200,
        supply='{ plus = "ground", minus = "in" }', load='{ plus = "ground", minus = "out" }',
    )  # fmt: skip
    assert solved(tmp_path, text)["out"] == pytest.approx(-(1.25 * 11 + 65e-6 * 1200), rel=2e-3)


def test_a_zener_diode_holds_its_nominal_voltage_at_its_test_current(tmp_path):
    """1N4742A: 12 V at 21 mA; from 20 V through (20 − 12) V/21 mA."""
    text = f"""
[surroundings]
ambient = "25 °C"

[[parts]]
name = "D1"
kind = "diode"
type = "1N4742A"
pins = {{ anode = "ground", cathode = "held" }}

[[parts]]
name = "R1"
kind = "resistor"
resistance = {8 / 21e-3}
pins = {{ a = "in", b = "held" }}

[[parts]]
name = "input"
kind = "source"
voltage = "20 V"
pins = {{ plus = "in", minus = "ground" }}
"""
    assert solved(tmp_path, text)["held"] == pytest.approx(12, abs=1e-3)


def test_zener_voltage_times_current_is_the_rated_power():
    """Makers print I_ZM as 1 W over the greatest V_Z of the 10 % type: 276, 252 … 30 mA, to their rounding."""
    rated = [ratings(find(name)) for name in find("1N47xx").members if not name.endswith("A")]
    assert len(rated) == 24
    for one in rated:
        assert one["I_ZM"].value == pytest.approx(1.0 / (1.1 * one["V_Z"].value), rel=0.03)


def test_zener_power_follows_from_the_leads():
    """(175 − 95) °C / 80 K/W = 1 W at a lead temperature of 95 °C (Digitron)."""
    rated = ratings(find("1N4733"))
    rise = rated["T_J"].value - rated["P_tot"].figure.conditions.lead_temperature
    assert rise / rated["R_thJL"].value == pytest.approx(rated["P_tot"].value)


def test_zener_voltages_are_preferred_numbers():
    """The nominal voltages are E24 values (IEC 60063)."""
    e24 = {10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91}
    for name in find("1N47xx").members:
        voltage = ratings(find(name))["V_Z"].value
        assert round(voltage * 10 if voltage < 10 else voltage) in e24, name


@pytest.mark.parametrize(
    ("name", "power", "slope", "resistance", "hottest"),
    [("IRF9540N", 140, 0.91, 1.1, 175), ("IRF4905", 200, 1.3, 0.75, 175), ("IRF9530N", 79, 0.53, 1.9, 175),
     ("IRFP9140", 150, 1.2, 0.83, 150)],
)  # fmt: skip
def test_power_of_field_effect_transistors(name, power, slope, resistance, hottest):
    """P_tot = (T_J max − 25 °C)/R_thJC and slope = 1/R_thJC, to the rounding of the sheets (3 %)."""
    rated = ratings(find(name))
    assert rated["P_tot"].value == power and rated["T_J"].value == hottest + ZERO_CELSIUS
    assert rated["R_thJC"].value == resistance
    assert (hottest - 25) / resistance == pytest.approx(power, rel=0.03)
    assert [row.most for row in find(name).rows("derating")] == [slope]
    assert 1 / resistance == pytest.approx(slope, rel=0.03)


def test_a_cool_sink_has_more_resistance():
    """Free convection: h ∝ ΔT^0.25 (textbook, memory) gives R ∝ ΔT^−0.25, the printed factors within 1 %."""
    for row in sink_corrections()["rise_factor"]:
        assert row.typical == pytest.approx((75 / row.conditions.temperature_rise) ** 0.25, rel=0.01)


def test_every_kind_has_its_types():
    """17 regulators, 4 field-effect transistors and 8 families of diodes; two regulators fixed at 5 V besides."""
    kinds = [part.kind for part in catalogue().values()]
    assert (kinds.count("regulator"), kinds.count("mosfet"), kinds.count("diode")) == (19, 4, 8)
