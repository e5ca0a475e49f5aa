"""How the load current divides: curves, a table at chosen loads, hand-over, what happens on the way."""

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from outboard.analysis.curves import Curve, Division
from outboard.dossier import NotRun
from outboard.draw.division import division_figure
from outboard.draw.sheet import svg_text
from outboard.report.divide_text import (
    SHARES,
    difference_in_words,
    no_start_in_words,
    start_in_words,
    stretch_in_words,
)
from outboard.report.document.alike import each, names_in_words, told_once
from outboard.report.document.content import Block, Figure, Items, Paragraph, Section, Styled, Words, table
from outboard.report.document.grounds import on_paper, on_screen
from outboard.report.document.material import Material
from outboard.report.document.wordings import part, sentence, unsigned
from outboard.report.words import amperes, degrees, listed, volts

DEVICES = 6
"""Columns of devices that a page takes."""

SIZE = (504.0, 500.0)
"""What leaves room for the caption below [pt]."""


def section(material: Material) -> Section | None:
    """None where the load cannot be set."""
    division = material.dossier.division
    if isinstance(division, NotRun):
        return None
    return Section("How the current divides", tuple(_blocks(material, division)))


def _blocks(material: Material, division: Division) -> Iterator[Block]:
    yield Paragraph((Styled("division", "figure"), " has the curves; the tables take some loads out of them."
                     f"{unsigned(material.brief)}"))  # fmt: skip
    yield _figure(material, division)
    usual = division.curve("usual")
    groups = _groups(usual, [device.name for device in division.devices])
    for first in range(0, len(groups), DEVICES):
        yield _table(division, usual, groups[first : first + DEVICES])
    yield from _handovers(division)
    happenings = [*_events(division), *map(difference_in_words, division.differs),
                  *map(no_start_in_words, division.no_start)]  # fmt: skip
    if not division.differs:
        happenings.append("the load up and the load down end in the same points")
    yield Items(tuple(sentence(words) for words in happenings))


def _figure(material: Material, division: Division) -> Block:
    parts = material.design.parts
    types = {one.name: one.type.name for one in parts if one.type is not None}
    rated = {one.name: one.rating("I_O") for one in parts if one.part.kind == "regulator"}
    guaranteed = {name: rating.value for name, rating in rated.items() if rating is not None}
    drawn = svg_text(division_figure(division, "", types, guaranteed, "light", SIZE))
    most = amperes(float(division.curve("usual").load[-1]))
    caption = f"Current, heat and junctions of each device over the load, up to {most}"
    words = (
        f"Curves over the load from nothing to {most}: current of each device, its heat, its junction temperature; "
        "the table that follows has the figures."
    )
    return Figure("division", caption, words, on_paper(drawn), on_screen(drawn), place="afloat")


def _groups(curve: Curve, names: Sequence[str]) -> list[tuple[str, ...]]:
    """Devices that carry the same all over, together."""

    def carries(name: str) -> tuple[str, ...]:
        return tuple(amperes(float(current)) for current in curve.currents[name])

    return [group for group, _ in told_once((name, carries(name)) for name in names)]


def _table(division: Division, curve: Curve, groups: Sequence[tuple[str, ...]]) -> Block:
    most = division.promised.most
    wanted = {*(share * most for share in SHARES), division.promised.usual, float(curve.load[-1])}
    places = sorted({int(np.argmin(np.abs(curve.load - load))) for load in wanted if load <= curve.load[-1]})
    source = "" if curve.input_voltage is None else f"{volts(curve.input_voltage)} in, "
    heads = ((f"{names_in_words(names)}{each(names)}", 0.0) for names in groups)
    columns = (("load", 0.0), ("output", 0.0), *heads, ("hottest junction", 1.0))
    rows = [_row(curve, place, groups) for place in places]
    return table(f"Currents at {source}{degrees(curve.ambient)} around, usual parts", columns, rows)


def _row(curve: Curve, place: int, groups: Sequence[tuple[str, ...]]) -> list[Words]:
    load = amperes(float(curve.load[place]))
    if not curve.solved[place]:
        return [load, "–", *("–" for _ in groups), "no operating point"]
    hot = max(groups, key=lambda names: float(curve.junctions[names[0]][place]))
    junction: Words = (part(names_in_words(hot)), f" {degrees(float(curve.junctions[hot[0]][place]))}")
    return [load, volts(float(curve.output[place])),
            *(amperes(float(curve.currents[names[0]][place])) for names in groups), junction]  # fmt: skip


def _handovers(division: Division) -> Iterator[Block]:
    if not division.handovers:
        return
    curves = {word: division.curve(word) for word in division.conditions}
    found_rows: list[tuple[str, tuple[str, ...]]] = []
    for device in division.devices:
        found = {place.condition: place for place in division.handovers if place.part == device.name}
        if found:
            cells = [start_in_words(found[word].load, found[word].regulator_current) for word in curves]
            found_rows.append((device.name, (device.role, *cells)))
    rows: list[tuple[Words, ...]] = [((part(names_in_words(names)), f" {role}{each(names)}"), *cells)
            for names, (role, *cells) in told_once(found_rows)]  # fmt: skip
    heads = [(f"{word}, {degrees(curve.ambient)}", 0.0) for word, curve in curves.items()]
    yield table("Load at which each transistor carries 1 % of what it carries at full load; the regulator's current "
                "there in brackets", (("", 1.0), *heads), rows)  # fmt: skip


def _events(division: Division) -> Iterator[str]:
    last = float(division.curves[0].load[-1])
    events = sorted(division.events, key=lambda event: (event.what, event.part or ""))
    found: dict[str, list[str]] = {}
    for (what, name, condition), group in groupby(events, key=lambda one: (one.what, one.part, one.condition)):
        stretches = listed(stretch_in_words(event, last) for event in group)
        found.setdefault(f"{name + ' ' if name else ''}{what}, {stretches}", []).append(condition)
    for words, conditions in found.items():
        yield f"{listed(conditions)}: {words}"
    if not events:
        yield f"up to {amperes(last)} no regulator limits or drops out, and the output stays in its tolerance"
