"""The compound: a PNP driver beside the regulator, NPN pass devices behind it.

    in ── R1 ── x ── U1 ── out     Q1: emitter in, base x, collector y     Q2…: collector in, base y, emitter out
    R2, the bleed, from y to out; ballast R3… between the emitters of Q2… and out
"""

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.ballast_sizing import sized_ballast
from outboard.arrangements.base_resistor_sizing import Driven, sized_base_resistor
from outboard.arrangements.bleed_sizing import Pair, driver_current_at, sized_bleed
from outboard.arrangements.catalogued import COUNTS_AS_OFF
from outboard.arrangements.design import DesignPart
from outboard.arrangements.extremes import extremes
from outboard.arrangements.rails import IN, OUT, REGULATOR_INPUT
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_heat import device_count, hottest_junction
from outboard.arrangements.stage_remarks import Drops, headroom, off_current, remarks
from outboard.arrangements.stage_types import Given
from outboard.arrangements.transistor_figures import Place, off_voltage, transistor_figures
from outboard.formulas.headroom import headroom_of_pass_path
from outboard.network.part import GROUND
from outboard.parts import PartType

DRIVEN_BASE = "y"
"""Net between the driver's collector and the pass devices' bases."""


def sized(given: Given) -> Sizing:
    """The values of a compound stage; `given` has an input, an output and the types."""
    ends, types = extremes(given), given.types
    hot_pass = hottest_junction(given, ends, "pass", "Q2", ends.each)
    pass_place = Place("Q2", ends.each, ends.least_across, ends.cold, hot_pass.value)
    figures = transistor_figures(types["pass"], pass_place)
    leakage = figures.leakage.value * given.stage.count
    pass_off = off_voltage(types["pass"], pass_place, off_current(ends, leakage) / given.stage.count)
    ballast, about_ballast = sized_ballast(given, ends, figures)
    drop = 0.0 if ballast is None or ballast.chosen is None else ballast.chosen * ends.each
    pair = Pair(figures.most_voltage.value + drop, figures.least_gain.value, figures.onset.value, leakage,
                pass_off.value)  # fmt: skip
    bleed, about_bleed = sized_bleed(given, ends, pair)
    driver = max(COUNTS_AS_OFF, driver_current_at(ends.beyond, pair, bleed))
    hot_driver = hottest_junction(given, ends, "driver", "Q1", driver)
    driver_place = Place("Q1", driver, ends.least_across, ends.cold, hot_driver.value)
    first = transistor_figures(types["driver"], driver_place)
    driver_off = off_voltage(types["driver"], driver_place, off_current(ends, leakage + first.leakage.value))
    overload = driver_current_at(max(0.0, ends.full_load - ends.regulator_current), pair, bleed)
    driven = Driven(first.onset.value, first.most_voltage.value, overload, first.least_gain.value,
                    first.leakage.value, driver_off.value)  # fmt: skip
    base, about_base = sized_base_resistor(given, ends, driven)
    pass_path = headroom_of_pass_path(
        saturation_voltage=_saturation(types["driver"], driver), base_emitter_voltage=figures.most_voltage.value,
        emitter_current=1.0, emitter_resistance=drop,
    )  # fmt: skip
    needed, count = headroom(given, ends, Drops(first.most_voltage.value, pass_path)), device_count(given, ends)
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


def parts(given: Given, sizing: Sizing) -> tuple[tuple[DesignPart, ...], tuple[str, ...]]:
    """U1, R1, Q1, Q2…, bleed and ballast."""
    stage = StageParts(given)
    stage.add_device("U1", "regulator", "regulator", {"in": REGULATOR_INPUT, "out": OUT, "ref": GROUND})
    stage.add_resistor("R1", sizing.value("R1"), (IN, REGULATOR_INPUT))
    stage.add_device("Q1", "driver", "driver", {"collector": DRIVEN_BASE, "base": REGULATOR_INPUT, "emitter": IN})
    stage.add_resistor("R2", sizing.value("R2"), (DRIVEN_BASE, OUT))
    names = [f"Q{number}" for number in range(2, given.stage.count + 2)]
    stage.add_pass_devices(names, base=DRIVEN_BASE, collector=IN, rail=OUT, ballast=sizing.with_role("ballast"))
    return stage.all


COMPOUND = Arrangement("compound", {"regulator": "positive", "driver": "pnp", "pass": "npn"}, sized, parts)
