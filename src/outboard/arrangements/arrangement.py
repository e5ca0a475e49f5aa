"""What an arrangement is: a small core, which transistor where; everything else are options that any core may have."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from outboard.arrangements.extremes import Extremes
from outboard.arrangements.lead import Lead
from outboard.arrangements.rails import IN, OUT, REGULATOR_INPUT
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_types import Given
from outboard.network.part import GROUND


@dataclass(frozen=True, slots=True)
class Arrangement:
    """One way to put transistors beside a regulator, of a positive supply.

    needs   polarity by key of [stage] that must name a type
    may     polarity by key that may name one
    sized   the core's values from what was promised, and what stands in its leads
    parts   adds the core's transistors and resistors; the regulators are there already
    rail    the net on which the pass path stands, where a limiter's sense resistor goes
    drive   the net that drives the transistors, which a limiter ties to the rail
    feed    the net at the regulator's output
    sense   polarity of the limiter's sense transistor
    """

    name: str
    needs: Mapping[str, str]
    may: Mapping[str, str]
    sized: Callable[[Given, Extremes, Lead], Sizing]
    parts: Callable[[StageParts, Sizing, str], None]
    rail: str = IN
    drive: str = REGULATOR_INPUT
    feed: str = OUT
    sense: str = "pnp"

    @property
    def types(self) -> Mapping[str, str]:
        """Every key of [stage] that names a type, with the polarity or the kind that it must have."""
        diodes = dict.fromkeys(
            ("sharing_diode", "compensation", "gate_zener", "reverse_diode", "output_diode", "trigger"),
            "diode",
        )
        return {"regulator": "positive", **self.needs, **self.may, "limiter": self.sense, **diodes,
                "thyristor": "thyristor"}  # fmt: skip

    @property
    def other_rail(self) -> str:
        """The net towards which the voltage across the pass path is measured when its limit folds back."""
        return OUT if self.rail == IN else GROUND
