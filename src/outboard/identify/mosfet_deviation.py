"""How well an identified field-effect transistor gives back the figures of its sheet."""

from collections.abc import Iterator

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.identify.agreement import Deviation, above, below, exact
from outboard.identify.mosfet import gate_voltage, mosfet, on_resistance, transconductance
from outboard.parts.records import PartType


def mosfet_deviations(part_type: PartType) -> Iterator[Deviation]:
    """Threshold at both ends, R_DS(on) of the weakest device, transconductance."""
    name, found = part_type.name, mosfet(part_type)
    for row in part_type.rows("VGS_th"):
        current = row.conditions.drain_current or 250e-6
        at = f"{1e6 * current:g} µA"
        for side, check in (("least", above), ("most", below)):
            printed = getattr(row, side)
            if printed is not None:
                ends = found.at(threshold=side)
                yield exact(name, "V_GS(th)", at, f"threshold {side}", gate_voltage(ends, current), printed)
                yield check(name, "V_GS(th)", at, "usual", gate_voltage(found.values, current), printed)
        if row.typical is not None:
            yield exact(name, "V_GS(th)", at, "usual", gate_voltage(found.values, current), row.typical)
    yield from _on_resistance(part_type)
    for row in part_type.rows("gfs"):
        drawn, volts = row.conditions.drain_current, row.conditions.drain_source_voltage or 25.0
        if row.least is not None and drawn is not None:
            weakest = transconductance(found.at(on_resistance="most"), drawn, abs(volts))
            yield above(name, "g_fs", f"{drawn:g} A", "on-resistance most", weakest, row.least)


def _on_resistance(part_type: PartType) -> Iterator[Deviation]:
    """The weakest device has the loosest printed limit at the highest gate voltage; every other limit bounds it."""
    name, found = part_type.name, mosfet(part_type)
    cold = [row for row in part_type.rows("RDS_on")
            if row.most is not None and row.conditions.gate_source_voltage is not None
            and row.conditions.temperature == REFERENCE_TEMPERATURE]  # fmt: skip
    anchor = max(cold, key=lambda row: (row.conditions.gate_source_voltage or 0.0, row.most or 0.0), default=None)
    for row in cold:
        gate, current = row.conditions.gate_source_voltage or 0.0, row.conditions.drain_current or 0.1
        at = f"{current:g} A, {gate:g} V"
        weakest = on_resistance(found.at(on_resistance="most"), gate, current)
        check = exact if row is anchor else below
        if row is anchor or (anchor is not None and gate != anchor.conditions.gate_source_voltage):
            yield check(name, "R_DS(on)", at, "on-resistance most", weakest, row.most or 0.0)
        yield below(name, "R_DS(on)", at, "usual", on_resistance(found.values, gate, current), row.most or 0.0)
