"""A fixed regulator's data sheet as parameters of the regulator model.

Two rows of the sheet bind the output voltage: one at 25 °C at the test point, one over the whole operating range.
The ends of the axis "set voltage" meet both: the first fixes the set voltage, and the drift with temperature is
reduced until the hot (or cold) device stays inside the second.  Regulation limits are an axis of their own whose
ends must not be combined with those of the set voltage, because the second row promises the sum.
"""

from dataclasses import dataclass
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from outboard.identify.records import Identified, Spread, default, derived
from outboard.parts.ratings import Ratings, output_row, ratings
from outboard.parts.records import Figure, Origin, PartType

COLDEST, HOTTEST = ZERO_CELSIUS + 0.0, ZERO_CELSIUS + 125.0
"""Junction temperatures for which the output band is taken to hold [K] (default; most sheets of this class say so)."""

DROPOUT_SHARE = 0.75
"""Part of the drop-out voltage that is there without current (default: 1.5 V of 2 V)."""

LEAST_DROPOUT = 0.85
"""Least drop-out voltage as a part of the typical one (default)."""

FOLDBACK_START = 10.0
"""Input-output voltage from which the current limit falls [V] (default)."""

MOST_LIMIT = 1.5
"""Most current limit as a part of the typical one (default)."""

USUAL_OF_LIMIT = 0.1
"""Usual regulation as a part of its limit, where no typical value is printed (default)."""

LEAST_OF_USUAL = 0.5
"""Least regulation and quiescent current as a part of the usual one (default)."""

SHUTDOWN = ZERO_CELSIUS + 165.0
"""Junction temperature of thermal shutdown [K] (default)."""


@dataclass(frozen=True, slots=True)
class Slope:
    """A change per unit of current or voltage, at its three levels, with the origins of usual and most."""

    least: float
    usual: float
    most: float
    origin: Origin
    most_origin: Origin


def regulator(part_type: PartType, package: str | None = None) -> Identified:
    """Parameters of a fixed regulator type; ValueError when no output voltage at a test point is printed."""
    name, rated = part_type.name, ratings(part_type, package)
    test = _test_row(part_type)
    voltage, current, supply = _point(test)
    load = _slope(part_type, "load_reg", "output_current")
    line = _slope(part_type, "line_reg", "input_voltage")
    values = {
        "set_voltage": voltage + load.usual * current, "output_resistance": load.usual,
        "line_coefficient": line.usual / voltage, "nominal_differential": supply - voltage,
        "shutdown_temperature": SHUTDOWN, "reference_temperature": REFERENCE_TEMPERATURE,
    }  # fmt: skip
    origins = {
        "set_voltage": derived(test, "typical", f"V_O of {name}"), "output_resistance": load.origin,
        "line_coefficient": line.origin,
        "nominal_differential": derived(test, "typical", f"test point of V_O of {name}"),
        "shutdown_temperature": default("thermal shutdown at 165 °C"),
        "reference_temperature": default("sheets state figures at 25 °C"),
    }  # fmt: skip
    drift, origins["set_voltage_tempco"] = _drift(part_type, voltage)
    values["set_voltage_tempco"] = drift
    regulation = Spread(
        "regulation", ("output_resistance", "line_coefficient"), (load.least, line.least / voltage),
        (load.most, line.most / voltage), (default("half the usual regulation"), load.most_origin), ("set voltage",),
    )  # fmt: skip
    spreads = [_set_voltage(part_type, test, load.usual, line.usual, drift), regulation]
    undecided = {"reverse current": f"no path from output to input is printed for {name}"}
    for found, missing in (
        (_quiescent(part_type, current), "quiescent current"),
        (_dropout(part_type, rated), "drop-out"),
        (_limit(part_type, rated), "current limit"),
    ):
        if found is None:
            undecided[missing] = f"no figure of {name} is printed"
            continue
        more, why, spread = found
        values |= more
        origins |= why
        spreads.append(spread)
    notes = (
        f"{name}: the divider inside is not printed, so nothing in the model sinks current from the output",
        f"{name}: set voltage and regulation are not at their limits together; V_O over the range holds for both",
    )
    return Identified(MappingProxyType(values), MappingProxyType(origins), tuple(spreads), notes,
                      MappingProxyType(undecided))  # fmt: skip


def _test_row(part_type: PartType) -> Figure:
    """The V_O row at one test point and 25 °C."""
    for row in part_type.rows("VO"):
        given = row.conditions
        single = given.output_current and given.output_current[0] == given.output_current[1] and given.input_voltage
        if row.typical is not None and single and given.temperature == REFERENCE_TEMPERATURE:
            return row
    raise ValueError(f"{part_type.name}: no output voltage at a test point is printed")


