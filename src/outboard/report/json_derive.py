"""What `derive --json` prints: formulas in every notation, numbers in SI."""

from outboard.explain.asked import Derivation, Result
from outboard.explain.boundaries import Boundary
from outboard.explain.bounds import Bound
from outboard.explain.definitions import definition_value
from outboard.explain.expression import Expression
from outboard.explain.neglect import in_words
from outboard.explain.writing import NOTATIONS, written

Object = dict[str, object]


def formula(expression: Expression | None) -> Object | None:
    """A formula in every notation."""
    return None if expression is None else {name: written(expression, n) for name, n in NOTATIONS.items()}


def derivation(found: Derivation) -> Object:
    """All of it; stable keys."""
    letters = {
        name: {"value": letter.value, "least": letter.least, "most": letter.most, "unit": letter.unit,
               "meaning": letter.meaning, "origin": letter.origin}
        for name, letter in found.letters.items()
    }  # fmt: skip
    return {
        "regime": [{"part": part, "state": words} for part, words in found.doing],
        "letters": letters,
        "load_A": found.load,
        "events_along_load": [_event(event) for event in found.loads],
        "events_down_input": [_event(event) for event in found.inputs],
        "results": [_result(result) for result in found.results],
        "beside": found.other,
        "notes": found.notes,
    }


def _event(event: Boundary) -> Object:
    return {"letter": event.letter, "at": event.at, "part": event.part, "event": event.event,
            "formula": formula(event.formula)}  # fmt: skip


def _bound(bound: Bound) -> Object:
    return {"most": bound.most, "occurs": bound.occurs, "proved": bound.proved}


def _result(result: Result) -> Object:
    found: Object = {
        "quantity": result.name, "meaning": result.meaning, "unit": result.unit, "value": result.value,
        "solved_value": result.solved_value,
        "definitions": [{"name": d.name, "part": d.part, "hands_over_to": d.handover_of or None, "meaning": d.words,
                         "value": result.numbers[d.name], "unit": d.unit, "formula": formula(definition_value(d))}
                        for d in result.definitions],
        "equations": [{"about": line.about, "left": formula(line.left), "right": formula(line.right)}
                      for line in result.lines],
        "substitutions": [{"left": formula(line.left), "right": formula(line.right)} for line in result.substitutions],
        "gain": None if result.gain is None else {"name": result.gain.name, "formula": formula(result.gain.expression)},
        "exact": formula(result.exact),
        "too_long_to_shorten": result.too_long,
        "from_main_terms": formula(result.told),
        "coincides": [{"ours": c.ours, "formula": c.published.key, "text": c.published.text,
                       "source": c.published.source, "renamed": dict(c.published.renamed), "left_out": c.left_out}
                      for c in result.coincides],
        "neglects": [{"left_out": formula(in_words(step)[0]), "formula": formula(step.expression),
                      "error": step.error, "alone": step.alone, "over_box": _bound(step.bound)}
                     for step in result.neglects],
    }  # fmt: skip
    return found | _more(result)


def _more(result: Result) -> Object:
    """What was asked for besides."""
    short, inverse, other, gap = result.shortest, result.inverse, result.difference, result.gap
    return {
        "shortest": None if short is None else {
            "within": short.within, "formula": formula(short.expression), "error": short.error,
            "over_box": _bound(short.bound), "good_from_load_A": result.good_from,
        },
        "slopes": [{"letter": s.letter, "formula": formula(s.formula), "slope": s.slope, "relative": s.relative,
                    "swing": s.swing} for s in result.sensitivities],
        "found": None if inverse is None else {
            "letter": inverse.letter, "wanted": inverse.wanted, "value": inverse.value,
            "formula": formula(inverse.formula), "at_nothing": inverse.reached[0], "at_infinity": inverse.reached[1],
            "why": inverse.why,
        },
        "difference": None if other is None else {
            "other": formula(other.other), "formula": formula(other.difference), "own_value": other.own_value,
            "other_value": other.other_value, "primed": other.primed,
        },
        "gap": None if gap is None else {
            "hand": gap.hand, "solved": gap.solved,
            "steps": [{"effect": step.effect, "change": step.change, "value": step.value} for step in gap.steps],
            "order_free": None if gap.shares is None else dict(gap.shares),
        },
    }  # fmt: skip
