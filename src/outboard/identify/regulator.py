"""A three-terminal regulator's data sheet as parameters of the regulator model; adjustable ones are their reference.

An adjustable regulator holds its reference voltage between output and adjust pin, and what the adjust pin gives off is
the model's quiescent current.  Regulation limits are an axis of their own whose ends must not be combined with those
of the set voltage, because the row over the operating range promises the sum.
"""

from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from outboard.identify.current_limit import current_limit
from outboard.identify.records import Identified, Spread, default, derived
from outboard.identify.set_voltage import drift, set_point, set_voltage
from outboard.identify.slope import LEAST_OF_USUAL, line_slope, load_slope, quiescent_slope
from outboard.parts.ratings import Ratings, ratings
from outboard.parts.records import Figure, Origin, PartType

DROPOUT_SHARE = 0.75
"""Part of the drop-out voltage that is there without current, where one current is printed (default: 1.5 V of 2 V)."""

LEAST_DROPOUT = 0.85
"""Least drop-out voltage as a part of the typical one (default)."""

SHUTDOWN = ZERO_CELSIUS + 165.0
"""Junction temperature of thermal shutdown [K] (default)."""


def regulator(part_type: PartType, package: str | None = None) -> Identified:
    """Parameters of a regulator type; ValueError when no output or reference voltage at a test point is printed."""
    name, rated, at = part_type.name, ratings(part_type, package), set_point(part_type)
    load, line = load_slope(part_type, at.voltage), line_slope(part_type, at.voltage)
    symbol = "V_REF" if part_type.adjustable else "V_O"
    values = {
        "set_voltage": at.voltage + load.usual * at.current, "output_resistance": load.usual,
        "line_coefficient": line.usual, "nominal_differential": at.differential,
        "shutdown_temperature": SHUTDOWN, "reference_temperature": REFERENCE_TEMPERATURE,
    }  # fmt: skip
    origins = {
        "set_voltage": derived(at.row, "typical", f"{symbol} of {name}"), "output_resistance": load.origin,
        "line_coefficient": line.origin,
        "nominal_differential": derived(at.row, "typical", f"test point of {symbol} of {name}"),
        "shutdown_temperature": default("thermal shutdown at 165 °C"),
        "reference_temperature": default("sheets state figures at 25 °C"),
    }  # fmt: skip
    values["set_voltage_tempco"], origins["set_voltage_tempco"] = usual_drift = drift(part_type, at.voltage)
    regulation = Spread(
        "regulation", ("output_resistance", "line_coefficient"), (load.least, line.least), (load.most, line.most),
        (default("half the usual regulation"), load.most_origin), ("set voltage",),
    )  # fmt: skip
    spreads = [set_voltage(part_type, at, load.usual, line.usual, usual_drift[0]), regulation]
    undecided = {"reverse current": f"no path from output to input is printed for {name}"}
    limit = current_limit(part_type)
    for found, missing in (
        (_adjust(part_type) if part_type.adjustable else _quiescent(part_type, at.current), "quiescent current"),
        (_dropout(part_type, rated), "drop-out"), (limit[:3] if limit else None, "current limit"),
    ):  # fmt: skip
        if found is None:
            undecided[missing] = f"no figure of {name} is printed"
            continue
        more, why, spread = found
        values |= more
        origins |= why
        spreads.append(spread)
    if limit and limit[3]:
        undecided["short-circuit current"] = limit[3]
    return Identified(MappingProxyType(values), MappingProxyType(origins), tuple(spreads), _notes(part_type, rated),
                      MappingProxyType(undecided))  # fmt: skip


def _notes(part_type: PartType, rated: Ratings) -> tuple[str, ...]:
    """What has to be known of the model of this type."""
    name = part_type.name
    apart = f"{name}: set voltage and regulation are not at their limits together; "
    if not part_type.adjustable:
        inside = f"{name}: the divider inside is not printed, so nothing in the model sinks current from the output"
        return inside, apart + "V_O over the range holds for both"
    notes = [apart + "V_REF over the range holds for both"]
    least = rated.get("I_O_min")
    if least is not None:
        notes.append(f"{name}: below {1e3 * least.value:g} mA of load the output may rise; the model does not show it")
    for row in part_type.rows("VO_tempstab"):
        if row.typical is not None:
            words = f"{100.0 * row.typical:g} % over the temperature range, without a sign"
            notes.append(f"{name}: the sheet prints {words}; the usual device does not drift")
    if part_type.rows("load_reg"):
        notes.append(f"{name}: below 5 V of output load regulation is printed in volts, and looser than the share used")
    return tuple(notes)


