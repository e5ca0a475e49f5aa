"""What is known about one design file so far: the brief, the design, and sections that may not have been run."""

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import outboard
from outboard.brief import Brief, read_text
from outboard.brief.file import file_text
from outboard.own_parts.folders import own_shelf, own_types_said
from outboard.parts import catalogue, find
from outboard.parts.shelf import EMPTY, Shelf, beside, shelf

if TYPE_CHECKING:  # what a verb does not ask for is not loaded
    from outboard.analysis.curves import Division
    from outboard.analysis.feed import FeedReport
    from outboard.analysis.operating import OperatingPoint
    from outboard.arrangements import Design, Sizing
    from outboard.checks.between_verdict import ExtremeVerdict
    from outboard.checks.draw_verdict import DrawVerdict
    from outboard.checks.finding import Verdict
    from outboard.checks.heat import HeatReport
    from outboard.checks.reach import Reach
    from outboard.checks.responding import Responded
    from outboard.explain.asked import Derivation
    from outboard.whatif.faults import FaultReport, Glance
    from outboard.whatif.omit import Omission
    from outboard.whatif.value_window import ValueWindow


@dataclass(frozen=True, slots=True)
class NotRun:
    """A section that has not been run, and why."""

    reason: str = "not asked for"


NOT_RUN = NotRun()

Section = TypeVar("Section")


def ran(section: "Section | NotRun") -> "Section":
    """A section that must have been run; LookupError when it has not."""
    if isinstance(section, NotRun):
        raise LookupError(f"this section was not run: {section.reason}")
    return section


@dataclass(frozen=True, slots=True)
class FedStage:
    """What makes the input: every cycle of the feed, and the verdict on them."""

    report: "FeedReport"
    verdict: "Verdict"


@dataclass(frozen=True, slots=True)
class Dossier:
    """A design file, laid out, with what has been found out about it.

    text    the file as it was read
    inputs  SHA-256 of all that the sections follow from: the file, the catalogue's entries in use, the version
    shelf   the person's own types, which a section that looks types up needs in front of the catalogue
    """

    brief: Brief
    design: "Design"
    inputs: str
    text: str
    sizing: "Sizing | NotRun" = NOT_RUN
    operating_point: "OperatingPoint | NotRun" = NOT_RUN
    division: "Division | NotRun" = NOT_RUN
    verdict: "Verdict | NotRun" = NOT_RUN
    draws: "DrawVerdict | NotRun" = NOT_RUN
    extremes: "ExtremeVerdict | NotRun" = NOT_RUN
    derivation: "Derivation | NotRun" = NOT_RUN
    glance: "Glance | NotRun" = NOT_RUN
    faults: "FaultReport | NotRun" = NOT_RUN
    omission: "Omission | NotRun" = NOT_RUN
    heat: "HeatReport | NotRun" = NOT_RUN
    reach: "Reach | NotRun" = NOT_RUN
    feed: "FedStage | NotRun" = NOT_RUN
    response: "Responded | NotRun" = NOT_RUN
    windows: "tuple[ValueWindow, ...]" = ()
    shelf: Shelf = EMPTY


def opened(path: Path | str) -> Dossier:
    """The dossier of a design file, no section run yet; WrongInput with every mistake, located."""
    return opened_text(file_text(Path(path)), str(path))


def opened_text(text: str, name: str) -> Dossier:
    """The dossier of the text of a design file; `name` stands for the file in messages, and for where it lies."""
    own = own_shelf(Path(name).parent)
    with beside(own):
        brief = read_text(text, name, _known_types())
        from outboard.arrangements import designed  # only a file without mistakes is worth the time that this takes

        design = designed(brief)
    said = own_types_said(part.type for part in design.parts if part.type is not None)
    design = replace(design, notes=(*design.notes, *said))
    return Dossier(brief, design, _fingerprint(text, design), text, shelf=own)


def _known_types() -> frozenset[str]:
    """Every name that a type answers to; that of a broken own part too, so that its mistakes are told."""
    types = catalogue().values()
    names = frozenset(name for part in types for name in (part.name, *part.aliases, *part.members))
    return names | shelf().broken.keys()


def _fingerprint(text: str, design: "Design") -> str:
    types = {part.type.name: part.type for part in design.parts if part.type is not None}
    feed = design.brief.feed
    if feed is not None and feed.diode is not None:
        types[feed.diode] = find(feed.diode)
    content = [outboard.__version__, text, *(repr(types[name]) for name in sorted(types))]
    return hashlib.sha256("\0".join(content).encode("utf-8", "surrogatepass")).hexdigest()
