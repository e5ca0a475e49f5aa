"""The limiter: a sense transistor whose base-emitter voltage stands across RS takes the drive away.

    rail ── RS ── s ── pass path      QS: emitter on the rail, base at s, collector at the drive net

Folding back, its base hangs on a divider RF1, RF2 between s and the other rail, so that the limit falls with the
voltage across the pass path (follower: with the output).
"""

from dataclasses import dataclass

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.choosing import Direction, Wish, sized_value
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.foldback_sizing import Folding, folding, sized_divider
from outboard.arrangements.lead import NOTHING_IN_THE_LEAD, Lead
from outboard.arrangements.sizing import Bound, Fact, PutIn, SizedValue, Window, bound
from outboard.arrangements.stage_heat import sink_power
from outboard.arrangements.stage_types import Given
from outboard.arrangements.transistor_figures import Place, off_voltage, transistor_figures
from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.formulas import Worked
from outboard.formulas.dissipation import resistor_power, resistor_power_from_drop
from outboard.formulas.junction import voltage_tempco
from outboard.formulas.limiting import bypass_total_limit, sense_limit, sense_limit_tempco, sense_resistor
from outboard.identify import identified
from outboard.parts import ratings
from outboard.quantity import CURRENT, shown

STARTS = 0.01
"""Share of the regulator's current at which the sense transistor counts as starting (common practice, no source)."""

BELOW = "the pass devices are beyond their rated current before the limiter acts"
ABOVE = "the hot limiter acts before full load is reached"


@dataclass(frozen=True, slots=True)
class Sense:
    """V_BE of the sense transistor [V]: starting, hot and least; usual; carrying the regulator, cold and most."""

    hot: float
    usual: float
    cold: float


@dataclass(frozen=True, slots=True)
class SizedLimiter:
    """The limiter's resistors with what follows; `lead` is what RS adds to the pass path."""

    values: tuple[SizedValue, ...] = ()
    figures: tuple[PutIn, ...] = ()
    facts: tuple[Fact, ...] = ()
    remarks: tuple[str, ...] = ()
    lead: Lead = NOTHING_IN_THE_LEAD


def sized_limiter(given: Given, ends: Extremes, arrangement: Arrangement) -> SizedLimiter:
    """RS, and the foldback divider; nothing without a limiter."""
    if "limiter" not in given.types:
        return SizedLimiter()
    sense_type = given.types["limiter"]
    place = Place("QS", max(ends.regulator_current, 1e-3), 2.0, ends.cold, _hot(given, ends))
    figures = transistor_figures(sense_type, place)
    starts = off_voltage(sense_type, place, STARTS * max(ends.handover, 0.1 * ends.regulator_current))
    sense = Sense(starts.value, figures.onset.value, figures.most_voltage.value)
    fold = folding(given, ends, arrangement, sense.usual, sense.hot)
    wanted, rounding = _wanted(given, ends, sense, fold)
    window = Window(_least(given, sense), _most(ends, sense, fold), BELOW, ABOVE, given.stage.resistors)

    def power(resistance: float) -> Worked:
        if given.brief.requirements.short_circuit == "none":  # limiting for a moment only
            most = resistance * (1.0 + given.stage.resistors)
            return resistor_power.evaluated(current=ends.beyond, resistance=most)
        least = resistance * (1.0 - given.stage.resistors)
        return resistor_power_from_drop.evaluated(drop=sense.cold, resistance=least)

    reason = (
        "so that the limit does not come below what was asked" if given.stage.limit else "so that it never acts early"
    )
    wish = Wish(("RS",), "sense resistor", wanted.value, wanted, rounding, reason, given.stage.series, window)
    effect = None
    if given.stage.RS is not None:
        effect = sense_limit.evaluated(base_emitter_voltage=sense.usual, sense_resistance=given.stage.RS)
    value, about = sized_value(wish, given.stage.RS, effect, power, ends.hot)
    sensed = value.chosen or 0.0
    divider: tuple[SizedValue, ...] = ()
    more: tuple[Fact, ...] = ()
    if fold is not None:
        base_current = ends.regulator_current / figures.least_gain.value
        divider, more, remarks = sized_divider(given, ends, fold, sense.usual, base_current, sensed)
        about += remarks
    return SizedLimiter(
        (value, *divider), (*figures.all[:3], starts),
        (*_facts(given, sense, sensed, folds=fold is not None), *more), (*about, *_overloaded(given)),
        Lead(sensed * ends.beyond, sensed),
    )  # fmt: skip


