"""What a hand equation is: its text, its function, its symbols with units, where it holds, where it comes from.

A formula is written as a plain function whose annotations are symbols of the vocabulary:

    @formula("R1 = V_BE / I_h", validity="…", source="Floyd-17.7")
    def base_resistor_for_handover(*, base_emitter_voltage: V_BE, handover_current: I_h) -> R1:
        \"\"\"Base resistor that lets the transistor start at a chosen regulator current.\"\"\"
        return base_emitter_voltage / handover_current

so the symbols, the parameters and the units cannot drift apart.
"""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Generic, ParamSpec, get_type_hints

from outboard.errors import OutboardError
from outboard.formulas.written import put_in, written
from outboard.sources import source as document

P = ParamSpec("P")


class NoSolution(OutboardError):
    """No value of the wanted quantity exists for these numbers; the text says why and what would help."""


@dataclass(frozen=True, slots=True)
class Symbol:
    """One letter of a formula: how it is written, its unit, what it means, which parameter carries it."""

    name: str
    dimension: str
    meaning: str
    parameter: str = ""


@dataclass(frozen=True, slots=True)
class Formula(Generic[P]):
    """One hand equation; call it with SI numbers by name, or ask for it `evaluated`, with its working shown."""

    key: str
    title: str
    text: str
    compute: Callable[P, float]
    symbols: tuple[Symbol, ...]
    result: Symbol
    validity: str
    source: str

    def __post_init__(self) -> None:
        if not self.source:
            raise ValueError(f"{self.key}: a formula without a source is refused")
        try:
            document(self.source)
        except KeyError:
            raise ValueError(f"{self.key}: no document has the key {self.source!r}") from None

    def __call__(self, *args: P.args, **numbers: P.kwargs) -> float:
        """The value alone, SI in and SI out."""
        return self.compute(*args, **numbers)

    def evaluated(self, *args: P.args, **numbers: P.kwargs) -> "Worked":
        """The formula with numbers put in."""
        bound = inspect.signature(self.compute).bind(*args, **numbers)
        bound.apply_defaults()
        return Worked(self, dict(bound.arguments), self.compute(*args, **numbers))


@dataclass(frozen=True, slots=True)
class Worked:
    """A formula with the numbers that were put in and the value that came out, all SI."""

    formula: Formula[Any]
    numbers: Mapping[str, float]
    value: float

    @property
    def text(self) -> str:
        """Formula, numbers put in, value: "R1 = V_BE / I_h = 650 mV / 300 mA = 2.17 Ω"."""
        formula = self.formula
        expression = formula.text.partition("=")[2].strip()
        pieces = {symbol.name: written(self.numbers[symbol.parameter], symbol.dimension) for symbol in formula.symbols}
        return f"{formula.text} = {put_in(expression, pieces)} = {written(self.value, formula.result.dimension, 3)}"


def formula(text: str, *, validity: str, source: str) -> Callable[[Callable[P, float]], Formula[P]]:
    """Make a formula of a function whose annotations are symbols; its name is the key, its docstring the title."""

    def made(compute: Callable[P, float]) -> Formula[P]:
        hints = get_type_hints(compute, include_extras=True)
        result = _symbol(hints.pop("return"), "")
        symbols = tuple(_symbol(hint, parameter) for parameter, hint in hints.items())
        title = (inspect.getdoc(compute) or "").partition(" [")[0]
        return Formula(compute.__name__, title, text, compute, symbols, result, validity, source)

    return made


def _symbol(hint: Any, parameter: str) -> Symbol:
    """The symbol that an annotation of the vocabulary carries, tied to its parameter."""
    symbol: Symbol = hint.__metadata__[0]
    return replace(symbol, parameter=parameter)
