"""A design written out as a file of explicit parts: nothing is left to an arrangement, and the solution is the same."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict

from outboard.arrangements.catalogued import stated_values
from outboard.arrangements.design import Design, DesignPart
from outboard.arrangements.rails import rails
from outboard.brief import Brief
from outboard.brief.design import Dynamics, Feed, Tolerances
from outboard.brief.entries import DYNAMICS
from outboard.brief.feed_entries import FEED
from outboard.network.fields import fields
from outboard.quantity import (
    CURRENT,
    DIMENSIONS,
    NUMBER,
    POWER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    THERMAL_RESISTANCE,
    VOLTAGE,
    Dimension,
    parse,
    shown,
)
from outboard.quantity.showing import MINUS
from outboard.span import Span

DIGITS = (2, 3, 4, 6, 9, 12)
"""How many digits are tried until the text reads as the very number."""


def expanded_text(design: Design) -> str:
    """The design as TOML: what was promised, and every part explicitly; types, roles, heat and ratings are kept."""
    promised = [f"[{section}]\n{keys}" for section, keys in (*_sections(design.brief), *_safe_areas(design))]
    own = {part.name for part in rails(design.brief)}
    written = {entry.name for entry in design.brief.parts}
    parts = [_table(part) for part in design.parts if part.name not in own or part.name in written]
    heading = f"title = {_text(design.brief.title)}\n"
    return "\n".join([heading, *promised, *parts])


def _sections(brief: Brief) -> Iterator[tuple[str, str]]:
    if brief.input is not None:
        resistance = _exact(brief.input.resistance, RESISTANCE)
        yield "input", _lines({"voltage": _span(brief.input.voltage, VOLTAGE), "resistance": resistance})
    if brief.output is not None:
        yield "output", _lines({
            "voltage": _exact(brief.output.voltage, VOLTAGE), "tolerance": _exact(brief.output.tolerance, RATIO),
            "load": _span(brief.output.load, CURRENT),
        } | ({} if brief.output.withstands is None else {"withstands": _exact(brief.output.withstands, VOLTAGE)})
        )  # fmt: skip
    if brief.feed is not None:
        yield "feed", _lines(dict(_feed(brief.feed)))
    yield "surroundings", _lines({"ambient": _span(brief.surroundings.ambient, TEMPERATURE)})
    required = brief.requirements
    keys = {"trust": _text(required.trust), "derating": _text(required.derating)}
    if required.resistor_style is not None:
        keys["resistor_style"] = _text(required.resistor_style)
    if required.short_circuit is not None:
        keys = {"short_circuit": _text(required.short_circuit)} | keys
    yield "requirements", _lines(keys)
    if brief.tolerances != Tolerances():
        chosen = asdict(brief.tolerances)
        ratios = {"batch": _exact(chosen.pop("batch"), RATIO), "limits_at": repr(chosen.pop("limits_at"))}
        yield "tolerances", _lines({key: _text(word) for key, word in chosen.items()} | ratios)
    if brief.dynamics != Dynamics():
        yield "dynamics", _lines(dict(_dynamics(brief.dynamics)))
    if (own := required.own_derating) is not None:
        yield "derating", _lines({
            "voltage": _exact(own.voltage, RATIO), "current": _exact(own.current, RATIO),
            "power": _exact(own.power, RATIO), "junction_below": _exact(own.junction_below, TEMPERATURE_DIFFERENCE),
            "resistors": _exact(own.resistors, RATIO),
        } | {symbol: _exact(share, RATIO) for symbol, share in own.by.items()})  # fmt: skip


def _safe_areas(design: Design) -> Iterator[tuple[str, str]]:
    """Lines of safe areas, under the names that types have in the parts."""
    types = {part.type.name: part.type for part in design.parts if part.type is not None}
    for written, line in design.brief.heat.areas.items():
        for name, part_type in types.items():
            if written.casefold() in {one.casefold() for one in (name, *part_type.aliases, *part_type.members)}:
                points = (f"[{_exact(volts, VOLTAGE)}, {_exact(amperes, CURRENT)}]" for volts, amperes in line.points)
                yield f"heat.safe_area.{_text(name)}", _lines({
                    "points": f"[{', '.join(points)}]", "case": _exact(line.case, TEMPERATURE),
                    "hot": _text("power line" if line.derated else "as drawn"), "sheet": _text(line.sheet),
                })  # fmt: skip


def _feed(feed: Feed) -> Iterator[tuple[str, str]]:
    """The keys of the feed that the file gives."""
    for key, entry in FEED.items():
        value = getattr(feed, key)
        if value is None or key not in feed.places:
            continue
        if entry.dimension is None:
            yield key, _text(value)
        else:
            yield key, (_span if entry.span else _exact)(value, entry.dimension)


def _dynamics(chosen: Dynamics) -> Iterator[tuple[str, str]]:
    """What the file says about what moves; a value that is the default needs no line."""
    for key, entry in DYNAMICS.items():
        value = getattr(chosen, key)
        if value is None or value == getattr(Dynamics(), key) or entry.dimension is None:
            continue
        if entry.dimension is NUMBER:
            yield key, repr(value)
        else:
            yield key, _span(value, entry.dimension) if entry.span else _exact(value, entry.dimension)


def _table(design_part: DesignPart) -> str:
    """One part as a table of [[parts]]."""
    part = design_part.part
    keys = {"name": _text(part.name), "kind": _text(part.kind)}
    if design_part.role != part.kind:
        keys["role"] = _text(design_part.role)
    if part.polarity is not None:
        keys["polarity"] = _text(part.polarity)
    if part.model is not None and design_part.type is None:
        keys["model"] = _text(part.model)
    keys["pins"] = _inline({pin: _text(net) for pin, net in part.pins.items()})
    values: Mapping[str, float] = part.values
    if design_part.type is not None:
        keys["type"] = _text(design_part.type.name)
        values = stated_values(design_part)
    dimensions = {name: DIMENSIONS[field.dimension] for name, field in fields(part.kind, part.model).items()}
    keys |= {name: _exact(value, dimensions[name]) for name, value in values.items()}
    return "[[parts]]\n" + _lines(keys | _bought_as(design_part) | _heat(design_part))


def _bought_as(part: DesignPart) -> dict[str, str]:
    """Tolerance and rated power of a resistor, as far as the file or the sizing says them."""
    keys: dict[str, str] = {}
    if part.tolerance is not None and part.tolerance_origin is not None and part.tolerance_origin.kind != "default":
        keys["tolerance"] = _exact(part.tolerance, RATIO)
    if part.drift is not None:
        keys["drift"] = _exact(part.drift, DIMENSIONS["per_kelvin"])
    if (rated := part.rated_power) is not None:
        keys["rated_power"] = _exact(rated.power, POWER)
        if rated.origin.kind != "default":
            keys["full_power_temperature"] = _exact(rated.full_power_temperature, TEMPERATURE)
        if rated.zero_power_temperature is not None:
            keys["zero_power_temperature"] = _exact(rated.zero_power_temperature, TEMPERATURE)
    return keys


def _heat(part: DesignPart) -> dict[str, str]:
    heat = part.part.heat
    if heat is None:
        return {}
    keys = {"to": _text(heat.to), "resistance": _exact(heat.resistance, THERMAL_RESISTANCE)}
    if part.pad is not None:
        keys["pad"] = _exact(part.pad, THERMAL_RESISTANCE)
    return {"heat": _inline(keys)}


def _lines(keys: Mapping[str, str]) -> str:
    return "".join(f"{key} = {value}\n" for key, value in keys.items())


def _inline(keys: Mapping[str, str]) -> str:
    return "{ " + ", ".join(f"{key} = {value}" for key, value in keys.items()) + " }"


def _text(text: str) -> str:
    """Text in quotation marks; the escapes of JSON are those of TOML."""
    return json.dumps(text, ensure_ascii=False)


def _span(span: Span, dimension: Dimension) -> str:
    if span.least == span.most:
        return _exact(span.usual, dimension)
    return "[" + ", ".join(_exact(end, dimension) for end in span) + "]"


def _exact(value: float, dimension: Dimension) -> str:
    """A quantity as people write it, when that reads as this very number; else all its digits."""
    for digits in DIGITS:
        text = shown(value, dimension, digits, zeros=False).replace(MINUS, "-")
        if parse(text, dimension) == value:
            return text if dimension.name == "number" else _text(text)
    return repr(value) if dimension.bare else _text(f"{value!r} {dimension.unit}")
