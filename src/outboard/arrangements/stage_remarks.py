"""What a stage of any arrangement has to say: headroom, leakage that nothing draws away, too few devices."""

from collections.abc import Iterator
from dataclasses import dataclass

from outboard.arrangements.catalogued import COUNTS_AS_OFF
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.sizing import Bound, DeviceCount
from outboard.arrangements.stage_types import Given
from outboard.formulas import Worked
from outboard.formulas.headroom import headroom_of_regulator_path, least_input_voltage
from outboard.formulas.leakage import least_load_current
from outboard.parts import ratings
from outboard.quantity import CURRENT, RESISTANCE, VOLTAGE, shown


@dataclass(frozen=True, slots=True)
class Drops:
    """What stands in series with the regulator, and the headroom of the pass path where it has its own [V]."""

    regulator_path: float
    pass_path: float | None


def off_current(ends: Extremes, leakage: float) -> float:
    """Collector current [A] that may flow without load: what the output draws beyond the leakage itself."""
    return max(COUNTS_AS_OFF, ends.least_load - leakage)


def headroom(given: Given, ends: Extremes, drops: Drops) -> Worked | None:
    """Lowest input that the stage needs; None when the regulator's sheet prints no drop-out."""
    rated = ratings(given.types["regulator"])
    dropout = rated.get("dropout_guaranteed") or rated.get("dropout_typical")
    if dropout is None:
        return None
    path = headroom_of_regulator_path(dropout_voltage=dropout.value, series_drop=drops.regulator_path)
    return least_input_voltage.evaluated(
        output_voltage=ends.output, regulator_headroom=path, pass_headroom=drops.pass_path or 0.0
    )


def remarks(given: Given, ends: Extremes, count: DeviceCount, needed: Worked | None, leakage: float) -> Iterator[str]:
    """Remarks that every stage may call for; `leakage` is what all its devices leak to the output at most [A]."""
    policy = given.brief.requirements.policy
    under = f" under {policy.name}" if policy is not None else ""
    yield from _too_few(count.by_power, count.chosen, "heat", under)
    yield from _too_few(count.by_current, count.chosen, "current", under)
    if needed is not None and needed.value > ends.input_least:
        yield (
            f"the stage needs {shown(needed.value, VOLTAGE)} at full load, the lowest input leaves "
            f"{shown(ends.input_least, VOLTAGE)}: it drops out"
        )
    beyond = least_load_current(leakage_current=leakage, standing_current=ends.least_load)
    if beyond > 0:
        resistance = ends.output_least / beyond / (1.0 + given.stage.resistors)
        yield (
            f"hot devices may leak {shown(leakage, CURRENT)} to the output, sure to be drawn from it are "
            f"{shown(ends.least_load, CURRENT)}: a further {shown(resistance, RESISTANCE)} or less from out to ground "
            "keep it from rising"
        )
    rated = ratings(given.types["regulator"])
    if given.adjustable or given.stage.arrangement == "follower":
        return
    for symbol, sign in (("V_O_least", 1.0), ("V_O_most", -1.0)):
        limit = rated.get(symbol)
        promised = ends.output * (1.0 - sign * given.output.tolerance)
        if limit is not None and sign * (limit.value - promised) < -1e-9:
            yield (
                f"{given.types['regulator'].name} guarantees {shown(limit.value, VOLTAGE)}, "
                f"{shown(promised, VOLTAGE)} is promised"
            )


def _too_few(needed: Bound, chosen: int, what: str, under: str) -> Iterator[str]:
    if needed.worked is None:
        yield f"pass devices by {what}: {needed.missing}"
    elif needed.worked.value > chosen:
        yield f"{what} asks for {needed.worked.value:.0f} pass devices{under}, the stage has {chosen}"
