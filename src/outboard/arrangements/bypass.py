"""The bypass: PNP pass devices beside the regulator, driven by the drop across R1.

    in ──┬── R1 ── x ── U1 ── out        Q1…: emitter in (through ballast R3…), base x, collector out

With a sharing diode D3 stands before R1 and cancels V_BE, so that the currents divide as R1 to the ballast.  A
Darlington in one package takes the pass device's place without any other change.
"""

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.ballast_sizing import sized_ballast
from outboard.arrangements.base_resistor_sizing import Driven, sized_base_resistor
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.lead import Lead
from outboard.arrangements.rails import OUT, REGULATOR_INPUT
from outboard.arrangements.sharing import sized_share
from outboard.arrangements.sizing import Fact, Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_heat import device_count, hottest_junction
from outboard.arrangements.stage_remarks import Drops, headroom, off_current, remarks
from outboard.arrangements.stage_types import Given
from outboard.arrangements.transistor_figures import Place, off_voltage, transistor_figures


def sized(given: Given, ends: Extremes, lead: Lead) -> Sizing:
    """The values of a bypass; `given` has an input, an output and the types."""
    pass_type = given.types["pass"]
    hottest = hottest_junction(given, ends, "pass", "Q1", ends.each)
    place = Place("Q1", ends.each, ends.least_across, ends.cold, hottest.value)
    figures = transistor_figures(pass_type, place)
    leakage = figures.leakage.value * given.stage.count
    off = off_voltage(pass_type, place, off_current(ends, leakage) / given.stage.count)
    ballast, about_ballast = sized_ballast(given, ends, figures)
    drop = 0.0 if ballast is None or ballast.chosen is None else ballast.chosen * ends.each
    most_voltage = figures.most_voltage.value + drop + lead.sense_drop
    overload = max(0.0, ends.full_load - ends.regulator_current)
    driven = Driven(figures.onset.value, most_voltage, overload, figures.least_gain.value, leakage, off.value)
    if given.stage.sharing_diode is None:
        base, about_base = sized_base_resistor(given, ends, driven)
        facts: tuple[Fact, ...] = ()
    else:
        base, facts, about_base = sized_share(given, ends, driven, ballast, lead)
    needed = headroom(given, ends, Drops(most_voltage, None))
    count = device_count(given, ends)
    strained = (figures.overstrained,) if figures.overstrained else ()
    return Sizing(
        values=(base,) if ballast is None else (base, ballast),
        count=count,
        handover=ends.handover,
        handover_origin="sized" if given.stage.handover is None else "from the file",
        headroom=needed,
        figures=(hottest, *figures.all, off),
        remarks=(*strained, *about_base, *about_ballast, *remarks(given, ends, count, needed, leakage)),
        facts=facts,
    )


def add_parts(stage: StageParts, sizing: Sizing, rail: str) -> None:
    """R1, Q1… and ballast."""
    stage.add_resistor("R1", sizing.value("R1"), (stage.lead, REGULATOR_INPUT))
    names = [f"Q{number}" for number in range(1, stage.given.stage.count + 1)]
    stage.add_pass_devices(names, base=REGULATOR_INPUT, collector=OUT, rail=rail, ballast=sizing.with_role("ballast"))


BYPASS = Arrangement("bypass", {"pass": "pnp"}, {}, sized, add_parts)
