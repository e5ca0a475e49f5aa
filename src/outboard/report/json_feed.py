"""`feed` as an object with stable keys."""

import math

from outboard.analysis.feed import Cycle
from outboard.analysis.stage_need import Need
from outboard.checks.feed import corner
from outboard.checks.feed_cautions import feed_cautions
from outboard.dossier import FedStage
from outboard.report.json_objects import verdict
from outboard.report.json_text import celsius

Object = dict[str, object]


def feed(found: FedStage) -> Object:
    """The verdict, what the stage needs, every cycle, switching on."""
    report = found.report
    made, rush = report.transformer, report.inrush
    judged = verdict(found.verdict)
    assert isinstance(judged, dict)
    return judged | {
        "transformer": {
            "secondary_without_load_V": made.without_load, "resistance_ohm": made.resistance,
            "rated_current_A": report.feed.rated_current, "rated_power_VA": report.feed.rated_power,
            "most_crest_V": report.most_crest,
        },
        "needs": [_need(need) for need in report.needs],
        "cycles": [_cycle(cycle) for cycle in report.cycles],
        "switching_on": {
            "phase_degrees": math.degrees(rush.phase), "peak_A": rush.peak, "first_half_cycle_A2s": rush.first,
            "whole_A2s": rush.whole, "primary_peak_A": made.ratio * rush.peak,
            "primary_whole_A2s": made.ratio**2 * rush.whole, "charged_after_s": rush.charged,
        },
        "cautions": list(feed_cautions(report)),
    }  # fmt: skip


def _need(need: Need) -> Object:
    return {"in_words": need.word, "load_A": need.load, "input_A": need.current, "input_V": need.voltage,
            "ambient_C": celsius(need.ambient)}  # fmt: skip


def _cycle(cycle: Cycle) -> Object:
    return {
        **corner(cycle), "settled": cycle.settled, "valley_V": cycle.valley, "mean_V": cycle.mean,
        "peak_V": cycle.peak, "ripple_V": cycle.ripple, "conduction_degrees": math.degrees(cycle.conduction),
        "diode_mean_A": cycle.diode_mean, "diode_peak_A": cycle.diode_peak, "secondary_A": cycle.secondary,
        "primary_A": cycle.primary, "reservoir_ripple_A": cycle.ripple_current, "transformer_VA": cycle.power,
        "dropped_out_share": cycle.dropped_out,
    }  # fmt: skip