def _point(row: Figure) -> tuple[float, float, float]:
    """Output voltage [V], output current [A] and input voltage [V] of the test point."""
    current, supply = row.conditions.output_current, row.conditions.input_voltage
    if row.typical is None or current is None or supply is None:
        raise ValueError(f"no test point: {row}")
    return row.typical, current[1], supply[1]


def _wide(part_type: PartType, name: str, over: str) -> list[tuple[Figure, float]]:
    """The rows of one figure with the width of the range they were measured over; widest first."""
    found = []
    for row in part_type.rows(name):
        ends = getattr(row.conditions, over)
        if ends is not None and ends[1] > ends[0]:
            found.append((row, ends[1] - ends[0]))
    return sorted(found, key=lambda pair: -pair[1])


def _slope(part_type: PartType, name: str, over: str) -> Slope:
    """Change per ampere or volt from the row with the widest range; the limit is the loosest of the makers'."""
    rows = _wide(part_type, name, over)
    words = f"{'load' if over == 'output_current' else 'line'} regulation of {part_type.name}"
    if not rows:
        none = default(f"{words} is not printed")
        return Slope(0.005, 0.01, 0.1, none, none) if name == "load_reg" else Slope(0.0, 0.0, 0.0, none, none)
    typical = [(row, row.typical / width) for row, width in rows if row.typical is not None]
    limits = [(row, row.most / width) for row, width in rows if row.most is not None and width >= 0.99 * rows[0][1]]
    row, most = max(limits, key=lambda pair: pair[1]) if limits else (typical[0][0], 2.0 * typical[0][1])
    most_origin = derived(row, "most", words) if limits else default(f"twice the typical {words}")
    if typical:
        row, usual = typical[0]
        return Slope(LEAST_OF_USUAL * usual, usual, most, derived(row, "typical", words), most_origin)
    usual = USUAL_OF_LIMIT * most
    return Slope(LEAST_OF_USUAL * usual, usual, most, default(f"a tenth of the limit of {words}"), most_origin)


def _drift(part_type: PartType, voltage: float) -> tuple[float, Origin]:
    """Temperature coefficient of the output voltage [1/K]."""
    for row in part_type.rows("VO_tempco"):
        if row.typical is not None:
            return row.typical / voltage, derived(row, "typical", f"ΔV_O/ΔT of {part_type.name}")
    return 0.0, default(f"ΔV_O/ΔT of {part_type.name} is not printed")


def _set_voltage(part_type: PartType, test: Figure, resistance: float, line: float, drift: float) -> Spread:
    """Set voltage and its drift at the printed limits at 25 °C, drift kept inside the row over the operating range."""
    voltage, current, supply = _point(test)
    low = test.least if test.least is not None else voltage
    high = test.most if test.most is not None else voltage
    band = output_row(part_type)
    low_drift = high_drift = drift
    if band is not None and band.least is not None and band.most is not None:
        loads, supplies = band.conditions.output_current, band.conditions.input_voltage
        if loads is not None and supplies is not None:
            falls = resistance * (loads[1] - current) + line * (supply - supplies[0])
            rises = resistance * (current - loads[0]) + line * (supplies[1] - supply)
            low_drift = _kept(drift, low, falls, band.least)
            high_drift = -_kept(-drift, -high, rises, -band.most)
    words = f"V_O of {part_type.name} at 25 °C"
    return Spread(
        "set voltage", ("set_voltage", "set_voltage_tempco"), (low + resistance * current, low_drift),
        (high + resistance * current, high_drift),
        (derived(test, "least", f"least {words}"), derived(test, "most", f"most {words}")), ("regulation",),
    )  # fmt: skip


def _kept(drift: float, voltage: float, falls: float, floor: float) -> float:
    """The drift [1/K], reduced until the voltage less `falls` stays above the floor between coldest and hottest."""
    room = max(0.0, voltage - falls - floor)
    scale = abs(voltage)
    hot = -room / scale / (HOTTEST - REFERENCE_TEMPERATURE)
    cold = room / scale / (REFERENCE_TEMPERATURE - COLDEST)
    return min(max(drift, hot), cold)


Found = tuple[dict[str, float], dict[str, Origin], Spread] | None


