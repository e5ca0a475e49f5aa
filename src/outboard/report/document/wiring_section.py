"""The leads: what each takes of the voltage, one star point, where to sense, where capacitors go."""

from collections.abc import Iterator
from dataclasses import dataclass

from outboard.arrangements.design import DesignPart
from outboard.brief.design import Conductor
from outboard.checks.finding import UNDECIDED
from outboard.dossier import ran
from outboard.formulas.wire import conductor_resistance, conductor_voltage
from outboard.network.part import GROUND
from outboard.quantity import AREA, LENGTH, VOLTAGE, shown
from outboard.report.document.alike import each, names_in_words, told_once
from outboard.report.document.content import Block, Items, Paragraph, Section, Words, table
from outboard.report.document.material import Material
from outboard.report.document.rails import is_below_ground, output_net
from outboard.report.document.wordings import part
from outboard.report.words import amperes, watts

PER_METRE = Conductor(1.0, 1.5e-6)
"""What is told where the file gives no lead: a metre of 1.5 mm²."""

WARM = 10.0
"""Kelvins by which a lead in a case is warmer than the surroundings (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Run:
    """One stretch of a lead: the key in [wiring], what it joins, the current in it at full load [A]."""

    key: str
    words: Words
    current: float


def section(material: Material) -> Section:
    """Volt drops at full load, then where to put what."""
    return Section("Wiring", tuple(_blocks(material)))


def _blocks(material: Material) -> Iterator[Block]:
    runs = tuple(_runs(material))
    if material.full.is_solved and runs:
        temperature = material.brief.surroundings.ambient.most + WARM
        rows = [_row(run, material.brief.wiring.get(run.key), temperature) for run in runs]
        yield table(f"Copper leads at full load and {temperature - 273.15:.0f} °C, each conductor by itself",
                    (("lead", 0.5), ("conductor", 0.4), ("current", 0.0), ("takes", 0.0), ("turns into heat", 0.0)),
                    rows)  # fmt: skip
        missing = dict.fromkeys(run.key for run in runs if run.key not in material.brief.wiring)
        if missing:
            yield Paragraph(f"Not given in [wiring]: {', '.join(missing)}. For these the table says what one metre of "
                            f"{shown(PER_METRE.section, AREA)} takes.", quiet=True)  # fmt: skip
        yield from _at_the_load(material, runs, temperature)
    yield Items(tuple(_places(material)))


def _row(run: Run, lead: Conductor | None, temperature: float) -> tuple[Words, ...]:
    volts = _volts(run, lead or PER_METRE, temperature)
    per = "" if lead is not None else " per metre"
    conductor = "not given" if lead is None else conductor_words(lead)
    takes, heat = shown(volts, VOLTAGE), watts(volts * run.current)
    return run.words, conductor, amperes(run.current), f"{takes}{per}", f"{heat}{per}"


def conductor_words(lead: Conductor) -> str:
    """ "0.5 m of 1.31 mm² (AWG 16)"."""
    gauge = "" if lead.gauge is None else f" (AWG {lead.gauge})"
    return f"{shown(lead.length, LENGTH)} of {shown(lead.section, AREA)}{gauge}"


def _volts(run: Run, lead: Conductor, temperature: float) -> float:
    resistance = conductor_resistance(conductor_length=lead.length, section=lead.section, temperature=temperature)
    return conductor_voltage(current=run.current, resistance=resistance)


def _runs(material: Material) -> Iterator[Run]:
    point = material.full
    if not point.is_solved:
        return

    def current(name: str, pin: str) -> float:
        found = point.parts.get(name)
        return 0.0 if found is None else abs(found.currents.get(pin, 0.0))

    if (supply := current("input", "plus")) > 0.0:
        yield Run("supply", "source to stage", supply)
        yield Run("supply", "ground of the stage back to the source", supply)
    devices = _pass_devices(material)
    for pin in ("collector", "emitter", "drain", "source"):
        for names, _ in told_once((one.name, amperes(current(one.name, pin))) for one in devices):
            if (carried := current(names[0], pin)) > 0.0:
                words = (f"{pin} of ", part(names_in_words(names)), each(names))
                yield Run("pass", words, carried)
    if (load := current("load", "plus")) > 0.0:
        yield Run("load", "stage to load", load)
        yield Run("load", "load back to the star point", load)


def _pass_devices(material: Material) -> tuple[DesignPart, ...]:
    return tuple(one for one in material.design.parts if one.role == "pass device")


def _at_the_load(material: Material, runs: tuple[Run, ...], temperature: float) -> Iterator[Block]:
    """What the load lead takes beside the margin that the output has."""
    lead = material.brief.wiring.get("load")
    both = sum(_volts(run, lead or PER_METRE, temperature) for run in runs if run.key == "load")
    low = next((one for one in ran(material.dossier.verdict).findings if one.requirement == "output not too low"), None)
    if not both or low is None or low.verdict == UNDECIDED or low.margin is None:
        return
    words = "The load's lead takes" if lead is not None else "Each metre of the load's lead (1.5 mm²) takes"
    spare = shown(low.margin, VOLTAGE) if low.margin > 0.0 else "nothing"
    verdict = "" if low.margin <= 0.0 or lead is None else (
        " The promise then holds at the end of the lead too." if both <= low.margin
        else " The promise holds at the stage, not at the end of the lead: take a thicker or shorter one."
    )  # fmt: skip
    yield Paragraph(f"{words} {shown(both, VOLTAGE)} there and back at full load; the output has {spare} to spare "
                    f"before it is too low.{verdict}")  # fmt: skip


def _sense(material: Material, regulator: DesignPart) -> Words:
    """Where the pins of a regulator go, since there it senses."""
    out, ref = regulator.part.pins["out"], regulator.part.pins["ref"]
    low = "ground" if ref == GROUND else f"net {ref}"
    load = output_net(material.design) or out
    divider = [one for one in material.design.parts if one.role == "divider"]
    holds = f" holds the voltage between its output pin (net {out}) and its reference pin ({low})"
    if out != load:
        return (part(regulator.name), f"{holds}, not that of the load: a transistor lies between net {out} and the "
                "output. Both leads short, apart from the leads that carry the load.")  # fmt: skip
    if divider and ref != GROUND:
        return (part(regulator.name), f"{holds}. The divider's upper end goes to that output pin itself, its other end "
                "to ground at the output terminals; the lead from the output pin to the output terminal is short "
                "(data sheets of adjustable regulators, from memory).")  # fmt: skip
    return (part(regulator.name), f"{holds}: bring both to the output terminals, short, and apart from the leads that "
            "carry the load.")  # fmt: skip


def _places(material: Material) -> Iterator[Words]:
    design = material.design
    common = "plus" if is_below_ground(design) else "minus"
    regulators = tuple(one for one in design.parts if one.part.kind == "regulator")
    yield (f"One star point: the {common} of the output terminals, which is ground. To it go, each by a wire of its "
           "own, the reference lead of the regulator, the grounded ends of the capacitors, the return of the load and "
           "the return of the source. No load current runs through the reference lead.")  # fmt: skip
    yield from (_sense(material, one) for one in regulators)
    caps = [one for one in design.parts if one.part.kind == "capacitor"]
    for one in caps:
        across = " and ".join(one.part.pins.values())
        yield (part(one.name), f" goes between {across} at the pins of the regulator, leads no longer than 20 mm "
               "(common practice, no source).")  # fmt: skip
    if regulators and not caps:
        yield ("The file has no capacitors. Data sheets ask for one at the regulator's input and one at its output, "
               "close to its pins; values and whether the stage is stable with them were not judged.")  # fmt: skip
    if any(one.role == "ballast" for one in design.parts):
        yield ("Leads of the pass devices equally long: a milliohm in an emitter lead counts like ballast, and unequal "
               "leads share unequally.")  # fmt: skip
    if any(one.part.kind == "bipolar" and one.role == "pass device" for one in design.parts):
        yield "The resistor between base and emitter of a power transistor sits at the transistor, not at the board."
    yield ("Cases of power devices are live, with collector or drain, or with the pin that a regulator's sheet names: "
           "insulate them from the sink, or the sink is live.")  # fmt: skip
