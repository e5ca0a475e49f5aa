"""What stands in the leads of a core: the sense resistor of a limiter, the sharing diode of the regulator's lead."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Lead:
    """Drops [V] and resistances [Ω] that add to the core's own.

    sense_drop        across the sense resistor at full load
    sense_resistance  that resistor; 0 without a limiter
    """

    sense_drop: float = 0.0
    sense_resistance: float = 0.0


NOTHING_IN_THE_LEAD = Lead()
