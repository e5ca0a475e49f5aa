"""What `size --json` and `expand --json` print."""

from outboard.arrangements import Bound, Design, DesignPart, PutIn, SizedValue, Sizing, Window
from outboard.formulas import Worked
from outboard.report.json_text import celsius

Object = dict[str, object]


def sizing(found: Sizing) -> Object:
    """Every value with its working; resistances in ohms, powers in watts."""
    return {
        "values": [_value(value) for value in found.values],
        "count": {
            "chosen": found.count.chosen,
            "by_power": _bound(found.count.by_power),
            "by_current": _bound(found.count.by_current),
        },
        "handover_A": found.handover,
        "handover_origin": found.handover_origin,
        "headroom": _worked(found.headroom),
        "facts": [{"words": fact.words, "formula": _worked(fact.worked)} for fact in found.facts],
        "figures": [_figure(figure) for figure in found.figures],
        "remarks": found.remarks,
    }


def _value(value: SizedValue) -> Object:
    rated = value.rated_power
    return {
        "names": value.names,
        "role": value.role,
        "key": value.key,
        "chosen_ohm": value.chosen,
        "exact_ohm": value.exact,
        "series": value.series,
        "direction": value.direction,
        "origin": value.origin,
        "formula": _worked(value.worked),
        "window": None if value.window is None else _window(value.window),
        "fits": value.window is None or value.chosen is None or value.window.holds(value.chosen),
        "dissipation": _worked(value.dissipation),
        "needed_rating": _worked(value.needed),
        "construction": value.construction,
        "rated_power_W": None if rated is None else rated.power,
    }


def _window(window: Window) -> Object:
    return {
        "least_ohm": None if window.is_empty or window.least.open else window.least_nominal,
        "most_ohm": None if window.is_empty or window.most.open else window.most_nominal,
        "least": _bound(window.least),
        "most": _bound(window.most),
        "below": window.below,
        "above": window.above,
        "tolerance": window.tolerance,
    }


def _bound(bound: Bound) -> Object:
    return {"formula": _worked(bound.worked), "missing": bound.missing, "open": bound.open}


def _worked(worked: Worked | None) -> Object | None:
    if worked is None:
        return None
    formula = worked.formula
    value = celsius(worked.value) if formula.result.dimension == "°C" else worked.value
    return {
        "title": formula.title, "text": worked.text, "value": value, "unit": formula.result.dimension,
        "validity": formula.validity, "source": formula.source,
    }  # fmt: skip


def _figure(figure: PutIn) -> Object:
    value = celsius(figure.value) if figure.unit == "°C" else figure.value
    return {
        "words": figure.words, "value": value, "unit": figure.unit, "kind": figure.origin.kind,
        "source": figure.origin.source, "origin": figure.origin.words, "formula": _worked(figure.worked),
    }  # fmt: skip


def expansion(design: Design, text: str) -> Object:
    """`expand`: the file's text, and what each part of it is for."""
    return {"title": design.brief.title, "toml": text, "parts": [_part(part) for part in design.parts],
            "notes": design.notes}  # fmt: skip


def _part(part: DesignPart) -> Object:
    return {
        "name": part.name, "kind": part.part.kind, "role": part.role, "pins": dict(part.part.pins),
        "polarity": part.part.polarity, "type": part.type.name if part.type is not None else None,
    }  # fmt: skip
