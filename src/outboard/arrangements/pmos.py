"""The P-MOSFET bypass: P-channel MOSFETs beside the regulator, turned on by the drop across R1.

    in ──┬── R1 ── x ── U1 ── out        Q1…: source in (through ballast R3…), gate g, drain out
         └── DG ── g ── RG ── x          DG: Zener diode, cathode on the rail of the sources, anode at the gate

The gate takes no current, so the regulator carries V_GS/R1 at full load and no more.
"""

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.ballast_sizing import sized_ballast
from outboard.arrangements.base_resistor_sizing import ABOVE, BELOW
from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.field_effect_figures import FieldEffectFigures, field_effect_figures
from outboard.arrangements.gate_sizing import sized_gate
from outboard.arrangements.lead import Lead
from outboard.arrangements.rails import GATE, IN, OUT, REGULATOR_INPUT
from outboard.arrangements.sizing import Bound, SizedValue, Sizing, Window, bound
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_heat import device_count, hottest_junction
from outboard.arrangements.stage_remarks import Drops, headroom, remarks
from outboard.arrangements.stage_types import Given
from outboard.formulas import Worked
from outboard.formulas.current_division import handover_current
from outboard.formulas.dissipation import resistor_power_from_drop
from outboard.formulas.mosfet_bypass import (
    gate_source_resistor,
    least_gate_source_resistor,
    most_gate_source_resistor,
)


def sized(given: Given, ends: Extremes, lead: Lead) -> Sizing:
    """The values of a P-MOSFET bypass; `given` has an input, an output and the types."""
    hottest = hottest_junction(given, ends, "pass", "Q1", ends.each)
    figures = field_effect_figures(given.types["pass"], "Q1", ends.each, ends.cold, hottest.value)
    ballast, about_ballast = sized_ballast(given, ends, figures)
    drop = lead.sense_drop + (0.0 if ballast is None or ballast.chosen is None else ballast.chosen * ends.each)
    full = figures.most_voltage.value
    base, about_base = _base_resistor(given, ends, figures, full + drop)
    gate, facts, about_gate = sized_gate(given, base, full, ends.hot)
    needed, count = headroom(given, ends, Drops(full + drop, None)), device_count(given, ends)
    return Sizing(
        values=(base, gate) if ballast is None else (base, gate, ballast),
        count=count,
        handover=ends.handover,
        handover_origin="sized" if given.stage.handover is None else "from the file",
        headroom=needed,
        figures=(hottest, *figures.all),
        remarks=(*about_base, *about_gate, *about_ballast, *remarks(given, ends, count, needed, 0.0)),
        facts=facts,
    )


def _base_resistor(
    given: Given, ends: Extremes, figures: FieldEffectFigures, most_voltage: float
) -> tuple[SizedValue, tuple[str, ...]]:
    """R1 as gate-source resistor, and remarks on it."""
    stage, onset = given.stage, figures.onset.value
    wanted = gate_source_resistor.evaluated(threshold_voltage=onset, handover_current=ends.handover)

    def power(resistance: float) -> Worked:
        least = resistance * (1.0 - stage.resistors)
        return resistor_power_from_drop.evaluated(drop=most_voltage, resistance=least)

    effect = None
    if stage.R1 is not None:
        effect = handover_current.evaluated(base_emitter_voltage=onset, base_resistance=stage.R1)
    least = bound(
        lambda: least_gate_source_resistor.evaluated(
            gate_source_voltage=most_voltage, regulator_current=ends.regulator_current
        ),
        "",
    )
    if ends.full_load <= ends.regulator_current:
        least = Bound(None, "the regulator carries the full load alone", open=True)
    most = Bound(None, "no quiescent current is printed", open=True)
    if ends.quiescent_current:
        most = bound(
            lambda: most_gate_source_resistor.evaluated(
                threshold_voltage=figures.off.value, quiescent_current=ends.quiescent_current
            ),
            "a hot device conducts without any V_GS",
        )
    window = Window(least, most, BELOW, ABOVE, stage.resistors)
    wish = Wish(("R1",), "base resistor", wanted.value, wanted, "up", "so that the regulator carries less than asked",
                stage.series, window)  # fmt: skip
    return sized_value(wish, stage.R1, effect, power, ends.hot)


def add_parts(stage: StageParts, sizing: Sizing, rail: str) -> None:
    """R1, RG, DG, Q1… and ballast."""
    stage.add_resistor("R1", sizing.value("R1"), (IN, REGULATOR_INPUT))
    stage.add_resistor("RG", sizing.value("RG"), (REGULATOR_INPUT, GATE))
    if "gate_zener" in stage.given.types:
        stage.add_device("DG", "gate protection", "gate_zener", {"anode": GATE, "cathode": rail})
    names = [f"Q{number}" for number in range(1, stage.given.stage.count + 1)]
    stage.add_pass_devices(
        names,
        base=GATE,
        collector=OUT,
        rail=rail,
        ballast=sizing.with_role("ballast"),
        pins=("drain", "gate", "source"),
    )


PMOS = Arrangement("pmos", {"pass": "p-channel"}, {}, sized, add_parts)
