"""Driver and pass devices, sized together: the compound (PNP, NPN) and the Darlington of two packages (PNP, PNP).

They differ in one thing only: in a Darlington the regulator's drive sees both V_BE in series, in a compound the
driver's alone.
"""

from outboard.arrangements.ballast_sizing import sized_ballast
from outboard.arrangements.base_resistor_sizing import Driven, sized_base_resistor
from outboard.arrangements.bleed_sizing import Pair, driver_current_at, sized_bleed
from outboard.arrangements.catalogued import COUNTS_AS_OFF
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.lead import Lead
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_heat import device_count, hottest_junction
from outboard.arrangements.stage_remarks import Drops, headroom, off_current, remarks
from outboard.arrangements.stage_types import Given
from outboard.arrangements.transistor_figures import Place, off_voltage, transistor_figures
from outboard.formulas.headroom import headroom_of_pass_path
from outboard.parts import PartType


def sized_pair(given: Given, ends: Extremes, lead: Lead, stacked: bool) -> Sizing:
    """The values of a stage with driver; `stacked` when the drive sees the V_BE of both."""
    types = given.types
    hot_pass = hottest_junction(given, ends, "pass", "Q2", ends.each)
    pass_place = Place("Q2", ends.each, ends.least_across, ends.cold, hot_pass.value)
    figures = transistor_figures(types["pass"], pass_place)
    leakage = figures.leakage.value * given.stage.count
    pass_off = off_voltage(types["pass"], pass_place, off_current(ends, leakage) / given.stage.count)
    ballast, about_ballast = sized_ballast(given, ends, figures)
    drop = 0.0 if ballast is None or ballast.chosen is None else ballast.chosen * ends.each
    in_emitter = drop + (lead.sense_drop if stacked else 0.0)
    pair = Pair(figures.most_voltage.value + drop, figures.least_gain.value, figures.onset.value, leakage,
                pass_off.value)  # fmt: skip
    bleed, about_bleed = sized_bleed(given, ends, pair)
    driver = max(COUNTS_AS_OFF, driver_current_at(ends.beyond, pair, bleed))
    hot_driver = hottest_junction(given, ends, "driver", "Q1", driver)
    driver_place = Place("Q1", driver, ends.least_across, ends.cold, hot_driver.value)
    first = transistor_figures(types["driver"], driver_place)
    driver_off = off_voltage(types["driver"], driver_place, off_current(ends, leakage + first.leakage.value))
    overload = driver_current_at(max(0.0, ends.full_load - ends.regulator_current), pair, bleed)
    onset, most, off = first.onset.value, first.most_voltage.value, driver_off.value
    if stacked:
        onset, most, off = (
            onset + pair.onset_voltage,
            most + figures.most_voltage.value + in_emitter,
            off + pass_off.value,
        )
    driven = Driven(onset, most, overload, first.least_gain.value, first.leakage.value, off)
    base, about_base = sized_base_resistor(given, ends, driven)
    pass_path = headroom_of_pass_path(
        saturation_voltage=_saturation(types["driver"], driver), base_emitter_voltage=figures.most_voltage.value,
        emitter_current=1.0, emitter_resistance=drop,
    )  # fmt: skip
    needed, count = headroom(given, ends, Drops(most, pass_path + lead.sense_drop)), device_count(given, ends)
    strained = [found.overstrained for found in (first, figures) if found.overstrained]
    about = (*strained, *about_base, *about_bleed, *about_ballast)
    return Sizing(
        values=(base, bleed) if ballast is None else (base, bleed, ballast),
        count=count,
        handover=ends.handover,
        handover_origin="sized" if given.stage.handover is None else "from the file",
        headroom=needed,
        figures=(hot_pass, *figures.all, pass_off, hot_driver, *first.all, driver_off),
        remarks=(*about, *remarks(given, ends, count, needed, leakage + first.leakage.value)),
    )


def _saturation(driver: PartType, current: float) -> float:
    """V_CE(sat) of the driver [V]: the row at or next above its current."""
    printed = driver.rows("VCE_sat")
    rows = sorted((row.conditions.collector_current or 0.0, row.most) for row in printed if row.most is not None)
    return next((most for at, most in rows if at >= current), rows[-1][1] if rows else 0.0)
