"""The catalogue as rows of text: what `parts list`, `parts show` and `parts check` print."""

from collections.abc import Iterable
from dataclasses import dataclass

from outboard.parts.dimensions import CONDITIONS, FIGURES
from outboard.parts.ratings import Ratings, ratings
from outboard.parts.records import SYMBOLS, Conditions, Figure, PartType
from outboard.quantity import CURRENT, POWER, VOLTAGE, Dimension, shown
from outboard.sources import cited

_CONDITION_SYMBOLS = {
    "collector_current": "I_C", "collector_emitter_voltage": "V_CE", "base_current": "I_B",
    "collector_base_voltage": "V_CB", "base_emitter_voltage": "V_BE", "emitter_base_voltage": "V_EB",
    "base_emitter_resistance": "R_BE", "forward_current": "I_F", "reverse_voltage": "V_R", "input_voltage": "V_I",
    "output_current": "I_O", "differential_voltage": "V_I − V_O", "junction_temperature": "T_J",
    "case_temperature": "T_C", "ambient_temperature": "T_A", "pulse_duration": "t_p", "frequency": "f",
    "power": "P ≤",
}  # fmt: skip


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
            ratings=_headline(ratings(part), part),
            description=part.description,
            also=", ".join((*part.aliases, *part.members)),
            inside=part.inside or "",
        )
        for part in types
    )


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
            texts = [shown(end, CONDITIONS[name], zeros=False) for end in ends]
            words = texts[0] if ends[0] == ends[1] else f"{texts[0]} to {texts[1]}"
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


def _text(value: float | None, dimension: Dimension) -> str:
    return "" if value is None else shown(value, dimension, digits=4, zeros=False)


def _headline(rated: Ratings, part: PartType) -> str:
    """The ratings a person chooses by; power in free air where none at the case is printed."""
    wanted = (
        ("V_CEO", VOLTAGE), ("I_C", CURRENT), ("P_tot", POWER), ("V_I", VOLTAGE), ("I_O", CURRENT),
        ("V_RRM", VOLTAGE), ("I_F", CURRENT),
    )  # fmt: skip
    present = [(symbol, rated[symbol].value, kind) for symbol, kind in wanted if symbol in rated]
    texts = [f"{symbol} {shown(value, kind, zeros=False)}" for symbol, value, kind in present]
    package = part.packages[0] if part.packages else None
    free = [row.most for row in part.rows("Ptot_TA")
            if row.most is not None and row.conditions.package in (None, package)]  # fmt: skip
    if "P_tot" not in rated and free:
        texts.append(f"P_tot in free air {shown(min(free), POWER, zeros=False)}")
    return ", ".join(texts)
