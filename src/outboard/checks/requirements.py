"""What was promised, as checks: output, headroom on both paths, the regulator within its guaranteed current."""

from collections.abc import Iterator

import numpy as np

from outboard.arrangements.design import Design, DesignPart
from outboard.checks import needs
from outboard.checks.check import AT_LEAST, AT_MOST, Check, Floats
from outboard.checks.needs import Need
from outboard.network.sloped import value_of
from outboard.network.solution import Block
from outboard.parts import Figure
from outboard.parts.records import Origin, printed
from outboard.quantities import figures
from outboard.quantities.regulation import regulator_headroom

PROMISED = Origin("promised", "", "promised in the design file")
UNKNOWN = Origin("", "", "not known")


def output_checks(design: Design, title: str = "output", released: bool = False) -> Iterator[Check]:
    """Size of the output voltage within its tolerance, on both sides; `released`: load just gone, still hot."""
    output = design.brief.output
    load = next((part for part in design.parts if part.name == "load"), None)
    if output is None or load is None:
        return
    shared, leaks = (*needs.operating_point(design), *needs.held_voltage(design)), needs.leakage(design)
    promised = abs(output.voltage)
    low, high = (promised * (1.0 + sign * output.tolerance) for sign in (-1.0, 1.0))

    def voltage(block: Block) -> Floats:
        return block.pin_voltage("load", "plus") - block.pin_voltage("load", "minus")  # a negative load is turned

    yield Check(f"{title} not too low", None, voltage, low, AT_LEAST, "V", PROMISED,
                (*shared, *leaks) if released else shared, promised)  # fmt: skip
    yield Check(f"{title} not too high", None, voltage, high, AT_MOST, "V", PROMISED, (*shared, *leaks),
                promised)  # fmt: skip


def headroom_checks(design: Design) -> Iterator[Check]:
    """What is left above drop-out of each regulator and above saturation of each transistor."""
    shared = needs.operating_point(design)
    for part in design.parts:
        if part.part.kind == "regulator":
            yield _regulator_headroom(part, shared)
        elif part.part.kind == "bipolar" and part.role != "sense transistor":  # off in service, whatever its V_CE
            yield _saturation_headroom(part, shared)


def _regulator_headroom(part: DesignPart, shared: tuple[Need, ...]) -> Check:
    name = part.name
    need = needs.spread(part, "drop-out", "most")
    return Check(
        "headroom above drop-out", name, lambda block: regulator_headroom(block, name), 0.0, AT_LEAST, "V",
        need.origin or UNKNOWN, (need, needs.parameter(part, "dropout_voltage"), *shared), rest=1.0,
    )  # fmt: skip


def _saturation_headroom(part: DesignPart, shared: tuple[Need, ...]) -> Check:
    """Collector-emitter voltage against V_CE(sat) as printed for at least the current that flows."""
    name = part.name
    rows = sorted(_saturation_rows(part), key=lambda row: (row[0], -row[1]))
    currents = np.array([current for current, _, _ in rows])
    voltages = np.array([voltage for _, voltage, _ in rows])

    def limit(block: Block) -> Floats:
        if not rows:
            return np.full(block.outcomes.shape, np.nan)
        current = value_of(figures.collector_current(block, name))  # steps have no slope
        place = np.searchsorted(currents, current)
        return np.asarray(np.where(place < len(rows), voltages[np.minimum(place, len(rows) - 1)], np.nan))

    origin = printed(rows[0][2], "most", needs.typed(part)) if rows else UNKNOWN
    missing = "" if rows else f"V_CE(sat) of {needs.titled(part)} is not known"
    return Check("headroom above saturation", name, lambda block: figures.collector_emitter_voltage(block, name), limit,
                 AT_LEAST, "V", origin, (Need(origin if rows else None, missing), *shared))  # fmt: skip


def _saturation_rows(part: DesignPart) -> Iterator[tuple[float, float, Figure]]:
    for row in part.type.rows("VCE_sat") if part.type is not None else ():
        if row.most is not None and row.conditions.collector_current is not None:
            yield row.conditions.collector_current, row.most, row


def current_checks(design: Design) -> Iterator[Check]:
    """Each regulator under the current that its sheet guarantees; an adjustable one above its least load."""
    shared = needs.operating_point(design)
    for part in design.parts:
        if part.part.kind == "regulator":
            yield _guaranteed_current(part, shared)
            if part.type is not None and part.type.rows("VREF"):
                yield _least_load(part, shared)


def _guaranteed_current(part: DesignPart, shared: tuple[Need, ...]) -> Check:
    name, found = part.name, part.rating("I_O")
    return Check(
        "current within the guaranteed range", name, lambda block: figures.regulator_current(block, name),
        needs.value(found), AT_MOST, "A", found.origin if found else UNKNOWN,
        (needs.rating(part, "I_O"), *shared),
    )  # fmt: skip


def _least_load(part: DesignPart, shared: tuple[Need, ...]) -> Check:
    """An adjustable regulator has no other way for its own current than the output: below its least load it rises."""
    name, found = part.name, part.rating("I_O_min")
    return Check(
        "least load", name, lambda block: figures.regulator_current(block, name), needs.value(found), AT_LEAST, "A",
        found.origin if found else UNKNOWN, (needs.rating(part, "I_O_min"), *shared),
        rest=2.0 * needs.value(found) if found else 0.0,
    )  # fmt: skip
