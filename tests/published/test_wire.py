"""Copper wire against ASTM B258 and IEC 60228, both from memory, and its table values as handbooks print them."""

import pytest

from outboard.brief import read_text
from outboard.errors import WrongInput
from outboard.formulas.wire import conductor_resistance, gauge_diameter, round_section

ZERO = 273.15

# AWG, diameter [mm], area [mm²], resistance at 20 °C [Ω/km]: the wire table as printed in many handbooks (from memory).
TABLE = [
    (0, 8.251, 53.5, 0.3224), (10, 2.588, 5.26, 3.277), (12, 2.053, 3.31, 5.211), (14, 1.628, 2.08, 8.286),
    (16, 1.291, 1.31, 13.17), (18, 1.024, 0.823, 20.95), (20, 0.812, 0.518, 33.31), (24, 0.511, 0.205, 84.22),
]  # fmt: skip


@pytest.mark.parametrize(("number", "diameter", "area", "per_kilometre"), TABLE)
def test_gauges_of_the_wire_table(number: int, diameter: float, area: float, per_kilometre: float) -> None:
    found = gauge_diameter(number=number)
    section = round_section(wire_diameter=found)
    resistance = conductor_resistance(conductor_length=1000.0, section=section, temperature=ZERO + 20.0)
    assert 1e3 * found == pytest.approx(diameter, abs=0.0006)
    assert 1e6 * section == pytest.approx(area, rel=0.003)
    assert resistance == pytest.approx(per_kilometre, rel=0.002)


def test_gauges_that_define_the_series() -> None:
    """ASTM B258: No. 36 has 0.005 in, No. 4/0 has 0.46 in, both exactly (from memory)."""
    assert gauge_diameter(number=36) == pytest.approx(0.005 * 25.4e-3, rel=1e-12)
    assert gauge_diameter(number=-3) == pytest.approx(0.46 * 25.4e-3, rel=1e-12)


# IEC 60228, class 2: greatest resistance of a plain copper conductor at 20 °C [Ω/km] (from memory).
@pytest.mark.parametrize(("square", "most"), [(0.75, 24.5), (1.0, 18.1), (1.5, 12.1), (2.5, 7.41), (4.0, 4.61)])
def test_a_nominal_conductor_lies_below_what_the_standard_allows(square: float, most: float) -> None:
    found = conductor_resistance(conductor_length=1000.0, section=square * 1e-6, temperature=ZERO + 20.0)
    assert 0.90 * most < found < most


def test_copper_has_a_fifth_more_at_75_degrees() -> None:
    """1 + 0.00393 · 55 = 1.216 (IEC 60028, from memory)."""
    at = {celsius: conductor_resistance(conductor_length=1.0, section=1e-6, temperature=ZERO + celsius)
          for celsius in (20.0, 75.0)}  # fmt: skip
    assert at[75.0] / at[20.0] == pytest.approx(1.216, abs=0.0005)


DESIGN = """
[input]
voltage = "12 V"
[output]
voltage = "5 V"
load = "1 A"
[wiring]
%s
[[parts]]
name = "R1"
kind = "resistor"
pins = { a = "in", b = "out" }
resistance = "7 Ω"
"""


def test_leads_are_read_by_section_and_by_gauge() -> None:
    lines = 'supply = { length = "80 cm", section = "2.5 mm²" }\nload = { length = "2 m", gauge = 16 }'
    leads = read_text(DESIGN % lines, "a.toml").wiring
    assert (leads["supply"].length, leads["supply"].section) == pytest.approx((0.8, 2.5e-6))
    assert leads["load"].section == pytest.approx(1.309e-6, rel=1e-3)
    assert leads["load"].gauge == 16


@pytest.mark.parametrize(("line", "told"), [
    ('load = { length = "2 m" }', "a section or a gauge"),
    ('load = { length = "2 m", gauge = 16, section = "1 mm²" }', "not both"),
    ('load = { length = "2 m", section = "1 A" }', "1 A"),
    ('lode = { length = "2 m", gauge = 16 }', "lode"),
    ('load = { gauge = 16 }', "missing"),
    ('load = "2 m"', "a table is wanted"),
])  # fmt: skip
def test_a_lead_that_cannot_be_is_told_at_its_place(line: str, told: str) -> None:
    with pytest.raises(WrongInput) as wrong:
        read_text(DESIGN % line, "a.toml")
    assert len(wrong.value.mistakes) == 1
    assert told in str(wrong.value.mistakes[0]) and wrong.value.mistakes[0].line == 8
