"""Regulators in parallel: their ballast, and what they carry together before the first one is overloaded."""

from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.sizing import Fact, SizedValue
from outboard.arrangements.stage_types import Given
from outboard.formulas import NoSolution, Worked
from outboard.formulas.dissipation import resistor_power
from outboard.formulas.parallel_regulators import ballast_sag, parallel_current, regulator_ballast
from outboard.parts import ratings

UNEVENNESS = 0.3
"""Difference of current that the ballast of parallel regulators allows, as a share of what one is guaranteed for
(common practice, no source)."""


def ballast_names(count: int) -> tuple[str, ...]:
    """RP1, RP2 … for as many regulators."""
    return tuple(f"RP{number}" for number in range(1, count + 1))


def guaranteed_current(given: Given) -> float:
    """What one regulator is guaranteed for [A]; NoSolution when its sheet is silent."""
    rated = ratings(given.types["regulator"]).get("I_O")
    if rated is None:
        raise NoSolution(f"the sheet of {given.types['regulator'].name} guarantees no current, so nothing can be sized")
    return rated.value


def set_voltage_difference(given: Given) -> float:
    """How far two regulators of the type may differ at the output [V]."""
    rated = ratings(given.types["regulator"])
    symbol = "V_REF" if given.adjustable else "V_O"
    least, most = rated.get(f"{symbol}_least"), rated.get(f"{symbol}_most")
    if least is None or most is None:
        raise NoSolution(f"the sheet of {given.types['regulator'].name} prints no limits of {symbol}")
    difference = abs(most.value - least.value)
    middle = abs(most.value + least.value) / 2.0
    return difference * (given.output.voltage / middle if given.adjustable else 1.0)


def _wanted(given: Given) -> Worked:
    return regulator_ballast.evaluated(
        voltage_difference=set_voltage_difference(given), current_difference=UNEVENNESS * guaranteed_current(given)
    )


def _together(given: Given) -> Worked | None:
    """What all carry together; None for a single regulator, or without ballast."""
    if given.stage.regulators == 1 or given.stage.regulator_ballast == 0.0:
        return None
    resistance = given.stage.regulator_ballast or _wanted(given).value
    return parallel_current.evaluated(
        count=float(given.stage.regulators), regulator_current=guaranteed_current(given),
        voltage_difference=set_voltage_difference(given), ballast_resistance=resistance,
    )  # fmt: skip


def together(given: Given) -> float:
    """What the regulators are sure to carry together [A]."""
    worked = _together(given)
    return guaranteed_current(given) if worked is None else worked.value


def sized_regulator_ballast(
    given: Given, ambient: float
) -> tuple[tuple[SizedValue, ...], tuple[Fact, ...], tuple[str, ...]]:
    """The ballast of several regulators, what it costs, and why it is a poor way; nothing for one regulator."""
    stage, all_of_them = given.stage, _together(given)
    if stage.regulators == 1:
        return (), (), ()
    if all_of_them is None:
        return (), (), ("parallel regulators without ballast: the one with the highest set voltage carries the load "
                        "alone until it limits or shuts down",)  # fmt: skip
    wanted = _wanted(given)

    def power(resistance: float) -> Worked:
        most = resistance * (1.0 + stage.resistors)
        return resistor_power.evaluated(current=guaranteed_current(given), resistance=most)

    wish = Wish(ballast_names(stage.regulators), "regulator ballast", wanted.value, wanted, "up",
                "so that the regulators share better", stage.series, key="regulator_ballast")  # fmt: skip
    value, remarks = sized_value(wish, stage.regulator_ballast, None, power, ambient)
    sag = ballast_sag.evaluated(
        load_current=min(given.output.load.most, all_of_them.value), ballast_resistance=value.chosen or 0.0,
        count=float(stage.regulators),
    )  # fmt: skip
    why_not = (
        "parallel regulators share by ballast alone: it must drop their whole difference of set voltage, and the "
        "output sags by as much; transistors beside one regulator do without"
    )
    facts = (Fact("what the regulators carry together for certain", all_of_them), Fact("sag of the output", sag))
    return (value,), facts, (why_not, *remarks)
