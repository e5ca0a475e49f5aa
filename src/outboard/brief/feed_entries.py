"""The keys of [feed] as data: mains, transformer, rectifier, reservoir, fuse."""

from collections.abc import Mapping

from outboard.brief.entry import Entry
from outboard.quantity import (
    APPARENT_POWER,
    CAPACITANCE,
    CURRENT,
    FREQUENCY,
    MELTING_INTEGRAL,
    RATIO,
    RESISTANCE,
    VOLTAGE,
)

RECTIFIERS = ("bridge", "centre tap")
"""Four diodes and one winding, or two diodes and two halves of a winding."""

FEED: Mapping[str, Entry] = {
    "mains": Entry(
        "voltage of the mains, effective: one value, or least, usual and most", VOLTAGE, required=True, span=True,
        above=0.0, example='["207 V", "230 V", "253 V"]',
    ),
    "frequency": Entry("frequency of the mains", FREQUENCY, required=True, least=1.0, most=1e5, example='"50 Hz"'),
    "primary": Entry(
        "rated voltage of the transformer's primary; left out: the usual mains", VOLTAGE, above=0.0, example='"230 V"'
    ),
    "secondary": Entry(
        "rated voltage of the secondary, effective, at its rated current; with a centre tap of each half", VOLTAGE,
        required=True, above=0.0, example='"15 V"',
    ),
    "power": Entry(
        "rated power of the transformer, all of its secondary; or secondary_current", APPARENT_POWER, above=0.0,
        example='"160 VA"',
    ),
    "secondary_current": Entry(
        "rated current of the secondary, effective, with a centre tap of each half; or power", CURRENT, above=0.0,
        example='"8 A"',
    ),
    "regulation": Entry(
        "how far the secondary rises without load, above its rated voltage; or both windings' resistances", RATIO,
        above=0.0, most=1.0, example='"8 %"',
    ),
    "primary_winding": Entry("resistance of the primary, warm", RESISTANCE, above=0.0, example='"6 Ω"'),
    "secondary_winding": Entry(
        "resistance of the secondary, warm; with a centre tap of each half", RESISTANCE, above=0.0, example='"80 mΩ"'
    ),
    "rectifier": Entry(
        "bridge: four diodes; centre tap: two diodes at the ends of a winding whose middle is ground", required=True,
        choices=RECTIFIERS, example='"bridge"',
    ),
    "diode": Entry("type of the diodes; or forward_voltage", example='"1N5404"'),
    "forward_voltage": Entry(
        "forward voltage of one diode, before its forward_resistance; or diode", VOLTAGE, least=0.0, example='"0.8 V"'
    ),
    "forward_resistance": Entry(
        "resistance of one diode, beside its forward_voltage", RESISTANCE, least=0.0, example='"20 mΩ"'
    ),
    "leads": Entry(
        "resistance of the leads from the transformer by the rectifier to the reservoir", RESISTANCE, default=0.0,
        least=0.0, example='"10 mΩ"',
    ),
    "reservoir": Entry("capacitance of the reservoir", CAPACITANCE, required=True, above=0.0, example='"22000 µF"'),
    "reservoir_tolerance": Entry(
        "how far the capacitance may be off, either way", RATIO, default=0.2, least=0.0, below=1.0, example='"20 %"'
    ),
    "reservoir_ESR": Entry(
        "series resistance of the reservoir; left out: none", RESISTANCE, least=0.0, example='"20 mΩ"'
    ),
    "reservoir_voltage": Entry("rated voltage of the reservoir", VOLTAGE, above=0.0, example='"35 V"'),
    "reservoir_ripple": Entry(
        "ripple current that the reservoir may carry, effective, at twice the frequency of the mains", CURRENT,
        above=0.0, example='"8 A"',
    ),
    "bleeder": Entry("resistor across the reservoir, which empties it", RESISTANCE, above=0.0, example='"2.2 kΩ"'),
    "fuse": Entry("rated current of the fuse in the primary", CURRENT, above=0.0, example='"1.25 A"'),
    "fuse_melting": Entry("melting integral of that fuse, from its sheet", MELTING_INTEGRAL, above=0.0,
                          example='"20 A²s"'),
}  # fmt: skip

ONE_OF: tuple[tuple[str, str], ...] = (
    ("power", "secondary_current"), ("regulation", "secondary_winding"), ("diode", "forward_voltage"),
)  # fmt: skip
"""Pairs of which a feed has one, and not both."""

ASKS: Mapping[str, tuple[str, str]] = {
    "primary_winding": ("secondary_winding", "both windings have resistance, and both count"),
    "secondary_winding": ("primary_winding", "both windings have resistance, and both count"),
    "forward_resistance": ("forward_voltage", "a diode of the catalogue has its own resistance"),
    "fuse_melting": ("fuse", "there is no fuse that could melt"),
}  # fmt: skip
"""Keys that ask for another, and why."""