Found = tuple[dict[str, float], dict[str, Origin], Spread] | None


def _adjust(part_type: PartType) -> Found:
    """Current out of the adjust pin, which does not change with load or line to speak of."""
    row = next((row for row in part_type.rows("IADJ") if row.typical is not None and row.most is not None), None)
    if row is None or row.typical is None or row.most is None:
        return None
    words, fields = f"I_ADJ of {part_type.name}", ("quiescent_current",)
    ends = (default(f"half the typical {words}"), derived(row, "most", words))
    spread = Spread("quiescent current", fields, (LEAST_OF_USUAL * row.typical,), (row.most,), ends)
    return {fields[0]: row.typical}, {fields[0]: derived(row, "typical", words)}, spread


def _quiescent(part_type: PartType, test_current: float) -> Found:
    """Quiescent current and how it changes with load and line."""
    rows = part_type.rows("IQ")
    usual_row = next((row for row in rows if row.typical is not None), None)
    limits = [row for row in rows if row.most is not None]
    if usual_row is None or usual_row.typical is None or not limits:
        return None
    most_row = max(limits, key=lambda row: row.most or 0.0)
    load = quiescent_slope(part_type, "IQ_change_load", "output_current")
    line = quiescent_slope(part_type, "IQ_change_line", "input_voltage")
    name = part_type.name
    fields = ("quiescent_current", "quiescent_load_coefficient", "quiescent_line_coefficient")
    usual = (usual_row.typical - load.usual * test_current, load.usual, line.usual)
    most = ((most_row.most or 0.0) - load.most * test_current, load.most, line.most)
    least = tuple(LEAST_OF_USUAL * value for value in usual)
    origins = (derived(usual_row, "typical", f"I_Q of {name}"), load.origin, line.origin)
    ends = (default(f"half the typical I_Q of {name}"), derived(most_row, "most", f"I_Q of {name}"))
    spread = Spread("quiescent current", fields, least, most, ends)
    return dict(zip(fields, usual, strict=True)), dict(zip(fields, origins, strict=True)), spread


def _dropout(part_type: PartType, rated: Ratings) -> Found:
    """Drop-out: a part without current and a part in proportion to it, through the printed voltages."""
    typical, guaranteed = rated.get("dropout_typical"), rated.get("dropout_guaranteed")
    basis = typical or guaranteed
    if basis is None or not basis.figure.conditions.output_current:
        return None
    fields = ("dropout_voltage", "dropout_resistance")
    usual = _line(part_type, basis.figure, "typical" if typical else "most", basis.value)
    most, most_origin = usual, basis.origin
    if guaranteed is not None and (limits := guaranteed.figure.conditions.output_current):
        printed = [row for row in part_type.rows("dropout") if row.most is not None]
        if len(printed) > 1:
            most = _line(part_type, guaranteed.figure, "most", guaranteed.value)
        else:
            factor = max(1.0, guaranteed.value / (usual[0] + usual[1] * limits[1]))
            most = factor * usual[0], factor * usual[1]
        most_origin = guaranteed.origin
    least = (LEAST_DROPOUT * usual[0], LEAST_DROPOUT * usual[1])
    spread = Spread("drop-out", fields, least, most, (default("0.85 of the typical drop-out"), most_origin))
    return dict(zip(fields, usual, strict=True)), dict.fromkeys(fields, basis.origin), spread


def _line(part_type: PartType, main: Figure, side: str, voltage: float) -> tuple[float, float]:
    """Drop-out voltage without current [V] and per ampere [Ω], through the main row and that at the least current.

    Where no other row of the same worth prints another current, three quarters are there without current.
    """
    current = (main.conditions.output_current or (0.0, 1.0))[1]
    points = [
        (row.conditions.output_current[1], float(getattr(row, side))) for row in part_type.rows("dropout")
        if row.conditions.output_current and getattr(row, side) is not None and row.kind(side) == main.kind(side)
    ]  # fmt: skip
    first, low = min(points, default=(current, voltage))
    if first < current and low < voltage:
        resistance = (voltage - low) / (current - first)
        if (start := low - resistance * first) > 0.0:
            return start, resistance
    return DROPOUT_SHARE * voltage, (1.0 - DROPOUT_SHARE) * voltage / current
