"""What `--json` prints: stable keys with their units, SI, temperatures in °C."""

from outboard.analysis.operating import Conditions, OperatingPoint, PartPoint
from outboard.checks.finding import Finding, Verdict
from outboard.report.json_text import celsius

Object = dict[str, object]


def conditions(found: Conditions) -> Object:
    """The conditions of a point or a curve."""
    return {"input_V": found.input_voltage, "load_A": found.load, "ambient_C": celsius(found.ambient)}


def operating_point(point: OperatingPoint) -> Object:
    """`solve`; without a solution there are no nets and no parts."""
    found: Object = {"outcome": point.outcome, "conditions": conditions(point.conditions)}
    if point.is_solved and point.balance is not None:
        found["nets"] = dict(point.nets)
        found["thermal_nodes"] = {name: celsius(value) for name, value in point.thermal_nodes.items()}
        found["parts"] = {name: _part_point(part) for name, part in point.parts.items()}
        found["balance"] = {
            "worst_kcl_A": point.balance.worst_imbalance,
            "power_in_W": point.balance.power_in,
            "power_out_W": point.balance.power_out,
        }
    return found | {"jumped": point.jumped, "runs_away": point.runs_away, "warnings": point.warnings}


def _part_point(part: PartPoint) -> Object:
    found: Object = {}
    if part.currents:
        found["currents"] = dict(part.currents)
    for key, value in (
        ("power_W", part.power), ("junction_C", celsius(part.junction)), ("heat_flow_W", part.heat_flow)
    ):  # fmt: skip
        if value is not None:
            found[key] = value
    return found


def verdict(found: Verdict) -> Object:
    """`verify`; findings in the order of the ledger."""
    done = found.conditions
    return {
        "verdict": found.verdict,
        "counts": dict(found.counts),
        "findings": [_finding(finding) for finding in found.ordered],
        "not_judged": found.not_judged,
        "conditions": {
            "points": done.points, "solved": done.solved, "runaway": done.runaway, "undecided": done.undecided,
            "seconds": round(done.seconds, 3),
        },
    }  # fmt: skip


def like_parts(names: tuple[str, ...]) -> Object:
    """All parts that a judgement stands for, where there is more than the one that is named."""
    return {"alike": names} if names else {}


def _finding(finding: Finding) -> Object:
    return {
        "requirement": finding.requirement,
        "part": finding.part,
        **like_parts(finding.alike),
        "verdict": finding.verdict,
        "worst": finding.worst,
        "limit": finding.limit,
        "margin": finding.margin,
        "unit": finding.unit,
        "limit_kind": finding.limit_kind,
        "source": finding.source,
        "derating": finding.derating or None,
        "rests_on": finding.rests_on,
        "corner": dict(finding.corner),
        "in_words": finding.in_words,
        "missing": finding.missing,
        "note": finding.note,
    }