def _wanted(given: Given, ends: Extremes, sense: Sense, fold: Folding | None) -> tuple[Worked, Direction]:
    """What the formula asks for: from the limit in the file, else such that even the hot limiter spares full load."""
    if fold is not None:
        return fold.sense, "down"
    if given.stage.limit is not None:
        return sense_resistor.evaluated(base_emitter_voltage=sense.usual, limit_current=given.stage.limit), "down"
    spared = ends.beyond * (1.0 + given.stage.resistors)
    return sense_resistor.evaluated(base_emitter_voltage=sense.hot, limit_current=spared), "down"


def _hot(given: Given, ends: Extremes) -> float:
    """How hot the sense transistor may be before it carries anything [K]."""
    mount = given.brief.heat.mounts.get("limiter")
    if mount is None:
        return ends.hot
    return ends.hot + sink_power(given, ends, mount.sink) * given.brief.heat.sinks[mount.sink]


def _least(given: Given, sense: Sense) -> Bound:
    rated = ratings(given.types["pass"]).get("I_C") or ratings(given.types["pass"]).get("I_D")
    if rated is None:
        return Bound(None, f"the sheet of {given.types['pass'].name} prints no rated current", open=True)
    return bound(
        lambda: sense_resistor.evaluated(
            base_emitter_voltage=sense.cold, limit_current=rated.value * given.stage.count
        ),
        "",
    )


def _most(ends: Extremes, sense: Sense, fold: Folding | None) -> Bound:
    if fold is not None:
        return fold.most
    return bound(
        lambda: sense_resistor.evaluated(base_emitter_voltage=sense.hot, limit_current=ends.beyond),
        "the hot limiter conducts without any V_BE",
    )


def _facts(given: Given, sense: Sense, sensed: float, folds: bool) -> tuple[Fact, ...]:
    """Limit of the whole stage, and how it moves with temperature."""
    known = identified(given.types["limiter"])
    slope = voltage_tempco(
        bandgap_voltage=known.values["bandgap_eV"], base_emitter_voltage=sense.usual,
        exponent=known.values["current_temperature_exponent"],
        thermal_voltage=thermal_voltage(REFERENCE_TEMPERATURE), temperature=REFERENCE_TEMPERATURE,
    )  # fmt: skip
    drift = Fact("how the limit moves with temperature",
                 sense_limit_tempco.evaluated(voltage_tempco=slope, base_emitter_voltage=sense.usual))  # fmt: skip
    if folds or sensed == 0.0 or given.stage.arrangement == "follower":
        return (drift,)
    limit = identified(given.types["regulator"]).values["current_limit"] * given.stage.regulators
    whole = bypass_total_limit.evaluated(
        base_emitter_voltage=sense.usual, sense_resistance=sensed, regulator_limit=limit
    )
    return Fact("total current at which the stage gives up", whole), drift


def _overloaded(given: Given) -> tuple[str, ...]:
    """While it limits, the sense transistor carries all that the regulator draws."""
    known, rated = identified(given.types["regulator"]), ratings(given.types["limiter"]).get("I_C")
    ends = known.at(limit="most") if known.spread("limit") else known.values
    drawn = ends["current_limit"] * given.stage.regulators
    if rated is not None and rated.value >= drawn:
        return ()
    bears = "whose sheet prints no I_C" if rated is None else f"rated {shown(rated.value, CURRENT)}"
    return (f"while it limits, QS carries all that the regulator draws, up to {shown(drawn, CURRENT)}: "
            f"{given.types['limiter'].name}, {bears}, does not bear that for certain",)  # fmt: skip
