"""Changes that a sheet prints over a range of current or voltage, as slopes with their three levels."""

from collections.abc import Iterable
from dataclasses import dataclass

from outboard.identify.records import default, derived
from outboard.parts.ratings import ratings
from outboard.parts.records import Figure, Origin, PartType

USUAL_OF_LIMIT = 0.1
"""Usual change as a part of its limit, where no typical value is printed (default)."""

LEAST_OF_USUAL = 0.5
"""Least change as a part of the usual one (default)."""

MOST_OF_TYPICAL = 2.0
"""Most change as a multiple of the typical one, where no limit is printed (default)."""

USUAL_SHARE, MOST_SHARE = 0.001, 0.005
"""Load regulation of a reference over its rated current, where none is printed (default; sheets of this class)."""


@dataclass(frozen=True, slots=True)
class Slope:
    """A change per unit of current or voltage, at its three levels, with the origins of usual and most."""

    least: float
    usual: float
    most: float
    origin: Origin
    most_origin: Origin


@dataclass(frozen=True, slots=True)
class Reading:
    """One printed change: over how wide a range, and by what its number is multiplied to give the slope."""

    row: Figure
    width: float
    factor: float


def width(row: Figure, over: str) -> float:
    """Width of the range of a condition; nothing where it is one value or not printed."""
    ends = getattr(row.conditions, over)
    return 0.0 if ends is None else float(ends[1] - ends[0])


def load_slope(part_type: PartType, voltage: float) -> Slope:
    """Output resistance [Ω] from load regulation; of an adjustable regulator that of its reference."""
    name = "load_reg_share" if part_type.adjustable else "load_reg"
    scale = voltage if part_type.adjustable else 1.0
    found = slope(_over(part_type, name, "output_current", scale), f"load regulation of {part_type.name}")
    if found is not None:
        return found
    none = default(f"load regulation of {part_type.name} is not printed")
    if not part_type.adjustable:
        return Slope(0.005, 0.01, 0.1, none, none)
    rated = ratings(part_type)["I_O"].value
    usual = USUAL_SHARE * voltage / rated
    return Slope(LEAST_OF_USUAL * usual, usual, MOST_SHARE * voltage / rated, none, none)


def line_slope(part_type: PartType, voltage: float) -> Slope:
    """Line regulation as a share of the output voltage per volt of input-output voltage [1/V]."""
    readings = [
        *_over(part_type, "line_reg", "input_voltage", 1.0 / voltage),
        *_over(part_type, "line_reg_share", "differential_voltage", 1.0),
        *(Reading(row, width(row, "differential_voltage"), 1.0) for row in part_type.rows("line_reg_slope")),
    ]
    found = slope(readings, f"line regulation of {part_type.name}")
    if found is not None:
        return found
    none = default(f"line regulation of {part_type.name} is not printed")
    return Slope(0.0, 0.0, 0.0, none, none)


def quiescent_slope(part_type: PartType, name: str, over: str) -> Slope:
    """Change of the quiescent current per ampere or volt; nothing when it is not printed."""
    found = slope(_over(part_type, name, over, 1.0), f"change of I_Q of {part_type.name}")
    if found is not None:
        return found
    none = default(f"change of I_Q of {part_type.name} is not printed")
    return Slope(0.0, 0.0, 0.0, none, none)


def _over(part_type: PartType, name: str, over: str, scale: float) -> list[Reading]:
    """The rows of one figure that hold over a range."""
    wide = [row for row in part_type.rows(name) if width(row, over) > 0.0]
    return [Reading(row, width(row, over), scale / width(row, over)) for row in wide]


def slope(readings: Iterable[Reading], words: str) -> Slope | None:
    """The slope of the row with the widest range; the limit is the loosest of the makers'."""
    rows = sorted(readings, key=lambda reading: -reading.width)
    if not rows:
        return None
    typical = [(one.row, one.row.typical * one.factor) for one in rows if one.row.typical is not None]
    widest = [one for one in rows if one.width >= 0.99 * rows[0].width]
    limits = [(one.row, one.row.most * one.factor) for one in widest if one.row.most is not None]
    if limits:
        row, most = max(limits, key=lambda pair: pair[1])
        most_origin = derived(row, "most", words)
    else:
        most, most_origin = MOST_OF_TYPICAL * typical[0][1], default(f"twice the typical {words}")
    if typical:
        row, usual = typical[0]
        return Slope(LEAST_OF_USUAL * usual, usual, most, derived(row, "typical", words), most_origin)
    usual = USUAL_OF_LIMIT * most
    return Slope(LEAST_OF_USUAL * usual, usual, most, default(f"a tenth of the limit of {words}"), most_origin)