def _quiescent(part_type: PartType, test_current: float) -> Found:
    """Quiescent current and how it changes with load and line."""
    rows = part_type.rows("IQ")
    usual_row = next((row for row in rows if row.typical is not None), None)
    limits = [row for row in rows if row.most is not None]
    if usual_row is None or usual_row.typical is None or not limits:
        return None
    most_row = max(limits, key=lambda row: row.most or 0.0)
    load = _change(part_type, "IQ_change_load", "output_current")
    line = _change(part_type, "IQ_change_line", "input_voltage")
    name = part_type.name
    fields = ("quiescent_current", "quiescent_load_coefficient", "quiescent_line_coefficient")
    usual = (usual_row.typical - load.usual * test_current, load.usual, line.usual)
    most = ((most_row.most or 0.0) - load.most * test_current, load.most, line.most)
    least = tuple(LEAST_OF_USUAL * value for value in usual)
    origins = (derived(usual_row, "typical", f"I_Q of {name}"), load.origin, line.origin)
    ends = (default(f"half the typical I_Q of {name}"), derived(most_row, "most", f"I_Q of {name}"))
    spread = Spread("quiescent current", fields, least, most, ends)
    return dict(zip(fields, usual, strict=True)), dict(zip(fields, origins, strict=True)), spread


def _change(part_type: PartType, name: str, over: str) -> Slope:
    """Change of the quiescent current per ampere or volt; nothing when it is not printed."""
    if not _wide(part_type, name, over):
        none = default(f"change of I_Q of {part_type.name} is not printed")
        return Slope(0.0, 0.0, 0.0, none, none)
    return _slope(part_type, name, over)


def _dropout(part_type: PartType, rated: Ratings) -> Found:
    """Drop-out: three quarters without current, the rest in proportion to it, through the printed voltage."""
    typical, guaranteed = rated.get("dropout_typical"), rated.get("dropout_guaranteed")
    basis = typical or guaranteed
    if basis is None or not basis.figure.conditions.output_current:
        return None
    fields = ("dropout_voltage", "dropout_resistance")

    def split(voltage: float, figure: Figure) -> tuple[float, float]:
        current = figure.conditions.output_current
        return DROPOUT_SHARE * voltage, (1.0 - DROPOUT_SHARE) * voltage / (current[1] if current else 1.0)

    usual = split(basis.value, basis.figure)
    most, most_origin = usual, basis.origin
    if guaranteed is not None:
        limit = split(guaranteed.value, guaranteed.figure)
        most, most_origin = (max(usual[0], limit[0]), max(usual[1], limit[1])), guaranteed.origin
    least = (LEAST_DROPOUT * usual[0], LEAST_DROPOUT * usual[1])
    spread = Spread("drop-out", fields, least, most, (default("0.85 of the typical drop-out"), most_origin))
    return dict(zip(fields, usual, strict=True)), dict.fromkeys(fields, basis.origin), spread


def _limit(part_type: PartType, rated: Ratings) -> Found:
    """Current limit with foldback; the least end is what the sheet guarantees, over the range in which it does."""
    peak = next((row for row in part_type.rows("IPK") if row.typical is not None), None)
    short = next((row for row in part_type.rows("ISC") if row.typical is not None), None)
    guaranteed, band = rated.get("I_O"), output_row(part_type)
    if peak is None or peak.typical is None or short is None or short.typical is None or guaranteed is None:
        return None
    name, row = part_type.name, short.conditions.input_voltage
    end = row[1] if row else 35.0
    fields = ("current_limit", "short_circuit_current", "foldback_start", "foldback_end")
    start = FOLDBACK_START
    if band is not None and band.conditions.input_voltage and band.typical is not None:
        start = band.conditions.input_voltage[1] - band.typical
        if band.conditions.power is not None:
            start = min(start, band.conditions.power / guaranteed.value)
    ratio = guaranteed.value / peak.typical
    least = (guaranteed.value, ratio * short.typical, max(FOLDBACK_START, start), end)
    usual = (peak.typical, short.typical, FOLDBACK_START, end)
    most = (MOST_LIMIT * peak.typical, MOST_LIMIT * short.typical, FOLDBACK_START, end)
    origins = (
        derived(peak, "typical", f"I_PK of {name}"), derived(short, "typical", f"I_SC of {name}"),
        default("the limit falls from 10 V between input and output on"),
        derived(short, "typical", f"input voltage at I_SC of {name}"),
    )  # fmt: skip
    ends = (guaranteed.origin, default("one and a half times the typical limit"))
    spread = Spread("limit", fields, least, most, ends)
    return dict(zip(fields, usual, strict=True)), dict(zip(fields, origins, strict=True)), spread
