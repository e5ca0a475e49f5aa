"""The bypass: PNP pass devices beside the regulator, driven by the drop across R1.

    in ──┬── R1 ── x ── U1 ── out        Q1…: emitter in (through ballast R3…), base x, collector out
"""

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.ballast_sizing import sized_ballast
from outboard.arrangements.base_resistor_sizing import Driven, sized_base_resistor
from outboard.arrangements.design import DesignPart
from outboard.arrangements.extremes import Extremes, extremes
from outboard.arrangements.rails import IN, OUT, REGULATOR_INPUT
from outboard.arrangements.sizing import SizedValue, Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_heat import device_count, hottest_junction
from outboard.arrangements.stage_remarks import Drops, headroom, off_current, remarks
from outboard.arrangements.stage_types import Given
from outboard.arrangements.transistor_figures import Place, off_voltage, transistor_figures
from outboard.network.part import GROUND


def sized(given: Given) -> Sizing:
    """The values of a bypass; `given` has an input, an output and the types."""
    ends, pass_type = extremes(given), given.types["pass"]
    hottest = hottest_junction(given, ends, "pass", "Q1", ends.each)
    place = Place("Q1", ends.each, ends.least_across, ends.cold, hottest.value)
    figures = transistor_figures(pass_type, place)
    leakage = figures.leakage.value * given.stage.count
    off = off_voltage(pass_type, place, off_current(ends, leakage) / given.stage.count)
    ballast, about_ballast = sized_ballast(given, ends, figures)
    most_voltage = figures.most_voltage.value + _drop(ballast, ends)
    overload = max(0.0, ends.full_load - ends.regulator_current)
    driven = Driven(figures.onset.value, most_voltage, overload, figures.least_gain.value, leakage, off.value)
    base, about_base = sized_base_resistor(given, ends, driven)
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
    )


def _drop(ballast: SizedValue | None, ends: Extremes) -> float:
    return 0.0 if ballast is None or ballast.chosen is None else ballast.chosen * ends.each


def parts(given: Given, sizing: Sizing) -> tuple[tuple[DesignPart, ...], tuple[str, ...]]:
    """U1, R1, Q1…, and ballast."""
    stage = StageParts(given)
    stage.add_device("U1", "regulator", "regulator", {"in": REGULATOR_INPUT, "out": OUT, "ref": GROUND})
    stage.add_resistor("R1", sizing.value("R1"), (IN, REGULATOR_INPUT))
    names = [f"Q{number}" for number in range(1, given.stage.count + 1)]
    stage.add_pass_devices(names, base=REGULATOR_INPUT, collector=OUT, rail=IN, ballast=sizing.with_role("ballast"))
    return stage.all


BYPASS = Arrangement("bypass", {"regulator": "positive", "pass": "pnp"}, sized, parts)
