"""Arrangements of regulator and transistors: from a brief to explicit parts, their sizing, and back to a file."""

from outboard.arrangements.catalogued import respread
from outboard.arrangements.design import Design, DesignPart, RatedPower
from outboard.arrangements.expand import expanded_text
from outboard.arrangements.layout import ARRANGEMENTS, designed, sized
from outboard.arrangements.sizing import Bound, DeviceCount, Fact, PutIn, SizedValue, Sizing, Window

__all__ = [
    "ARRANGEMENTS",
    "Bound",
    "Design",
    "DesignPart",
    "DeviceCount",
    "Fact",
    "PutIn",
    "RatedPower",
    "SizedValue",
    "Sizing",
    "Window",
    "designed",
    "expanded_text",
    "respread",
    "sized",
]
