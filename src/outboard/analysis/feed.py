"""The feed under everything that its mains, its load, its reservoir and its diodes may be: one steady cycle of each.

The stage draws a constant current, what it really draws at that load.  Diodes are as warm as the surroundings: their
own heat lowers their forward voltage, which is kind to the valley.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from outboard.analysis.charging import MOST_STEPS, Floats, Waves, settled, stable_steps
from outboard.analysis.feed_parts import (
    BRIDGE,
    COLD,
    HOT,
    USUAL,
    Diodes,
    Transformer,
    angular_frequency,
    crest,
    diodes,
    mistaken,
    transformer,
)
from outboard.analysis.inrush import Inrush, inrush
from outboard.analysis.rectified import Rectified
from outboard.analysis.stage_need import Need, stage_needs
from outboard.arrangements.design import Design
from outboard.brief import Feed
from outboard.span import Span

ROOT_2 = 2.0**0.5


@dataclass(frozen=True, slots=True)
class Case:
    """One choice of everything: each with its word, voltages [V], currents [A], capacitance [F], ambient [K]."""

    mains_word: str
    mains: float
    need: Need
    reservoir_word: str
    reservoir: float
    diodes_word: str
    ambient: float
    current: float


@dataclass(frozen=True, slots=True)
class Cycle:
    """One steady cycle of the feed: what a meter, a scope and the parts see.

    Voltages [V] and currents [A] of the reservoir; conduction [rad] of a half cycle; diode currents of each diode;
    secondary of each winding that conducts in turn, effective; primary, effective, without magnetising current;
    power that the transformer is used for [VA]; dropped_out: share of the cycle below what the stage needs, None where
    that is not known; `settled` tells whether the periodic cycle was found.
    """

    case: Case
    valley: float
    mean: float
    peak: float
    conduction: float
    diode_mean: float
    diode_peak: float
    secondary: float
    primary: float
    ripple_current: float
    power: float
    dropped_out: float | None
    settled: bool

    @property
    def ripple(self) -> float:
        """Peak to peak [V]."""
        return self.peak - self.valley


@dataclass(frozen=True, slots=True)
class Wave:
    """A half cycle drawn out: angle [rad], voltage of the winding [V], of the reservoir [V], charging current [A]."""

    angle: Floats
    rectified: Floats
    reservoir: Floats
    charging: Floats


@dataclass(frozen=True, slots=True)
class FeedReport:
    """All cycles of a feed.

    most_crest  crest of the winding at high mains without load, which reservoir and diodes may see [V]
    waves       of every cycle, in the order of `cycles`
    """

    feed: Feed
    transformer: Transformer
    diodes: Diodes
    needs: tuple[Need, ...]
    cycles: tuple[Cycle, ...]
    waves: tuple[Wave, ...]
    most_crest: float
    inrush: Inrush

    def cycle(self, mains: float, load: float | None, reservoir: str = USUAL, diodes_word: str = USUAL) -> Cycle:
        """The cycle of a choice; LookupError when there is none."""
        return self.cycles[self.place(mains, load, reservoir, diodes_word)]

    def place(self, mains: float, load: float | None, reservoir: str = USUAL, diodes_word: str = USUAL) -> int:
        """Where the cycle of a choice stands; LookupError when there is none."""
        for n, one in enumerate(self.cycles):
            case = one.case
            if (case.mains, case.need.load, case.reservoir_word, case.diodes_word) == (
                mains, load, reservoir, diodes_word
            ):  # fmt: skip
                return n
        raise LookupError(f"no cycle at {mains} V, {load} A, {reservoir} reservoir, {diodes_word} diodes")

    def chosen(self, word: str) -> int:
        """Where a cycle stands: worst, the lowest valley; usual; high, at high mains and full load."""
        mains, loads = self.feed.mains, [need.load for need in self.needs]
        if word == "worst":
            return self.worst
        if word == "high":
            return self.place(mains.most, loads[-1])
        usual = [need.load for need in self.needs if need.word == "usual load"]
        return self.place(mains.usual, usual[0] if usual else loads[-1])

    @property
    def worst(self) -> int:
        """Where the cycle with the lowest valley stands."""
        return min(range(len(self.cycles)), key=lambda n: self.cycles[n].valley)


def feed_report(design: Design, feed: Feed, file: str = "") -> FeedReport:
    """Everything about the feed of a design.

    Raises WrongInput where its figures cannot be, RefusedNetwork when its stage makes no solvable network.
    """
    made, rectifier = transformer(feed, file), diodes(feed, file)
    most = crest(feed, made, feed.mains.most)
    needs = stage_needs(design, most)
    cases = _cases(feed, needs, design.brief.surroundings.ambient)
    feeds = _rectified(feed, made, rectifier, cases)
    if stable_steps(feeds) > MOST_STEPS:
        what = "so small a reservoir only follows the mains"
        raise mistaken(feed, "reservoir", what, "one that bridges a half cycle", file)
    waves = settled(feeds)
    hardest = max(cases, key=lambda case: (case.mains, case.reservoir, case.diodes_word == HOT))
    return FeedReport(
        feed, made, rectifier, needs, _cycles(feed, made, cases, waves),
        tuple(Wave(waves.angle, *(pieces[n] for pieces in (waves.rectified, waves.terminal, waves.charging)))
              for n in range(len(cases))),
        most, inrush(_rectified(feed, made, rectifier, [hardest])),
    )  # fmt: skip


def _cases(feed: Feed, needs: Sequence[Need], ambient: Span) -> list[Case]:
    mains = _distinct({"low mains": feed.mains.least, "usual mains": feed.mains.usual, "high mains": feed.mains.most},
                      "usual mains")  # fmt: skip
    around = Span.around(feed.reservoir, feed.reservoir_tolerance)
    reservoirs = _distinct({"least": around.least, USUAL: around.usual, "most": around.most}, USUAL)
    temperatures = {COLD: ambient.least, USUAL: ambient.usual, HOT: ambient.most}
    return [
        Case(word, volts, need, size, farads, warm, temperatures[warm],
             need.current if need.current is not None else (need.load or 0.0))
        for (word, volts), need, (size, farads), warm in product(
            mains.items(), needs, reservoirs.items(), temperatures
        )
    ]  # fmt: skip


def _distinct(values: Mapping[str, float], usual: str) -> dict[str, float]:
    """The words whose value is not that of the usual one, and the usual."""
    return {word: value for word, value in values.items() if word == usual or value != values[usual]}


def _rectified(feed: Feed, made: Transformer, rectifier: Diodes, cases: Sequence[Case]) -> Rectified:
    laws = np.array([rectifier.law(case.diodes_word, case.ambient) for case in cases])
    many = np.ones(len(cases))
    return Rectified(
        crest=np.array([crest(feed, made, case.mains) for case in cases]),
        omega=angular_frequency(feed) * many,
        resistance=made.resistance + feed.leads + laws[:, 1],
        offset=laws[:, 0], slope=laws[:, 2], saturation=laws[:, 3],
        capacitance=np.array([case.reservoir for case in cases]),
        esr=(feed.reservoir_ESR or 0.0) * many,
        load=np.array([case.current for case in cases]),
        bleeder=(1.0 / feed.bleeder if feed.bleeder is not None else 0.0) * many,
    )  # fmt: skip


def _cycles(feed: Feed, made: Transformer, cases: Sequence[Case], waves: Waves) -> tuple[Cycle, ...]:
    share = 1.0 if feed.rectifier == BRIDGE else 1.0 / ROOT_2
    secondary = share * waves.effective_current
    levels = np.array([np.nan if case.need.voltage is None else case.need.voltage for case in cases])
    below = waves.share_below(np.nan_to_num(levels))
    columns = (waves.valley, waves.mean, waves.peak, waves.conduction, 0.5 * waves.mean_current, waves.peak_current,
               secondary, made.ratio * waves.effective_current, waves.ripple_current,
               feed.rated_power * secondary / feed.rated_current)  # fmt: skip
    names = ("valley", "mean", "peak", "conduction", "diode_mean", "diode_peak", "secondary", "primary",
             "ripple_current", "power")  # fmt: skip
    figures = [{name: float(column[n]) for name, column in zip(names, columns, strict=True)} for n in range(len(cases))]
    return tuple(
        Cycle(case, dropped_out=None if np.isnan(levels[n]) else float(below[n]), settled=bool(waves.settled[n]),
              **figures[n])
        for n, case in enumerate(cases)
    )  # fmt: skip
