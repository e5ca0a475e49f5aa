"""What [input] and [output] stand for: the source that feeds the circuit, the load that it feeds."""

from collections.abc import Iterator

from outboard.arrangements.design import DesignPart
from outboard.brief import Brief
from outboard.network.part import GROUND, Part

IN, OUT, REGULATOR_INPUT = "in", "out", "x"
"""Nets of every arrangement: input, output, and the regulator's input behind the base resistor."""


def rails(brief: Brief) -> Iterator[DesignPart]:
    """Source `input` from `in` to ground, load `load` from `out` to ground, as far as the brief has them."""
    if brief.input is not None:
        values = {"voltage": brief.input.voltage.usual, "resistance": brief.input.resistance}
        yield DesignPart(Part("input", "source", {"plus": IN, "minus": GROUND}, values), "input")
    if brief.output is not None:
        draws = {"draws": brief.output.load.usual}
        yield DesignPart(Part("load", "load", {"plus": OUT, "minus": GROUND}, draws), "load")
