"""Sharing in a fixed ratio: a diode in the regulator's lead cancels V_BE, R1 and the ballast set the ratio."""

from outboard.arrangements.base_resistor_sizing import BELOW, Driven
from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.diode_figures import diode_voltages
from outboard.arrangements.extremes import Extremes, share
from outboard.arrangements.lead import Lead
from outboard.arrangements.sizing import Bound, Fact, SizedValue, Window, bound
from outboard.arrangements.stage_types import Given
from outboard.arrangements.transistor_figures import point
from outboard.formulas import NoSolution, Worked
from outboard.formulas.base_resistor import base_resistor_for_bypass_current
from outboard.formulas.dissipation import resistor_power
from outboard.formulas.sharing import lead_resistor_for_share, shared_current_compensated, sharing_error
from outboard.identify import identified

UNBOUNDED = "a larger R1 gives the transistor a larger share, and needs more input voltage"


def sized_share(
    given: Given, ends: Extremes, driven: Driven, ballast: SizedValue | None, lead: Lead
) -> tuple[SizedValue, tuple[Fact, ...], tuple[str, ...]]:
    """R1 in series with the sharing diode, what follows from it, and remarks."""
    stage = given.stage
    emitter = lead.sense_resistance + (0.0 if ballast is None else (ballast.chosen or 0.0) / stage.count)
    if emitter == 0.0:
        raise NoSolution("a sharing diode needs a resistor in the emitter: without ballast there is no ratio to hold")
    wanted = lead_resistor_for_share.evaluated(share=share(given, ends.regulator_current), emitter_resistance=emitter)

    def power(resistance: float) -> Worked:
        return resistor_power.evaluated(
            current=min(ends.regulator_current, ends.full_load), resistance=resistance * (1.0 + stage.resistors)
        )

    least_diode, usual_diode, _ = diode_voltages(given.types["sharing_diode"], max(ends.handover, 1e-3))
    window = Window(_least(ends, driven, least_diode), Bound(None, UNBOUNDED, open=True), BELOW, UNBOUNDED,
                    stage.resistors)  # fmt: skip
    reason = "so that the regulator carries less than asked"
    wish = Wish(("R1",), "base resistor", wanted.value, wanted, "up", reason, stage.series, window)
    value, about = sized_value(wish, stage.R1, None, power, ends.hot)
    carried = shared_current_compensated.evaluated(
        regulator_current=ends.handover, lead_resistance=value.chosen or 0.0, emitter_resistance=emitter
    )
    usual_voltage, _, _ = point(identified(given.types["pass"]).values, ends.each, ends.least_across)
    error = sharing_error.evaluated(
        diode_voltage=usual_diode, base_emitter_voltage=usual_voltage, emitter_resistance=emitter
    )
    return value, (Fact("pass current that goes with the regulator's share", carried),
                   Fact("what diode and V_BE leave uncancelled at full load", error)), about  # fmt: skip


def _least(ends: Extremes, driven: Driven, diode: float) -> Bound:
    """Least R1 that keeps the regulator within its limit: it drops V_BE and the emitter's drop less the diode's."""
    if ends.full_load <= ends.regulator_current:
        return Bound(None, "the regulator carries the full load alone", open=True)
    return bound(
        lambda: base_resistor_for_bypass_current.evaluated(
            base_emitter_voltage=driven.most_voltage - diode, regulator_current=ends.regulator_current,
            bypass_current=driven.carried, current_gain=driven.gain,
        ),
        "the diode drops more than the transistor needs",
    )  # fmt: skip
