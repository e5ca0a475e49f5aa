"""Draws of a dossier: in one go, shard by shard in a folder, merged from a folder, one draw again."""

import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outboard.dossier.dossier import NOT_RUN, Dossier, opened_text, ran
from outboard.dossier.refused import located
from outboard.dossier.sections import narrowed

if TYPE_CHECKING:  # what a verb does not ask for is not loaded
    from outboard.cases.sampling import Method
    from outboard.checks.draw_run import Run, Stop, Watch
    from outboard.checks.drawn import Least
    from outboard.checks.draws import Lot, Units
    from outboard.checks.shards import Shards
    from outboard.checks.verification import Tried


@dataclass(frozen=True, slots=True)
class Wish:
    """Which draws a person wants: how many, from which seed, by which method, on how many threads.

    input_voltage, load, ambient   promised spans narrowed to one value [V, A, K]
    mapped                         whether it is told too how far each requirement holds, over load and input
    """

    draws: int
    seed: int = 1
    method: "Method" = "sobol"
    workers: int = 1
    input_voltage: float | None = None
    load: float | None = None
    ambient: float | None = None
    mapped: bool = False


def with_draws(dossier: Dossier, wish: Wish, watch: "Watch", stop: "Stop", folder: Path | None = None) -> Dossier:
    """The dossier with its verdict and, beside it, what draws say; kept in a folder when one is named."""
    from outboard.checks.draw_run import run, usual_shards

    kept = kept_in(dossier, wish, folder, usual_shards(wish.draws)) if folder is not None else None
    decided, lot = by_corners(dossier, wish)
    started = time.perf_counter()
    found = run(lot, wish.draws, wish.workers, watch, stop, kept)
    return _beside(decided, lot, found, started, wish.mapped)


def drawn_shard(
    dossier: Dossier, wish: Wish, watch: "Watch", stop: "Stop", folder: Path, shard: int, shards: int
) -> "Run":
    """One shard of the draws, kept in a folder."""
    from outboard.checks.draw_run import run

    kept = kept_in(dossier, wish, folder, shards)
    lot = lot_of_wish(dossier, wish)
    return run(lot, wish.draws, wish.workers, watch, stop, kept, shard)


def merged(folder: Path) -> Dossier:
    """The dossier that the shards of a folder make together; partial where some are missing."""
    from outboard.checks.draw_run import together
    from outboard.checks.shards import Shards, read_plan

    plan = read_plan(folder)
    dossier = opened_text(plan["text"], plan["file"])
    wish = Wish(plan["draws"], plan["seed"], plan["method"], 1, *plan["narrowed"])
    kept = Shards.begun(folder, plan_of(dossier, wish, plan["shards"]))  # refuses what another version has drawn
    decided, lot = by_corners(dossier, wish)
    return _beside(decided, lot, together(lot, wish.draws, kept), time.perf_counter(), mapped=False)


def replay(dossier: Dossier, wish: Wish, draw: int) -> "tuple[Lot, Units, tuple[Least | None, ...]]":
    """One draw again, with its worst lane by every requirement."""
    from outboard.checks.draws import replayed

    lot = lot_of_wish(dossier, wish)
    return lot, *replayed(lot, draw)


def kept_in(dossier: Dossier, wish: Wish, folder: Path, shards: int) -> "Shards":
    """The folder of a run, begun or gone on with."""
    from outboard.checks.shards import Shards

    return Shards.begun(folder, plan_of(dossier, wish, shards))


def plan_of(dossier: Dossier, wish: Wish, shards: int) -> dict[str, Any]:
    """All that the draws follow from."""
    return {
        "inputs": dossier.inputs, "draws": wish.draws, "seed": wish.seed, "method": wish.method, "shards": shards,
        "narrowed": [wish.input_voltage, wish.load, wish.ambient], "file": str(dossier.brief.file),
        "text": dossier.text,
    }  # fmt: skip


def _tried(dossier: Dossier, wish: Wish) -> "Tried":
    from outboard.checks.verification import tried

    with located(dossier.brief):
        return tried(narrowed(dossier, wish.input_voltage, wish.load, wish.ambient))


def lot_of_wish(dossier: Dossier, wish: Wish) -> "Lot":
    """What draws are taken from, the corners tried."""
    return _lot(_tried(dossier, wish), wish)


def _lot(corners: "Tried", wish: Wish) -> "Lot":
    from outboard.checks.draws import lot_of

    return lot_of(corners, wish.seed, wish.method)


def by_corners(dossier: Dossier, wish: Wish) -> "tuple[Dossier, Lot]":
    """The dossier with the verdict of its corners, and what draws beside them are taken from."""
    from outboard.checks.verification import judged
    from outboard.whatif.faults import glance

    started = time.perf_counter()
    corners = _tried(dossier, wish)
    verdict = judged(corners, started)
    design = narrowed(dossier, wish.input_voltage, wish.load, wish.ambient)
    glanced = glance(design) if dossier.brief.output is not None else NOT_RUN
    return replace(dossier, verdict=verdict, glance=glanced), _lot(corners, wish)


def _beside(dossier: Dossier, lot: "Lot", found: "Run", started: float, mapped: bool) -> Dossier:
    """The draws beside the verdict, which gets one finding more: whether its corners bound every draw."""
    from outboard.checks.draw_verdict import bound_finding, draw_verdict

    verdict = ran(dossier.verdict)
    draws = draw_verdict(lot, found, verdict.findings, time.perf_counter() - started, mapped)
    findings = (*verdict.findings, bound_finding(lot, found))
    reach = NOT_RUN if draws.reach is None else draws.reach
    return replace(dossier, verdict=replace(verdict, findings=findings), draws=draws, reach=reach)


def with_extremes(
    dossier: Dossier, input_voltage: float | None = None, load: float | None = None, ambient: float | None = None
) -> Dossier:
    """The dossier with a verdict that also takes what is worse between the ends of the tolerances than at them."""
    from outboard.checks.between_verdict import contained, extreme_verdict

    decided, lot = by_corners(dossier, Wish(1, input_voltage=input_voltage, load=load, ambient=ambient))
    found = extreme_verdict(lot)
    return replace(decided, verdict=contained(ran(decided.verdict), lot, found), extremes=found)
