"""RA and RB, the divider of an adjustable regulator: least load, reference-pin current, preferred values, trimming."""

from collections.abc import Callable
from dataclasses import dataclass

from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.sizing import Bound, Fact, SizedValue, Window
from outboard.arrangements.stage_types import Given
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.formulas import NoSolution, Worked
from outboard.formulas.dissipation import resistor_power_from_drop
from outboard.formulas.divider import lower_resistor, most_upper_resistor, output_tolerance
from outboard.formulas.regulator import adjusted_output_voltage
from outboard.identify import identified
from outboard.parts import PartType, preferred, ratings
from outboard.parts.preferred import series_values
from outboard.quantity import CURRENT, RESISTANCE, VOLTAGE, shown

USUAL_LEAST_LOAD = 5e-3
"""Current that the divider draws where the sheet prints no least load [A] (common practice, no source)."""

SMALLEST_SHARE = 0.5
"""RA is looked for from this share of the greatest value up, so that RB comes out near a preferred value."""

COMMON_SERIES = "E24"
"""Another series in which RA and RB are looked for: 1 % is sold in it too (common practice, no source)."""

TRIMMED = 2e-3
"""Error of the output beyond which a trimmer is worth a word (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Reference:
    """Reference voltage, least, usual and most [V]; current out of the reference pin and least load [A]."""

    least: float
    usual: float
    most: float
    pin_current: float
    least_load: float | None


def reference(regulator: PartType) -> Reference:
    """What a divider must know of an adjustable regulator; NoSolution when its sheet is silent."""
    rated, rows = ratings(regulator), regulator.rows("VREF")
    known = identified(regulator).values
    usual = known["set_voltage"]
    least = min((abs(row.least) for row in rows if row.least is not None), default=usual)
    most = max((abs(row.most) for row in rows if row.most is not None), default=usual)
    if least > most:
        least, most = most, least
    printed = rated.get("I_O_min")
    return Reference(least, usual, most, known.get("quiescent_current", 0.0), printed.value if printed else None)


def divider_current(given: Given) -> float:
    """What the divider draws from the output at least [A]; nothing beside a fixed regulator."""
    if not given.adjustable:
        return 0.0
    known = reference(given.types["regulator"])
    most = given.stage.RA or known.least / (known.least_load or USUAL_LEAST_LOAD)
    return known.least / (most * (1.0 + given.stage.divider_tolerance))


def sized_output_divider(
    given: Given, offset: float, ambient: float
) -> tuple[tuple[SizedValue, ...], tuple[Fact, ...], tuple[str, ...]]:
    """RA and RB, what the output comes to, and remarks; nothing beside a fixed regulator.

    `offset` is how far the output lies below what the regulator holds [V], `ambient` the highest temperature [K].
    """
    if not given.adjustable:
        return (), (), ()
    known, wanted = reference(given.types["regulator"]), given.output.voltage + offset
    upper, about = _upper(given, known, wanted, ambient)
    exact = lower_resistor.evaluated(
        output_voltage=wanted, reference_voltage=known.usual, upper_resistance=upper.chosen or 0.0,
        adjustment_current=known.pin_current,
    )  # fmt: skip
    if exact.value <= 0.0:
        raise NoSolution("an output of just the reference voltage needs no divider: RB is 0 Ω, write it as [[parts]]")
    series = _nearest_series(exact.value, given.stage.divider_series)
    wish = Wish(("RB",), "divider", exact.value, exact, "nearest", "so that the output comes close", series)
    lower, more = sized_value(wish, given.stage.RB, None, _power(given, wanted - known.least), ambient)
    made = adjusted_output_voltage.evaluated(
        reference_voltage=known.usual, upper_resistance=upper.chosen or 0.0, lower_resistance=lower.chosen or 0.0,
        adjustment_current=known.pin_current,
    )  # fmt: skip
    spread = output_tolerance.evaluated(
        reference_tolerance=(known.most - known.least) / (2.0 * known.usual),
        resistor_tolerance=_off(given), reference_voltage=known.usual, output_voltage=wanted,
    )  # fmt: skip
    facts = (Fact("what the regulator holds with these values, usual reference", made),
             Fact("how far reference and divider may put it off", spread))  # fmt: skip
    said = _trimming(exact.value, made.value, wanted) + _promised(given, spread.value)
    return (upper, lower), facts, (*about, *more, *said)


def _off(given: Given) -> float:
    """Tolerance of each resistor with its drift over the ambient temperatures; drift left out where it is not said."""
    stage = given.stage
    return stage.divider_tolerance + (stage.divider_tempco or 0.0) * farthest(given)


def farthest(given: Given) -> float:
    """How far the ambient goes from 25 °C [K]."""
    ambient = given.brief.surroundings.ambient
    return max(abs(ambient.least - REFERENCE_TEMPERATURE), abs(ambient.most - REFERENCE_TEMPERATURE))


def _upper(given: Given, known: Reference, wanted: float, ambient: float) -> tuple[SizedValue, tuple[str, ...]]:
    """RA: small enough for the least load; of the preferred values below, the one with the best partner."""
    stage, load = given.stage, known.least_load or USUAL_LEAST_LOAD
    most = most_upper_resistor.evaluated(reference_voltage=known.least, least_load_current=load)
    silent = f"the sheet of {given.types['regulator'].name} prints no least load; {shown(load, CURRENT)} are taken"
    top = Bound(most) if known.least_load is not None else Bound(None, silent, open=True)
    window = Window(Bound(None, "a smaller divider only wastes current", open=True), top, "the divider grows hot",
                    "the output rises when the load is light", stage.divider_tolerance)  # fmt: skip
    best, series = _best(stage.divider_series, most.value / (1.0 + stage.divider_tolerance), wanted, known)
    wish = Wish(("RA",), "divider", best, most, "nearest", "where RB comes nearest a preferred value", series,
                window)  # fmt: skip
    value, about = sized_value(wish, stage.RA, None, _power(given, known.most), ambient)
    return value, about if known.least_load is not None else (*about, silent)


def _best(series: str, most: float, wanted: float, known: Reference) -> tuple[float, str]:
    """The preferred RA whose preferred partner puts the output closest, with its series; the greater of equal ones.

    Two values of one series have no more ratios than the series has steps, so another one is looked through as well.
    """

    def error(upper: float) -> float:
        exact = lower_resistor(
            output_voltage=wanted, reference_voltage=known.usual, upper_resistance=upper,
            adjustment_current=known.pin_current,
        )  # fmt: skip
        if exact <= 0.0:
            return 0.0
        made = adjusted_output_voltage(
            reference_voltage=known.usual, upper_resistance=upper,
            lower_resistance=preferred(exact, _nearest_series(exact, series), "nearest"),
            adjustment_current=known.pin_current,
        )  # fmt: skip
        return abs(made / wanted - 1.0)

    candidates = [
        (value, name)
        for name in dict.fromkeys((series, COMMON_SERIES))
        for value in series_values(name, SMALLEST_SHARE * most, most)
    ]
    return min(candidates or [(preferred(most, series, "down"), series)],
               key=lambda pair: (round(error(pair[0]), 4), -pair[0]))  # fmt: skip


def _nearest_series(exact: float, series: str) -> str:
    """The series, or the other common one, that has the value nearest to an exact one."""
    return min((series, COMMON_SERIES), key=lambda name: abs(preferred(exact, name, "nearest") / exact - 1.0))


def _power(given: Given, drop: float) -> Callable[[float], Worked]:
    def power(resistance: float) -> Worked:
        least = resistance * (1.0 - given.stage.divider_tolerance)
        return resistor_power_from_drop.evaluated(drop=drop, resistance=least)

    return power


def _trimming(exact: float, made: float, wanted: float) -> tuple[str, ...]:
    if abs(made / wanted - 1.0) <= TRIMMED:
        return ()
    return (f"with preferred values the regulator holds {shown(made, VOLTAGE, 4)} instead of "
            f"{shown(wanted, VOLTAGE, 4)}; trimmed exactly, RB is {shown(exact, RESISTANCE, 4)}",)  # fmt: skip


def _promised(given: Given, spread: float) -> tuple[str, ...]:
    promised = given.output.tolerance
    if spread <= promised:
        return ()
    return (f"reference and divider may be {100.0 * spread:.2g} % off, {100.0 * promised:.2g} % are promised: "
            "closer resistors, a closer regulator, or a trimmer for RB",)  # fmt: skip
