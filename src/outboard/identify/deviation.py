"""How well an identified device gives back the figures of its sheet.

A figure that fixes a parameter is compared with what the device does at the printed conditions; a figure that only
bounds one counts as met when the device stays inside it.
"""

from collections.abc import Callable, Iterator, Mapping

from outboard.constants import ZERO_CELSIUS
from outboard.identify import bipolar, diode
from outboard.identify.agreement import Deviation
from outboard.identify.agreement import above as _above
from outboard.identify.agreement import below as _below
from outboard.identify.agreement import exact as _exact
from outboard.identify.breakdown import peak_current
from outboard.identify.diode import forward_limit
from outboard.identify.gain import printed_points
from outboard.identify.leakage import bounding_figure
from outboard.identify.mosfet_deviation import mosfet_deviations
from outboard.identify.operating import (
    active_point,
    cutoff,
    forward_voltage,
    reverse_current,
    reverse_voltage,
    saturated_point,
)
from outboard.identify.records import Identified
from outboard.identify.regulator_deviation import regulator_deviations
from outboard.identify.thyristor import thyristor
from outboard.parts.records import SYMBOLS, PartType


def deviations(part_type: PartType) -> tuple[Deviation, ...]:
    """Every figure of a type that its model has to give back."""
    return tuple(_OF_KIND[part_type.kind](part_type))


def worst_deviations(types: Mapping[str, PartType]) -> Mapping[str, Deviation]:
    """The largest deviation of each type whose kind has a model."""
    found = {name: deviations(part_type) for name, part_type in types.items() if part_type.kind in MODELLED}
    return {name: max(rows, key=lambda row: abs(row.relative)) for name, rows in found.items()}


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
    limit, found = forward_limit(part_type), diode(part_type)
    for row in part_type.rows("VF"):
        current, kelvin = row.conditions.forward_current, row.conditions.temperature
        other = row is not limit and limit is not None and kelvin == limit.conditions.temperature
        if row.most is None or current is None or other:
            continue
        at = f"{current:g} A, {kelvin - ZERO_CELSIUS:.0f} °C"
        most = forward_voltage(found.at(forward_voltage="most"), current, kelvin)
        yield (_exact if row is limit else _below)(part_type.name, "V_F", at, "forward voltage most", most, row.most)
        yield _below(part_type.name, "V_F", at, "usual", forward_voltage(found.values, current, kelvin), row.most)
    if "breakdown_voltage" in found.values:
        yield from _breakdown(part_type, found)


def _breakdown(part_type: PartType, found: Identified) -> Iterator[Deviation]:
    """Breakdown voltage at both ends, dynamic resistance, clamping voltage, and what flows below breakdown."""
    name, current = part_type.name, found.values["breakdown_current"]
    at = f"{1e3 * current:g} mA"
    low, most = found.at(breakdown_voltage="least"), found.at(breakdown_voltage="most")
    tolerance = max((row.most or 0.0 for row in part_type.rows("VZ_tolerance")), default=0.0)
    for row in (*part_type.rows("VZ"), *part_type.rows("VBR")):
        nominal = row.typical or 0.0
        ends = row.least or (1.0 - tolerance) * nominal, row.most or (1.0 + tolerance) * nominal
        symbol = SYMBOLS[row.name]
        yield _exact(name, symbol, at, "breakdown voltage least", reverse_voltage(low, current), ends[0])
        yield _exact(name, symbol, at, "breakdown voltage most", reverse_voltage(most, current), ends[1])
        if row.typical is not None:
            yield _exact(name, symbol, at, "usual", reverse_voltage(found.values, current), row.typical)
    for row in part_type.rows("ZZT"):
        if row.most is not None:
            yield _exact(name, "Z_ZT", at, "breakdown voltage most", _dynamic_resistance(most, current), row.most)
            yield _below(name, "Z_ZT", at, "usual", _dynamic_resistance(found.values, current), row.most)
    for row in part_type.rows("VC"):
        peak = peak_current(part_type, row)
        if row.most is not None and peak is not None:
            yield _exact(name, "V_C", f"{peak:.3g} A", "breakdown voltage most", reverse_voltage(most, peak), row.most)
    for row in part_type.rows("IR"):
        volts = row.conditions.reverse_voltage
        if row.most is not None and volts is not None:
            yield _below(name, "I_R", f"{volts:g} V", "breakdown voltage least", reverse_current(low, volts), row.most)


def _dynamic_resistance(values: Mapping[str, float], current: float) -> float:
    """Slope of the breakdown curve [Ω] at a current [A]."""
    step = 1e-4 * current
    return (reverse_voltage(values, current + step) - reverse_voltage(values, current - step)) / (2.0 * step)


def _thyristor(part_type: PartType) -> Iterator[Deviation]:
    """The on-state line against V_TM, which no device passes; leakage against I_DRM."""
    name, values = part_type.name, thyristor(part_type).values
    for row in part_type.rows("VTM"):
        current = row.conditions.on_state_current
        if row.most is not None and current is not None:
            drop = values["on_voltage"] + values["on_resistance"] * current
            yield _below(name, "V_TM", f"{current:g} A", "usual", drop, row.most)
    most = max((row.most for row in part_type.rows("IDRM") if row.most is not None), default=None)
    blocks = next((row.most for row in part_type.rows("VDRM") if row.most is not None), None)
    if most is not None and blocks is not None:
        yield _below(name, "I_DRM", f"{blocks:g} V", "usual", blocks / values["off_state_resistance"], most)


_OF_KIND: Mapping[str, Callable[[PartType], Iterator[Deviation]]] = {
    "bipolar": _bipolar, "diode": _diode, "mosfet": mosfet_deviations, "regulator": regulator_deviations,
    "thyristor": _thyristor,
}  # fmt: skip
MODELLED = tuple(_OF_KIND)
"""The kinds of type that have a model."""
