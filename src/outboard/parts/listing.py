"""The catalogue as rows of text: what `parts list`, `parts show` and `parts check` print."""

from collections.abc import Iterable
from dataclasses import dataclass

from outboard.parts.dimensions import CONDITIONS, FIGURES
from outboard.parts.ratings import Ratings, ratings
from outboard.parts.records import SYMBOLS, Conditions, Figure, PartType
from outboard.quantity import CURRENT, POWER, THERMAL_RESISTANCE, VOLTAGE, Dimension, shown
from outboard.sources import cited

_CONDITION_SYMBOLS = {
    "collector_current": "I_C", "collector_emitter_voltage": "V_CE", "base_current": "I_B",
    "collector_base_voltage": "V_CB", "base_emitter_voltage": "V_BE", "emitter_base_voltage": "V_EB",
    "base_emitter_resistance": "R_BE", "forward_current": "I_F", "reverse_current": "I_R", "reverse_voltage": "V_R",
    "on_state_current": "I_T",
    "drain_current": "I_D", "gate_source_voltage": "V_GS", "drain_source_voltage": "V_DS", "input_voltage": "V_I",
    "output_voltage": "V_O", "output_current": "I_O", "differential_voltage": "V_I − V_O",
    "adjust_capacitance": "C_ADJ", "capacitance": "C", "rated_voltage": "V rated", "resistance": "R",
    "ripple_current": "I_r", "length": "length", "temperature_rise": "rise", "air_speed": "air",
    "junction_temperature": "T_J", "case_temperature": "T_C", "lead_temperature": "T_L",
    "ambient_temperature": "T_A", "pulse_duration": "t_p", "frequency": "f", "power": "P ≤",
}  # fmt: skip


MOST_MEMBERS = 8
"""How many members of a family are listed by name."""

_WORDS = {"V_diff": "V_I − V_O"}
"""Ratings that are listed in other words than their keys."""


@dataclass(frozen=True, slots=True)
class ListRow:
    """One type in the list: name, kind, polarity, packages, headline ratings, what else it answers to.

    `inside` is what the package holds besides the one device that its kind names.
    """

    name: str
    kind: str
    polarity: str
    packages: str
    ratings: str
    description: str
    also: str
    inside: str = ""


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One printed figure: values as text with units, conditions in words, how far to trust it, the document."""

    symbol: str
    least: str
    typical: str
    most: str
    conditions: str
    kind: str
    source: str
    citation: str
    note: str


def list_rows(types: Iterable[PartType]) -> tuple[ListRow, ...]:
    """One row for each type."""
    return tuple(
        ListRow(
            name=part.name,
            kind=part.kind,
            polarity=(part.polarity or "").upper() if part.kind == "bipolar" else part.polarity or "",
            packages=", ".join(part.packages),
            ratings=_headline(ratings(part), part) or _stock_headline(part),
            description=part.description,
            also=", ".join((*part.aliases, *_families(part.members))),
            inside=part.inside or "",
        )
        for part in types
    )


def _families(members: tuple[str, ...]) -> tuple[str, ...]:
    """The members of a family; of many the first and the last."""
    return members if len(members) <= MOST_MEMBERS else (f"{members[0]} … {members[-1]}",)


def figure_rows(part: PartType) -> tuple[FigureRow, ...]:
    """One row for each figure of a type, in the order of its table."""
    return tuple(_figure_row(figure) for figure in part.figures)


def conditions_in_words(conditions: Conditions) -> str:
    """“I_C = 4 A, V_CE = 4 V, T_C = 25 °C, non-repetitive”."""
    pieces = []
    for name, value in conditions.given.items():
        if isinstance(value, str):
            pieces.append(f"group {value}" if name == "group" else value)
        else:
            ends = value if isinstance(value, tuple) else (value, value)
            words = _range(*ends, CONDITIONS[name])
            symbol = _CONDITION_SYMBOLS[name]
            pieces.append(f"{symbol} {words}" if symbol.endswith("≤") else f"{symbol} = {words}")
    return ", ".join(pieces)


def _figure_row(figure: Figure) -> FigureRow:
    dimension = FIGURES[figure.name]
    sides = [side for side in ("least", "typical", "most") if getattr(figure, side) is not None]
    return FigureRow(
        symbol=SYMBOLS.get(figure.name, figure.name),
        least=_text(figure.least, dimension),
        typical=_text(figure.typical, dimension),
        most=_text(figure.most, dimension),
        conditions=conditions_in_words(figure.conditions),
        kind=", ".join(dict.fromkeys(figure.kind(side) for side in sides)),
        source=figure.source,
        citation=cited(figure.source).citation,
        note=figure.note,
    )


def _stock_headline(part: PartType) -> str:
    """Thermal resistance of a sink or a bare package, the powers of a resistor series, the voltages of capacitors."""
    if part.kind == "resistor":
        powers = sorted({row.most for row in part.rows("P_rated") if row.most is not None})
        return _range(powers[0], powers[-1], POWER)
    if part.kind == "capacitor":
        ends = [ends for row in part.figures if (ends := row.conditions.rated_voltage) is not None]
        return _range(min(end[0] or end[1] for end in ends), max(end[1] for end in ends), VOLTAGE)
    name = "Rth" if part.kind == "heat sink" else "RthJA"
    values = [row.most or row.typical for row in part.rows(name)]
    worst = max((value for value in values if value is not None), default=None)
    return "" if worst is None else f"{SYMBOLS[name]} {shown(worst, THERMAL_RESISTANCE)}"


def _range(low: float, high: float, dimension: Dimension) -> str:
    """“1 W to 3 W”; one value where both ends are the same."""
    texts = dict.fromkeys(shown(end, dimension, zeros=False) for end in (low, high))
    return " to ".join(texts)


def _text(value: float | None, dimension: Dimension) -> str:
    return "" if value is None else shown(value, dimension, digits=4, zeros=False)


def _headline(rated: Ratings, part: PartType) -> str:
    """The ratings a person chooses by; power in free air where none at the case is printed."""
    wanted = (
        ("V_CEO", VOLTAGE), ("I_C", CURRENT), ("V_DSS", VOLTAGE), ("I_D", CURRENT), ("P_tot", POWER),
        ("V_I", VOLTAGE), ("V_diff", VOLTAGE), ("I_O", CURRENT), ("V_RRM", VOLTAGE), ("I_F", CURRENT),
        ("P_PP", POWER), ("V_DRM", VOLTAGE), ("I_T", CURRENT), ("I_TSM", CURRENT),
    )  # fmt: skip
    present = [(_WORDS.get(symbol, symbol), rated[symbol].value, kind) for symbol, kind in wanted if symbol in rated]
    texts = [f"{symbol} {shown(value, kind, zeros=False)}" for symbol, value, kind in present]
    package = part.packages[0] if part.packages else None
    free = [row.most for row in part.rows("Ptot_TA")
            if row.most is not None and row.conditions.package in (None, package)]  # fmt: skip
    if "P_tot" not in rated and free:
        texts.append(f"P_tot in free air {shown(min(free), POWER, zeros=False)}")
    return ", ".join(texts)
