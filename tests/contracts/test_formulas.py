"""What every formula promises: a source, a text that says what the function does, symbols, right units."""

import inspect
import math
import random
import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from importlib.resources import files
from typing import Annotated, Any

import pytest

import outboard.formulas
from outboard.formulas import SUBJECTS, Formula, NoSolution, Symbol, formulas
from outboard.formulas.formula import formula
from outboard.formulas.junction import lambert_w
from outboard.formulas.written import put_in
from outboard.sources import source

FORMULAS = tuple(formulas().values())
HOW_READ = re.compile(r"\b(seen|seen second-hand|memory|derived)\b")
NOT_FORMULAS = {"derating_policies", "__init__", "formula", "vocabulary", "written"}

every_formula = pytest.mark.parametrize("entry", FORMULAS, ids=[entry.key for entry in FORMULAS])


# --- what a formula consists of ---------------------------------------------------------------------------------------


@every_formula
def test_source_resolves_and_says_how_it_was_read(entry):
    assert HOW_READ.search(source(entry.source).page)


@every_formula
def test_text_mentions_every_symbol_and_begins_with_the_result(entry):
    left, _, right = entry.text.partition(" = ")
    assert left == entry.result.name
    for symbol in entry.symbols:
        assert put_in(right, {symbol.name: "?"}) != right, symbol.name


@every_formula
def test_parameters_are_the_symbols_and_are_given_by_name(entry):
    parameters = inspect.signature(entry.compute).parameters
    assert tuple(parameters) == tuple(symbol.parameter for symbol in entry.symbols)
    assert {parameter.kind for parameter in parameters.values()} <= {inspect.Parameter.KEYWORD_ONLY}
    assert len({symbol.name for symbol in entry.symbols}) == len(entry.symbols)


@every_formula
def test_words_are_there(entry):
    assert entry.title and entry.validity
    assert all(symbol.meaning and symbol.dimension for symbol in (*entry.symbols, entry.result))
    promised = {"K": "K inside", "°C": "K inside"}.get(entry.result.dimension, entry.result.dimension)
    assert f"{entry.title} [{promised}]" in entry.compute.__doc__


def test_subjects_are_the_modules():
    modules = {
        file.name.removesuffix(".py") for file in files(outboard.formulas).iterdir() if file.name.endswith(".py")
    }
    assert modules - NOT_FORMULAS == set(SUBJECTS)


def test_key_finds_the_formula():
    assert all(outboard.formulas.find(key) is entry and entry.key == key for key, entry in formulas().items())
    with pytest.raises(KeyError):
        outboard.formulas.find("no such formula")


def test_every_equation_source_says_how_it_was_read_and_has_no_address():
    text = files("outboard.sources").joinpath("equations.toml").read_text(encoding="utf-8")
    assert "http" not in text and "www" not in text
    for key, fields in tomllib.loads(text).items():
        assert HOW_READ.search(fields["page"]), key


@pytest.mark.parametrize("key", ["", "no such document"])
def test_a_formula_without_a_source_is_refused(key):
    length = Annotated[float, Symbol("a", "m", "length")]
    with pytest.raises(ValueError, match=r"without a source|no document has the key"):

        @formula("a = a", validity="always", source=key)
        def nothing(*, value: length) -> length:
            """Nothing [m]."""
            return value


# --- text, function and units agree -----------------------------------------------------------------------------------


def drawn(entry: Formula[Any], seed: int) -> tuple[dict[str, float], float]:
    """Numbers for a formula, between 0.1 and 10, for which it has a value other than zero; and that value."""
    source_of_numbers = random.Random(f"{entry.key} {seed}")
    for _ in range(1000):
        numbers = {symbol.parameter: 10 ** source_of_numbers.uniform(-1, 1) for symbol in entry.symbols}
        try:
            value = entry(**numbers)
        except (NoSolution, ValueError):
            continue
        if value and math.isfinite(value):
            return numbers, value
    raise AssertionError(f"{entry.key}: no numbers found for which it has a value")


NAMES: Mapping[str, Any] = {
    "max": max, "min": min, "exp": math.exp, "ln": math.log, "log10": math.log10, "sqrt": math.sqrt, "ceil": math.ceil,
    "coth": lambda x: 1 / math.tanh(x), "W": lambert_w, "π": math.pi,
}  # fmt: skip
SIGNS = {
    "·": "*",
    "−": "-",
    "^": "**",
    ";": ",",
    "√": "sqrt",
    "⌈": "ceil(",
    "⌉": ")",
    "²": "**2",
    "³": "**3",
    "⁴": "**4",
}


