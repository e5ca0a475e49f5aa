"""What [input] and [output] stand for: the source that feeds the circuit, the load that it feeds; nets of a stage."""

from collections.abc import Iterator

from outboard.arrangements.design import DesignPart
from outboard.arrangements.mirror import mirrored
from outboard.brief import Brief
from outboard.network.part import GROUND, Part

IN, OUT, REGULATOR_INPUT = "in", "out", "x"
"""Input, output, and the regulator's input behind the base resistor."""

REGULATOR_OUTPUT, DRIVEN_BASE = "b", "y"
"""The regulator's output where a follower stands behind it; the base of pass devices that have a driver."""

SENSED, FOLDED, GATE, TRIGGER = "s", "f", "g", "t"
"""Behind the sense resistor; tap of the foldback divider; the gate behind its resistor; the gate of the crowbar."""

REFERENCE, FOOT, SHARING = "ref", "foot", "d"
"""Reference pin of an adjustable regulator; lower end of its lead on a compensating diode; behind the sharing diode."""


def rails(brief: Brief) -> Iterator[DesignPart]:
    """Source `input` from `in` to ground, load `load` from `out` to ground, as far as the brief has them.

    The load of a negative output is turned, so that what it draws stays positive.
    """
    if brief.input is not None:
        values = {"voltage": brief.input.voltage.usual, "resistance": brief.input.resistance}
        yield DesignPart(Part("input", "source", {"plus": IN, "minus": GROUND}, values), "input")
    if brief.output is not None:
        draws = {"draws": brief.output.load.usual}
        load = DesignPart(Part("load", "load", {"plus": OUT, "minus": GROUND}, draws), "load")
        yield mirrored(load) if brief.output.voltage < 0 else load
