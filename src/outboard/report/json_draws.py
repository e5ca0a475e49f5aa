"""What `--json` prints of draws: stable keys with their units, SI, temperatures in °C, margins of temperatures in K."""

from outboard.checks.culprits import Drivers
from outboard.checks.draw_verdict import DrawFinding, DrawVerdict, where
from outboard.checks.drawn import Least
from outboard.checks.draws import Lot, Units
from outboard.checks.rungs import CONFIDENCE
from outboard.constants import ZERO_CELSIUS
from outboard.dossier import Dossier, ran
from outboard.report import json_objects
from outboard.report.json_objects import like_parts
from outboard.report.json_reach import reach
from outboard.report.json_text import celsius

Object = dict[str, object]


def verdict_with_draws(dossier: Dossier) -> Object:
    """`verify --draws` and `merge`: the verdict of the corners, the draws beside it."""
    return {**dict(json_objects.verdict(ran(dossier.verdict))), "draws": draws(ran(dossier.draws))}


def draws(found: DrawVerdict) -> Object:
    """All requirements over the draws, tightest first, and the map of load and input."""
    return {
        "draws": found.draws, "wanted": found.wanted, "partial": found.stopped, "seed": found.seed,
        "sampling": found.method, "conditions": found.conditions, "confidence": CONFIDENCE,
        "holds": found.holds, "fails": found.fails, "open": found.open,
        "yield": None if found.left_out or not found.draws else found.holds / found.draws,
        "yield_interval": None if found.left_out else found.yields, "left_out": found.left_out,
        "points": found.points, "runaway": found.runaway, "undecided": found.undecided,
        "seconds": round(found.seconds, 3),
        "findings": [_finding(finding) for finding in found.ordered],
        "reach": None if found.reach is None else reach(found.reach),
    }  # fmt: skip


def _finding(finding: DrawFinding) -> Object:
    whole: Object = {
        "requirement": finding.requirement, "part": finding.part, **like_parts(finding.alike),
        "unit": finding.unit, "missing": finding.missing,
    }  # fmt: skip
    if finding.missing:
        return whole
    return whole | {
        "holds": finding.holds, "fails": finding.fails, "open": finding.open, "failing_interval": finding.failing,
        "outside_corners": finding.outside, "corner_margin": finding.bound, "corner_in_words": finding.bound_words,
        "least": None if finding.least is None else _least(finding.least, finding.unit),
        "quantiles": [
            {"share": q.share, "margin": q.margin, "least": q.least, "most": q.most} for q in finding.quantiles
        ],
        **({} if finding.drivers is None else _drivers(finding.drivers)),
    }  # fmt: skip


def _drivers(found: Drivers) -> Object:
    return {
        "usual_margin": found.usual, "root_sum_square_margin": found.root_sum_square,
        "variance_explained": found.explained,
        "culprits": [
            {
                "axis": one.axis, "variance_share": one.variance_share, "extreme_share": one.extreme_share,
                "tightened_to": one.grade or None, "tightened_margin": one.tightened,
            }
            for one in found.culprits
        ],
    }  # fmt: skip


def _least(least: Least, unit: str) -> Object:
    shift = ZERO_CELSIUS if unit == "°C" else 0.0
    return {
        "draw": least.draw, "margin": least.margin, "worst": least.value - shift, "limit": least.limit - shift,
        "input_V": least.input_voltage, "load_A": least.load, "ambient_C": celsius(least.ambient),
        "in_words": where(least),
    }  # fmt: skip


def one_draw(lot: Lot, unit: Units, worst: tuple[Least | None, ...]) -> Object:
    """`draws --number`: the numbers of its parts, where they lie, its worst lane by every requirement."""
    parts: dict[str, dict[str, float]] = {}
    known = lot.setting.base
    for (part, field), value in zip(unit.rows.fields, unit.rows.values[0].tolist(), strict=True):
        if (part, field) in known and (part, field) != (lot.setting.input, "voltage"):
            parts.setdefault(part, {})[field] = value
    return {
        "draw": unit.first, "seed": lot.sampling.seed, "sampling": lot.sampling.method,
        "places": {way.name: place for way, place in zip(lot.sampling.ways, unit.places[0].tolist(), strict=True)},
        "parts": parts,
        "findings": [
            {
                "requirement": check.requirement, "part": check.part, **like_parts(check.alike), "missing": missing,
                "worst": None if least is None or missing else _least(least, "°C" if check.unit == "K" else check.unit),
            }
            for check, least, missing in zip(lot.checks, worst, lot.undecidable, strict=True)
        ],
    }  # fmt: skip
