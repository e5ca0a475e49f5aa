"""Running one section of a dossier; each loads only what it needs."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import wraps
from typing import TYPE_CHECKING, Concatenate, ParamSpec

from outboard.brief import Brief
from outboard.dossier.dossier import NOT_RUN, Dossier, FedStage
from outboard.dossier.refused import located
from outboard.errors import Mistake, WrongInput
from outboard.parts.shelf import beside
from outboard.span import Span

if TYPE_CHECKING:
    from outboard.arrangements import Design
    from outboard.explain.asked import Asked

Options = ParamSpec("Options")
Section = Callable[Concatenate[Dossier, Options], Dossier]

DIVISION_POINTS = 120
"""Loads between nothing and the end of the division, unless a person asks for another number."""


def on_its_shelf(section: Section[Options]) -> Section[Options]:
    """A section that looks types up, with the dossier's own types in front of the catalogue."""

    @wraps(section)
    def run(dossier: Dossier, /, *args: Options.args, **options: Options.kwargs) -> Dossier:
        with beside(dossier.shelf):
            return section(dossier, *args, **options)

    return run


@on_its_shelf
def with_sizing(dossier: Dossier) -> Dossier:
    """The dossier with the values of its stage worked out; WrongInput when the file has no stage."""
    if dossier.brief.stage is None:
        what, write = "this file has no [stage], so there is nothing to size", "[stage]"
        file = str(dossier.brief.file)
        raise WrongInput([Mistake(what, "a stage with an arrangement", write, "stage", file, 1, 1)])
    from outboard.arrangements import sized

    return replace(dossier, sizing=sized(dossier.brief))


@on_its_shelf
def with_operating_point(
    dossier: Dossier, input_voltage: float | None = None, load: float | None = None, ambient: float | None = None
) -> Dossier:
    """The dossier with one operating point, at usual values unless others are given [V, A, K]."""
    from outboard.analysis.operating import operating_point

    with located(dossier.brief):
        point = operating_point(dossier.design, input_voltage=input_voltage, load=load, ambient=ambient)
    return replace(dossier, operating_point=point)


@on_its_shelf
def with_division(dossier: Dossier, points: int = DIVISION_POINTS, input_voltage: float | None = None) -> Dossier:
    """The dossier with the division of the load current, at the usual input unless another is given [V]."""
    from outboard.analysis.divide import division

    with located(dossier.brief):
        divided = division(dossier.design, points=points, input_voltage=input_voltage)
    return replace(dossier, division=divided)


@on_its_shelf
def with_derivation(dossier: Dossier, asked: "Asked", other: "Design | None" = None) -> Dossier:
    """The dossier with its algebra, another design beside it if there is one.

    WrongInput for a letter that the network lacks; NotByHand, NoRegime, NoStep, TooLong as they come.
    """
    from outboard.explain.derivation import UnknownLetter, derived
    from outboard.explain.inverse import DoesNotMatter

    with located(dossier.brief):
        try:
            found = derived(dossier.design, asked, other)
        except UnknownLetter as unknown:
            what = f"{unknown.letter} is no letter of this network"
            raise WrongInput([Mistake(what, f"one of {', '.join(unknown.known)}", where="--of")]) from None
        except DoesNotMatter as idle:
            raise WrongInput([Mistake(str(idle), "a part that has a say in it", where="--find")]) from None
    return replace(dossier, derivation=found)


@on_its_shelf
def with_verdict(
    dossier: Dossier, input_voltage: float | None = None, load: float | None = None, ambient: float | None = None
) -> Dossier:
    """The dossier with its verdict; what is given narrows a promised span to one value [V, A, K]."""
    from outboard.checks.verification import verified
    from outboard.whatif.faults import glance

    design = narrowed(dossier, input_voltage, load, ambient)
    with located(dossier.brief):
        verdict = verified(design)
        glanced = glance(design) if dossier.brief.output is not None else NOT_RUN
    return replace(dossier, verdict=verdict, glance=glanced)


