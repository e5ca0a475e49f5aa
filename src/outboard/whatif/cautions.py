"""Cautions that go with a design: mains, stored charge, hot metal, fire, batteries; each where it applies."""

from collections.abc import Iterator

from outboard.arrangements.design import Design
from outboard.constants import TOUCHABLE

MAINS = (
    "mains: whatever lies before the input is work for people licensed for it, by the code of the place; unplug, and "
    "make sure that it is off, before touching"
)
CHARGE = "stored charge: capacitors stay charged after switching off; let them discharge through a resistor and measure"
HOT = "hot metal: sinks and resistors burn skin for minutes after switching off"
FIRE = (
    "fire: a first start runs on a supply with a current limit, on a surface that does not burn, with somebody beside "
    "it; fuse and enclosure follow the local code"
)
BATTERY = "batteries: a battery feeds a short without limit; it gets a fuse of its own at its terminal"

STOVE = 2.0
"""A resistor rated for this much is there to get hot [W] (common practice, no source)."""

FEEDS_A_FIRE = 15.0
"""Power that a fault may bring to one place before fire is worth a word [W] (common practice, no source)."""


def cautions(design: Design) -> Iterator[str]:
    """What this design's builder is told, always in the same order."""
    yield MAINS
    yield CHARGE
    source, output = design.brief.input, design.brief.output
    if source is None or output is None:
        return
    power = (source.voltage.farthest - abs(output.voltage)) * output.load.most
    sinks = [part.part.values["resistance"] for part in design.parts if part.part.kind == "thermal_resistance"]
    stoves = (part for part in design.parts if part.rated_power is not None and part.rated_power.power >= STOVE)
    if design.brief.surroundings.ambient.most + power * min(sinks, default=50.0) > TOUCHABLE or any(stoves):
        yield HOT
    available = source.voltage.farthest ** 2 / (4.0 * source.resistance) if source.resistance > 0.0 else float("inf")
    if available > FEEDS_A_FIRE:
        yield FIRE
    if any(part.part.kind == "load" and "battery" in part.part.values for part in design.parts):
        yield BATTERY
