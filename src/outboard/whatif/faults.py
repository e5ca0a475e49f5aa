"""Failure modes and their effects: every fault of a design tried, followed through up to three links, ranked.

A part that passes an absolute maximum fails next, the one that is asked most first, in its likeliest way.
"""

import os
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from outboard.arrangements.design import Design
from outboard.network.edits import Parts
from outboard.whatif.effect import Circumstances, Effect, Exceeded, circumstances, effect
from outboard.whatif.events import events
from outboard.whatif.fault import Fault, applied, likeliest, single_faults
from outboard.whatif.modes import OPEN as OPEN_PIN
from outboard.whatif.modes import SHORT

INPUT = ("input", "voltage")
MOST_LINKS = 3
ALIGHT = 2.0
"""A part that makes more than this many times the power it may is taken to catch fire."""

OVERVOLTAGE, ALIGHT_WORD, DESTROYED, LOST, SEEN, HARMLESS, OPEN = (
    "over-voltage at the load", "may catch fire", "destroys another part", "the output is lost",
    "shows at the output", "nothing is noticed", "cannot be told",
)  # fmt: skip
CONSEQUENCES = (OVERVOLTAGE, ALIGHT_WORD, DESTROYED, LOST, SEEN, HARMLESS)
"""From the gravest to none; what cannot be told is ranked with the gravest."""

GRAVITY = {OVERVOLTAGE: 10, ALIGHT_WORD: 10, DESTROYED: 7, LOST: 5, SEEN: 3, HARMLESS: 1, OPEN: 10}
"""Weights of the consequences in the ranking (our own choice)."""

USUAL_SHARE = 0.25
"""Share of a fault that no table tells, in the ranking (our own choice)."""


@dataclass(frozen=True, slots=True)
class Link:
    """What fails next in a chain, and why."""

    fault: Fault
    because: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """One fault with everything that follows.

    first        right after the fault
    last         when the chain has ended; `between` what was on the way there
    links        what failed after it
    lifted       whether `last` is with the event over again: a shorted output that is one no more
    consequence  one of CONSEQUENCES, or OPEN
    """

    fault: Fault
    first: Effect
    last: Effect
    links: tuple[Link, ...]
    consequence: str
    unknown: tuple[str, ...]
    lifted: bool = False
    between: tuple[Effect, ...] = ()

    @property
    def rank(self) -> float:
        """Gravity times share of the part's failures."""
        return GRAVITY[self.consequence] * (self.fault.share if self.fault.share is not None else USUAL_SHARE)


@dataclass(frozen=True, slots=True)
class FaultReport:
    """All faults of a design, the gravest first; `healthy` is the design as it is.

    limit  the most that the load may see [V], and whether the file states it
    """

    healthy: Effect
    outcomes: tuple[Outcome, ...]
    limit: float | None
    limit_is_stated: bool
    seconds: float

    @property
    def worst(self) -> tuple[Outcome, ...]:
        """Faults that put too much on the load or set something alight."""
        return tuple(found for found in self.outcomes if found.consequence in (OVERVOLTAGE, ALIGHT_WORD))

    @property
    def undecided(self) -> tuple[Outcome, ...]:
        """Faults about which something is open."""
        return tuple(found for found in self.outcomes if found.consequence == OPEN)

    @property
    def verdict(self) -> str:
        """FAIL when a single fault endangers load or house, UNDECIDED when one cannot be told, else PASS."""
        return "FAIL" if self.worst else "UNDECIDED" if self.undecided else "PASS"


def fault_report(design: Design) -> FaultReport:
    """Every fault and event of a design, tried and ranked."""
    started = time.perf_counter()
    around = circumstances(design)
    healthy = effect(design, design.components, around)
    limit, stated = load_limit(design)
    chosen = (*single_faults(design), *events(design))

    def followed(fault: Fault) -> Outcome:
        return _followed(design, fault, around, healthy, limit)

    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        outcomes = list(pool.map(followed, chosen))
    order = {word: place for place, word in enumerate((OVERVOLTAGE, ALIGHT_WORD, OPEN, *CONSEQUENCES[2:]))}
    outcomes.sort(key=lambda found: (order[found.consequence], -found.rank))
    return FaultReport(healthy, tuple(outcomes), limit, stated, time.perf_counter() - started)


@dataclass(frozen=True, slots=True)
class Glance:
    """Single faults at a first glance: how many were tried, and those that put too much on the load at once."""

    tried: int
    over: tuple[Fault, ...]
    limit: float | None
    limit_is_stated: bool


