"""R1, the base resistor: hand-over value, window between overload and creeping on, wattage.

Bypass and compound differ only in which transistor R1 drives and in what that one must carry.
"""

from dataclasses import dataclass

from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.sizing import Bound, SizedValue, Window, bound
from outboard.arrangements.stage_types import Given
from outboard.formulas import Worked
from outboard.formulas.base_resistor import (
    base_resistor_for_bypass_current,
    base_resistor_for_handover,
    most_base_resistor,
)
from outboard.formulas.current_division import handover_current
from outboard.formulas.dissipation import resistor_power_from_drop

BELOW = "the regulator is overloaded before the transistor carries the rest"
ABOVE = "quiescent and leakage current turn the transistor on without load"


@dataclass(frozen=True, slots=True)
class Driven:
    """The transistor behind R1: V_BE [V] at onset, and at full load cold with the drop in its emitter lead.

    carried   current that it carries at full load at worst [A]
    gain      its least gain cold
    leakage   of all devices that R1 must hold off, hot, at most [A]
    off       V_BE [V] below which the hot device is off
    """

    onset_voltage: float
    most_voltage: float
    carried: float
    gain: float
    leakage: float
    off_voltage: float


def sized_base_resistor(given: Given, ends: Extremes, driven: Driven) -> tuple[SizedValue, tuple[str, ...]]:
    """R1 and the remarks on it."""
    stage = given.stage
    wanted = base_resistor_for_handover.evaluated(
        base_emitter_voltage=driven.onset_voltage, handover_current=ends.handover
    )

    def power(resistance: float) -> Worked:
        return resistor_power_from_drop.evaluated(
            drop=driven.most_voltage, resistance=resistance * (1.0 - stage.resistors)
        )

    effect = None
    if stage.R1 is not None:
        effect = handover_current.evaluated(base_emitter_voltage=driven.onset_voltage, base_resistance=stage.R1)
    reason = "so that the regulator carries less than asked"
    wish = Wish(("R1",), "base resistor", wanted.value, wanted, "up", reason, stage.series,
                _window(given, ends, driven))  # fmt: skip
    return sized_value(wish, stage.R1, effect, power, ends.hot)


def _window(given: Given, ends: Extremes, driven: Driven) -> Window:
    least = bound(
        lambda: base_resistor_for_bypass_current.evaluated(
            base_emitter_voltage=driven.most_voltage, regulator_current=ends.regulator_current,
            bypass_current=driven.carried, current_gain=driven.gain,
        ),
        "",
    )  # fmt: skip
    if ends.full_load <= ends.regulator_current:
        least = Bound(None, "the regulator carries the full load alone", open=True)
    if ends.quiescent_current + driven.leakage == 0.0:
        return Window(least, Bound(None, "neither quiescent nor leakage current is printed", open=True), BELOW, ABOVE,
                      given.stage.resistors)  # fmt: skip
    most = bound(
        lambda: most_base_resistor.evaluated(
            base_emitter_voltage=driven.off_voltage, quiescent_current=ends.quiescent_current,
            leakage_current=driven.leakage,
        ),
        "a hot device conducts without any V_BE",
    )  # fmt: skip
    return Window(least, most, BELOW, ABOVE, given.stage.resistors)
