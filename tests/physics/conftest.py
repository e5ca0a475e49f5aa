"""Invented stages for laws to be tried on."""

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from outboard.network.circuit import laid_out
from outboard.network.part import Heat, Part
from outboard.network.solution import Block
from outboard.network.solve import solved

KELVIN = 273.15

DRIVER = {
    "saturation_current": 0.2e-12, "forward_gain": 120.0, "reverse_gain": 5.0, "forward_early_voltage": 70.0,
    "forward_knee_current": 1.0, "emitter_leakage_current": 5e-12, "base_resistance": 2.0, "emitter_resistance": 0.05,
    "collector_resistance": 0.2, "gain_temperature_exponent": 1.5, "cutoff_current": 50e-9,
}  # fmt: skip
PASS = {
    "saturation_current": 5e-12, "forward_gain": 60.0, "reverse_gain": 3.0, "forward_early_voltage": 100.0,
    "forward_knee_current": 5.0, "emitter_leakage_current": 80e-12, "base_resistance": 0.3, "emitter_resistance": 6e-3,
    "collector_resistance": 40e-3, "gain_temperature_exponent": 1.2, "cutoff_current": 1e-6,
}  # fmt: skip
REGULATOR = {
    "set_voltage": 12.0, "output_resistance": 10e-3, "line_coefficient": 2e-4, "dropout_voltage": 1.5,
    "current_limit": 2.0, "short_circuit_current": 0.8, "foldback_start": 8.0, "foldback_end": 25.0,
    "quiescent_current": 4e-3,
}  # fmt: skip


def invented_stage(
    load: float = 3.0, bleed: float | None = 100.0, boost: float | None = 2.2, negative: bool = False,
    changed: Mapping[str, Mapping[str, float]] | None = None,
) -> list[Part]:  # fmt: skip
    """A compound stage on two sinks; `negative` turns every polarity and every source round."""
    driver, output = ("npn", "pnp") if negative else ("pnp", "npn")
    change = changed or {}

    def ends(net: str) -> dict[str, str]:
        return {"plus": "ground", "minus": net} if negative else {"plus": net, "minus": "ground"}

    parts = [
        Part("input", "source", ends("in"), {"voltage": 17.0, "resistance": 0.05}),
        Part("Q1", "bipolar", {"collector": "y", "base": "x", "emitter": "in"}, DRIVER | dict(change.get("Q1", {})),
             driver, heat=Heat("plate", 6.0)),
        Part("Q2", "bipolar", {"collector": "in", "base": "y", "emitter": "out"}, PASS | dict(change.get("Q2", {})),
             output, heat=Heat("sink", 1.5)),
        Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"}, REGULATOR | dict(change.get("U1", {})),
             "negative" if negative else "positive", heat=Heat("sink", 4.0)),
        Part("load", "load", ends("out"), {"draws": load}),
        Part("sink to air", "thermal_resistance", {"a": "sink", "b": "ambient"}, {"resistance": 0.8}),
        Part("plate to air", "thermal_resistance", {"a": "plate", "b": "ambient"}, {"resistance": 20.0}),
    ]  # fmt: skip
    if boost is not None:
        parts.append(Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": boost}))
    if bleed is not None:
        parts.append(Part("R2", "resistor", {"a": "y", "b": "out"}, {"resistance": bleed}))
    return parts


@pytest.fixture
def stage() -> Callable[..., list[Part]]:
    return invented_stage


@pytest.fixture
def solve() -> Callable[..., Block]:
    """Solves parts at an ambient temperature in °C; everything must have a solution."""

    def work(parts: list[Part], ambient: float = 25.0, **cases: Any) -> Block:
        block = solved(laid_out(parts, KELVIN + ambient), **cases)
        assert block.is_solved.all()
        return block

    return work
