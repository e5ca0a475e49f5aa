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
Field-effect transistors: V_DSS I_D I_D_peak V_GS P_tot T_J R_thJC R_thJA R_DS_on V_GS_th_least V_GS_th_most.
Regulators: V_I V_diff I_O I_O_min V_O_least V_O_most dropout_typical dropout_guaranteed T_J R_thJC R_thJA; V_diff is
the greatest input-output voltage, I_O_min the least load that every device needs; an adjustable one has V_REF_least
and V_REF_most instead of V_O.
Diodes: V_RRM I_F I_FSM V_F I_R P_tot T_J R_thJC R_thJA R_thJL; Zener diodes V_Z I_ZM, suppressors V_RWM V_C P_PP.
Thyristors: V_DRM I_T I_TSM I2t I_GT V_GT V_GD T_J R_thJC R_thJA; I_GT and V_GT are what fires every device, cold too,
V_GD what fires none, hot.
"""

_LOWEST = {
    "V_CEO": "VCEO", "V_CER": "VCER", "V_CES": "VCES", "V_CEX": "VCEX", "V_CBO": "VCBO", "V_EBO": "VEBO",
    "I_C": "IC_cont", "I_C_peak": "IC_peak", "I_B": "IB_max", "T_J": "TJ_max", "V_I": "VI_max", "V_RRM": "VRRM",
    "I_F": "IF_AV", "I_FSM": "IFSM", "V_DSS": "VDSS", "I_D_peak": "ID_peak", "V_GS": "VGS_max", "V_diff": "VDIFF_max",
    "I_ZM": "IZM", "P_PP": "PPP", "V_RWM": "VRWM", "V_Z": "VZ", "V_DRM": "VDRM", "I_T": "IT_RMS", "I_TSM": "ITSM",
    "I2t": "I2t", "V_GD": "VGD",
}  # fmt: skip
_HIGHEST = {
    "R_thJC": "RthJC", "R_thJA": "RthJA", "R_thJL": "RthJL", "V_F": "VF", "V_C": "VC", "R_DS_on": "RDS_on",
    "I_O_min": "min_load", "I_GT": "IGT", "V_GT": "VGT",
}  # fmt: skip
_AT_25 = {"P_tot": "Ptot", "I_D": "ID_cont"}


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
    for symbol, name in _AT_25.items():
        at_25 = [row for row in rows(name) if row.conditions.case_temperature == REFERENCE_TEMPERATURE]
        on_leads = [row for row in rows(name) if row.conditions.lead_temperature is not None]
        found |= _extreme(min, symbol, at_25 or on_leads, part_type.name)
    found |= dict(_threshold(part_type))
    cold = [row for row in rows("IR") if row.conditions.temperature == REFERENCE_TEMPERATURE]
    found |= _extreme(max, "I_R", cold, part_type.name)
    found |= _extreme(min, "I_Sb", rows("IS_b"), part_type.name)
    if "R_thJA" not in found and chosen is not None:
        found |= _bare_package(chosen)
    found |= dict(_regulator(part_type))
    return MappingProxyType(found)


def _threshold(part_type: PartType) -> Iterator[tuple[str, Rating]]:
    """Both limits of the threshold voltage of a field-effect transistor."""
    for row in part_type.rows("VGS_th"):
        for side, value in (("least", row.least), ("most", row.most)):
            if value is not None:
                yield f"V_GS_th_{side}", Rating(value, printed(row, side, part_type.name), row)


def output_row(part_type: PartType) -> Figure | None:
    """The V_O row of a regulator that holds over the operating range: the widest one in current, then in input."""
    rows = [row for row in part_type.rows("VO") if row.conditions.output_current and row.conditions.input_voltage]
    return max(rows, key=lambda row: (_width(row.conditions.output_current), _width(row.conditions.input_voltage)),
               default=None)  # fmt: skip


def reference_row(part_type: PartType) -> Figure | None:
    """The V_REF row of an adjustable regulator with the widest limits: the one that holds for every device."""
    rows = [row for row in part_type.rows("VREF") if row.least is not None and row.most is not None]
    return max(rows, key=lambda row: (row.most or 0.0) - (row.least or 0.0), default=None)


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
    """Guaranteed current, guaranteed output or reference band and drop-out of a regulator."""
    yield from _guaranteed_current(part_type)
    for symbol, band in (("V_O", output_row(part_type)), ("V_REF", reference_row(part_type))):
        if band is not None and band.least is not None and band.most is not None:
            yield f"{symbol}_least", Rating(band.least, printed(band, "least", part_type.name), band)
            yield f"{symbol}_most", Rating(band.most, printed(band, "most", part_type.name), band)
    typical = max((row for row in part_type.rows("dropout") if row.typical is not None), key=_dropout_rank,
                  default=None)  # fmt: skip
    if typical is not None and typical.typical is not None:
        yield "dropout_typical", Rating(typical.typical, printed(typical, "typical", part_type.name), typical)
    yield from _guaranteed_dropout(part_type)


def _dropout_rank(row: Figure) -> tuple[float, float]:
    """At the greatest current; of several makers the one with the greatest drop-out."""
    return (row.conditions.output_current or (0.0, 0.0))[1], row.most or row.typical or 0.0


def _guaranteed_dropout(part_type: PartType) -> Iterator[tuple[str, Rating]]:
    """What no device exceeds: a printed limit, else what the rows leave for which limits are guaranteed."""
    name = part_type.name
    limits = [row for row in part_type.rows("dropout") if row.most is not None]
    if limits:
        row = max(limits, key=_dropout_rank)
        yield "dropout_guaranteed", Rating(row.most or 0.0, printed(row, "most", name), row)
        return
    for row in part_type.rows("headroom_test"):
        if row.least is not None:
            yield "dropout_guaranteed", Rating(row.least, printed(row, "least", name), row)
            return
    rooms = [
        (row.conditions.input_voltage[0] - row.typical, row) for row in part_type.rows("VO")
        if row.least is not None and row.typical is not None and row.conditions.input_voltage
        and _width(row.conditions.output_current) > 0.0
    ]  # fmt: skip
    if rooms:
        headroom, row = min(rooms, key=lambda pair: pair[0])
        words = f"{row.kind('least')}: least input less usual output in the V_O row of {name}"
        yield "dropout_guaranteed", Rating(headroom, Origin(row.kind("least"), row.source, words), row)


def _guaranteed_current(part_type: PartType) -> Iterator[tuple[str, Rating]]:
    """The largest current with a guaranteed figure: the rated current, else the V_O row, else load regulation."""
    rated = [row for row in part_type.rows("IO_rated") if row.least is not None]
    if rated and rated[0].least is not None:
        kind = rated[0].kind("least")
        words = f"{kind}: printed guaranteed output current of {part_type.name}"
        yield "I_O", Rating(rated[0].least, Origin(kind, rated[0].source, words), rated[0])
        return
    row = output_row(part_type)
    name = "V_O row over the operating range"
    if row is None:
        loaded = [figure for figure in part_type.rows("load_reg") if figure.conditions.output_current]
        row = max(loaded, key=lambda figure: (figure.conditions.output_current or (0.0, 0.0))[1], default=None)
        name = "load-regulation row"
    if row is not None and row.conditions.output_current is not None:
        kind = row.kind("most")
        words = f"{kind}: largest current of the {name} of {part_type.name}"
        yield "I_O", Rating(row.conditions.output_current[1], Origin(kind, row.source, words), row)
