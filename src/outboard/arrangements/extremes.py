"""The ends of what was promised, as sizing needs them: input at the stage, load, temperatures, standing current."""

from dataclasses import dataclass

from outboard.arrangements.catalogued import COUNTS_AS_OFF
from outboard.arrangements.parallel import together
from outboard.arrangements.rails import OUT
from outboard.arrangements.resistors import USUAL_TOLERANCE
from outboard.arrangements.stage_types import Given
from outboard.formulas import NoSolution
from outboard.network.part import GROUND
from outboard.parts import ratings

HANDOVER_SHARE = 0.3
"""Share of the regulator's guaranteed current at which the bypass starts (common practice, no source)."""

USED_WITH_SHARING = 0.5
"""Share of the regulator's guaranteed current that it carries at full load beside a sharing bypass (common practice, no
source)."""

LEAST_SHARE = 0.5
"""Least ratio of pass current to regulator current that is sized for a sharing diode (common practice, no source)."""

LEAST_VOLTAGE = 2.0
"""Least V_CE at which hand figures are taken [V]: from there on sheets state gain and V_BE."""


@dataclass(frozen=True, slots=True)
class Extremes:
    """SI, temperatures in kelvin.

    input_most, input_least   at the stage, behind the feed's resistance at full load [V]
    output, output_least      promised voltage, usual and least [V]
    full_load, least_load     promised currents [A]; least_load includes what resistors of the file draw
    cold, hot                 ambient
    regulator_current         guaranteed current of the regulator, of several together [A]
    quiescent_current         greatest quiescent current, of several together [A]
    handover                  regulator current at which bypass or driver starts; with a sharing diode its share [A]
    beyond                    current that goes past the regulator at full load [A]
    each                      share of one pass device in it [A]
    """

    input_most: float
    input_least: float
    output: float
    output_least: float
    full_load: float
    least_load: float
    cold: float
    hot: float
    regulator_current: float
    quiescent_current: float
    handover: float
    beyond: float
    each: float

    @property
    def across(self) -> float:
        """Greatest voltage across the stage at full load [V]."""
        return max(LEAST_VOLTAGE, self.input_most - self.output_least)

    @property
    def least_across(self) -> float:
        """Least voltage across a pass device at full load, where sheets still state its gain [V]."""
        return max(LEAST_VOLTAGE, self.input_least - self.output)


def extremes(given: Given, standing: float = 0.0) -> Extremes:
    """The ends of a brief; `standing` is what the stage's own parts draw from the output at least [A]."""
    brief, stage = given.brief, given.stage
    load, feed = given.output.load, given.input
    rated = ratings(given.types["regulator"]).get("I_O")
    if rated is None:
        raise NoSolution(f"the sheet of {given.types['regulator'].name} guarantees no current, so nothing can be sized")
    guaranteed = together(given)
    handover = _handover(given, guaranteed)
    beyond = max(0.0, load.most - handover)
    quiescent = [row.most for name in ("IQ", "IADJ") for row in given.types["regulator"].rows(name) if row.most]
    return Extremes(
        input_most=feed.voltage.most - feed.resistance * load.most,
        input_least=feed.voltage.least - feed.resistance * load.most,
        output=given.output.voltage,
        output_least=given.output.voltage * (1.0 - given.output.tolerance),
        full_load=load.most,
        least_load=load.least + standing_current(given) + standing,
        cold=brief.surroundings.ambient.least,
        hot=brief.surroundings.ambient.most,
        regulator_current=guaranteed,
        quiescent_current=max(quiescent, default=0.0) * stage.regulators,
        handover=handover,
        beyond=beyond,
        each=max(beyond, COUNTS_AS_OFF) / stage.count,
    )


def _handover(given: Given, guaranteed: float) -> float:
    """Regulator current beyond which the pass devices carry [A]: none in a follower, a fixed share with a diode."""
    stage = given.stage
    if stage.arrangement == "follower":
        return 0.0
    if stage.sharing_diode is not None:
        return given.output.load.most / (1.0 + share(given, guaranteed))
    return stage.handover if stage.handover is not None else HANDOVER_SHARE * guaranteed


def share(given: Given, guaranteed: float) -> float:
    """Pass current over regulator current with a sharing diode, from the file or such that the regulator is at half."""
    if given.stage.share is not None:
        return given.stage.share
    wanted = USED_WITH_SHARING * guaranteed
    return max(LEAST_SHARE, given.output.load.most / wanted - 1.0)


def standing_current(given: Given) -> float:
    """What the file's own resistors draw from the output at least [A]."""
    voltage = given.output.voltage * (1.0 - given.output.tolerance)
    found = 0.0
    for entry in given.brief.parts:
        if entry.kind == "resistor" and set(entry.pins.values()) == {OUT, GROUND} and "resistance" in entry.values:
            most = entry.values["resistance"] * (1.0 + entry.values.get("tolerance", USUAL_TOLERANCE))
            found += voltage / most if most > 0 else 0.0
    return found
