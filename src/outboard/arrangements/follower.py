"""The follower: NPN pass devices behind the regulator, whose output feeds their bases.

    in ── U1 ── b        Q1…: collector in, base b, emitter out (through ballast R3…)
    R2, the bleed, from b to out; a diode D4 in the regulator's reference lead makes good one V_BE

The regulator holds the base, nothing holds the emitter: the output moves with V_BE, load and temperature.
"""

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.ballast_sizing import sized_ballast
from outboard.arrangements.bleed_sizing import Carried, Pair, sized_bleed
from outboard.arrangements.diode_figures import diode_voltages
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.lead import Lead
from outboard.arrangements.rails import IN, OUT, REGULATOR_OUTPUT
from outboard.arrangements.sizing import Fact, SizedValue, Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_heat import device_count, hottest_junction
from outboard.arrangements.stage_remarks import Drops, headroom, off_current, remarks
from outboard.arrangements.stage_types import Given
from outboard.arrangements.transistor_figures import Place, TransistorFigures, off_voltage, point, transistor_figures
from outboard.formulas import Worked
from outboard.formulas.follower import (
    follower_base_current,
    follower_output_voltage,
    follower_regulator_current,
    follower_sag,
)
from outboard.identify import identified
from outboard.quantity import CURRENT, VOLTAGE, shown


def sized(given: Given, ends: Extremes, lead: Lead) -> Sizing:
    """The values of a follower; `given` has an input, an output and the types."""
    pass_type, stage = given.types["pass"], given.stage
    hottest = hottest_junction(given, ends, "pass", "Q1", ends.each)
    place = Place("Q1", ends.each, ends.least_across, ends.cold, hottest.value)
    figures = transistor_figures(pass_type, place)
    leakage = figures.leakage.value * stage.count
    off = off_voltage(pass_type, place, off_current(ends, leakage) / stage.count)
    ballast, about_ballast = sized_ballast(given, ends, figures)
    drop = lead.sense_drop + (0.0 if ballast is None or ballast.chosen is None else ballast.chosen * ends.each)
    pair = Pair(figures.most_voltage.value + drop, figures.least_gain.value, figures.onset.value, leakage, off.value)
    carried = Carried("the regulator cannot feed bleed and base together", ends.regulator_current)
    bleed, about_bleed = sized_bleed(given, ends, pair, carried)
    fed = _fed(ends, figures, pair, bleed)
    usual, offset = _usual(given)
    sag = follower_sag.evaluated(voltage_change=figures.most_voltage.value - figures.onset.value, emitter_drop=drop)
    needed, count = headroom(given, ends, Drops(pair.most_voltage, None)), device_count(given, ends)
    strained = (figures.overstrained,) if figures.overstrained else ()
    about = (*strained, *_about(given, ends, fed, usual), *about_bleed, *about_ballast)
    return Sizing(
        values=(bleed,) if ballast is None else (bleed, ballast),
        count=count,
        handover=0.0 if bleed.chosen is None else figures.onset.value / bleed.chosen,
        handover_origin="sized" if stage.bleed is None else "from the file",
        headroom=needed,
        figures=(hottest, *figures.all, off),
        remarks=(*about, *remarks(given, ends, count, needed, leakage)),
        facts=(Fact("what the regulator feeds at full load, least gain, cold", fed),
               Fact("output with usual V_BE at the usual load", usual), Fact("sag from light to full load, cold", sag)),
        offset=offset,
    )  # fmt: skip


def _fed(ends: Extremes, figures: TransistorFigures, pair: Pair, bleed: SizedValue) -> Worked:
    gain = figures.least_gain.value
    if bleed.chosen is None:
        return follower_base_current.evaluated(load_current=ends.full_load, current_gain=gain)
    return follower_regulator_current.evaluated(
        load_current=ends.full_load, current_gain=gain, base_emitter_voltage=pair.most_voltage,
        bleed_resistance=bleed.chosen,
    )  # fmt: skip


def _usual(given: Given) -> tuple[Worked, float]:
    """The output with usual devices, and how far it lies below what the regulator holds [V]."""
    stage, known = given.stage, identified(given.types["pass"])
    voltage, _, _ = point(known.values, max(given.output.load.usual, 0.01) / stage.count, 4.0)
    diode = 0.0
    if "compensation" in given.types:
        quiescent = identified(given.types["regulator"]).values.get("quiescent_current", 5e-3)
        diode = diode_voltages(given.types["compensation"], quiescent)[1]
    offset = voltage - diode
    held = given.output.voltage + offset
    if not given.adjustable:
        held = identified(given.types["regulator"]).values["set_voltage"]
    return follower_output_voltage.evaluated(
        regulator_voltage=held, base_emitter_voltage=voltage, diode_voltage=diode
    ), offset


def _about(given: Given, ends: Extremes, fed: Worked, usual: Worked) -> tuple[str, ...]:
    """What is wrong when the regulator cannot feed the base, or the output is not what was promised."""
    found = []
    if fed.value > ends.regulator_current:
        found.append(
            f"the regulator must feed {shown(fed.value, CURRENT)}, it is guaranteed for "
            f"{shown(ends.regulator_current, CURRENT)}: a pass device with more gain is needed"
        )
    off = abs(usual.value / given.output.voltage - 1.0)
    if off > given.output.tolerance:
        found.append(
            f"the output is {shown(usual.value, VOLTAGE)} where {shown(given.output.voltage, VOLTAGE)} are promised: "
            "one V_BE is lost; a compensating diode, or an adjustable regulator, makes it good"
        )
    if "compensation" not in given.types:
        found.append("nothing compensates V_BE: the output rises by about 2 mV for every kelvin of the junction")
    return tuple(found)


def add_parts(stage: StageParts, sizing: Sizing, rail: str) -> None:
    """R2, Q1… and ballast."""
    stage.add_resistor("R2", sizing.value("R2"), (REGULATOR_OUTPUT, OUT))
    names = [f"Q{number}" for number in range(1, stage.given.stage.count + 1)]
    stage.add_pass_devices(names, base=REGULATOR_OUTPUT, collector=IN, rail=rail, ballast=sizing.with_role("ballast"))


FOLLOWER = Arrangement(
    "follower",
    {"pass": "npn"},
    {},
    sized,
    add_parts,
    rail=OUT,
    drive=REGULATOR_OUTPUT,
    feed=REGULATOR_OUTPUT,
    sense="npn",
)
