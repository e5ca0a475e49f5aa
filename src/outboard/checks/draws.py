"""Units drawn at random, each tried under everything that was promised.

A drawn unit is one that could be built: its gains, voltages and resistances lie somewhere within their tolerances.  It
is tried along the whole load range at every pair of least and most input and ambient, then with the load released while
all is hot, then started into the full load: a unit holds when it holds everywhere.  So 10 000 draws over 25 loads and
4 pairs are a million operating points.  ([tolerances] conditions = "drawn" tries each unit at one input and one ambient
instead, drawn uniformly with it.)

What the corners say is not replaced: where a draw lies below the worst corner, the corners were no bound, and that is
a finding of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements.design import Design
from outboard.cases.axes import Address
from outboard.cases.distributions import correlations, ways
from outboard.cases.sampling import BLOCK, Method, Sampling, numbers
from outboard.checks import needs
from outboard.checks.check import Check
from outboard.checks.drawn import Drawn, Least
from outboard.checks.setting import Setting
from outboard.checks.tally import Tally
from outboard.checks.verification import LOADS, Tried, tried
from outboard.network.circuit import AMBIENT_FIELD
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import released, solved

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

SETTLED, RELEASED, STARTED = "settled", "released", "started"

BEYOND = 1e-6
"""A draw is outside of the corners' bound when it is below it by more than this share of the way to the limit; less is
what two solutions of one circuit may differ by."""


@dataclass(frozen=True)
class Lot:
    """What draws are taken from, and what they are held against.

    manners   how each check's lanes come about; `bounds` what the corners found, less what rounding may do
    """

    corners: Tried
    sampling: Sampling

    @property
    def setting(self) -> Setting:
        """Circuit, loads and ends."""
        return self.corners.setting

    @cached_property
    def tallies(self) -> tuple[Tally, ...]:
        """The corners' tallies, in the order of all that is counted."""
        return (*self.corners.steady, *self.corners.after, *self.corners.starts)

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """Every requirement."""
        return tuple(tally.check for tally in self.tallies)

    @cached_property
    def manners(self) -> tuple[str, ...]:
        """How the lanes of each requirement come about."""
        found = self.corners
        return (SETTLED,) * len(found.steady) + (RELEASED,) * len(found.after) + (STARTED,) * len(found.starts)

    @cached_property
    def bounds(self) -> tuple[float, ...]:
        """The least margin of the corners, less what rounding may do; −∞ where the corners have none."""
        return tuple(_bound(tally) for tally in self.tallies)

    @cached_property
    def undecidable(self) -> tuple[tuple[str, ...], ...]:
        """Why each requirement cannot be decided whatever is drawn; empty where it can."""
        return tuple(undecidable(check, self.setting.design.brief.requirements.trust) for check in self.checks)

    @property
    def surroundings(self) -> list[tuple[float, float]] | None:
        """Pairs of input [V] and ambient [K] at which every draw is tried; None where they are drawn."""
        return self.setting.ends if self.setting.design.brief.tolerances.conditions == "ends" else None


def undecidable(check: Check, trust: str) -> tuple[str, ...]:
    """Why a requirement cannot be decided whatever is tried; nothing where it can."""
    weak = needs.weak(check.needs) if trust == "limits" else ()
    words = ("only limits are trusted, and this rests on " + ", ".join(weak),) if weak else ()
    return (*needs.missing(check.needs), *filter(None, (check.silent,)), *words)


def _bound(tally: Tally) -> float:
    if tally.worst is None:
        return -np.inf
    way = max(abs(tally.worst.limit - tally.check.rest), abs(tally.worst.margin))
    return tally.worst.margin - BEYOND * way


def lot(design: Design, seed: int, method: Method = "sobol", loads: int = LOADS) -> Lot:
    """Tries the corners of a design and makes draws possible."""
    return lot_of(tried(design, loads), seed, method)


def lot_of(corners: Tried, seed: int, method: Method = "sobol") -> Lot:
    """Draws beside corners that were tried."""
    design = corners.setting.design
    found = ways(design, corners.setting.axes)
    chosen = design.brief.tolerances
    extra = 2 if chosen.conditions == "drawn" else 0
    sampling = Sampling(found, correlations(design, found), chosen.limits_at, seed, method, extra)
    return Lot(corners, sampling)


@dataclass(frozen=True)
class Units:
    """Drawn units and their surroundings: rows [unit · surrounding] of overrides."""

    first: int
    places: Floats
    inputs: Floats
    ambients: Floats
    rows: Overrides

    def __len__(self) -> int:
        return len(self.places)

    @property
    def each(self) -> int:
        """Surroundings per unit."""
        return len(self.inputs) // max(1, len(self.places))


def units(found: Lot, block: int, chosen: slice = slice(None)) -> Units:
    """The units of a block, or some of them."""
    places, extra = found.sampling.block(block)
    first = block * BLOCK + (chosen.start or 0)
    return units_at(found, places[chosen], extra[chosen], first)


def units_at(found: Lot, places: Floats, extra: Floats, first: int = 0) -> Units:
    """Units at given places [unit, way]; `extra` draws input and ambient where these are drawn."""
    setting = found.setting
    pairs = found.surroundings
    addresses, values = numbers(found.sampling.ways, places)
    if pairs is None:
        inputs, ambients = (
            min(ends) + (max(ends) - min(ends)) * extra[:, column]
            for column, ends in enumerate((setting.inputs, setting.ambients))
        )
    else:
        values = np.repeat(values, len(pairs), axis=0)
        inputs, ambients = (np.tile([pair[which] for pair in pairs], len(places)) for which in (0, 1))
    return Units(first, places, inputs, ambients, overrides(setting, addresses, values, inputs, ambients))


