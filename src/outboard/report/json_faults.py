"""`faults` as an object with stable keys."""

from outboard.arrangements.design import Design
from outboard.constants import ZERO_CELSIUS
from outboard.report.json_objects import like_parts
from outboard.whatif.cautions import cautions
from outboard.whatif.effect import Effect, Exceeded
from outboard.whatif.faults import FaultReport, Outcome
from outboard.whatif.firing import Fired
from outboard.whatif.modes import SOURCE
from outboard.whatif.remedies import remedies


def faults(report: FaultReport, design: Design) -> object:
    """Every fault with its effects, the gravest first."""
    return {
        "verdict": report.verdict,
        "load_limit_V": report.limit,
        "load_limit_stated": report.limit_is_stated,
        "share_source": SOURCE,
        "healthy": _effect(report.healthy),
        "faults": [_outcome(outcome) for outcome in report.outcomes],
        "remedies": remedies(design, report),
        "cautions": list(cautions(design)),
        "seconds": report.seconds,
    }


def _outcome(outcome: Outcome) -> object:
    fault = outcome.fault
    return {
        "part": fault.part or None,
        **like_parts(fault.alike),
        "mode": fault.mode,
        "in_words": fault.words,
        "share": fault.share,
        "consequence": outcome.consequence,
        "rank": outcome.rank,
        "first": _effect(outcome.first),
        "last": _effect(outcome.last),
        "chain": [{"part": link.fault.part, "in_words": link.fault.words, "because": link.because}
                  for link in outcome.links],
        "event_over": outcome.lifted,
        "missing": list(outcome.unknown),
    }  # fmt: skip


def _effect(effect: Effect) -> object:
    return {
        "output_V": effect.outputs,
        "readings_V": {net: {"no_load": pair[0], "usual_load": pair[1]} for net, pair in effect.readings.items()},
        "exceeded": [
            {
                "part": found.part, "requirement": found.requirement, "share": found.share,
                "value": _read(found.value, found), "limit": _read(found.limit, found),
                "unit": "°C" if found.unit == "K" else found.unit,
            }
            for found in effect.exceeded
        ],
        "runs_away": effect.runs_away or None,
        "floating": list(effect.floating),
        "crowbar": _crowbar(effect.crowbar),
    }


def _crowbar(fired: Fired | None) -> object:
    if fired is None:
        return None
    return {"part": fired.part, "lets_through_V": fired.lets_through, "surge_A": fired.surge,
            "joule_integral_A2s": fired.joule_integral}  # fmt: skip


def _read(number: float, found: Exceeded) -> float:
    return number - ZERO_CELSIUS if found.unit == "K" else number