@on_its_shelf
def with_faults(dossier: Dossier) -> Dossier:
    """The dossier with every single fault and what follows from it."""
    from outboard.whatif.faults import fault_report

    with located(dossier.brief):
        report = fault_report(dossier.design)
    return replace(dossier, faults=report)


@on_its_shelf
def with_heat(
    dossier: Dossier, input_voltage: float | None = None, load: float | None = None, ambient: float | None = None
) -> Dossier:
    """The dossier with all about its heat; what is given narrows a promised span to one value [V, A, K]."""
    from outboard.checks.heat import heat_report

    design = narrowed(dossier, input_voltage, load, ambient)
    with located(dossier.brief):
        report = heat_report(design)
    return replace(dossier, heat=report)


def with_response(
    dossier: Dossier, input_voltage: float | None = None, load: float | None = None, ambient: float | None = None
) -> Dossier:
    """The dossier with what moves: loop, impedance, steps; what is given narrows a promised span [V, A, K]."""
    from outboard.checks.responding import responded

    design = narrowed(dossier, input_voltage, load, ambient)
    with located(dossier.brief):
        found = responded(design)
    return replace(dossier, response=found)


@on_its_shelf
def with_omission(dossier: Dossier, names: Sequence[str] = (), windows: bool = False) -> Dossier:
    """The dossier with what each part is for, all or those named; with the windows of resistors when asked for.

    WrongInput for a name that no part has.
    """
    from outboard.whatif.omit import omission
    from outboard.whatif.value_window import value_windows

    known = [part.name for part in dossier.design.parts]
    for name in names:
        if name not in known:
            what, expected = f"there is no part '{name}'", "one of " + ", ".join(known)
            raise WrongInput([Mistake(what, expected, where="--part", file=str(dossier.brief.file))])
    with located(dossier.brief):
        found = omission(dossier.design, names)
        series = dossier.brief.stage.series if dossier.brief.stage is not None else "E12"
        asked = [one.part for one in found.purposes if dossier.design.part(one.part).part.kind == "resistor"]
        bounds = value_windows(dossier.design, asked, series) if windows else ()
    return replace(dossier, omission=found, windows=bounds)


@on_its_shelf
def with_feed(dossier: Dossier) -> Dossier:
    """The dossier with its feed judged; WrongInput when the file has no [feed]."""
    feed, file = dossier.brief.feed, str(dossier.brief.file)
    if feed is None:
        what = "this file has no [feed], so there is nothing to rectify"
        raise WrongInput([Mistake(what, "mains, transformer, rectifier, reservoir", "[feed]", "feed", file, 1, 1)])
    from outboard.analysis.feed import feed_report
    from outboard.checks.feed import judged

    with located(dossier.brief):
        report = feed_report(dossier.design, feed, file)
    return replace(dossier, feed=FedStage(report, judged(dossier.brief, report)))


def narrowed(
    dossier: Dossier, input_voltage: float | None, load: float | None, ambient: float | None
) -> "Design":
    """The design with some promised spans narrowed to one value [V, A, K]."""
    return replace(dossier.design, brief=_narrowed(dossier.brief, input_voltage, load, ambient))


def _narrowed(brief: Brief, input_voltage: float | None, load: float | None, ambient: float | None) -> Brief:
    """What was promised, with some spans narrowed to a point; the design keeps the values sized for all of it."""
    if input_voltage is not None:
        if brief.input is None:
            raise _nothing_to_narrow(brief, "input", "voltage")
        brief = replace(brief, input=replace(brief.input, voltage=Span.exactly(input_voltage)))
    if load is not None:
        if brief.output is None:
            raise _nothing_to_narrow(brief, "output", "load")
        brief = replace(brief, output=replace(brief.output, load=Span.exactly(load)))
    if ambient is not None:
        brief = replace(brief, surroundings=replace(brief.surroundings, ambient=Span.exactly(ambient)))
    return brief


def _nothing_to_narrow(brief: Brief, section: str, key: str) -> WrongInput:
    what = f"this file promises no {key}, so it cannot be narrowed"
    return WrongInput([Mistake(what, f"[{section}] with {key}", f"[{section}]", section, str(brief.file))])
