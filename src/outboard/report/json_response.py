"""`respond` as an object with stable keys."""

import numpy as np

from outboard.analysis.response import FREQUENCIES, MAINS_RIPPLE, Answer
from outboard.analysis.step import Step
from outboard.checks.responding import Responded
from outboard.report import json_objects
from outboard.report.json_objects import Object
from outboard.report.json_text import celsius


def response(found: Responded) -> Object:
    """The verdict as that of `verify`; margins, curves and steps beside it."""
    judged, answered = json_objects.verdict(found.verdict), found.response
    source, ambient = answered.conditions
    return judged | {
        "missing": answered.missing,
        "held": {"input_V": source, "ambient_C": celsius(ambient), "temperatures": "as before each step"},
        "frequencies_Hz": FREQUENCIES if answered.answers else [],
        "answers": [_answer(one) for one in answered.answers],
        "steps": [_step(one) for one in found.steps.steps],
        "not_followed": [
            {"step": one.change.name, "bandwidth": one.end, "why": one.why} for one in found.steps.failed
        ],
    }  # fmt: skip


def _answer(one: Answer) -> Object:
    head: Object = {
        "load": one.word, "load_A": one.load, "bandwidth": one.end, "bandwidth_Hz": one.bandwidth,
        "outcome": one.outcome,
    }  # fmt: skip
    if not one.is_solved:
        return head
    margins, mode = one.margins, one.least_damped
    return head | {
        "crossover_Hz": margins.crossover,
        "phase_margin_deg": margins.phase,
        "gain_may_rise_dB": margins.rise,
        "gain_may_fall_dB": margins.fall,
        "natural_frequencies": [
            {"growth_per_s": each.s.real, "frequency_Hz": each.frequency, "damping": each.damping}
            for each in one.modes if each.s.imag >= 0.0
        ],
        "least_damping": None if mode is None else mode.damping,
        "rejection_dB": {f"{frequency:g} Hz": one.rejection_at(frequency) for frequency in MAINS_RIPPLE},
        "loop_gain_dB": 20.0 * np.log10(np.abs(one.loop)) if len(one.loop) else [],
        "loop_phase_deg": one.phase if len(one.loop) else [],
        "output_impedance_ohm": np.abs(one.impedance),
        "ripple_through": np.abs(one.rejected),
    }  # fmt: skip


def _step(one: Step) -> Object:
    change = one.change
    return {
        "step": change.name,
        "bandwidth": one.end,
        "input_V": change.inputs,
        "load_A": change.loads,
        "edge_s": change.edge,
        "before_V": one.began,
        "after_V": one.ended,
        "lowest_V": one.lowest[0],
        "lowest_at_s": one.lowest[1],
        "highest_V": one.highest[0],
        "highest_at_s": one.highest[1],
        "dip_V": one.dip,
        "overshoot_V": one.overshoot,
        "settled_s": one.settled,
        "broken": one.broken or None,
        "times_s": one.times,
        "output_V": one.output,
        "currents_A": dict(one.currents),
    }
