"""The options that any core may have, as parts: divider, limiter, diodes, protection, crowbar."""

from collections.abc import Iterator

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.catalogued import device
from outboard.arrangements.crowbar import CROWBAR, GATE_RESISTOR, TRIGGER_DIODE
from outboard.arrangements.design import DesignPart
from outboard.arrangements.mounting import heat_path
from outboard.arrangements.rails import FOLDED, FOOT, IN, OUT, REFERENCE, SENSED, SHARING, TRIGGER
from outboard.arrangements.resistors import divider_resistor, resistor
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_types import Given
from outboard.network.part import GROUND, Part

NAMES = {
    "U1 U2 …": "regulators", "RP1 RP2 …": "ballast of regulators in parallel", "Q1": "driver, or first pass device",
    "Q2 …": "pass devices", "R1": "base resistor", "R2": "bleed", "R3 R4 …": "ballast of the pass devices",
    "QS": "sense transistor of the limiter", "RS": "sense resistor", "RF1 RF2": "foldback divider",
    "RA RB": "divider of an adjustable regulator", "RG": "gate resistor", "DG": "Zener diode from gate to source",
    "QT": "thyristor of the crowbar", "DT": "Zener diode that fires the crowbar", "RT": "gate resistor of the crowbar",
    "D1": "reverse diode", "D2": "output diode", "D3": "sharing diode", "D4": "compensating diode",
    "C1": "input capacitor", "C2": "output capacitor",
}  # fmt: skip
"""What the parts of a stage are called."""


def add_reference(stage: StageParts, sizing: Sizing, feed: str) -> None:
    """RA and RB of an adjustable regulator; below them the diode that makes good a follower's V_BE."""
    foot = GROUND
    if "compensation" in stage.given.types:
        foot = FOOT
        stage.add_device("D4", "compensating diode", "compensation", {"anode": FOOT, "cathode": GROUND})
    stage.reference = foot
    if stage.given.adjustable:
        stage.reference = REFERENCE
        for name, pins in (("RA", (feed, REFERENCE)), ("RB", (REFERENCE, foot))):
            stage.parts.append(divider_resistor(name, pins, sizing.value(name), stage.given.stage))


def add_sharing_diode(stage: StageParts) -> None:
    """D3 in the regulator's lead; R1 then begins behind it."""
    if "sharing_diode" in stage.given.types:
        stage.lead = SHARING
        stage.add_device("D3", "sharing diode", "sharing_diode", {"anode": IN, "cathode": SHARING})


def add_limiter(stage: StageParts, sizing: Sizing, arrangement: Arrangement) -> str:
    """QS, RS and the foldback divider; gives the net on which the pass path stands."""
    if "limiter" not in stage.given.types:
        return arrangement.rail
    stage.add_resistor("RS", sizing.value("RS"), (arrangement.rail, SENSED))
    base = SENSED
    if stage.given.stage.foldback is not None:
        base = FOLDED
        stage.add_resistor("RF1", sizing.value("RF1"), (SENSED, FOLDED))
        stage.add_resistor("RF2", sizing.value("RF2"), (FOLDED, arrangement.other_rail))
    pins = {"collector": arrangement.drive, "base": base, "emitter": arrangement.rail}
    stage.add_device("QS", "sense transistor", "limiter", pins)
    return SENSED


def add_protection(stage: StageParts, source: str) -> None:
    """D1 from output back to input, D2 across the output, C1 at the regulator's input, C2 across the output."""
    given = stage.given
    if "reverse_diode" in given.types:
        stage.add_device("D1", "reverse diode", "reverse_diode", {"anode": OUT, "cathode": IN})
    if "output_diode" in given.types:
        stage.add_device("D2", "output diode", "output_diode", {"anode": GROUND, "cathode": OUT})
    for name, role, net, capacitance in (
        ("C1", "input capacitor", source, given.stage.C1), ("C2", "output capacitor", OUT, given.stage.C2),
    ):  # fmt: skip
        if capacitance is not None:
            part = Part(name, "capacitor", {"a": net, "b": GROUND}, {"capacitance": capacitance})
            stage.parts.append(DesignPart(part, role))


def crowbar_parts(known: Given, sizing: Sizing, negative: bool) -> Iterator[DesignPart]:
    """QT across the output, DT and RT in a row beside it; a negative output has all three the other way up.

    The gate belongs to the cathode, so that this is no mirror image: it is the same circuit with its ends exchanged.
    """
    if known.stage.crowbar is None:
        return
    upper, lower = (GROUND, OUT) if negative else (OUT, GROUND)
    value = sizing.value("RT")
    trigger = known.types["trigger"]
    heat = heat_path(known.brief.heat, "trigger", "DT", trigger).heat
    yield device("DT", TRIGGER_DIODE, trigger, {"anode": TRIGGER, "cathode": upper}, heat)
    yield resistor("RT", GATE_RESISTOR, (TRIGGER, lower), value.chosen or 0.0, known.stage.resistors, value.rated_power)
    yield device("QT", CROWBAR, known.types["thyristor"], {"anode": upper, "cathode": lower, "gate": TRIGGER})
