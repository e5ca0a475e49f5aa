"""The mirror image: a negative supply is the positive one with every voltage and every current turned round.

NPN and PNP, N- and P-channel, positive and negative regulators change places; diodes and loads are turned; sources
change their sign.  Resistors, capacitors and heat paths are their own mirror images.  No other place knows.
"""

from dataclasses import replace

from outboard.arrangements.design import DesignPart
from outboard.network.part import Part
from outboard.parts import PartType
from outboard.span import Span

_PAIRS = (("npn", "pnp"), ("n-channel", "p-channel"), ("positive", "negative"))
OPPOSITE = {one: other for pair in _PAIRS for one, other in (pair, pair[::-1])}
"""The other polarity of each."""

TURNED = {"diode": {"anode": "cathode", "cathode": "anode"}, "load": {"plus": "minus", "minus": "plus"}}
"""Kinds without polarity whose pins change places."""


def mirrored_polarity(polarity: str | None, kind: str = "") -> str | None:
    """The opposite polarity; a regulator that says none is positive."""
    return OPPOSITE.get(polarity or ("positive" if kind == "regulator" else ""), polarity)


def mirrored_type(part_type: PartType) -> PartType:
    """The type as it would be called in the mirror image; all its figures are magnitudes and stay."""
    return replace(part_type, polarity=mirrored_polarity(part_type.polarity, part_type.kind))


def mirrored_span(span: Span) -> Span:
    """Least, usual and most on the other side of zero."""
    return Span(-span.most, -span.usual, -span.least)


def mirrored_part(part: Part) -> Part:
    """A component in the mirror image; twice mirrored it is itself."""
    turned = TURNED.get(part.kind, {})
    pins = {turned.get(pin, pin): net for pin, net in part.pins.items()}
    values = part.values
    if part.kind == "source":
        values = {**values, "voltage": -values["voltage"]}
    order = {pin: pins[pin] for pin in part.pins}
    return replace(part, pins=order, values=values, polarity=mirrored_polarity(part.polarity, part.kind))


def mirrored(part: DesignPart) -> DesignPart:
    """A part of a design in the mirror image."""
    part_type = None if part.type is None else mirrored_type(part.type)
    return replace(part, part=mirrored_part(part.part), type=part_type)
