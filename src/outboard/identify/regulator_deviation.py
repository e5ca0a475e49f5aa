"""How well an identified regulator gives back the figures of its sheet."""

from collections.abc import Iterator, Mapping

from outboard.constants import ZERO_CELSIUS
from outboard.identify.agreement import Deviation, above, below, exact
from outboard.identify.operating import limited, quiescent, regulated
from outboard.identify.records import Identified
from outboard.identify.regulator import regulator
from outboard.identify.set_voltage import SetPoint, band, end_row, set_point
from outboard.parts.ratings import ratings
from outboard.parts.records import Figure, PartType

ABOVE_DROPOUT = 1.0
"""How far [V] above the least input the set voltage is read: at it drop-out, an axis of its own, may show."""

LEAST_LOAD = 1e-3
"""Load [A] at which a row that begins without load is read: the model sources only, and floats without load."""

WIDE_LOAD, WIDE_LINE = ("load_reg", "load_reg_share"), ("line_reg", "line_reg_share", "line_reg_slope")


def regulator_deviations(part_type: PartType) -> Iterator[Deviation]:
    """Every figure of a regulator that its model has to give back."""
    found, at = regulator(part_type), set_point(part_type)
    yield from _set_voltage(part_type, found, at)
    yield from _band(part_type, found)
    yield from _regulation(part_type, found, at)
    yield from _dropout(part_type, found)
    yield from _quiescent(part_type, found, at)
    yield from _limits(part_type, found)


def _set_voltage(part_type: PartType, found: Identified, at: SetPoint) -> Iterator[Deviation]:
    """The usual voltage at the test point; both ends where the row that fixes them is at its own limits."""
    name, symbol = part_type.name, "V_REF" if part_type.adjustable else "V_O"
    supply = at.voltage + at.differential
    words = f"{supply:g} V, {at.current:g} A"
    yield exact(name, symbol, words, "usual", regulated(found.values, supply, at.current), at.voltage)
    ends = end_row(part_type, at)
    (least, most), (near, far) = ends.currents, ends.differentials
    near = near + ABOVE_DROPOUT if near < far else near
    low, high = found.at(set_voltage="least"), found.at(set_voltage="most")
    if ends.row.least is not None:
        model = regulated(low, at.voltage + near, most)
        yield exact(name, symbol, f"{most:g} A", "set voltage least", model, ends.row.least)
    if ends.row.most is not None:
        model = regulated(high, at.voltage + far, least)
        yield exact(name, symbol, f"{least:g} A", "set voltage most", model, ends.row.most)


def _band(part_type: PartType, found: Identified) -> Iterator[Deviation]:
    """The ends of the set voltage against the row over the range, hot and cold."""
    wide = band(part_type)
    if wide is None or wide.row.typical is None or wide.row.least is None or wide.row.most is None:
        return
    voltage, (near, far) = wide.row.typical, wide.differentials
    for celsius in (0.0, 125.0):
        kelvin, at = celsius + ZERO_CELSIUS, f"{celsius:g} °C"
        low = regulated(found.at(set_voltage="least"), voltage + near + ABOVE_DROPOUT, wide.currents[1], kelvin)
        high = regulated(found.at(set_voltage="most"), voltage + far, wide.currents[0], kelvin)
        yield above(part_type.name, "band over the range", at, "set voltage least", low, wide.row.least)
        yield below(part_type.name, "band over the range", at, "set voltage most", high, wide.row.most)


def _regulation(part_type: PartType, found: Identified, at: SetPoint) -> Iterator[Deviation]:
    name, most = part_type.name, found.at(regulation="most", limit="most", drop_out="least")
    load = WIDE_LOAD[1:] if part_type.adjustable else WIDE_LOAD[:1]
    for names, words in ((load, "load regulation"), (WIDE_LINE, "line regulation")):
        rows = [row for figure in names for row in part_type.rows(figure) if _width(row, words) > 0.0]
        widest = [row for row in rows if _width(row, words) == max(_width(one, words) for one in rows)]
        typical = next((row for row in rows if row.typical is not None), None)
        if typical is not None and typical.typical is not None:
            model = _swing(found.values, typical, at, words) / _unit(typical, at)
            yield exact(name, words, "25 °C", "usual", model, typical.typical)
        loosest = max(widest, key=lambda row: row.most or 0.0, default=None)
        if loosest is not None and loosest.most is not None:
            model = _swing(most, loosest, at, words) / _unit(loosest, at)
            yield exact(name, words, "25 °C", "regulation most", model, loosest.most)


def _ends(row: Figure, words: str) -> tuple[float, float]:
    """The range that a regulation row runs over: output current [A], or input or input-output voltage [V]."""
    given = row.conditions
    found = given.output_current if words == "load regulation" else given.input_voltage or given.differential_voltage
    return found or (0.0, 0.0)


