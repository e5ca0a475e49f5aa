"""How hot it gets: power and junction of every part in the worst heat of usual parts, sinks, and the judged worst."""

from collections.abc import Iterator

from outboard.analysis.watts import NotTiled, tiling
from outboard.arrangements.design import DesignPart
from outboard.checks.finding import UNDECIDED
from outboard.constants import TOUCHABLE, ZERO_CELSIUS
from outboard.dossier import NotRun, ran
from outboard.draw.sheet import svg_text
from outboard.draw.watts import reaches_the_load, watts_figure
from outboard.quantity import THERMAL_RESISTANCE, shown
from outboard.report.document.alike import each, names_in_words, told_once
from outboard.report.document.content import FIGURES, Block, Figure, Paragraph, Section, Words, table
from outboard.report.document.grounds import on_paper, on_screen
from outboard.report.document.heat_blocks import heat_blocks
from outboard.report.document.material import Material
from outboard.report.document.wordings import bold, part, where_words
from outboard.report.verify_text import margin_in_words, value_in_words
from outboard.report.words import amperes, conditions_in_words, degrees, listed, volts, watts

HEAT = ("junction temperature", "power at case temperature", "dissipation", "resistor power", "power")


def section(material: Material) -> Section:
    """None of it is measured: the models' heat, settled."""
    return Section("Heat", tuple(_blocks(material)))


def _blocks(material: Material) -> Iterator[Block]:
    point = material.hot
    at = f"{volts(point.conditions.input_voltage)} in, {amperes(point.conditions.load)} load, " \
         f"{degrees(point.conditions.ambient)} around"
    if point.is_solved:
        found = [(one.name, row) for one in material.design.parts if (row := _row(material, one)) is not None]
        rows: list[tuple[Words, ...]] = [
            ((part(names_in_words(names)), f" {what}{each(names)}"), *cells)
            for names, (what, *cells) in told_once(found)
        ]
        yield table(f"Usual parts at {at}, all temperatures settled",
                    (("part", 0.6), ("heat", FIGURES), ("junction", FIGURES), ("limit", FIGURES),
                     ("path to air", 0.8)),
                    rows)  # fmt: skip
        yield from _sinks(material)
        yield from _watts(material)
    else:
        yield Paragraph(f"At {at} usual parts have no operating point: {point.outcome}.")
    yield from _judged(material)
    if not isinstance(material.dossier.heat, NotRun):
        yield from heat_blocks(material.dossier.heat)


def _row(material: Material, one: DesignPart) -> tuple[str, ...] | None:
    """What it is, and its heat; None for what makes none."""
    found = material.hot.parts.get(one.name)
    if found is None or found.power is None or one.role in ("input", "load") or one.part.kind.startswith("thermal"):
        return None
    limit = one.rating("T_J")
    name = one.type.name if one.type is not None else one.role
    if found.junction is None:
        rated = one.rated_power
        return name, watts(found.power), "", "" if rated is None else watts(rated.power), "in air"
    heat = one.part.heat
    path = "" if heat is None else f"{shown(heat.resistance, THERMAL_RESISTANCE)} from junction to {heat.to}"
    return name, watts(found.power), degrees(found.junction), "" if limit is None else degrees(limit.value), path


def _sinks(material: Material) -> Iterator[Block]:
    for one in material.design.parts:
        flow = material.hot.parts[one.name].heat_flow if one.part.kind == "thermal_resistance" else None
        if flow is None:
            continue
        place = one.part.pins["a"]
        temperature = material.hot.thermal_nodes.get(place)
        words = f"{one.name}: {shown(one.part.values['resistance'], THERMAL_RESISTANCE)} carries {watts(flow)}"
        hot = "" if temperature is None else f"; {place} stands at {degrees(temperature)}"
        burns = temperature is not None and temperature > TOUCHABLE
        touch = f". Metal above {TOUCHABLE - ZERO_CELSIUS:.0f} °C burns at a touch" if burns else ""
        yield Paragraph(f"{words[:1].upper()}{words[1:]}{hot}{touch}.")


def _watts(material: Material) -> Iterator[Block]:
    """Volts by amperes at full load; nothing where the point has no such picture."""
    point = material.full
    try:
        tiled = tiling(material.design, point)
    except NotTiled:
        return
    at = conditions_in_words(point.conditions)
    drawn = svg_text(watts_figure(tiled, at, bare=True))
    caption = (f"Where {watts(tiled.power)} go at {at}, usual parts: volts by amperes, areas are watts; "
               f"{reaches_the_load(tiled)}")  # fmt: skip
    powers = listed(f"{name} {watts(tiled.of(name))}" for name in dict.fromkeys(tile.part for tile in tiled.tiles))
    yield Figure("watts", caption, f"Rectangles that tile the source's own: {powers}.", on_paper(drawn),
                 on_screen(drawn), place="afloat")  # fmt: skip


def _judged(material: Material) -> Iterator[Block]:
    findings = [one for one in ran(material.dossier.verdict).ordered if one.requirement in HEAT]
    rows: list[tuple[Words, ...]] = []
    for one in findings:
        if one.verdict == UNDECIDED or one.worst is None or one.limit is None:
            rows.append((one.title, "", "", "", ", ".join(one.missing)))
        else:
            rows.append((one.title, value_in_words(one.worst, one.unit), value_in_words(one.limit, one.unit),
                         bold(margin_in_words(one)), where_words(one.in_words)))  # fmt: skip
    if rows:
        heads = (("", 0.45), ("worst", FIGURES), ("limit", FIGURES), ("margin", FIGURES), ("where", 0.55))
        yield table("The worst over all corners", heads, rows)
