"""The division of the load current in words: a table at chosen loads, hand-over, where it gives up."""

from collections.abc import Sequence
from itertools import groupby

import numpy as np
from rich.text import Text

from outboard.analysis.curves import Curve, Difference, Division, Event, NoStart
from outboard.dossier import Dossier, ran
from outboard.report.plate import Cell, Plate, part
from outboard.report.words import amperes, degrees, listed, types_in_use, volts

SHARES = (0.0, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0)
"""Loads of the table as shares of the most that was promised; besides the usual load and the end."""

DEVICES_A_TABLE = 4
"""More devices than this go into a table of their own, so that no line grows too wide."""


def write(plate: Plate, dossier: Dossier) -> None:
    """Table at usual conditions, hand-over and events at all, ways that part."""
    division = ran(dossier.division)
    usual = division.curve("usual")
    plate.title(dossier.brief.title)
    source = "" if usual.input_voltage is None else f"{volts(usual.input_voltage)} in · "
    plate.quietly(f"{source}load up to {amperes(float(usual.load[-1]))}, promised {amperes(division.promised.most)}")
    plate.hairline()
    plate.quietly(f"usual: {degrees(usual.ambient)} around; the load rises")
    for first in range(0, len(division.devices), DEVICES_A_TABLE):
        _write_curve(plate, division, usual, [device.name for device in division.devices[first:][:DEVICES_A_TABLE]])
    _write_handovers(plate, division)
    _write_events(plate, division)
    _write_ways(plate, division)
    plate.hairline()
    types = types_in_use(dossier.design)
    if types:
        plate.quietly(f"† usual devices: {types}; their typical figures count here, no extremes")
    for note in dossier.design.notes:
        plate.say(note)


def _write_curve(plate: Plate, division: Division, curve: Curve, names: Sequence[str]) -> None:
    most = division.promised.most
    wanted = {*(share * most for share in SHARES), division.promised.usual, float(curve.load[-1])}
    places = sorted({int(np.argmin(np.abs(curve.load - load))) for load in wanted if load <= curve.load[-1]})
    plate.table(
        ("load", "output", *names, "hottest junction"),
        [_row(curve, place, names) for place in places],
        figures=range(len(names) + 3),
    )
    plate.say()


def _row(curve: Curve, place: int, names: Sequence[str]) -> list[Cell]:
    load = amperes(float(curve.load[place]))
    if not curve.solved[place]:
        return [load, "–", *("–" for _ in names), "no operating point"]
    hot = max(names, key=lambda name: float(curve.junctions[name][place]))
    currents = [amperes(float(curve.currents[name][place])) for name in names]
    junction = Text.assemble(part(hot), f" {degrees(float(curve.junctions[hot][place]))}")
    return [load, volts(float(curve.output[place])), *currents, junction]


def _write_handovers(plate: Plate, division: Division) -> None:
    """At which load each transistor starts, cold to hot."""
    if not division.handovers:
        return
    curves = {word: division.curve(word) for word in division.conditions}
    headings = [f"{word}, {degrees(curve.ambient)}" for word, curve in curves.items()]
    rows: list[list[Cell]] = []
    for device in division.devices:
        found = {place.condition: place for place in division.handovers if place.part == device.name}
        if found:
            cells = [start_in_words(found[word].load, found[word].regulator_current) for word in curves]
            rows.append([part(device.name), device.role, *cells])
    plate.quietly("hand-over: load at which a transistor carries 1 % of its own current at full load (regulator there)")
    plate.table(("", "starts at", *headings), rows, figures=range(2, len(headings) + 2))
    plate.say()


def start_in_words(load: float | None, regulator: float | None) -> str:
    """The load at which a transistor starts, the regulator's current beside it."""
    if load is None:
        return "carries nothing"
    beside = "" if regulator is None else f" ({amperes(regulator)})"
    return amperes(load) + beside


def _write_events(plate: Plate, division: Division) -> None:
    last = float(division.curves[0].load[-1])
    events = sorted(division.events, key=lambda event: (event.what, event.part or ""))
    rows: list[list[Cell]] = []
    for _, group in groupby(events, key=lambda event: (event.what, event.part, event.condition)):
        stretches = list(group)
        first = stretches[0]
        words = listed(stretch_in_words(event, last) for event in stretches)
        rows.append([part(first.part or ""), first.what, first.condition, words])
    if rows:
        plate.table(("", "", "", ""), rows)
    else:
        plate.say(f"up to {amperes(last)} no regulator limits or drops out, and the output stays in its tolerance")


def stretch_in_words(event: Event, last: float) -> str:
    """From which load to which."""
    if event.most >= last:
        return f"from {amperes(event.least)} on"
    if event.most == event.least:
        return f"at {amperes(event.least)}"
    return f"{amperes(event.least)} to {amperes(event.most)}"


def _write_ways(plate: Plate, division: Division) -> None:
    for place in division.differs:
        plate.say(difference_in_words(place))
    for start in division.no_start:
        plate.say(no_start_in_words(start))
    if not division.differs:
        plate.quietly("the load up and the load down end in the same points")


def difference_in_words(place: Difference) -> str:
    """Where the two ways along the load part."""
    where = f"{amperes(place.least)} to {amperes(place.most)}"
    gap = f", up to {volts(place.gap)} apart" if place.gap else ""
    return f"{place.condition}: {where} the way down differs from the way up{gap}: it latches"


def no_start_in_words(place: NoStart) -> str:
    """Into which load it does not start."""
    ends = "runs into no operating point" if place.started is None else f"stays at {volts(place.started)}"
    return f"{place.condition}: does not start into {amperes(place.load)}: it {ends}"
