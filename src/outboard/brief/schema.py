"""The design file as a JSON Schema, for editors that check and complete while a person types."""

from collections.abc import Mapping
from typing import Any

from outboard.brief.entries import (
    LEADS,
    LINE_CURRENT,
    LINE_POINTS,
    LINE_VOLTAGE,
    MOUNT,
    PART_HEAT,
    PART_ROLE,
    ROLES,
    SAFE_AREA,
    SECTIONS,
    SINK,
    TITLE,
    WIRE,
    field_entry,
)
from outboard.brief.entry import Entry
from outboard.brief.explicit import HEATED, TYPED
from outboard.brief.feed_entries import ASKS, ONE_OF
from outboard.brief.stage_rules import APART, ARRANGEMENTS, ASKS_FOR, MISSING, REFUSED
from outboard.network.fields import KINDS, LOAD_FORMS, MODELS, PINS, POLARITIES, POLARITY_SAID, fields
from outboard.quantity import pattern

Schema = dict[str, Any]

TEXT: Schema = {"type": "string", "minLength": 1, "pattern": "\\S"}


def json_schema() -> Schema:
    """JSON Schema (2020-12) of the design file; what spans several keys only reading can check."""
    properties: Schema = {"title": _entry_schema(TITLE)}
    properties |= {section: _table(entries) for section, entries in SECTIONS.items()}
    properties["feed"] |= _feed_rules()
    properties["stage"] |= _stage_rules()
    properties["heat"] = _heat()
    properties["wiring"] = _wiring()
    variants = [(kind, None) for kind in KINDS] + list(MODELS)
    properties["parts"] = {
        "description": "explicit parts; one with the name of a part of the stage replaces it",
        "type": "array",
        "minItems": 1,
        "items": {"oneOf": [_part(kind, model) for kind, model in variants]},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Outboard design file",
        "description": "A supply built around a three-terminal regulator: what is promised, and what is to be built.",
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "anyOf": [{"required": ["parts"]}, {"required": ["input", "output", "stage"]}],
        "dependentRequired": {"stage": ["input", "output"]},
    }


def _stage_rules() -> Schema:
    """What an arrangement must and cannot have, and which keys ask for another."""
    rules: list[Schema] = []
    for arrangement in ARRANGEMENTS:
        then: Schema = {"properties": dict.fromkeys(REFUSED[arrangement], False)}
        if arrangement in MISSING:
            then["required"] = list(MISSING[arrangement])
        rules.append({"if": _is("arrangement", arrangement), "then": then})
    alone = {"if": _is("arrangement", "darlington"), "then": {"dependentRequired": {"bleed": ["driver"]}}}
    apart = [{"not": {"required": [key, other]}} for key, (other, _) in APART.items()]
    return {"allOf": [*rules, alone, *apart],
            "dependentRequired": {key: [wanted] for key, (wanted, _) in ASKS_FOR.items()}}  # fmt: skip


def _feed_rules() -> Schema:
    """Of which pairs a feed has one, and which keys ask for another."""
    pairs = [{"oneOf": [{"required": [one]}, {"required": [other]}]} for one, other in ONE_OF]
    return {"allOf": pairs, "dependentRequired": {key: [wanted] for key, (wanted, _) in ASKS.items()}}


def _table(entries: Mapping[str, Entry]) -> Schema:
    return {
        "type": "object",
        "properties": {key: _entry_schema(entry) for key, entry in entries.items()},
        "required": [key for key, entry in entries.items() if entry.required],
        "additionalProperties": False,
    }


def _entry_schema(entry: Entry) -> Schema:
    described: Schema = {"description": entry.meaning}
    if entry.dimension is None:
        return described | ({"enum": list(entry.choices)} if entry.choices else TEXT)
    if entry.span:
        three = {"type": "array", "items": _quantity(entry), "minItems": 3, "maxItems": 3}
        return described | {"anyOf": [_quantity(entry), three]}
    return described | _quantity(entry)


