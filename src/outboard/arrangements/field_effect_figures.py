"""The figures of a field-effect transistor that hand equations ask for, at the end that hurts, with their working."""

from dataclasses import dataclass

from outboard.arrangements.sizing import PutIn
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.formulas import NoSolution
from outboard.formulas.mosfet_bypass import gate_source_voltage
from outboard.identify import identified
from outboard.parts import PartType, ratings
from outboard.parts.records import Origin
from outboard.quantity import CURRENT, shown

USUAL_TEMPCO = -4e-3
"""Change of the threshold voltage where no model says another [V/K] (common practice, no source)."""

DEFAULT = Origin("default", "", "default: K, n and drift of the threshold as identified or by common practice")


@dataclass(frozen=True, slots=True)
class FieldEffectFigures:
    """Threshold usual; V_GS at full load at most, cold; threshold at least, hot [V]; how far devices differ.

    voltage_spread and the resistances [Ω] are what sharing needs: threshold limits, and the channel's own slope.
    """

    onset: PutIn
    most_voltage: PutIn
    off: PutIn
    voltage_spread: float
    least_resistance: float
    most_resistance: float

    @property
    def all(self) -> tuple[PutIn, ...]:
        """What was put in, in the order of use."""
        return self.onset, self.most_voltage, self.off


def field_effect_figures(part_type: PartType, name: str, current: float, cold: float, hot: float) -> FieldEffectFigures:
    """The figures of a type at a drain current [A] between two temperatures [K]; NoSolution if silent."""
    rated, known = ratings(part_type), identified(part_type)
    least, most = rated.get("V_GS_th_least"), rated.get("V_GS_th_most")
    if least is None or most is None:
        raise NoSolution(f"the sheet of {part_type.name} prints no limits of V_GS(th), so nothing can be sized")
    usual = known.values.get("threshold_voltage", (least.value + most.value) / 2.0)
    tempco = known.values.get("threshold_tempco", USUAL_TEMPCO)
    drift_cold = tempco * (min(cold, REFERENCE_TEMPERATURE) - REFERENCE_TEMPERATURE)
    full = gate_source_voltage.evaluated(
        threshold_voltage=most.value + max(0.0, drift_cold), slope_factor=known.values.get("slope", 1.3),
        drain_current=current, transconductance=known.values["transconductance"],
    )  # fmt: skip
    channel = (full.value - most.value - max(0.0, drift_cold)) / (2.0 * current)
    off = max(0.0, least.value + tempco * max(0.0, hot - REFERENCE_TEMPERATURE))
    at = f"{name} ({part_type.name})"
    return FieldEffectFigures(
        PutIn(f"V_GS(th) of {at}, usual, 25 °C", usual, "V", known.origins.get("threshold_voltage", DEFAULT)),
        PutIn(f"V_GS of {at} at full load, {shown(current, CURRENT)}, most, cold", full.value, "V", most.origin, full),
        PutIn(f"V_GS(th) of {at}, least, hot", off, "V", least.origin),
        most.value - least.value, channel, channel,
    )  # fmt: skip
