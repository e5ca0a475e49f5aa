"""From a brief to a design: the stage's parts, the rails, and what the file spells out in their place."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from outboard.arrangements.arrangement import Arrangement
from outboard.arrangements.bypass import BYPASS
from outboard.arrangements.compound import COMPOUND
from outboard.arrangements.crowbar_sizing import sized_crowbar, with_trigger
from outboard.arrangements.darlington import DARLINGTON
from outboard.arrangements.design import Design, DesignPart
from outboard.arrangements.divider_sizing import divider_current, sized_output_divider
from outboard.arrangements.explicit import explicit_parts, replaced
from outboard.arrangements.extremes import extremes
from outboard.arrangements.follower import FOLLOWER
from outboard.arrangements.limiter_sizing import sized_limiter
from outboard.arrangements.mirror import mirrored
from outboard.arrangements.mounting import sinks
from outboard.arrangements.options import add_limiter, add_protection, add_reference, add_sharing_diode, crowbar_parts
from outboard.arrangements.parallel import sized_regulator_ballast
from outboard.arrangements.pmos import PMOS
from outboard.arrangements.rails import IN, rails
from outboard.arrangements.sizing import Sizing
from outboard.arrangements.stage_devices import StageParts
from outboard.arrangements.stage_types import Given, given, is_negative
from outboard.arrangements.wattages import derated_wattages
from outboard.arrangements.worst_share import worst_share_remarks
from outboard.brief import Brief

ARRANGEMENTS: Mapping[str, Arrangement] = MappingProxyType(
    {arrangement.name: arrangement for arrangement in (BYPASS, COMPOUND, DARLINGTON, PMOS, FOLLOWER)}
)
"""Every arrangement by its name in [stage]."""


def sized(brief: Brief) -> Sizing:
    """The values of a brief's stage, each with its working; ValueError when the brief has no stage.

    Raises WrongInput when a type is unknown or does not fit the arrangement.
    """
    if brief.stage is None:
        raise ValueError("only a stage is sized")
    arrangement = ARRANGEMENTS[brief.stage.arrangement]
    return _sized(with_trigger(given(brief, arrangement.types)), arrangement)


def _sized(known: Given, arrangement: Arrangement) -> Sizing:
    """The core's values with those of the options around it; a negative stage is sized as its mirror image."""
    ends = extremes(known, divider_current(known))
    limiter = sized_limiter(known, ends, arrangement)
    core = arrangement.sized(known, ends, limiter.lead)
    ballast, sagging, about_ballast = sized_regulator_ballast(known, ends.hot)
    divider, held, about_divider = sized_output_divider(known, core.offset, ends.hot)
    crowbar = sized_crowbar(known, ends)
    whole = replace(
        core,
        values=(*core.values, *limiter.values, *divider, *ballast, *crowbar.values),
        figures=(*core.figures, *limiter.figures, *crowbar.figures),
        facts=(*core.facts, *limiter.facts, *held, *sagging, *crowbar.facts),
        remarks=(*core.remarks, *limiter.remarks, *about_divider, *about_ballast, *crowbar.remarks),
    )
    uneven = tuple(worst_share_remarks(known, ends, core))
    return derated_wattages(replace(whole, remarks=(*whole.remarks, *uneven)), known.brief)


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
    known = with_trigger(given(brief, arrangement.types))
    sizing = _sized(known, arrangement)
    stage = StageParts(known)
    source = arrangement.drive if arrangement.rail == IN else IN
    add_reference(stage, sizing, arrangement.feed)
    stage.add_regulators(source, arrangement.feed, sizing.with_role("regulator ballast"))
    add_sharing_diode(stage)
    arrangement.parts(stage, sizing, add_limiter(stage, sizing, arrangement))
    add_protection(stage, source)
    parts = tuple(map(mirrored, stage.parts)) if is_negative(brief) else tuple(stage.parts)
    parts += tuple(crowbar_parts(known, sizing, is_negative(brief)))
    return parts, (*stage.notes, *sizing.remarks)