def _quantity(entry: Entry) -> Schema:
    """Text with a unit, or a bare number in SI where one is allowed; bounds can be told for bare numbers only."""
    assert entry.dimension is not None
    forms: list[Schema] = [{"type": "string", "pattern": pattern(entry.dimension)}]
    if entry.words:
        forms.append({"enum": list(entry.words)})
    if entry.dimension.bare:
        bounds = {"exclusiveMinimum": entry.above, "minimum": entry.least, "exclusiveMaximum": entry.below,
                  "maximum": entry.most}  # fmt: skip
        number: Schema = {"type": "integer" if entry.whole else "number"}
        forms.append(number | {word: bound for word, bound in bounds.items() if bound is not None})
    return {"anyOf": forms} if len(forms) > 1 else forms[0]


def _heat() -> Schema:
    roles = {role: {"description": f"how the {role} is mounted"} | _table(MOUNT) for role in ROLES}
    sinks = {"description": "sinks by name", "type": "object", "additionalProperties": _entry_schema(SINK)}
    return {"type": "object", "properties": {"sinks": sinks, "safe_area": _safe_area()} | roles,
            "additionalProperties": False}  # fmt: skip


def _safe_area() -> Schema:
    """Lines by the type; that voltages rise and currents do not only reading can check."""
    line = _table(SAFE_AREA)
    point = {"type": "array", "prefixItems": [_quantity(LINE_VOLTAGE), _quantity(LINE_CURRENT)], "items": False,
             "minItems": 2}  # fmt: skip
    line["properties"]["points"] = {"description": LINE_POINTS, "type": "array", "items": point, "minItems": 2}
    line["required"].append("points")
    words = "lines for lasting current (DC) by type, as read in the figures of the sheets"
    return {"description": words, "type": "object", "additionalProperties": line}


def _wiring() -> Schema:
    either = {"oneOf": [{"required": ["section"]}, {"required": ["gauge"]}]}
    leads = {name: {"description": words} | _table(WIRE) | either for name, words in LEADS.items()}
    return {"type": "object", "properties": leads, "additionalProperties": False}


def _part(kind: str, model: str | None) -> Schema:
    """A part of one kind and model; a type from the catalogue stands for the fields that are left out."""
    known = {name: field_entry(name, field) for name, field in fields(kind, model).items()}
    properties: Schema = {"name": TEXT, "kind": {"const": kind}}
    properties["pins"] = _table({pin: Entry("the name of a net", required=True) for pin in PINS[kind]})
    properties["role"] = _entry_schema(PART_ROLE)
    properties |= {name: _entry_schema(entry) for name, entry in known.items()}
    required = ["name", "kind", "pins"]
    if kind in POLARITIES:
        properties["polarity"] = {"enum": list(POLARITIES[kind])}
        required += ["polarity"] if kind in POLARITY_SAID else []
    if model:
        properties["model"] = {"const": model}
        required.append("model")
    if kind in HEATED:
        properties["heat"] = _table(PART_HEAT)
    needed = [name for name, entry in known.items() if entry.required]
    part: Schema = {"type": "object", "properties": properties, "required": required, "additionalProperties": False}
    if kind == "load":
        return part | {"oneOf": [_load_form(needs, may) for needs, may in LOAD_FORMS.values()]}
    if kind in TYPED:
        properties["type"] = {"description": "a type of the catalogue"} | TEXT
        return part | {"anyOf": [{"required": ["type"]}, {"required": needed}]}
    return part | {"required": required + needed}


def _load_form(needs: frozenset[str], may: frozenset[str]) -> Schema:
    foreign = sorted(fields("load").keys() - needs - may)
    return {"required": sorted(needs), "properties": {name: False for name in foreign}}


def _is(key: str, value: str) -> Schema:
    return {"properties": {key: {"const": value}}, "required": [key]}
