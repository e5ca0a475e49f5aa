"""The compound: a PNP driver beside the regulator, NPN pass devices behind it.

in ── R1 ── x ── U1 ── out     Q1: emitter in, base x, collector y     Q2…: collector in, base y, emitter out
R2, the bleed, from y to out; ballast R3… between the emitters of Q2… and out
"""

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.lead import Lead
from outboard.arrangements.pair import sized_pair
from outboard.arrangements.rails import DRIVEN_BASE, IN, OUT, REGULATOR_INPUT
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_types import Given


def sized(given: Given, ends: Extremes, lead: Lead) -> Sizing:
    """The values of a compound stage; `given` has an input, an output and the types."""
    return sized_pair(given, ends, lead, stacked=False)


def add_parts(stage: StageParts, sizing: Sizing, rail: str) -> None:
    """R1, Q1, bleed, Q2… and ballast; a limiter senses the collector current of Q2…"""
    stage.add_resistor("R1", sizing.value("R1"), (IN, REGULATOR_INPUT))
    stage.add_device("Q1", "driver", "driver", {"collector": DRIVEN_BASE, "base": REGULATOR_INPUT, "emitter": IN})
    stage.add_resistor("R2", sizing.value("R2"), (DRIVEN_BASE, OUT))
    names = [f"Q{number}" for number in range(2, stage.given.stage.count + 2)]
    stage.add_pass_devices(names, base=DRIVEN_BASE, collector=rail, rail=OUT, ballast=sizing.with_role("ballast"))


COMPOUND = Arrangement("compound", {"driver": "pnp", "pass": "npn"}, {}, sized, add_parts)
