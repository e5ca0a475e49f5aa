"""`omit` as an object with stable keys."""

from collections.abc import Sequence

from outboard.report.json_objects import like_parts
from outboard.whatif.omit import NOTICEABLE, Change, Omission, Purpose, Tried
from outboard.whatif.value_window import ValueWindow


def omission(found: Omission, windows: Sequence[ValueWindow]) -> object:
    """Every part's purpose with its variants."""
    return {
        "verdict": found.verdict.verdict,
        "noticeable": NOTICEABLE,
        "thinned": found.thinned,
        "parts": {name: _purpose(purpose) for purpose in found.purposes for name in purpose.alike or (purpose.part,)},
        "windows": {name: _window(window) for window in windows for name in window.alike or (window.name,)},
        "seconds": found.seconds,
    }


def _purpose(purpose: Purpose) -> object:
    return {
        "role": purpose.role,
        **like_parts(purpose.alike),
        "word": purpose.word,
        "why": None if purpose.why is None else _change(purpose.why),
        "variants": [_tried(tried) for tried in purpose.tried],
    }


def _tried(tried: Tried) -> object:
    return {
        "what": tried.variant.what,
        "corners": tried.corners,
        "verdict": tried.verdict,
        "refused": tried.refused or None,
        "changes": [_change(change) for change in tried.changes
                    if change.breaks or change.mends or change.opens or abs(change.gain) > NOTICEABLE],
    }  # fmt: skip


def _change(change: Change) -> object:
    after = change.after
    return {
        "requirement": after.requirement,
        "part": after.part,
        **like_parts(after.alike),
        "verdict_before": change.before.verdict,
        "verdict": after.verdict,
        "worst_before": change.before.worst,
        "worst": after.worst,
        "limit": after.limit,
        "unit": after.unit,
        "gain": change.gain,
        "in_words": after.in_words,
    }


def _window(window: ValueWindow) -> object:
    return {
        "value": window.value,
        **like_parts(window.alike),
        "least": window.least,
        "most": window.most,
        "below": window.below or None,
        "above": window.above or None,
        "preferred": list(window.preferred),
    }
