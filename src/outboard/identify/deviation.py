"""How well an identified device gives back the figures of its sheet.

A figure that fixes a parameter is compared with what the device does at the printed conditions; a figure that only
bounds one counts as met when the device stays inside it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from outboard.constants import ZERO_CELSIUS
from outboard.identify import bipolar, diode, regulator
from outboard.identify.gain import printed_points
from outboard.identify.leakage import bounding_figure
from outboard.identify.operating import (
    active_point,
    cutoff,
    forward_voltage,
    limited,
    quiescent,
    regulated,
    saturated_point,
)
from outboard.identify.records import Identified
from outboard.parts.ratings import output_row, ratings
from outboard.parts.records import SYMBOLS, Figure, PartType


@dataclass(frozen=True, slots=True)
class Deviation:
    """One figure against the model: which end of which axis, what the model does, what is printed, by how much off.

    relative   (model − printed)/printed; 0 when the figure is a bound and the model stays inside
    """

    part: str
    figure: str
    at: str
    end: str
    model: float
    printed: float
    relative: float


def deviations(part_type: PartType) -> tuple[Deviation, ...]:
    """Every figure of a type that its model has to give back."""
    rows = {"bipolar": _bipolar, "diode": _diode, "regulator": _regulator}[part_type.kind](part_type)
    return tuple(rows)


def worst_deviations(types: Mapping[str, PartType]) -> Mapping[str, Deviation]:
    """The largest deviation of each type."""
    return {name: max(deviations(kind), key=lambda row: abs(row.relative)) for name, kind in types.items()}


def _exact(part: str, figure: str, at: str, end: str, model: float, printed: float) -> Deviation:
    return Deviation(part, figure, at, end, model, printed, (model - printed) / printed)


def _below(part: str, figure: str, at: str, end: str, model: float, printed: float) -> Deviation:
    return Deviation(part, figure, at, end, model, printed, max(0.0, model - printed) / abs(printed))


def _above(part: str, figure: str, at: str, end: str, model: float, printed: float) -> Deviation:
    return Deviation(part, figure, at, end, model, printed, min(0.0, model - printed) / abs(printed))


def _bipolar(part_type: PartType) -> Iterator[Deviation]:
    name, usual = part_type.name, bipolar(part_type)
    minima, typicals, maxima = printed_points(part_type)
    for point in minima:
        at = f"{point.current:g} A, {point.voltage:g} V"
        least = bipolar(part_type, point.current).at(gain="least")
        yield _exact(name, "h_FE", at, "gain least", _gain(least, point.current, point.voltage), point.gain)
        yield _above(name, "h_FE", at, "usual", _gain(usual.values, point.current, point.voltage), point.gain)
    for point in maxima:
        at = f"{point.current:g} A, {point.voltage:g} V"
        most = bipolar(part_type, point.current).at(gain="most")
        yield _exact(name, "h_FE", at, "gain most", _gain(most, point.current, point.voltage), point.gain)
        yield _below(name, "h_FE", at, "usual", _gain(usual.values, point.current, point.voltage), point.gain)
    for point in typicals:
        at = f"{point.current:g} A, {point.voltage:g} V"
        yield _exact(name, "h_FE", at, "usual", _gain(usual.values, point.current, point.voltage), point.gain)
    limits = sorted(part_type.rows("VBE_on"), key=lambda row: row.conditions.collector_current or 0.0)
    first = limits[0] if limits else None
    for row in limits:
        current, voltage = row.conditions.collector_current, row.conditions.collector_emitter_voltage
        if row.most is not None and current is not None and voltage is not None:
            model = active_point(bipolar(part_type, current).at(V_BE="most"), current, voltage)[0]
            check = _exact if row is first else _below
            yield check(name, "V_BE(on)", f"{current:g} A", "V_BE most", model, row.most)
        if row.typical is not None and current is not None and voltage is not None:
            model = active_point(usual.values, current, voltage)[0]
            yield _exact(name, "V_BE(on)", f"{current:g} A", "usual", model, row.typical)
        if row.least is not None and current is not None and voltage is not None:
            model = active_point(usual.at(V_BE="least"), current, voltage)[0]
            yield _exact(name, "V_BE(on)", f"{current:g} A", "V_BE least", model, row.least)
    yield from _saturation(part_type, usual)
    yield from _leakage(part_type, usual)


def _saturation(part_type: PartType, usual: Identified) -> Iterator[Deviation]:
    """V_CE(sat) and V_BE(sat): limits are bounds of the usual device, and of the ends where they fix an end."""
    name = part_type.name
    for row in (*part_type.rows("VCE_sat"), *part_type.rows("VBE_sat")):
        current, base = row.conditions.collector_current, row.conditions.base_current
        if current is None or base is None:
            continue
        place, at = int(row.name == "VCE_sat"), f"{current:g} A, {base:g} A"
        figure, model = SYMBOLS[row.name], saturated_point(usual.values, current, base)[place]
        if row.most is not None:
            yield _below(name, figure, at, "usual", model, row.most)
        if row.typical is not None:
            yield _exact(name, figure, at, "usual", model, row.typical)
        if row.name == "VBE_sat" and row.most is not None:
            most = saturated_point(bipolar(part_type, current).at(V_BE="most"), current, base)[place]
            yield _below(name, figure, at, "V_BE most", most, row.most)
        if row.least is not None:
            least = saturated_point(usual.at(V_BE="least"), current, base)[place]
            yield _exact(name, figure, at, "V_BE least", least, row.least)


def _gain(values: Mapping[str, float], current: float, voltage: float) -> float:
    return current / active_point(values, current, voltage)[1]


def _leakage(part_type: PartType, usual: Identified) -> Iterator[Deviation]:
    for hot in (False, True):
        row = bounding_figure(part_type, hot)
        if row is None or row.most is None:
            continue
        given = row.conditions
        volts = given.collector_base_voltage or given.collector_emitter_voltage or 10.0
        model = cutoff(usual.at(leakage="most"), volts, given.temperature)
        at = f"{volts:g} V, {given.temperature - ZERO_CELSIUS:.0f} °C"
        yield _exact(part_type.name, SYMBOLS[row.name], at, "leakage most", model, row.most)


def _diode(part_type: PartType) -> Iterator[Deviation]:
    limit, found = ratings(part_type)["V_F"], diode(part_type)
    current = limit.figure.conditions.forward_current or 1.0
    at = f"{current:g} A"
    most = forward_voltage(found.at(forward_voltage="most"), current)
    yield _exact(part_type.name, "V_F", at, "forward voltage most", most, limit.value)
    yield _below(part_type.name, "V_F", at, "usual", forward_voltage(found.values, current), limit.value)


def _regulator(part_type: PartType) -> Iterator[Deviation]:
    name, found = part_type.name, regulator(part_type)
    ends = {"least": found.at(set_voltage="least"), "typical": found.values, "most": found.at(set_voltage="most")}
    for row in part_type.rows("VO"):
        currents, supplies = row.conditions.output_current, row.conditions.input_voltage
        if currents is None or supplies is None or row is output_row(part_type):
            continue
        for side, values in ends.items():
            printed = getattr(row, side)
            model = regulated(values, supplies[0], currents[0])
            yield _exact(name, "V_O", f"{supplies[0]:g} V, {currents[0]:g} A", f"set voltage {side}", model, printed)
    yield from _band(part_type, ends)
    yield from _regulation(part_type, found)
    yield from _dropout(part_type, found)
    yield from _currents(part_type, found)


def _band(part_type: PartType, ends: Mapping[str, Mapping[str, float]]) -> Iterator[Deviation]:
    """The ends of the set voltage against the V_O row over the range, hot and cold."""
    row = output_row(part_type)
    if row is None or row.least is None or row.most is None:
        return
    currents, supplies = row.conditions.output_current, row.conditions.input_voltage
    if currents is None or supplies is None:
        return
    for celsius in (0.0, 125.0):
        kelvin, at = celsius + ZERO_CELSIUS, f"{celsius:g} °C"
        # a volt above the least input: at the least input drop-out, an axis of its own, may lower the output
        low = regulated(ends["least"], supplies[0] + 1.0, currents[1], kelvin)
        high = regulated(ends["most"], supplies[1], currents[0], kelvin)
        yield _above(part_type.name, "V_O over the range", at, "set voltage least", low, row.least)
        yield _below(part_type.name, "V_O over the range", at, "set voltage most", high, row.most)


def _swing(values: Mapping[str, float], row: Figure, found: Identified, over: str) -> float:
    """Change of the output voltage [V] over the range of a regulation row."""
    nominal = found.values["nominal_differential"] + found.values["set_voltage"]
    currents, supplies = row.conditions.output_current, row.conditions.input_voltage
    if over == "output_current" and currents is not None:
        supply = supplies[1] if supplies else nominal
        return abs(regulated(values, supply, currents[1]) - regulated(values, supply, currents[0]))
    current = currents[1] if currents else 0.1
    if supplies is None:
        raise ValueError(f"line regulation without its input voltages: {row}")
    return abs(regulated(values, supplies[1], current) - regulated(values, supplies[0], current))


def _regulation(part_type: PartType, found: Identified) -> Iterator[Deviation]:
    part = part_type.name
    figures = (("load_reg", "output_current", "load regulation"), ("line_reg", "input_voltage", "line regulation"))
    for name, over, words in figures:
        rows = [row for row in part_type.rows(name) if getattr(row.conditions, over)]
        widths = [getattr(row.conditions, over)[1] - getattr(row.conditions, over)[0] for row in rows]
        widest = [row for row, width in zip(rows, widths, strict=True) if width == max(widths)]
        typical = next((row for row in rows if row.typical is not None), None)
        if typical is not None and typical.typical is not None:
            model = _swing(found.values, typical, found, over)
            yield _exact(part, words, "25 °C", "usual", model, typical.typical)
        loosest = max(widest, key=lambda row: row.most or 0.0, default=None)
        if loosest is not None and loosest.most is not None:
            most = found.at(regulation="most", limit="most", drop_out="least")
            model = _swing(most, loosest, found, over)
            yield _exact(part, words, "25 °C", "regulation most", model, loosest.most)


def _dropout(part_type: PartType, found: Identified) -> Iterator[Deviation]:
    """Drop-out voltage: the input-output voltage in deep drop-out, at an input below the set voltage."""
    rated = ratings(part_type)
    most = found.at(drop_out="most")
    for key, end, values in (
        ("dropout_typical", "usual", found.values),
        ("dropout_guaranteed", "drop-out most", most),
    ):
        rating = rated.get(key)
        currents = rating.figure.conditions.output_current if rating else None
        if rating is None or currents is None:
            continue
        supply = found.values["set_voltage"] + 0.5
        model = supply - regulated(values, supply, currents[1])
        check = _exact if end == "usual" else _above
        yield check(part_type.name, "drop-out voltage", f"{currents[1]:g} A", end, model, rating.value)


def _currents(part_type: PartType, found: Identified) -> Iterator[Deviation]:
    """Quiescent current, peak current and short-circuit current."""
    name, nominal = part_type.name, found.values["nominal_differential"] + found.values["set_voltage"]
    for row in part_type.rows("IQ")[:1]:
        supply = row.conditions.input_voltage[1] if row.conditions.input_voltage else nominal
        current = row.conditions.output_current[1] if row.conditions.output_current else 0.1
        if row.typical is not None:
            yield _exact(name, "I_Q", "25 °C", "usual", quiescent(found.values, supply, current), row.typical)
    limits = [row.most for row in part_type.rows("IQ") if row.most is not None]
    row = part_type.rows("IQ")[0]
    current = row.conditions.output_current[1] if row.conditions.output_current else 0.1
    model = quiescent(found.at(quiescent_current="most"), nominal, current)
    yield _exact(name, "I_Q", "25 °C", "quiescent current most", model, max(limits))
    for figure, key in (("IPK", "I_PK"), ("ISC", "I_SC")):
        for row in part_type.rows(figure)[:1]:
            supply = row.conditions.input_voltage[1] if row.conditions.input_voltage else nominal
            output = 0.0 if figure == "ISC" else found.values["set_voltage"] - 0.5
            if row.typical is not None:
                yield _exact(name, key, f"{supply:.3g} V", "usual", limited(found.values, supply, output), row.typical)
