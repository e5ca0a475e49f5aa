"""What was promised, as checks: output, headroom on both paths, the regulator within its guaranteed current."""

from collections.abc import Iterator

import numpy as np

from outboard.arrangements.design import Design, DesignPart
from outboard.checks import needs
from outboard.checks.check import AT_LEAST, AT_MOST, Check, Floats
from outboard.checks.needs import Need
from outboard.network.solution import Block
from outboard.parts import Figure
from outboard.parts.records import Origin, printed
from outboard.quantities import figures

PROMISED = Origin("promised", "", "promised in the design file")


def output_checks(design: Design, title: str = "output", released: bool = False) -> Iterator[Check]:
    """Output voltage within its tolerance, on both sides; `released`: after the load has gone, still hot."""
    output = design.brief.output
    load = next((part for part in design.parts if part.name == "load"), None)
    if output is None or load is None:
        return
    shared = (*_output_needs(design), *(_leakage_needs(design) if released else ()))
    low, high = (output.voltage * (1.0 + sign * output.tolerance) for sign in (-1.0, 1.0))

    def voltage(block: Block) -> Floats:
        return block.pin_voltage("load", "plus") - block.pin_voltage("load", "minus")

    yield Check(f"{title} not too low", None, voltage, low, AT_LEAST, "V", PROMISED, shared, output.voltage)
    yield Check(f"{title} not too high", None, voltage, high, AT_MOST, "V", PROMISED,
                (*shared, *_leakage_needs(design)), output.voltage)  # fmt: skip


def _output_needs(design: Design) -> Iterator[Need]:
    for part in design.parts:
        if part.part.kind == "regulator":
            yield needs.spread(part, "set voltage", "least")
            yield needs.spread(part, "set voltage", "most")
            for field in ("output_resistance", "line_coefficient", "set_voltage_tempco"):
                yield needs.parameter(part, field)


def _leakage_needs(design: Design) -> Iterator[Need]:
    for part in design.parts:
        if part.part.kind == "bipolar":
            yield from needs.allowed(part, "leakage", "hot leakage")


def headroom_checks(design: Design) -> Iterator[Check]:
    """What is left above drop-out of each regulator and above saturation of each transistor."""
    for part in design.parts:
        if part.part.kind == "regulator":
            yield _regulator_headroom(part)
        elif part.part.kind == "bipolar":
            yield _saturation_headroom(part)


def _regulator_headroom(part: DesignPart) -> Check:
    name = part.name
    need = needs.spread(part, "drop-out", "most")
    return Check(
        "headroom above drop-out", name, lambda block: figures.regulator_headroom(block, name), 0.0, AT_LEAST, "V",
        need.origin or PROMISED, (need, needs.parameter(part, "dropout_voltage")), rest=1.0,
    )  # fmt: skip


def _saturation_headroom(part: DesignPart) -> Check:
    """Collector-emitter voltage against V_CE(sat) as printed for at least the current that flows."""
    name = part.name
    rows = sorted(_saturation_rows(part), key=lambda row: row[0])
    currents = np.array([current for current, _, _ in rows])
    voltages = np.array([voltage for _, voltage, _ in rows])

    def limit(block: Block) -> Floats:
        if not rows:
            return np.full(block.outcomes.shape, np.nan)
        current = figures.collector_current(block, name)
        place = np.searchsorted(currents, current)
        return np.asarray(np.where(place < len(rows), voltages[np.minimum(place, len(rows) - 1)], np.nan))

    origin = printed(rows[0][2], "most", name) if rows else Origin("", "", "not known")
    missing = "" if rows else f"V_CE(sat) of {needs.titled(part)} is not known"
    return Check("headroom above saturation", name, lambda block: figures.collector_emitter_voltage(block, name), limit,
                 AT_LEAST, "V", origin, (Need(origin if rows else None, missing),))  # fmt: skip


def _saturation_rows(part: DesignPart) -> Iterator[tuple[float, float, Figure]]:
    for row in part.type.rows("VCE_sat") if part.type is not None else ():
        if row.most is not None and row.conditions.collector_current is not None:
            yield row.conditions.collector_current, row.most, row


def current_checks(design: Design) -> Iterator[Check]:
    """Each regulator under the current that its sheet guarantees."""
    sharing = [
        need
        for part in design.parts
        if part.part.kind == "bipolar"
        for need in (
            needs.spread(part, "gain", "least"),
            needs.spread(part, "V_BE", "most"),
            needs.parameter(part, "gain_temperature_exponent"),
        )
    ]
    for part in design.parts:
        if part.part.kind == "regulator":
            yield _guaranteed_current(part, tuple(sharing))


def _guaranteed_current(part: DesignPart, sharing: tuple[Need, ...]) -> Check:
    name, found = part.name, part.rating("I_O")
    return Check(
        "current within the guaranteed range", name, lambda block: figures.regulator_current(block, name),
        needs.value(found), AT_MOST, "A", found.origin if found else Origin("", "", "not known"),
        (needs.rating(part, "I_O"), *sharing),
    )  # fmt: skip
