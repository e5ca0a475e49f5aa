"""The limit that folds back: sense resistor and divider together, from the knee and what is left at a short circuit."""

from dataclasses import dataclass

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.rails import IN
from outboard.arrangements.sizing import Bound, Fact, SizedValue, bound
from outboard.arrangements.stage_types import Given
from outboard.formulas import Worked
from outboard.formulas.dissipation import resistor_power
from outboard.formulas.foldback import (
    bypass_foldback_ratio,
    bypass_foldback_sense_resistor,
    foldback_lower_resistor,
    foldback_upper_resistor,
    output_foldback_limit,
    sense_resistor_with_foldback,
)
from outboard.formulas.limiting import (
    bypass_foldback_limit,
    foldback_divider_partner,
    foldback_divider_ratio,
    foldback_divider_resistor,
    foldback_resistor,
    sense_resistor,
)
from outboard.quantity import CURRENT, shown

TIMES_BASE_CURRENT = 2.0
"""Divider current over the base current with which QS carries all that the regulator is guaranteed for (common
practice, no source).  Textbooks take ten times a base current of a tenth of a milliampere; here QS carries amperes."""


@dataclass(frozen=True, slots=True)
class Folding:
    """A folding limit: divider ratio, sense resistor with their working, the greatest RS that spares full load.

    at_input  whether the sense resistor stands at the input (bypass) or in the output lead (follower)
    """

    ratio: Worked
    sense: Worked
    most: Bound
    at_input: bool
    input_voltage: float


def folding(given: Given, ends: Extremes, arrangement: Arrangement, usual: float, hot: float) -> Folding | None:
    """The folding limit that the file asks for, None when it asks for none; usual and hot V_BE [V].

    With a limit in the file that is the usual device's; without one even the hot device spares full load at the
    highest input.
    """
    short = given.stage.foldback
    if short is None:
        return None
    knee, voltage, feed = given.stage.limit, usual, given.input.voltage.usual
    if knee is None:
        knee, voltage, feed = ends.beyond * (1.0 + given.stage.resistors), hot, ends.input_most
    if arrangement.rail == IN:
        ratio = bypass_foldback_ratio.evaluated(
            base_emitter_voltage=voltage, short_circuit_current=short, foldback_current=knee, input_voltage=feed,
            output_voltage=ends.output,
        )  # fmt: skip
        sense = bypass_foldback_sense_resistor.evaluated(
            divider_ratio=ratio.value, output_voltage=ends.output, foldback_current=knee, short_circuit_current=short
        )
        most = bound(
            lambda: sense_resistor_with_foldback.evaluated(
                base_emitter_voltage=hot, divider_ratio=ratio.value, input_voltage=ends.input_most,
                output_voltage=ends.output_least, limit_current=ends.beyond,
            ),
            "",
        )  # fmt: skip
        return Folding(ratio, sense, most, True, feed)
    plain = sense_resistor(base_emitter_voltage=voltage, limit_current=short)
    sense = foldback_resistor.evaluated(
        plain_sense_resistance=plain, foldback_current=knee, short_circuit_current=short, output_voltage=ends.output
    )
    ratio = foldback_divider_ratio.evaluated(foldback_resistance=sense.value, plain_sense_resistance=plain)
    spared = output_foldback_limit(
        base_emitter_voltage=hot, divider_ratio=ratio.value, output_voltage=ends.output_least, sense_resistance=1.0
    )
    most = bound(lambda: sense_resistor.evaluated(base_emitter_voltage=spared, limit_current=ends.beyond), "")
    return Folding(ratio, sense, most, False, feed)


def sized_divider(
    given: Given, ends: Extremes, fold: Folding, voltage: float, base_current: float, sensed: float
) -> tuple[tuple[SizedValue, ...], tuple[Fact, ...], tuple[str, ...]]:
    """RF1 and RF2, what the limit is at both ends with the values taken, and remarks."""
    stage, current = given.stage, TIMES_BASE_CURRENT * base_current
    if fold.at_input:
        upper = foldback_upper_resistor.evaluated(base_emitter_voltage=voltage, divider_current=current)
        most = ends.input_most * fold.ratio.value / upper.value + base_current
        first, about = _resistor(given, ends, "RF1", upper, stage.RF1, most)
        lower = foldback_lower_resistor.evaluated(upper_resistance=first.chosen or 0.0, divider_ratio=fold.ratio.value)
        second, more = _resistor(given, ends, "RF2", lower, stage.RF2, ends.input_most / lower.value)
    else:
        lower = foldback_divider_resistor.evaluated(
            base_emitter_voltage=voltage, divider_current=current, divider_ratio=fold.ratio.value
        )
        second, more = _resistor(given, ends, "RF2", lower, stage.RF2, (ends.output + voltage) / lower.value)
        upper = foldback_divider_partner.evaluated(
            divider_ratio=fold.ratio.value, divider_resistance=second.chosen or 0.0
        )
        most = (ends.output + voltage) / lower.value + base_current
        first, about = _resistor(given, ends, "RF1", upper, stage.RF1, most)
    ratio = (first.chosen or 0.0) / (second.chosen or 1.0)
    facts = (Fact("divider ratio that the two demands ask for", fold.ratio),
             Fact("limit at full output voltage, usual V_BE", _limit(ends.output, ratio, voltage, sensed, fold)),
             Fact("limit at a shorted output, usual V_BE", _limit(0.0, ratio, voltage, sensed, fold)))  # fmt: skip
    return (first, second), facts, (*about, *more, *_fed_on(ends, fold, (first.chosen or 0.0) + (second.chosen or 0.0)))


def _fed_on(ends: Extremes, fold: Folding, resistance: float) -> tuple[str, ...]:
    """The divider of a bypass ends at the output, where a regulator cannot sink what it brings."""
    brought = (ends.input_most - ends.output_least) / resistance
    if not fold.at_input or brought <= ends.least_load:
        return ()
    return (f"the foldback divider feeds up to {shown(brought, CURRENT)} into the output, sure to be drawn from it are "
            f"{shown(ends.least_load, CURRENT)}: a standing load must draw the rest, or the output rises",)  # fmt: skip


def _limit(output: float, ratio: float, voltage: float, sensed: float, fold: Folding) -> Worked:
    if fold.at_input:
        return bypass_foldback_limit.evaluated(
            base_emitter_voltage=voltage, divider_ratio=ratio, input_voltage=fold.input_voltage, output_voltage=output,
            sense_resistance=sensed,
        )  # fmt: skip
    return output_foldback_limit.evaluated(
        base_emitter_voltage=voltage, divider_ratio=ratio, output_voltage=output, sense_resistance=sensed
    )


def _resistor(
    given: Given, ends: Extremes, name: str, wanted: Worked, written: float | None, most_current: float
) -> tuple[SizedValue, tuple[str, ...]]:
    wish = Wish((name,), "foldback divider", wanted.value, wanted, "nearest", "so that the ratio keeps",
                given.stage.series)  # fmt: skip

    def power(resistance: float) -> Worked:
        return resistor_power.evaluated(current=most_current, resistance=resistance * (1.0 + given.stage.resistors))

    return sized_value(wish, written, None, power, ends.hot)
