"""The first start: what to set, where to put the meter, what it should read, when to stop."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from outboard.checks.finding import FAIL
from outboard.dossier import NotRun, ran
from outboard.measure.expected import Expected, TestReadings
from outboard.quantity import CURRENT, VOLTAGE, shown
from outboard.report.document.alike import each, names_in_words
from outboard.report.document.content import Block, Items, Paragraph, Section, Words, table
from outboard.report.document.material import Material
from outboard.report.document.rails import output_net
from outboard.report.document.wordings import net, part, volts_between
from outboard.report.words import amperes, degrees, volts

START_SHARE = 0.1
"""Current limit of the bench supply at first, as a share of the full load (common practice, no source)."""

SPARE = 1.2
"""The limit for a load, above its current (common practice, no source)."""


def section(material: Material) -> Section:
    """Steps, then the readings."""
    return Section("Test plan", tuple(_blocks(material)))


def _blocks(material: Material) -> Iterator[Block]:
    yield Items(tuple(_steps(material)), numbered=True)
    readings = material.readings
    if isinstance(readings, NotRun):
        yield Paragraph(f"No expected readings: {readings.reason}.")
        return
    at = f"{volts(readings.input_voltage)} without load at the input, {degrees(readings.ambient)} around" \
        if readings.input_voltage is not None else f"{degrees(readings.ambient)} around"
    against = [one for one in readings.readings if not one.across]
    across = [one for one in readings.readings if one.across]
    yield Paragraph("A sound unit lies inside the brackets, the meter's own error apart. Outside: stop, switch off, "
                    "and look the reading up in the section on faults. A dash: not every unit has an operating point "
                    "there.")  # fmt: skip
    if ran(material.dossier.verdict).verdict == FAIL:
        yield Paragraph("This design fails: the brackets count units that do not do what was promised.")
    yield _table(f"Voltages against ground at {at}: usual reading, and in brackets what a good unit may show", against,
                 readings)  # fmt: skip
    if across:
        yield _table(f"Voltages across parts at {at}", across, readings)


def _table(caption: str, rows: list[Expected], readings: TestReadings) -> Block:
    heads = (("meter", 1.0), *((f"{amperes(load)} load", 0.0) for load in readings.loads))
    return table(caption, heads, [_row(group) for group in _told_once(rows)])


def _told_once(rows: Sequence[Expected]) -> list[list[Expected]]:
    """Neighbours of which a meter shows the same, together."""

    def shown_as(one: Expected) -> tuple[bool, str]:
        return bool(one.across), "; ".join(_cells(one))

    return [list(group) for _, group in groupby(rows, key=shown_as)]


def _row(group: Sequence[Expected]) -> tuple[Words, ...]:
    across, plus, minus = (names_in_words(tuple(dict.fromkeys(getattr(one, where) for one in group)))
                           for where in ("across", "plus", "minus"))  # fmt: skip
    place: Words = (net(plus), each(group)) if not across else (
        part(across), f"{each(group)}, plus on ", net(plus), ", minus on ", net(minus))  # fmt: skip
    return place, *_cells(group[0])


def _cells(one: Expected) -> Iterator[str]:
    return ("–" if span is None else volts_between(span) for span in one.readings)


def _alone(material: Material, output: str) -> str:
    """What a regulator shows by itself: the output, or the net that it holds where a transistor comes behind."""
    held = [one.part.pins["out"] for one in material.design.parts if one.part.kind == "regulator"]
    if held and output_net(material.design) not in held:
        return f"Net {held[0]} reads as the table says of the least load."
    return f"The output reads {output} within the tolerance of the regulator."


def _steps(material: Material) -> Iterator[Words]:
    brief = material.brief
    if brief.output is None or brief.input is None:
        yield "Feed it from a supply with a current limit, set to the least that it should draw, and raise it slowly."
        return
    full, usual = brief.output.load.most, brief.input.voltage.usual
    half = 0.5 * (brief.output.load.least + full)
    first = shown(START_SHARE * full, CURRENT, 2)
    output = shown(brief.output.voltage, VOLTAGE, 3)
    yield "Switched off: meter on ohms between output and ground, then input and ground. Neither is a short."
    yield (f"Regulator alone, outboard transistors not connected: bench supply in place of the source, limit {first}. "
           f"Raise it to {shown(usual, VOLTAGE, 3)}. {_alone(material, output)}")  # fmt: skip
    least = "no load" if brief.output.load.least <= 0.0 else f"least load, {shown(brief.output.load.least, CURRENT, 3)}"
    yield (f"Whole stage, {least}, same limit. Raise the supply slowly to {shown(usual, VOLTAGE, 3)}; the limit must "
           "not come in. Read every net against the table. An output that climbs means a missing or open "
           "bleed or standing load, or a shorted pass device: this test at little load finds it, a test under load "
           "hides it.")  # fmt: skip
    yield (f"Half load, {shown(half, CURRENT, 3)}: limit {shown(SPARE * half, CURRENT, 3)}. Read the table again; feel "
           "nothing with fingers, use a thermometer.")  # fmt: skip
    yield (f"Full load, {shown(full, CURRENT, 3)}: limit {shown(SPARE * full, CURRENT, 3)}. Read at once, then again "
           "when sink and cases have settled (half an hour or more). Compare case and sink with the section on heat."
           )  # fmt: skip
    yield "Take the load off while everything is hot, and read the output at once: it stays inside its tolerance."
    low, high = (choose(brief.input.voltage, key=abs) for choose in (min, max))
    if low != high:
        yield (f"Full load at {shown(low, VOLTAGE, 3)} in: the output holds. Full load at {shown(high, VOLTAGE, 3)} "
               "in: nothing gets hotter than the section on heat says.")  # fmt: skip
    judged = "was not judged" if isinstance(material.dossier.response, NotRun) else "is judged in What moves"
    yield ("With an oscilloscope at the output, at no, half and full load: no oscillation. Whether it is stable "
           f"{judged}.")  # fmt: skip
