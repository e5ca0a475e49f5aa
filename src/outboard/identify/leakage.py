"""Cut-off current: through the printed limits at two temperatures, never beyond them.

The most end runs through a 25 °C limit and a hot limit, and a doubling interval follows from both.  A 25 °C limit
alone says nothing about a hot device: doubled over 125 K, a limit of 1 mA would be amperes where sheets guarantee
5 mA.  Then the most end stays at the limit and "hot leakage" is undecided.
"""

import math
from dataclasses import dataclass

from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from outboard.identify.records import Spread, default, derived
from outboard.parts.records import SYMBOLS, Figure, Origin, PartType

USUAL_DOUBLING = 10.0
"""Interval in which silicon leakage usually doubles [K] (default)."""

USUAL_SHARE_HOT = 0.1
"""Usual leakage as a part of the hot limit (default)."""

USUAL_SHARE_COLD = 1e-3
"""Usual leakage at 25 °C as a part of the 25 °C limit, where no hot limit is printed (default)."""

NO_GROWTH = 1e6
"""A doubling interval so long that the current does not change with temperature [K]."""

_BOUNDS = ("ICBO", "ICEX", "ICES", "ICEO")
"""What bounds I_CBO from above, nearest first: the others contain it."""


@dataclass(frozen=True, slots=True)
class Leakage:
    """Usual cut-off current [A] and doubling interval [K], their spread, notes and open points."""

    current: float
    doubling: float
    origin: Origin
    spread: Spread
    notes: tuple[str, ...]
    undecided: dict[str, str]


def bounding_figure(part_type: PartType, hot: bool) -> Figure | None:
    """The limit that bounds I_CBO at 25 °C, or at the hottest printed temperature; the loosest of several makers."""
    for name in _BOUNDS[:3] if hot else _BOUNDS:
        rows = [row for row in part_type.rows(name) if row.most is not None]
        rows = [row for row in rows if (row.conditions.temperature > REFERENCE_TEMPERATURE) == hot]
        if rows:
            return max(rows, key=lambda row: (row.conditions.temperature, row.most))
    return None


def leakage(part_type: PartType) -> Leakage | None:
    """Cut-off current of a transistor type; None when no limit is printed at all."""
    cold, hot = bounding_figure(part_type, hot=False), bounding_figure(part_type, hot=True)
    if hot is not None and hot.most is not None:
        return _between(part_type.name, cold, hot, hot.most)
    if cold is not None and cold.most is not None:
        return _cold_only(part_type.name, cold, cold.most)
    return None


def _between(name: str, cold: Figure | None, hot: Figure, hot_limit: float) -> Leakage:
    rise = hot.conditions.temperature - REFERENCE_TEMPERATURE
    usual = USUAL_SHARE_HOT * hot_limit * 2.0 ** (-rise / USUAL_DOUBLING)
    if cold is not None and cold.most is not None and cold.most < hot_limit:
        most, doubling = cold.most, rise / math.log2(hot_limit / cold.most)
    else:
        most, doubling = hot_limit, NO_GROWTH
    words = f"{SYMBOLS[hot.name]} of {name} at {hot.conditions.temperature - ZERO_CELSIUS:.0f} °C"
    spread = _spread(most, doubling, derived(hot, "most", words))
    origin = default(f"a tenth of the limit on {words}, doubling every {USUAL_DOUBLING:g} K")
    notes = _basis(name, cold, hot) if cold is not None else _basis(name, hot)
    notes += (f"leakage of {name} above {hot.conditions.temperature - ZERO_CELSIUS:.0f} °C is carried on, not printed",)
    return Leakage(usual, USUAL_DOUBLING, origin, spread, notes, {})


def _cold_only(name: str, cold: Figure, limit: float) -> Leakage:
    words = f"{SYMBOLS[cold.name]} of {name} at 25 °C"
    spread = _spread(limit, NO_GROWTH, derived(cold, "most", words))
    origin = default(f"a thousandth of the limit on {words}, doubling every {USUAL_DOUBLING:g} K")
    undecided = {"hot leakage": f"only a 25 °C limit is printed ({SYMBOLS[cold.name]} of {name})"}
    return Leakage(USUAL_SHARE_COLD * limit, USUAL_DOUBLING, origin, spread, _basis(name, cold), undecided)


def _spread(current: float, doubling: float, most: Origin) -> Spread:
    fields = ("cutoff_current", "cutoff_doubling")
    none = default("no leakage at all")
    return Spread("leakage", fields, (0.0, USUAL_DOUBLING), (current, doubling), (none, most))


def _basis(name: str, *figures: Figure) -> tuple[str, ...]:
    """Says when another current stands for I_CBO, and at which voltage the limits hold."""
    notes = []
    others = sorted({SYMBOLS[figure.name] for figure in figures if figure.name != "ICBO"})
    if others:
        notes.append(f"{' and '.join(others)} of {name} taken as a bound for I_CBO")
    volts = {figure.conditions.collector_base_voltage or figure.conditions.collector_emitter_voltage or 0.0
             for figure in figures}  # fmt: skip
    if max(volts):
        notes.append(f"leakage limits of {name} are printed at {', '.join(f'{volt:g} V' for volt in sorted(volts))}")
    return tuple(notes)
