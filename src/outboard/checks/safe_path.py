"""The way of a transistor through its safe area: from no load to full load, and on to the shorted output if promised.

All in one corner: that in which it comes nearest to its edge.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from outboard.arrangements.design import Design, DesignPart
from outboard.checks.check import Floats
from outboard.checks.safe_area import MOST_SHARE, Lines, volts_and_amperes
from outboard.checks.setting import Setting
from outboard.checks.tally import Worst
from outboard.network.circuit import laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities import figures

SHORT = 0.01
"""A shorted output, with its leads [Ω] (common practice, no source)."""

STEPS = 80
"""Resistances between full load and the short."""


@dataclass(frozen=True, slots=True)
class PathPoint:
    """One point: load [A], or resistance across the output where it is shorted [Ω]; voltage, current, case [V, A, K].

    share   of what the lines that are known allow
    """

    load: float
    voltage: float
    current: float
    case: float
    share: float


def path(setting: Setting, worst: Worst, part: DesignPart, lines: Lines) -> tuple[PathPoint, ...]:
    """From the least load to the most; what has no solution is left out."""
    block = solved(setting.circuit, worst.corners.overrides, setting.sweep(setting.loads))
    return tuple(_points(block, setting.loads, part, lines))


def path_to_short(setting: Setting, worst: Worst, part: DesignPart, lines: Lines) -> tuple[PathPoint, ...]:
    """From full load to the shorted output, everything settled; nothing where no short is promised."""
    design = setting.design
    if design.brief.output is None or design.brief.requirements.short_circuit in (None, "none"):
        return ()
    full = float(setting.loads[-1])
    if not setting.load_fields or full <= 0.0:
        return ()
    resistances = np.geomspace(abs(design.brief.output.voltage) / full, SHORT, STEPS)
    shorted = replace(design, parts=tuple(map(_as_resistance, design.parts)))
    circuit = laid_out(shorted.components, design.brief.surroundings.ambient.usual)
    sweep = Overrides.column("load", "resistance", resistances)
    return tuple(_points(solved(circuit, worst.corners.overrides, sweep), resistances, part, lines))


def _as_resistance(part: DesignPart) -> DesignPart:
    if part.name != "load":
        return part
    return replace(part, part=Part("load", "load", part.part.pins, {"resistance": 1.0}))


def _points(block: Block, loads: Floats, part: DesignPart, lines: Lines) -> Iterator[PathPoint]:
    voltage, current = volts_and_amperes(block, part)
    case = figures.case_temperature(block, part.name, lines.to_case)
    allowed = lines.allowed(voltage, case)
    for point, load in enumerate(loads):
        if block.is_solved[0, point]:
            most = float(allowed[0, point])
            amperes = float(current[0, point])
            yield PathPoint(float(load), float(voltage[0, point]), amperes, float(case[0, point]),
                            share_of(amperes, most))  # fmt: skip


def share_of(current: float, allowed: float) -> float:
    """A current as a share of what is allowed; a large number where nothing is."""
    return min(current / allowed, MOST_SHARE) if allowed > 0.0 else MOST_SHARE


def promised_short(design: Design) -> str | None:
    """How long a shorted output is promised to be borne, in words; None where it is not."""
    promised = design.brief.requirements.short_circuit
    return None if promised in (None, "none") else promised
