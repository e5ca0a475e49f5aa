"""The crowbar as checks: it stays off at everything that was promised, and fires before the load has too much."""

from collections.abc import Iterator

import numpy as np

from outboard.arrangements.crowbar import Crowbar, Trip, Unknown, crowbar_of, trip_of
from outboard.arrangements.design import Design
from outboard.checks import needs
from outboard.checks.check import AT_MOST, Check, Floats
from outboard.checks.needs import Need
from outboard.checks.requirements import PROMISED, UNKNOWN
from outboard.network.solution import Block
from outboard.parts.records import Origin


def crowbar_checks(design: Design) -> Iterator[Check]:
    """Output below the least trip voltage, gate below what fires nothing, greatest trip voltage below what is borne."""
    crowbar, output = crowbar_of(design), design.brief.output
    if crowbar is None or output is None or not any(part.name == "load" for part in design.parts):
        return
    name, found = crowbar.thyristor.name, trip_of(design, crowbar)
    rests = _rests(found)
    shared = (*needs.operating_point(design), *needs.leakage(design))
    least, most = _ends(found, design)

    def voltage(block: Block) -> Floats:
        return block.pin_voltage("load", "plus") - block.pin_voltage("load", "minus")  # a negative load is turned

    def trips(block: Block) -> Floats:
        return np.full(block.outcomes.shape, most)

    if not (isinstance(found, Unknown) and found.never):
        yield Check("crowbar stays off", name, voltage, least, AT_MOST, "V", rests[0].origin or UNKNOWN,
                    (*rests, *shared), abs(output.voltage))  # fmt: skip
    yield _gate(crowbar, shared)
    withstands = output.withstands
    borne = Need(PROMISED) if withstands is not None else Need(None, "what the load withstands is not said")
    yield Check("crowbar fires in time", name, trips, np.nan if withstands is None else withstands, AT_MOST, "V",
                PROMISED, (borne, *rests), abs(output.voltage))  # fmt: skip


def _gate(crowbar: Crowbar, shared: tuple[Need, ...]) -> Check:
    """The gate below the voltage that fires no device, whatever became of what hangs on it."""
    name, found = crowbar.thyristor.name, crowbar.thyristor.rating("V_GD")

    def across(block: Block) -> Floats:
        return block.pin_voltage(name, "gate") - block.pin_voltage(name, "cathode")

    return Check("gate of the crowbar at rest", name, across, needs.value(found), AT_MOST, "V",
                 found.origin if found else UNKNOWN, (needs.rating(crowbar.thyristor, "V_GD"), *shared))  # fmt: skip


def _ends(found: Trip | Unknown, design: Design) -> tuple[float, float]:
    """Least and greatest trip voltage [V]; of a crowbar that never fires, the whole input comes through."""
    if isinstance(found, Trip):
        return found.least.value, found.most.value
    source = design.brief.input
    if found.never and source is not None:
        return np.nan, max(abs(source.voltage.least), abs(source.voltage.most))
    return np.nan, np.nan


def _rests(found: Trip | Unknown) -> tuple[Need, ...]:
    if isinstance(found, Unknown):
        return (Need(Origin("derived", "", found.why)),) if found.never else (Need(None, found.why),)
    return tuple(Need(origin) for origin in found.origins)