def value_of_text(entry: Formula[Any], numbers: Mapping[str, float]) -> float:
    """The value of the written expression, read as arithmetic."""
    pieces = {symbol.name: f"({numbers[symbol.parameter]!r})" for symbol in entry.symbols}
    expression = put_in(entry.text.partition(" = ")[2], pieces)
    for sign, meaning in SIGNS.items():
        expression = expression.replace(sign, meaning)
    return float(eval(expression, {"__builtins__": {}}, dict(NAMES)))


@every_formula
def test_text_says_what_the_function_computes(entry):
    for seed in range(20):
        numbers, value = drawn(entry, seed)
        assert value_of_text(entry, numbers) == pytest.approx(value, rel=1e-9), numbers


BASE = ("V", "A", "K", "m", "s")
UNITS: Mapping[str, Mapping[str, int]] = {
    **{unit: {unit: 1} for unit in BASE},
    "1": {}, "°C": {"K": 1}, "Ω": {"V": 1, "A": -1}, "W": {"V": 1, "A": 1},
    "A²s": {"A": 2, "s": 1}, "F": {"A": 1, "s": 1, "V": -1}, "J": {"V": 1, "A": 1, "s": 1},
}  # fmt: skip
POWERS = {"²": 2, "³": 3, "⁴": 4}


def exponents(unit: str) -> dict[str, Fraction]:
    """A unit such as W/(m²·K) as powers of the base units."""
    found = dict.fromkeys(BASE, Fraction(0))
    above, _, below = unit.partition("/")
    for side, sign in ((above, 1), (below.strip("()"), -1)):
        for factor in filter(None, side.split("·")):
            power = POWERS.get(factor[-1], 1)
            for base, times in UNITS[factor[:-1] if factor[-1] in POWERS else factor].items():
                found[base] += sign * power * times
    return found


def mismatch(entry: Formula[Any], seed: int) -> float:
    """Relative error when all base units are changed at once: zero when the units of the formula are right."""
    numbers, value = drawn(entry, seed)
    source_of_scales = random.Random(seed)
    scales = {base: 2.0 ** source_of_scales.choice([-3, -2, -1, 1, 2, 3]) for base in BASE}

    def scale(unit: str) -> float:
        return math.prod(scales[base] ** float(power) for base, power in exponents(unit).items())

    changed = entry(
        **{symbol.parameter: numbers[symbol.parameter] * scale(symbol.dimension) for symbol in entry.symbols}
    )
    return abs(changed / (value * scale(entry.result.dimension)) - 1)


@every_formula
def test_units_come_out_right(entry):
    assert max(mismatch(entry, seed) for seed in range(20)) < 1e-9


@pytest.mark.parametrize("wrong", ["A", "V", "Ω/K", "1"])
def test_wrong_units_are_noticed(wrong):
    entry = outboard.formulas.find("base_resistor_for_handover")
    assert mismatch(entry, 1) < 1e-9
    assert mismatch(replace(entry, result=replace(entry.result, dimension=wrong)), 1) > 0.1


# --- a formula with its working ---------------------------------------------------------------------------------------


def test_working_shows_formula_numbers_and_value():
    worked = outboard.formulas.find("base_resistor_for_handover").evaluated(
        base_emitter_voltage=0.65, handover_current=0.30
    )
    assert worked.value == pytest.approx(0.65 / 0.30)
    assert worked.text == "R1 = V_BE / I_h = 650 mV / 300 mA = 2.17 Ω"


def test_working_shows_temperatures_in_celsius_and_brackets_where_needed():
    worked = outboard.formulas.find("derated_power").evaluated(
        rated_power=115.0, slope=0.657, case_temperature=373.15, reference_temperature=298.15
    )
    assert worked.text.endswith("= max(0; 115 W − (0.657 W/K)·max(0; 100 °C − 25 °C)) = 65.7 W")


@every_formula
def test_working_leaves_no_letter_behind(entry):
    numbers, value = drawn(entry, 0)
    worked = entry.evaluated(**numbers)
    assert worked.value == value
    put = worked.text.removeprefix(entry.text)
    for symbol in entry.symbols:
        if symbol.name not in UNITS and symbol.name not in NAMES:
            assert put_in(put, {symbol.name: "?"}) == put, symbol.name


def test_defaults_are_shown_too():
    worked = outboard.formulas.find("most_base_resistor").evaluated(base_emitter_voltage=0.4, quiescent_current=8e-3)
    assert worked.numbers["leakage_current"] == 0.0
    assert worked.text == "R1,max = V_BE,hot / (I_Q,max + I_CBO,hot) = 400 mV / (8 mA + 0 A) = 50 Ω"