def overrides(
    setting: Setting, addresses: Sequence[Address], values: Floats, inputs: Floats, ambients: Floats
) -> Overrides:
    """Numbers of parts with input [V] and ambient [K], row by row."""
    names, columns = [*addresses, AMBIENT_FIELD], [values, ambients[:, None]]
    if setting.input is not None:
        names.append((setting.input, "voltage"))
        columns.append(inputs[:, None])
    return Overrides(tuple(names), np.hstack(columns))


@dataclass(frozen=True)
class Lanes:
    """Solutions of units in one manner, with the loads of the points [A]."""

    block: Block
    loads: Floats


def lanes(setting: Setting, rows: Overrides, manners: Sequence[str]) -> dict[str, Lanes]:
    """Rows in every manner that is asked for; one thread, so that the grouping of lanes never depends on threads."""
    loads = setting.loads
    hot = solved(setting.circuit, rows, setting.sweep(loads), workers=1)
    found = {SETTLED: Lanes(hot, loads)}
    if RELEASED in manners and setting.load_fields:
        most, least = (Overrides.column("load", "draws", np.full(len(rows), load)) for load in loads[[-1, 0]])
        # a row without a point at full load starts from nowhere and ends without one
        after = released(setting.circuit, rows, most, least, hot.xs[:, -1], workers=1)
        outcomes = np.where(hot.is_solved[:, -1:], after.outcomes, hot.outcomes[:, -1:]).astype(np.int8)
        found[RELEASED] = Lanes(
            Block(after.circuit, after.corners, after.sweep, after.xs, outcomes, after.notes), loads[:1]
        )
    if STARTED in manners:
        started = solved(setting.circuit, rows, setting.sweep(loads[-1:]), raise_each=True, workers=1)
        found[STARTED] = Lanes(started, loads[-1:])
    return found


@dataclass(frozen=True)
class Judged:
    """Lanes of units judged by one check: value and limit [unit · surrounding, point]; for each unit the least margin,
    the place of its lane, and whether some lane could not be judged."""

    value: Floats
    limit: Floats
    loads: Floats
    margins: Floats
    places: NDArray[np.intp]
    opened: Flags

    @classmethod
    def of(cls, check: Check, piece: Lanes, some: Units) -> "Judged":
        """Judges lanes; the margin of a unit without a single judged lane is ∞, and it is open."""
        value, limit, margin = check.margins(piece.block)
        usable = piece.block.is_solved & np.isfinite(margin)
        flat = np.where(usable, margin, np.inf).reshape(len(some), -1)
        places = flat.argmin(axis=1)
        opened = np.asarray(~usable.reshape(len(some), -1).all(axis=1))
        return cls(value, limit, piece.loads, flat[np.arange(len(some)), places], places, opened)

    def least(self, unit: int, some: Units) -> Least | None:
        """The worst lane of a unit; None where none was judged."""
        if not np.isfinite(self.margins[unit]):
            return None
        row, point = divmod(int(self.places[unit]), len(self.loads))
        row += unit * some.each
        return Least(
            float(self.margins[unit]), some.first + unit, float(self.value[row, point]), float(self.limit[row, point]),
            float(some.inputs[row]), float(some.ambients[row]), float(self.loads[point]),
        )  # fmt: skip


def drawn_block(found: Lot, block: int, draws: int) -> Drawn:
    """A block of draws, solved and reduced; of a last block only what belongs to `draws`."""
    return reduced(found, units(found, block, slice(0, min(BLOCK, draws - block * BLOCK))))


def reduced(found: Lot, some: Units) -> Drawn:
    """Units, solved and reduced."""
    solutions = lanes(found.setting, some.rows, found.manners)
    result = Drawn.none(len(found.sampling.ways), len(found.checks))
    ran_away, opened_anywhere, short = (np.zeros(len(some), dtype=np.bool_) for _ in range(3))
    for manner, piece in solutions.items():
        outcomes = piece.block.outcomes
        ran_away |= (outcomes == RUNAWAY).reshape(len(some), -1).any(axis=1)
        if manner != RELEASED:  # a release starts from points that are counted already
            result.points += outcomes.size
            result.runaway += int(np.count_nonzero(outcomes == RUNAWAY))
            result.undecided += int(np.isin(outcomes, (OUT_OF_RANGE, NOT_CONVERGED)).sum())
    result.take_places(some.places)
    counted = zip(found.checks, found.manners, found.bounds, found.undecidable, result.checks, strict=True)
    for check, manner, bound, unknown, kept in counted:
        piece = solutions[manner]
        judged = Judged.of(check, piece, some)
        margins, opened = judged.margins, judged.opened
        kept.take(margins, opened, some.places, bound)
        least = judged.least(int(margins.argmin()), some) if len(margins) else None
        if least is not None:
            kept.keep(least)
        if not unknown:
            short |= margins < 0.0
            opened_anywhere |= opened
    failing = short | ran_away
    result.fails = int(np.count_nonzero(failing))
    result.open = int(np.count_nonzero(opened_anywhere & ~failing))
    result.holds = len(some) - result.fails - result.open
    return result


def replayed(found: Lot, draw: int) -> tuple[Units, tuple[Least | None, ...]]:
    """One draw again, by its number: the unit, and its worst lane by every requirement, to the bit as it was drawn."""
    block, place = divmod(draw, BLOCK)
    some = units(found, block)
    solutions = lanes(found.setting, some.rows, found.manners)
    worst = [
        Judged.of(check, solutions[manner], some).least(place, some)
        for check, manner in zip(found.checks, found.manners, strict=True)
    ]
    return units(found, block, slice(place, place + 1)), tuple(worst)
