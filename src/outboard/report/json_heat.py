"""`heat` as an object with stable keys: SI, temperatures in °C."""

from outboard.checks.heat import AreaPoint, HeatReport, Rise
from outboard.checks.runaway import Runaway
from outboard.checks.sink_needed import WORST, Found, SinkNeeded
from outboard.report import json_objects
from outboard.report.json_text import celsius

Object = dict[str, object]


def heat(report: HeatReport) -> Object:
    """Verdict and findings as `verify` has them, then junctions, safe areas, sinks, runaway."""
    return json_objects.verdict(report.verdict) | {
        "junctions": [_rise(rise) for rise in report.rises],
        "safe_areas": [_area(area) for area in report.areas],
        "sinks": [_sink(sink) for sink in report.sinks],
        "runaway": None if report.runaway is None else _runaway(report.runaway),
    }


def _rise(rise: Rise) -> Object:
    return {
        "part": rise.parts[0], **json_objects.like_parts(rise.parts if len(rise.parts) > 1 else ()),
        "type": rise.type or None, "power_W": rise.power, "ambient_C": celsius(rise.ambient), "sink": rise.sink,
        "sink_C": celsius(rise.sink_temperature), "case_C": celsius(rise.case), "junction_C": celsius(rise.junction),
        "limit_C": celsius(rise.limit), "share": rise.share, "in_words": rise.in_words,
    }  # fmt: skip


def _area(area: AreaPoint) -> Object:
    return {
        "part": area.parts[0], **json_objects.like_parts(area.parts if len(area.parts) > 1 else ()),
        "type": area.type, "verdict": area.finding.verdict, "voltage_V": area.voltage, "current_A": area.current,
        "case_C": celsius(area.case), "allowed_A": area.allowed, "share_of_known_lines": area.share,
        "binding": area.binding, "input_V": area.input_voltage, "load_A": area.load,
        "ambient_C": celsius(area.ambient), "in_words": area.in_words, "missing": area.finding.missing,
    }  # fmt: skip


def _sink(sink: SinkNeeded) -> Object:
    stock = sink.stock
    return {
        "part": sink.part, "written_K_per_W": sink.written, "hottest_C": celsius(sink.hottest),
        "heat_flow_W": sink.heat_flow, "needed": _found(sink.needed), "touchable": _found(sink.touchable),
        "by_hand_K_per_W": None if sink.hand is None else sink.hand.value, "by_hand_part": sink.hand_part or None,
        "by_hand_fails": sink.hand_fails or None,
        "stock": None if stock is None else {
            "name": stock.name, "printed_K_per_W": stock.resistance, "at_this_rise_K_per_W": sink.stock_resistance,
            "kind": stock.origin.kind, "source": stock.origin.source,
        },
    }  # fmt: skip


def _found(found: Found) -> Object:
    """A largest resistance: null where none holds; `at_end` where even the worst that was tried does."""
    return {
        "largest_K_per_W": found.resistance, "at_end": found.resistance == WORST,
        "confirmed_in": found.confirmed or None,
        "first_to_go": found.requirement or None, "part": found.part or None, "in_words": found.in_words,
    }  # fmt: skip


def _runaway(found: Runaway) -> Object:
    return {
        "factor": found.factor, "factor_at_end": found.factor_at_end, "warmer_K": found.warmer,
        "warmer_at_end": found.warmer_at_end, "part": found.part or None, "junction_C": celsius(found.junction),
        "folds": found.folds, "output_holds_to": found.output,
        "loop_gains": {loop.part: loop.gain.value for loop in found.loops},
    }  # fmt: skip
