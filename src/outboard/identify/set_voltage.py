"""Set voltage of a regulator: the reference of an adjustable one, the output of a fixed one.

Two rows of the sheet bind it: one at 25 °C, mostly at one test point, and one over the whole operating range.
The ends of the axis "set voltage" meet both: the first fixes the set voltage, and the drift with temperature is
reduced until the hot (or cold) device stays inside the second.  Where no drift is printed the second row fixes the
ends.
"""

from dataclasses import dataclass

from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from outboard.identify.records import Spread, default, derived
from outboard.parts.ratings import output_row, reference_row
from outboard.parts.records import Figure, Origin, PartType, Range

COLDEST, HOTTEST = ZERO_CELSIUS + 0.0, ZERO_CELSIUS + 125.0
"""Junction temperatures for which the output band is taken to hold [K] (default; most sheets of this class say so)."""

USUAL_DIFFERENTIAL = 5.0
"""Input-output voltage at which sheets of adjustable regulators test what they print no other for [V] (default)."""


@dataclass(frozen=True, slots=True)
class Holds:
    """A row for the set voltage, and over which output currents [A] and input-output voltages [V] it holds."""

    row: Figure
    currents: Range
    differentials: Range


@dataclass(frozen=True, slots=True)
class SetPoint:
    """Where the set voltage is taken: usual voltage [V], output current [A], input-output voltage [V]."""

    holds: Holds
    voltage: float
    current: float
    differential: float

    @property
    def row(self) -> Figure:
        """The figure behind the point."""
        return self.holds.row


def set_point(part_type: PartType) -> SetPoint:
    """The point of the loosest row at 25 °C; ValueError when no output or reference voltage is printed."""
    rows = part_type.rows("VREF") if part_type.adjustable else _at_one_point(part_type)
    known = [found for row in rows if row.typical is not None and (found := _holds(row)) is not None]
    cold = [found for found in known if _at_25(found.row)] or known
    if not cold:
        raise ValueError(f"{part_type.name}: no output voltage at a test point is printed")
    holds = max(cold, key=lambda found: (found.row.most or 0.0) - (found.row.least or 0.0))
    low, high = holds.differentials
    differential = min(max(USUAL_DIFFERENTIAL, low), high)
    return SetPoint(holds, holds.row.typical or 0.0, holds.currents[0], differential)


def _at_one_point(part_type: PartType) -> list[Figure]:
    """The V_O rows at one current and 25 °C."""
    rows = []
    for row in part_type.rows("VO"):
        current = row.conditions.output_current
        if current and current[0] == current[1] and row.conditions.temperature == REFERENCE_TEMPERATURE:
            rows.append(row)
    return rows


def _at_25(row: Figure) -> bool:
    """Whether the sheet prints 25 °C for the row."""
    return REFERENCE_TEMPERATURE in (row.conditions.junction_temperature, row.conditions.ambient_temperature)


def _holds(row: Figure) -> Holds | None:
    """The ranges of a row; None where it prints no current or no input."""
    given = row.conditions
    differentials = given.differential_voltage
    if differentials is None and given.input_voltage is not None and row.typical is not None:
        differentials = given.input_voltage[0] - row.typical, given.input_voltage[1] - row.typical
    if given.output_current is None or differentials is None:
        return None
    return Holds(row, given.output_current, differentials)


def band(part_type: PartType) -> Holds | None:
    """The row that binds the set voltage over the operating range."""
    row = reference_row(part_type) if part_type.adjustable else output_row(part_type)
    return None if row is None or row.least is None or row.most is None else _holds(row)


def end_row(part_type: PartType, at: SetPoint) -> Holds:
    """The row at whose limits the ends of the set voltage lie.

    That is the row at 25 °C where the drift with temperature is printed.  Where it is not, a device may lie anywhere
    in the row over the operating range, at any temperature.
    """
    wide = band(part_type)
    drifts = any(row.typical is not None for row in part_type.rows("VO_tempco"))
    return at.holds if drifts or wide is None else wide


def drift(part_type: PartType, voltage: float) -> tuple[float, Origin]:
    """Usual temperature coefficient of the set voltage [1/K]."""
    for row in part_type.rows("VO_tempco"):
        if row.typical is not None:
            return row.typical / voltage, derived(row, "typical", f"ΔV_O/ΔT of {part_type.name}")
    return 0.0, default(f"ΔV_O/ΔT of {part_type.name} is not printed")


def set_voltage(part_type: PartType, at: SetPoint, resistance: float, line: float, usual_drift: float) -> Spread:
    """Set voltage and its drift at the limits of the 25 °C row, kept inside the row over the operating range.

    With the usual output resistance [Ω] and line coefficient [1/V].
    """
    ends = end_row(part_type, at)
    row = ends.row
    low = row.least if row.least is not None else at.voltage
    high = row.most if row.most is not None else at.voltage
    low += _sag(ends, at, resistance, line * low / at.voltage)[0]
    high -= _sag(ends, at, resistance, line * high / at.voltage)[1]
    wide = band(part_type)
    low_drift = high_drift = usual_drift
    if wide is not None and wide.row.least is not None and wide.row.most is not None:
        falls, rises = _sag(wide, at, resistance, line)
        low_drift = _kept(usual_drift, low, falls, wide.row.least)
        high_drift = -_kept(-usual_drift, -high, rises, -wide.row.most)
    where = "at 25 °C" if ends is at.holds else "over the operating range"
    words = f"{'V_REF' if part_type.adjustable else 'V_O'} of {part_type.name} {where}"
    return Spread(
        "set voltage", ("set_voltage", "set_voltage_tempco"), (low + resistance * at.current, low_drift),
        (high + resistance * at.current, high_drift),
        (derived(row, "least", f"least {words}"), derived(row, "most", f"most {words}")), ("regulation",),
    )  # fmt: skip


def _sag(over: Holds, at: SetPoint, resistance: float, line: float) -> tuple[float, float]:
    """By how much [V] the output falls and rises between the test point and the ends of a row's ranges."""
    per_volt = line * at.voltage
    falls = resistance * (over.currents[1] - at.current) + per_volt * (at.differential - over.differentials[0])
    rises = resistance * (at.current - over.currents[0]) + per_volt * (over.differentials[1] - at.differential)
    return falls, rises


def _kept(usual: float, voltage: float, falls: float, floor: float) -> float:
    """The drift [1/K], reduced until the voltage less `falls` stays above the floor between coldest and hottest."""
    room = max(0.0, voltage - falls - floor)
    scale = abs(voltage)
    hot = -room / scale / (HOTTEST - REFERENCE_TEMPERATURE)
    cold = room / scale / (REFERENCE_TEMPERATURE - COLDEST)
    return min(max(usual, hot), cold)
