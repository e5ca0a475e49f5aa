"""What `--json` prints of `verify --extremes`: stable keys with their units, SI, temperatures in °C."""

from outboard.checks.between_drivers import Behind
from outboard.checks.between_verdict import Extreme, ExtremeVerdict
from outboard.checks.drawn import Least
from outboard.constants import ZERO_CELSIUS
from outboard.dossier import Dossier, ran
from outboard.report import json_objects
from outboard.report.json_objects import like_parts
from outboard.report.json_text import celsius

Object = dict[str, object]


def verdict_with_extremes(dossier: Dossier) -> Object:
    """The verdict, and beside it every least margin between the ends with what is behind it."""
    return {**dict(json_objects.verdict(ran(dossier.verdict))), "extremes": extremes(ran(dossier.extremes))}


def extremes(found: ExtremeVerdict) -> Object:
    """All requirements, tightest first."""
    return {
        "units": found.units, "units_with_slopes": found.probed, "findings": [_finding(one) for one in found.ordered],
    }  # fmt: skip


def _finding(one: Extreme) -> Object:
    between = one.between
    unit = "°C" if between.check.unit == "K" else between.check.unit
    whole: Object = {
        "requirement": between.check.requirement, "part": between.check.part, **like_parts(between.check.alike),
        "unit": unit, "missing": one.undecidable,
    }  # fmt: skip
    if one.undecidable or between.least is None:
        return whole
    return whole | {
        "found_by": between.way, "sure": between.sure, "slopes_of_both_signs": between.turning,
        "settled": between.settled, "units_open": between.opened, "worse_than_corners": one.taken,
        "least": _least(between.least, unit), "in_words": one.in_words,
        **({} if one.behind is None else _behind(one.behind)),
    }  # fmt: skip


def _least(least: Least, unit: str) -> Object:
    shift = ZERO_CELSIUS if unit == "°C" else 0.0
    return {
        "margin": least.margin, "worst": least.value - shift, "limit": least.limit - shift,
        "input_V": least.input_voltage, "load_A": least.load, "ambient_C": celsius(least.ambient),
    }  # fmt: skip


def _behind(found: Behind) -> Object:
    """Tolerances by what they take, numbers by what a hundredth of them (one kelvin of a temperature) moves."""
    return {
        "tolerances": [
            {
                "way": one.way, "place": one.place, "takes": one.gained, "tightened_to": one.grade or None,
                "tightened_margin": one.tightened,
            }
            for one in found.tolerances
        ],
        "slopes": [
            {
                "part": one.part or None, "field": one.field, "value": one.value, "slope": one.slope, "step": one.step,
                "margin_moves_by": one.by_step,
            }
            for one in found.slopes
        ],
    }  # fmt: skip