def _width(row: Figure, words: str) -> float:
    low, high = _ends(row, words)
    return high - low


def _unit(row: Figure, at: SetPoint) -> float:
    """What a change [V] is divided by to compare it with the row: volts, share of the voltage, or share per volt."""
    if row.name == "line_reg_slope":
        return at.voltage * _width(row, "line regulation")
    return at.voltage if row.name.endswith("share") else 1.0


def _swing(values: Mapping[str, float], row: Figure, at: SetPoint, words: str) -> float:
    """Change of the output voltage [V] over the range of a regulation row."""
    low, high = _ends(row, words)
    given = row.conditions
    if words == "load regulation":
        supply = given.input_voltage[1] if given.input_voltage else at.voltage + at.differential
        return abs(regulated(values, supply, high) - regulated(values, supply, max(low, LEAST_LOAD)))
    current = given.output_current[1] if given.output_current else max(at.current, 0.01)
    shift = 0.0 if given.input_voltage else at.voltage
    return abs(regulated(values, high + shift, current) - regulated(values, low + shift, current))


def _dropout(part_type: PartType, found: Identified) -> Iterator[Deviation]:
    """Drop-out voltage: the input-output voltage where the output is a fifth below the set voltage."""
    rated, name = ratings(part_type), part_type.name

    def lost(end: str, current: float, printed: float) -> float:
        supply = 0.8 * found.values["set_voltage"] + printed
        return supply - regulated(found.at(drop_out=end), supply, current)

    guaranteed = rated.get("dropout_guaranteed")
    currents = guaranteed.figure.conditions.output_current if guaranteed else None
    if guaranteed is not None and currents is not None:
        yield above(name, "drop-out voltage", f"{currents[1]:g} A", "drop-out most",
                    lost("most", currents[1], guaranteed.value), guaranteed.value)  # fmt: skip
    typical = rated.get("dropout_typical")
    for row in part_type.rows("dropout"):
        current = row.conditions.output_current
        if current is None:
            continue
        if typical is not None and row.typical is not None and _fitted(row, typical.figure):
            model = lost("usual", current[1], row.typical)
            yield exact(name, "drop-out voltage", f"{current[1]:g} A", "usual", model, row.typical)
        if row.most is not None:
            model = lost("most", current[1], row.most)
            yield exact(name, "drop-out voltage", f"{current[1]:g} A", "drop-out most", model, row.most)


def _fitted(row: Figure, main: Figure) -> bool:
    """Whether a row is worth as much as the main row and prints another current, or is the main row."""
    other = row.conditions.output_current != main.conditions.output_current
    return row is main or (other and row.kind("typical") == main.kind("typical"))


def _quiescent(part_type: PartType, found: Identified, at: SetPoint) -> Iterator[Deviation]:
    name, symbol = part_type.name, "I_ADJ" if part_type.adjustable else "I_Q"
    rows = [row for row in part_type.rows("IADJ" if part_type.adjustable else "IQ")]
    typical = next((row for row in rows if row.typical is not None), None)
    limits = [row.most for row in rows if row.most is not None]
    nominal, current = at.voltage + at.differential, max(at.current, 0.01)
    if typical is not None and typical.typical is not None and limits:
        given = typical.conditions.output_current
        model = quiescent(found.values, nominal, given[1] if given else current)
        yield exact(name, symbol, "25 °C", "usual", model, typical.typical)
        model = quiescent(found.at(quiescent_current="most"), nominal, current)
        yield exact(name, symbol, "25 °C", "quiescent current most", model, max(limits))


def _limits(part_type: PartType, found: Identified) -> Iterator[Deviation]:
    """Peak and short-circuit current of a fixed regulator; else the printed limit at its input-output voltages."""
    name, voltage = part_type.name, found.values["set_voltage"]
    for figure, symbol in (("IPK", "I_PK"), ("ISC", "I_SC")):
        for row in part_type.rows(figure)[:1]:
            given = row.conditions.input_voltage
            supply = given[1] if given else voltage + found.values["nominal_differential"]
            output = 0.0 if figure == "ISC" else voltage - 0.5
            if row.typical is not None:
                model = limited(found.values, supply, output)
                yield exact(name, symbol, f"{supply:.3g} V", "usual", model, row.typical)
    seen: set[float] = set()
    for row in part_type.rows("I_limit"):
        ends = row.conditions.differential_voltage
        across = ends[1] if ends else found.values["nominal_differential"]
        output = voltage / 2.0
        if across in seen:
            continue
        seen.add(across)
        for end, printed in (("least", row.least), ("usual", row.typical), ("most", row.most)):
            if printed is not None:
                model = limited(found.at(limit=end, drop_out="least"), output + across, output)
                yield exact(name, "current limit", f"{across:g} V", f"limit {end}", model, printed)
