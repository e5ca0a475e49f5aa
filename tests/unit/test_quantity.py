"""Units at the door: what is read, what is refused and how it is shown."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outboard.quantity import (
    CAPACITANCE,
    CONDUCTANCE,
    CURRENT,
    DIMENSIONS,
    ENERGY_EV,
    FREQUENCY,
    HEAT_CAPACITY,
    INDUCTANCE,
    LENGTH,
    NUMBER,
    PER_KELVIN,
    PER_VOLT,
    POWER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    THERMAL_RESISTANCE,
    TIME,
    TRANSCONDUCTANCE,
    VOLT_PER_KELVIN,
    VOLTAGE,
    Dimension,
    QuantityMistake,
    marked_resistance,
    parse,
    pattern,
    shown,
)

WRITTEN: list[tuple[object, Dimension, float]] = [
    ("4.7 kΩ", RESISTANCE, 4700.0),
    ("4.7kΩ", RESISTANCE, 4700.0),
    ("4.7 k\u2126", RESISTANCE, 4700.0),  # the ohm sign, not the letter omega
    ("4.7 kohm", RESISTANCE, 4700.0),
    ("4.7 kohms", RESISTANCE, 4700.0),
    ("4.7 kR", RESISTANCE, 4700.0),
    ("4.7 k", RESISTANCE, 4700.0),
    ("4.7 MΩ", RESISTANCE, 4.7e6),
    ("4.7 mΩ", RESISTANCE, 4.7e-3),
    ("47R", RESISTANCE, 47.0),
    ("47 R", RESISTANCE, 47.0),
    ("47 ohm", RESISTANCE, 47.0),
    ("0", RESISTANCE, 0.0),
    (47, RESISTANCE, 47.0),
    (0.1, RESISTANCE, 0.1),
    ("100n", CAPACITANCE, 100e-9),
    ("100 nF", CAPACITANCE, 100e-9),
    ("10 uF", CAPACITANCE, 10e-6),
    ("10 \u00b5F", CAPACITANCE, 10e-6),  # micro sign
    ("10 \u03bcF", CAPACITANCE, 10e-6),  # Greek mu
    ("10 µH", INDUCTANCE, 10e-6),
    ("85 °C", TEMPERATURE, 358.15),
    ("25C", TEMPERATURE, 298.15),
    ("−10 °C", TEMPERATURE, 263.15),
    ("300 K", TEMPERATURE, 300.0),
    ("0 K", TEMPERATURE, 0.0),
    ("10 K", TEMPERATURE_DIFFERENCE, 10.0),
    (8, TEMPERATURE_DIFFERENCE, 8.0),
    ("2 K/W", THERMAL_RESISTANCE, 2.0),
    ("2 °C/W", THERMAL_RESISTANCE, 2.0),
    ("50 J/K", HEAT_CAPACITY, 50.0),
    ("10 %", RATIO, 0.1),
    ("10%", RATIO, 0.1),
    (0.1, RATIO, 0.1),
    ("0.1", RATIO, 0.1),
    ("−5 V", VOLTAGE, -5.0),
    ("-5 V", VOLTAGE, -5.0),
    ("+5V", VOLTAGE, 5.0),
    (" 5\u00a0V ", VOLTAGE, 5.0),  # no-break space
    (".5 V", VOLTAGE, 0.5),
    ("5. V", VOLTAGE, 5.0),
    ("1e-3 A", CURRENT, 1e-3),
    ("1e−3 A", CURRENT, 1e-3),
    ("0.16 pA", CURRENT, 0.16e-12),
    ("330 mA", CURRENT, 0.33),
    ("10 s", TIME, 10.0),
    ("2 min", TIME, 120.0),
    ("1 h", TIME, 3600.0),
    ("100 µs", TIME, 1e-4),
    ("50 Hz", FREQUENCY, 50.0),
    ("1.2 MHz", FREQUENCY, 1.2e6),
    ("5 W", POWER, 5.0),
    ("100 ppm/K", PER_KELVIN, 1e-4),
    ("1e-4 1/K", PER_KELVIN, 1e-4),
    (-8e-5, PER_KELVIN, -8e-5),
    ("−2.1 mV/K", VOLT_PER_KELVIN, -2.1e-3),
    ("6.5 A/V²", TRANSCONDUCTANCE, 6.5),
    ("6.5 A/V^2", TRANSCONDUCTANCE, 6.5),
    ("20 mS", CONDUCTANCE, 0.02),
    ("0.03 mA/V", CONDUCTANCE, 0.03e-3),
    ("0.018 %/V", PER_VOLT, 0.00018),
    ("3 mm", LENGTH, 3e-3),
    (1.11, ENERGY_EV, 1.11),
    ("1.11 eV", ENERGY_EV, 1.11),
    ("30", NUMBER, 30.0),
]

# IEC 60062, letter and digit code for values (from memory), and the same way of writing on capacitors and coils.
MARKED: list[tuple[object, Dimension, float]] = [
    ("4R7", RESISTANCE, 4.7),
    ("R47", RESISTANCE, 0.47),
    ("0R22", RESISTANCE, 0.22),
    ("0R1", RESISTANCE, 0.1),
    ("R10", RESISTANCE, 0.1),
    ("4k7", RESISTANCE, 4700.0),
    ("4K7", RESISTANCE, 4700.0),
    ("1M0", RESISTANCE, 1e6),
    ("10M", RESISTANCE, 10e6),
    ("4m7", RESISTANCE, 4.7e-3),
    ("2G2", RESISTANCE, 2.2e9),
    ("59R04", RESISTANCE, 59.04),
    ("4k7 Ω", RESISTANCE, 4700.0),
    ("4µ7", CAPACITANCE, 4.7e-6),
    ("4u7", CAPACITANCE, 4.7e-6),
    ("p10", CAPACITANCE, 0.1e-12),
    ("3p32", CAPACITANCE, 3.32e-12),
    ("33n2", CAPACITANCE, 33.2e-9),
    ("4n7F", CAPACITANCE, 4.7e-9),
    ("4µ7", INDUCTANCE, 4.7e-6),
]


@pytest.mark.parametrize(("text", "dimension", "value"), WRITTEN + MARKED)
def test_reads_what_people_write(text: object, dimension: Dimension, value: float) -> None:
    assert parse(text, dimension) == value
    if isinstance(text, str):
        assert re.fullmatch(pattern(dimension), text.strip()), "the pattern for editors refuses it"


REFUSED = [
    ("4,7 kΩ", RESISTANCE, "comma", "4.7 kΩ"),
    ("1,000 Ω", RESISTANCE, "comma", "1000 Ω or 1.000 Ω"),
    ("5 A", VOLTAGE, "is a current", "12 V"),
    ("12 V", RESISTANCE, "is a voltage", "4.7 kΩ"),
    ("2 K/W", TEMPERATURE_DIFFERENCE, "is a thermal resistance", "10 K"),
    ("12 V", RATIO, "is a voltage", "5 %"),
    ("30 %", NUMBER, "is a ratio", "4"),
    ("10 °C", TEMPERATURE_DIFFERENCE, "not a difference", "10 K"),
    ("25", TEMPERATURE, "may be °C or K", "25 °C"),
    (25, TEMPERATURE, "may be °C or K", "25 °C"),
    ("-300 °C", TEMPERATURE, "below absolute zero", "25 °C"),
    ("-1 K", TEMPERATURE, "below absolute zero", "25 °C"),
    ("77 °F", TEMPERATURE, "no unit that is known", "25 °C"),
    ("5 v", VOLTAGE, "capitals count", "5 V"),
    ("5 ma", CURRENT, "capitals count", "5 mA"),
    ("5 KHz", FREQUENCY, "capitals count", "5 kHz"),
    ("300m", CURRENT, "prefix without a unit", "300 mA"),
    ("12-15 V", VOLTAGE, "more than one number", "12 V"),
    ("1 000 Ω", RESISTANCE, "more than one number", "4.7 kΩ"),
    ("12 V 5 A", VOLTAGE, "more than one number", "12 V"),
    ("twelve volts", VOLTAGE, "does not begin with a number", "12 V"),
    ("kΩ", RESISTANCE, "does not begin with a number", "4.7 kΩ"),
    ("–5 V", VOLTAGE, "does not begin with a number", "12 V"),  # a dash, not a minus sign
    ("3 furlongs", LENGTH, "no unit that is known", "3 mm"),
    ("", VOLTAGE, "empty", "12 V"),
    ("  ", VOLTAGE, "empty", "12 V"),
    ("nan", VOLTAGE, "does not begin with a number", "12 V"),
    ("inf V", VOLTAGE, "does not begin with a number", "12 V"),
    (math.nan, VOLTAGE, "not finite", "12 V"),
    (math.inf, VOLTAGE, "not finite", "12 V"),
    (10**400, VOLTAGE, "not finite", "12 V"),
    ("1e999 V", VOLTAGE, "beyond all numbers", "12 V"),
    ("1e99999999999 V", VOLTAGE, "beyond all numbers", "12 V"),
    ("9" * 300 + " V", VOLTAGE, "too long", "12 V"),
    (True, VOLTAGE, "“true” is no quantity", "12 V"),
    (None, VOLTAGE, "no quantity", "12 V"),
    ([1], VOLTAGE, "no quantity", "12 V"),
    ("٣ V", VOLTAGE, "does not begin with a number", "12 V"),  # figures of another script
]


@pytest.mark.parametrize(("text", "dimension", "what", "write"), REFUSED)
def test_refuses_and_says_what_to_write(text: object, dimension: Dimension, what: str, write: str) -> None:
    with pytest.raises(QuantityMistake) as caught:
        parse(text, dimension)
    assert what in caught.value.what
    assert caught.value.expected.startswith(dimension.phrase)
    assert caught.value.write == write
    for proposal in write.split(" or "):
        assert math.isfinite(parse(proposal, dimension))


def test_milli_and_mega_are_never_confused() -> None:
    assert parse("1 MA", CURRENT) == 1e6
    assert parse("1 mA", CURRENT) == 1e-3
    assert parse("1M", RESISTANCE) == 1e6
    assert parse("1m", RESISTANCE) == 1e-3


# Tolerance letters of IEC 60062 (from memory).
MARKINGS = [
    ("4K7J", 4700.0, 0.05),
    ("4R7K", 4.7, 0.1),
    ("R47F", 0.47, 0.01),
    ("1M0G", 1e6, 0.02),
    ("47KK", 47e3, 0.1),
    ("47K", 47e3, None),
    ("1M0M", 1e6, 0.2),
    ("100RB", 100.0, 0.001),
    ("100RC", 100.0, 0.0025),
    ("100RD", 100.0, 0.005),
    ("0R22J", 0.22, 0.05),
]


@pytest.mark.parametrize(("marking", "resistance", "tolerance"), MARKINGS)
def test_reads_the_marking_of_a_resistor(marking: str, resistance: float, tolerance: float | None) -> None:
    assert marked_resistance(marking) == (resistance, tolerance)


@pytest.mark.parametrize("marking", ["473", "R", "4K7X", "4X7", "", "K", "J", "4K7JJ", "4.7K"])
def test_refuses_what_is_no_marking(marking: str) -> None:
    with pytest.raises(QuantityMistake, match="no marking"):
        marked_resistance(marking)


SHOWN = [
    (4700.0, RESISTANCE, "4.7 kΩ"),
    (0.33, CURRENT, "330 mA"),
    (5.0, CURRENT, "5.00 A"),
    (263.15, TEMPERATURE, "−10 °C"),
    (346.25, TEMPERATURE, "73.1 °C"),
    (273.15, TEMPERATURE, "0 °C"),
    (12.0, VOLTAGE, "12.0 V"),
    (-0.65, VOLTAGE, "−650 mV"),
    (999.6, RESISTANCE, "1 kΩ"),
    (0.0, CURRENT, "0 A"),
    (-0.0, CURRENT, "0 A"),
    (4700e-6, CAPACITANCE, "4700 µF"),
    (100e-9, CAPACITANCE, "100 nF"),
    (0.05, RATIO, "5 %"),
    (-8e-5, PER_KELVIN, "−80 ppm/K"),
    (-2.1e-3, VOLT_PER_KELVIN, "−2.1 mV/K"),
    (0.7, THERMAL_RESISTANCE, "0.7 K/W"),
    (10.0, TEMPERATURE_DIFFERENCE, "10 K"),
    (30.0, NUMBER, "30"),
    (1.11, ENERGY_EV, "1.11 eV"),
]


@pytest.mark.parametrize(("value", "dimension", "text"), SHOWN)
def test_shows_figures_as_the_look_wants_them(value: float, dimension: Dimension, text: str) -> None:
    assert shown(value, dimension) == text


def test_trailing_zeros_on_request() -> None:
    assert shown(12.0, VOLTAGE, zeros=False) == "12 V"
    assert shown(4700.0, RESISTANCE, zeros=True) == "4.70 kΩ"


def test_what_is_no_number_is_not_shown() -> None:
    with pytest.raises(ValueError, match="no text"):
        shown(math.nan, VOLTAGE)


every_dimension = st.sampled_from(list(DIMENSIONS.values()))
magnitudes = st.floats(min_value=1e-18, max_value=1e15)


@given(every_dimension, magnitudes, st.booleans(), st.integers(1, 9))
def test_what_is_shown_reads_back(dimension: Dimension, value: float, negative: bool, digits: int) -> None:
    if dimension is TEMPERATURE:
        value = 273.15 + min(value, 2000.0) * (-0.1 if negative else 1.0)
    elif negative:
        value = -value
    back = parse(shown(value, dimension, digits), dimension)
    size = abs(value - 273.15) if dimension is TEMPERATURE else abs(value)
    rounding = 1e-6 if dimension is TEMPERATURE else 0.0
    assert abs(back - value) <= 0.5 * 10.0 ** (1 - digits) * size * (1 + 1e-9) + rounding


@given(every_dimension, magnitudes)
def test_what_is_shown_has_no_trailing_rubbish(dimension: Dimension, value: float) -> None:
    text = shown(value + 300.0 if dimension is TEMPERATURE else value, dimension)
    figures = text.split(" ")[0]
    assert "-" not in text
    assert sum(figure.isdigit() for figure in figures.split("e")[0].lstrip("−0.")) <= 9
    assert not figures.endswith(".")


@given(st.text(max_size=120), every_dimension)
def test_any_text_is_a_finite_number_or_a_mistake(text: str, dimension: Dimension) -> None:
    try:
        value = parse(text, dimension)
    except QuantityMistake as mistake:
        assert mistake.what and mistake.expected and mistake.write
        assert mistake.what.isprintable()
    else:
        assert math.isfinite(value)


@given(st.from_regex(r"[-+−]?[0-9]{1,4}(\.[0-9]{1,3})? ?[pnµumkKMRΩVAWCFH°%/]{0,4}", fullmatch=True), every_dimension)
def test_the_pattern_for_editors_agrees_with_reading(text: str, dimension: Dimension) -> None:
    try:
        parse(text, dimension)
    except QuantityMistake as mistake:
        readable = "absolute zero" in mistake.what
    else:
        readable = True
    assert bool(re.fullmatch(pattern(dimension), text)) == readable


@given(st.decimals(min_value="0.001", max_value=999, places=3), st.sampled_from("pnµmkMG"))
def test_a_prefix_is_exact(figures: object, prefix: str) -> None:
    """100 nF is the float 1e-7 and not its neighbour."""
    power = {"p": -12, "n": -9, "µ": -6, "m": -3, "k": 3, "M": 6, "G": 9}[prefix]
    assert parse(f"{figures} {prefix}V", VOLTAGE) == float(f"{figures}e{power}")
