"""R2, the bleed of pass devices: small enough for hot leakage, large enough for what feeds it, driver or regulator."""

from dataclasses import dataclass

from outboard.arrangements.choosing import Wish, left_out, sized_value
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.sizing import Bound, SizedValue, Window, bound
from outboard.arrangements.stage_heat import allowed_device_power, left_of
from outboard.arrangements.stage_types import Given
from outboard.formulas import NoSolution, Worked
from outboard.formulas.compound import (
    bleed_onset_current,
    driver_current_of_pair,
    driver_current_without_bleed,
    least_bleed_resistor,
)
from outboard.formulas.dissipation import resistor_power_from_drop
from outboard.formulas.leakage import bleed_resistor_for_onset, most_bleed_resistor
from outboard.formulas.thermal import thermal_current
from outboard.parts import ratings

USUAL_ONSET = 5e-3
"""Driver current that the bleed takes at least before the pass device starts [A] (common practice, no source)."""

ABOVE = "hot leakage turns the pass device on without load"


@dataclass(frozen=True, slots=True)
class Pair:
    """The pass devices as the driver sees them: V_BE with ballast at full load at most, and at onset [V]; least gain;

    hot leakage of all [A]; V_BE below which the hottest is off [V].
    """

    most_voltage: float
    least_gain: float
    onset_voltage: float
    leakage: float
    off_voltage: float


@dataclass(frozen=True, slots=True)
class Carried:
    """What feeds bleed and base: in words what happens when it cannot, and what it may carry [A]."""

    below: str
    current: float


def driver_current_at(pair_current: float, pair: Pair, bleed: SizedValue) -> float:
    """What the driver carries at worst [A] when driver and pass devices carry a current together."""
    if bleed.chosen is None:
        return driver_current_without_bleed(pair_current=pair_current, pass_gain=pair.least_gain)
    return driver_current_of_pair(
        pair_current=pair_current, pass_gain=pair.least_gain, base_emitter_voltage=pair.most_voltage,
        bleed_resistance=bleed.chosen,
    )  # fmt: skip


def sized_bleed(
    given: Given, ends: Extremes, pair: Pair, feeder: Carried | None = None
) -> tuple[SizedValue, tuple[str, ...]]:
    """R2 and the remarks on it; a driver feeds it, unless `feeder` says what does."""
    stage = given.stage
    below = feeder.below if feeder else "the driver cannot feed bleed and base together"
    least = bound(lambda: _least(ends, pair, feeder.current if feeder else driver_limit(given, ends)), "")
    window = Window(least, _most(pair), below, ABOVE, stage.resistors)
    wanted = bleed_resistor_for_onset.evaluated(base_emitter_voltage=pair.onset_voltage, onset_current=USUAL_ONSET)
    if window.most.worked is not None and window.most.worked.value < wanted.value:
        wanted = window.most.worked
    wish = Wish(("R2",), "bleed", wanted.value, wanted, "down", "so that it draws away more than the leakage",
                stage.series, window, key="bleed")  # fmt: skip
    if stage.bleed == "none":
        return left_out(wish), ("without a bleed, hot leakage of the pass device is amplified",) if pair.leakage else ()
    written = stage.bleed if isinstance(stage.bleed, float) else None

    def power(resistance: float) -> Worked:
        return resistor_power_from_drop.evaluated(
            drop=pair.most_voltage, resistance=resistance * (1.0 - stage.resistors)
        )

    effect = None
    if written is not None:
        effect = bleed_onset_current.evaluated(base_emitter_voltage=pair.onset_voltage, bleed_resistance=written)
    return sized_value(wish, written, effect, power, ends.hot)


def _most(pair: Pair) -> Bound:
    if pair.leakage == 0.0:
        return Bound(None, "no leakage is printed")
    return bound(
        lambda: most_bleed_resistor.evaluated(base_emitter_voltage=pair.off_voltage, leakage_current=pair.leakage),
        "a hot pass device conducts without any V_BE",
    )


def driver_limit(given: Given, ends: Extremes) -> float:
    """What a driver may carry [A]: its rated current, or what its heat allows; NoSolution if unknown."""
    rated = ratings(given.types["driver"]).get("I_C")
    power = allowed_device_power(given, ends, "driver").value
    by_heat = thermal_current(power=power, collector_emitter_voltage=ends.across)
    if rated is None:
        raise NoSolution(f"the sheet of {given.types['driver'].name} prints no I_C")
    return min(left_of(given, "driver", "I_C") * rated.value, by_heat)


def _least(ends: Extremes, pair: Pair, feeding_current: float) -> Worked:
    return least_bleed_resistor.evaluated(
        base_emitter_voltage=pair.most_voltage, driver_current=feeding_current, pass_current=ends.beyond,
        pass_gain=pair.least_gain,
    )  # fmt: skip