def glance(design: Design) -> Glance:
    """What faults of the parts themselves do at once to the load, at the most input, which is what it would see:

    leakage at its most, cold and hot, without load and with the full one.
    """
    whole = circumstances(design)
    inputs = np.abs(whole.corners.values[:, 0]) if whole.corners.fields[0] == INPUT else np.ones(len(whole.corners))
    ends = np.flatnonzero(inputs == inputs.max())[:2]
    around = replace(whole, corners=whole.corners.rows(ends), loads=whole.loads.rows(np.array([0, -1])))
    healthy = effect(design, design.components, around, ratings=False)
    limit, stated = load_limit(design)
    chosen = tuple(fault for fault in single_faults(design) if fault.mode in (SHORT, OPEN_PIN) and not fault.unknown)

    def over(fault: Fault) -> bool:
        found = effect(design, _parts(design, (fault,)), around, ratings=False).outputs
        return limit is not None and found is not None and found[1] > limit * (1 + 1e-9) and _newly(found[1], healthy)

    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        bad = [fault for fault, is_bad in zip(chosen, pool.map(over, chosen), strict=True) if is_bad]
    bad.sort(key=lambda fault: -(fault.share or 0.0))
    return Glance(len(chosen), tuple(bad), limit, stated)


def load_limit(design: Design) -> tuple[float | None, bool]:
    """The most that the load may see [V]: what the file says it withstands, else what was promised."""
    output = design.brief.output
    if output is None:
        return None, False
    if output.withstands is not None:
        return output.withstands, True
    return abs(output.voltage) * (1.0 + output.tolerance), False


def _followed(design: Design, fault: Fault, around: Circumstances, healthy: Effect, limit: float | None) -> Outcome:
    if fault.unknown:
        nothing = Effect(None, {}, unknown=(fault.unknown,))
        return Outcome(fault, nothing, nothing, (), OPEN, nothing.unknown)
    chain: list[Fault] = [fault]
    links: list[Link] = []
    effects = [effect(design, _parts(design, chain), around, restarts=fault.restarts, lets_go=fault.lets_go)]
    while len(links) < MOST_LINKS and (link := _next(design, effects[-1], healthy, chain)) is not None:
        links.append(link)
        chain.append(link.fault)
        effects.append(effect(design, _parts(design, chain), around))
    lifted = fault.passes and bool(links)
    if lifted:
        effects.append(effect(design, _parts(design, chain[1:]), around))
    unknown = tuple(dict.fromkeys(words for found in effects for words in found.unknown))
    consequence = _consequence(design, effects, healthy, links, limit, unknown)
    return Outcome(fault, effects[0], effects[-1], tuple(links), consequence, unknown, lifted, tuple(effects[1:-1]))


def _parts(design: Design, chain: Sequence[Fault]) -> Parts:
    return applied(design.components, chain)


def _next(design: Design, found: Effect, healthy: Effect, chain: Sequence[Fault]) -> Link | None:
    """The part that is asked most beyond its maximum and still whole, with the way in which it fails."""
    broken = {fault.part for fault in chain}
    strained = {exceeded.part for exceeded in healthy.exceeded}
    candidates: list[tuple[str, Exceeded | None]] = [(exceeded.part, exceeded) for exceeded in found.exceeded]
    if found.runs_away:
        candidates.insert(0, (found.runs_away, None))
    for name, exceeded in candidates:
        if name in broken or (name in strained and not found.runs_away):
            continue
        nexts = likeliest(design.part(name))
        if nexts is not None:
            return Link(nexts, "its junction runs away" if exceeded is None else exceeded.in_words)
    return None


def _consequence(
    design: Design, effects: Sequence[Effect], healthy: Effect, links: Sequence[Link], limit: float | None,
    unknown: Sequence[str],
) -> str:  # fmt: skip
    """The gravest of what happens anywhere along the chain."""
    highest = max((found.outputs[1] for found in effects if found.outputs is not None), default=0.0)
    if limit is not None and highest > limit * (1.0 + 1e-9) and _newly(highest, healthy):
        return OVERVOLTAGE
    if any(_alight(design, found) for found in effects):
        return ALIGHT_WORD
    if unknown:
        return OPEN
    if links:
        return DESTROYED
    output = design.brief.output
    first, before = effects[0], healthy.outputs
    if first.crowbar is not None:
        return LOST
    if output is None or before is None:
        return HARMLESS
    if first.outputs is None or first.outputs[0] < 0.5 * abs(output.voltage):
        return LOST
    allowed = abs(output.voltage) * output.tolerance
    moved = max(abs(now - then) for now, then in zip(first.outputs, before, strict=True))
    return SEEN if moved > 0.2 * allowed else HARMLESS


def _newly(highest: float, healthy: Effect) -> bool:
    return healthy.outputs is None or highest > healthy.outputs[1] * (1.0 + 1e-6)


def _alight(design: Design, found: Effect) -> bool:
    """A resistor at more than twice what it may, as hot as it then gets."""
    return any(exceeded.requirement == "resistor power" and exceeded.share > ALIGHT for exceeded in found.exceeded)
