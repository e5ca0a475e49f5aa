"""The ballast of parallel pass devices: value, worst share of one device, wattage."""

from typing import Protocol

from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.sizing import SizedValue
from outboard.arrangements.stage_devices import ballast_names
from outboard.arrangements.stage_types import Given
from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.formulas import Worked
from outboard.formulas.ballast import ballast_resistor, current_imbalance, greatest_share
from outboard.formulas.dissipation import resistor_power

BALLAST_DROP = 0.2
"""Drop that is spent on ballast at full load [V] (common practice, no source)."""


class Spreading(Protocol):
    """How far devices of a type differ at their control voltage [V], and the resistance behind it [Ω]."""

    @property
    def voltage_spread(self) -> float: ...

    @property
    def least_resistance(self) -> float: ...

    @property
    def most_resistance(self) -> float: ...


SHARING_DROP = 0.4
"""Drop across the ballast beside a sharing diode, so that what V_BE and diode leave counts less [V] (common practice,
no source)."""


def sized_ballast(given: Given, ends: Extremes, figures: Spreading) -> tuple[SizedValue | None, tuple[str, ...]]:
    """Ballast for the pass devices and remarks on it; None for a single device without, or when the file says 0 Ω."""
    stage = given.stage
    shares = stage.sharing_diode is not None
    if stage.ballast == 0.0 or (stage.ballast is None and stage.count == 1 and not shares):
        return None, ()
    wanted = ballast_resistor.evaluated(
        ballast_voltage=SHARING_DROP if shares else BALLAST_DROP, emitter_current=ends.each
    )

    def share(resistance: float) -> float:
        return greatest_share(
            all_current=ends.beyond, count=float(stage.count), voltage_difference=figures.voltage_spread,
            ballast_resistance=resistance, least_emitter_resistance=figures.least_resistance,
            most_emitter_resistance=figures.most_resistance,
        )  # fmt: skip

    def power(resistance: float) -> Worked:
        most = resistance * (1.0 + stage.resistors)
        return resistor_power.evaluated(current=share(resistance), resistance=most)

    effect = None
    if stage.ballast is not None:
        effect = current_imbalance.evaluated(
            voltage_difference=figures.voltage_spread, thermal_voltage=thermal_voltage(REFERENCE_TEMPERATURE),
            emitter_current=ends.each, ballast_resistance=stage.ballast,
        )  # fmt: skip
    wish = Wish(ballast_names(stage.count), "ballast", wanted.value, wanted, "up", "so that the devices share better",
                stage.series, key="ballast")  # fmt: skip
    return sized_value(wish, stage.ballast, effect, power, ends.hot)
