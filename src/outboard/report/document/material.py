"""All that a report is written from: a dossier whose sections were run, and some points of its own."""

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from outboard.analysis.operating import OperatingPoint
from outboard.arrangements.design import Design
from outboard.brief import Brief
from outboard.dossier import (
    Dossier,
    NotRun,
    ran,
    with_derivation,
    with_division,
    with_faults,
    with_feed,
    with_heat,
    with_operating_point,
    with_response,
    with_sizing,
    with_verdict,
)
from outboard.errors import OutboardError
from outboard.measure.expected import TestReadings
from outboard.report.document.meanwhile import Meanwhile
from outboard.report.verify_text import ELSEWHERE

if TYPE_CHECKING:
    from outboard.explain.asked import Derivation


@dataclass(frozen=True, slots=True)
class Material:
    """A dossier with what a report needs beside it.

    full      the point at full load, usual input, usual ambient; `hot` at full load, most input, most ambient
    readings  what a meter should read
    options   what was asked for beside the file, as it was written
    """

    dossier: Dossier
    full: OperatingPoint
    hot: OperatingPoint
    readings: TestReadings | NotRun
    options: str = ""

    @property
    def brief(self) -> Brief:
        """What was promised."""
        return self.dossier.brief

    @property
    def design(self) -> Design:
        """What is to be built."""
        return self.dossier.design


def gathered(dossier: Dossier, options: str = "") -> Material:
    """Runs what a report tells and the dossier has not yet; what cannot be run says why."""
    algebra = Meanwhile(partial(_derivation, dossier))
    dossier = with_verdict(dossier) if isinstance(dossier.verdict, NotRun) else dossier
    if dossier.brief.stage is not None:
        dossier = with_sizing(dossier)
    else:
        dossier = replace(dossier, sizing=NotRun("the file spells its parts out, so there is no stage to size"))
    dossier = _with_what_is_judged(_heat(_response(_division(_feed(with_faults(dossier))))))
    dossier = replace(dossier, derivation=algebra.result())
    brief = dossier.brief
    most_load = brief.output.load.most if brief.output is not None and _draws(dossier.design) else None
    most_input = max(brief.input.voltage, key=abs) if brief.input is not None else None
    full = ran(with_operating_point(dossier, None, most_load, None).operating_point)
    hot = ran(
        with_operating_point(dossier, most_input, most_load, brief.surroundings.ambient.most).operating_point
    )
    return Material(dossier, full, hot, _readings(dossier), options)


def _draws(design: Design) -> bool:
    """Whether the load's current can be set."""
    return any(part.name == "load" and "draws" in part.part.values for part in design.parts)


def _derivation(dossier: Dossier) -> "Derivation | NotRun":
    from outboard.explain.asked import Asked

    try:
        return with_derivation(dossier, Asked()).derivation
    except OutboardError as reason:
        return NotRun(str(reason))


def _division(dossier: Dossier) -> Dossier:
    try:
        return with_division(dossier)
    except OutboardError as reason:
        return replace(dossier, division=NotRun(str(reason)))


def _heat(dossier: Dossier) -> Dossier:
    try:
        return with_heat(dossier)
    except OutboardError as reason:
        return replace(dossier, heat=NotRun(str(reason)))


def _feed(dossier: Dossier) -> Dossier:
    if dossier.brief.feed is None:
        return replace(dossier, feed=NotRun("the file has no [feed]"))
    return with_feed(dossier)


def _with_what_is_judged(dossier: Dossier) -> Dossier:
    """What the verification leaves out and another section of the report judges is no longer named as left out."""
    sections = {"respond": dossier.response, "heat": dossier.heat, "feed": dossier.feed}
    told = {verb for verb, section in sections.items() if not isinstance(section, NotRun)}
    verdict = ran(dossier.verdict)
    left = tuple(words for words in verdict.not_judged if ELSEWHERE.get(words) not in told)
    return replace(dossier, verdict=replace(verdict, not_judged=left))


def _response(dossier: Dossier) -> Dossier:
    """What moves, where all that it rests on is known."""
    try:
        found = with_response(dossier)
    except OutboardError as reason:
        return replace(dossier, response=NotRun(str(reason)))
    missing = ran(found.response).response.missing
    return replace(dossier, response=NotRun("; ".join(missing))) if missing else found


def _readings(dossier: Dossier) -> TestReadings | NotRun:
    from outboard.measure.expected import expected_readings

    try:
        return expected_readings(dossier.design)
    except OutboardError as reason:
        return NotRun(str(reason))
