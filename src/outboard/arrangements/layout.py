"""From a brief to a design: the stage's parts, the rails, and what the file spells out in their place."""

from collections.abc import Mapping
from types import MappingProxyType

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.bypass import BYPASS
from outboard.arrangements.compound import COMPOUND
from outboard.arrangements.design import Design, DesignPart
from outboard.arrangements.explicit import explicit_parts, replaced
from outboard.arrangements.mounting import sinks
from outboard.arrangements.rails import rails
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_types import given
from outboard.brief import Brief

ARRANGEMENTS: Mapping[str, Arrangement] = MappingProxyType(
    {arrangement.name: arrangement for arrangement in (BYPASS, COMPOUND)}
)
"""Every arrangement by its name in [stage]."""


def sized(brief: Brief) -> Sizing:
    """The values of a brief's stage, each with its working; ValueError when the brief has no stage.

    Raises WrongInput when a type is unknown or does not fit the arrangement.
    """
    if brief.stage is None:
        raise ValueError("only a stage is sized")
    arrangement = ARRANGEMENTS[brief.stage.arrangement]
    return arrangement.sized(given(brief, arrangement.polarities))


def designed(brief: Brief) -> Design:
    """The brief with its parts laid out and its values sized.

    Raises WrongInput, located, for types that are unknown or do not fit.
    """
    stage, notes = _stage(brief)
    made = (*rails(brief), *stage, *sinks(brief.heat))
    explicit = explicit_parts(brief, {part.name: part.role for part in made})
    return Design(brief, replaced(made, explicit), notes)


def _stage(brief: Brief) -> tuple[tuple[DesignPart, ...], tuple[str, ...]]:
    """The stage's parts, with the notes on heat and sizing."""
    if brief.stage is None:
        return (), ()
    arrangement = ARRANGEMENTS[brief.stage.arrangement]
    known = given(brief, arrangement.polarities)
    sizing = arrangement.sized(known)
    parts, notes = arrangement.parts(known, sizing)
    return parts, (*notes, *sizing.remarks)
