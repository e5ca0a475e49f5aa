"""The Darlington: a bypass whose PNP pass device is driven by a second PNP, in one package or in two.

    in ── R1 ── x ── U1 ── out     Q1: emitter y, base x, collector out     Q2…: emitter in, base y, collector out
    R2, the bleed, from y to the rail of Q2…; ballast R3… between the rail and the emitters of Q2…

R1 lies across both base-emitter junctions, R2 across that of Q2….  Without a driver the pass device is a Darlington in
one package, which has its resistors inside, and the stage is wired like a bypass.
"""

from outboard.arrangements import bypass
from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.lead import Lead
from outboard.arrangements.pair import sized_pair
from outboard.arrangements.rails import DRIVEN_BASE, IN, OUT, REGULATOR_INPUT
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_types import Given


def sized(given: Given, ends: Extremes, lead: Lead) -> Sizing:
    """The values of a Darlington stage; `given` has an input, an output and the types."""
    if "driver" in given.types:
        return sized_pair(given, ends, lead, stacked=True)
    return bypass.sized(given, ends, lead)


def add_parts(stage: StageParts, sizing: Sizing, rail: str) -> None:
    """R1, Q1, bleed, Q2… and ballast; or as a bypass when driver and pass device are one."""
    if "driver" not in stage.given.types:
        bypass.add_parts(stage, sizing, rail)
        return
    stage.add_resistor("R1", sizing.value("R1"), (IN, REGULATOR_INPUT))
    stage.add_device("Q1", "driver", "driver", {"collector": OUT, "base": REGULATOR_INPUT, "emitter": DRIVEN_BASE})
    stage.add_resistor("R2", sizing.value("R2"), (rail, DRIVEN_BASE))
    names = [f"Q{number}" for number in range(2, stage.given.stage.count + 2)]
    stage.add_pass_devices(names, base=DRIVEN_BASE, collector=OUT, rail=rail, ballast=sizing.with_role("ballast"))


DARLINGTON = Arrangement("darlington", {"pass": "pnp"}, {"driver": "pnp"}, sized, add_parts)
