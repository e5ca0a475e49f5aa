"""What a type stands, as verdicts need it: one value for each rating, with where it comes from.

Makers print different figures for the same plain number, and a part bought by that number is only sure to meet the
weakest of them.  So the lowest of several voltage, current and power ratings counts, and the highest of several
thermal resistances and leakages.  A figure that nobody prints is absent.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.parts.records import Figure, Origin, PartType, printed
from outboard.parts.stock import package_resistance


@dataclass(frozen=True, slots=True)
class Rating:
    """One rating: its value in SI, where it comes from, and the figure behind it."""

    value: float
    origin: Origin
    figure: Figure


Ratings = Mapping[str, Rating]
"""Ratings by letter symbol.

Transistors: V_CEO V_CER V_CES V_CEX V_CBO V_EBO I_C I_C_peak I_B P_tot T_J R_thJC R_thJA I_Sb.
Regulators: V_I I_O V_O_least V_O_most dropout_typical dropout_guaranteed T_J R_thJC R_thJA.
Diodes: V_RRM I_F I_FSM V_F I_R T_J R_thJA R_thJL.
"""

_LOWEST = {
    "V_CEO": "VCEO", "V_CER": "VCER", "V_CES": "VCES", "V_CEX": "VCEX", "V_CBO": "VCBO", "V_EBO": "VEBO",
    "I_C": "IC_cont", "I_C_peak": "IC_peak", "I_B": "IB_max", "T_J": "TJ_max", "V_I": "VI_max", "V_RRM": "VRRM",
    "I_F": "IF_AV", "I_FSM": "IFSM",
}  # fmt: skip
_HIGHEST = {"R_thJC": "RthJC", "R_thJA": "RthJA", "R_thJL": "RthJL", "V_F": "VF"}


def ratings(part_type: PartType, package: str | None = None) -> Ratings:
    """The ratings of a type in one of its packages (the first when none is named)."""
    chosen = package or (part_type.packages[0] if part_type.packages else None)

    def rows(name: str) -> list[Figure]:
        return [row for row in part_type.rows(name) if row.conditions.package in (None, chosen)]

    found: dict[str, Rating] = {}
    for symbol, name in _LOWEST.items():
        found |= _extreme(min, symbol, rows(name), part_type.name)
    for symbol, name in _HIGHEST.items():
        found |= _extreme(max, symbol, rows(name), part_type.name)
    at_25 = [row for row in rows("Ptot") if row.conditions.case_temperature == REFERENCE_TEMPERATURE]
    found |= _extreme(min, "P_tot", at_25, part_type.name)
    cold = [row for row in rows("IR") if row.conditions.temperature == REFERENCE_TEMPERATURE]
    found |= _extreme(max, "I_R", cold, part_type.name)
    found |= _extreme(min, "I_Sb", rows("IS_b"), part_type.name)
    if "R_thJA" not in found and chosen is not None:
        found |= _bare_package(chosen)
    found |= dict(_regulator(part_type))
    return MappingProxyType(found)


def output_row(part_type: PartType) -> Figure | None:
    """The V_O row of a regulator that holds over the operating range: the widest one in current, then in input."""
    rows = [row for row in part_type.rows("VO") if row.conditions.output_current and row.conditions.input_voltage]
    return max(rows, key=lambda row: (_width(row.conditions.output_current), _width(row.conditions.input_voltage)),
               default=None)  # fmt: skip


def _width(ends: tuple[float, float] | None) -> float:
    return ends[1] - ends[0] if ends else 0.0


def _side(figure: Figure) -> str:
    """The side of a rating that counts: the limit when one is printed, else the typical value."""
    return "most" if figure.most is not None else "least" if figure.least is not None else "typical"


def _value(figure: Figure) -> float:
    value: float = getattr(figure, _side(figure))
    return value


def _extreme(choose: Callable[..., Figure], symbol: str, rows: Iterable[Figure], part: str) -> Mapping[str, Rating]:
    """The lowest or highest of several printed values, as a rating; nothing when nothing is printed."""
    rows = list(rows)
    if not rows:
        return {}
    figure = choose(rows, key=_value)
    return {symbol: Rating(_value(figure), printed(figure, _side(figure), part), figure)}


def _bare_package(package: str) -> Mapping[str, Rating]:
    figure = package_resistance(package)
    if figure is None:
        return {}
    kind = figure.kind(_side(figure))
    origin = Origin(kind, figure.source, f"{kind}: R_thJA of a bare {package}")
    return {"R_thJA": Rating(_value(figure), origin, figure)}


def _regulator(part_type: PartType) -> Iterator[tuple[str, Rating]]:
    """Guaranteed current, guaranteed output band and drop-out of a regulator."""
    yield from _guaranteed_current(part_type)
    row = output_row(part_type)
    if row is not None and row.least is not None and row.most is not None:
        yield "V_O_least", Rating(row.least, printed(row, "least", part_type.name), row)
        yield "V_O_most", Rating(row.most, printed(row, "most", part_type.name), row)
        if row.typical is not None and row.conditions.input_voltage is not None:
            words = f"limit: least input less usual output in the V_O row of {part_type.name}"
            headroom = row.conditions.input_voltage[0] - row.typical
            yield "dropout_guaranteed", Rating(headroom, Origin(row.kind("least"), row.source, words), row)
    figure = max(part_type.rows("dropout"), key=lambda drop: (drop.conditions.output_current or (0.0, 0.0))[1],
                 default=None)  # fmt: skip
    if figure is not None and figure.typical is not None:
        yield "dropout_typical", Rating(figure.typical, printed(figure, "typical", part_type.name), figure)


def _guaranteed_current(part_type: PartType) -> Iterator[tuple[str, Rating]]:
    """The largest current with a guaranteed figure: the rated current, else the V_O row, else load regulation."""
    rated = [row for row in part_type.rows("IO_rated") if row.least is not None]
    if rated and rated[0].least is not None:
        words = f"limit: printed guaranteed output current of {part_type.name}"
        yield "I_O", Rating(rated[0].least, Origin(rated[0].kind("least"), rated[0].source, words), rated[0])
        return
    row = output_row(part_type)
    name = "V_O row over the operating range"
    if row is None:
        loaded = [figure for figure in part_type.rows("load_reg") if figure.conditions.output_current]
        row = max(loaded, key=lambda figure: (figure.conditions.output_current or (0.0, 0.0))[1], default=None)
        name = "load-regulation row"
    if row is not None and row.conditions.output_current is not None:
        words = f"limit: largest current of the {name} of {part_type.name}"
        yield "I_O", Rating(row.conditions.output_current[1], Origin(row.kind("most"), row.source, words), row)
