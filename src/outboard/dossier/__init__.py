"""The one pipeline: file, brief, design, and the sections that a verb asks for."""

from outboard.dossier.dossier import NOT_RUN, Dossier, FedStage, NotRun, opened, opened_text, ran
from outboard.dossier.sections import (
    with_derivation,
    with_division,
    with_faults,
    with_feed,
    with_heat,
    with_omission,
    with_operating_point,
    with_response,
    with_sizing,
    with_verdict,
)

__all__ = [
    "NOT_RUN",
    "Dossier",
    "FedStage",
    "NotRun",
    "opened",
    "opened_text",
    "ran",
    "with_derivation",
    "with_division",
    "with_faults",
    "with_feed",
    "with_heat",
    "with_omission",
    "with_operating_point",
    "with_response",
    "with_sizing",
    "with_verdict",
]
