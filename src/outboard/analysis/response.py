"""How a design answers small signals: loop gain and its margins, natural frequencies, output impedance, rejection.

Usual devices at usual input and ambient, at least, usual and most load, at every end of the regulator's bandwidth.
Temperatures are held: what heat does to the loop happens far below the frequencies that are looked at.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.moving_design import WORDS, MovingDesign
from outboard.network.expansion import Node
from outboard.network.moving import Evaluation, MovingCircuit, NoPoint, at_rest, moving_circuit, temperatures_of
from outboard.network.moving_expansion import control_node
from outboard.network.outcome import SOLVED
from outboard.network.outcome import WORDS as OUTCOMES
from outboard.network.small_signal import Complex, Floats, answers, crossings, natural_frequencies, return_ratio
from outboard.network.solution import Block

LoopAt = Callable[[Floats], Complex]
Level = Callable[[Complex], Floats]

LOWEST, HIGHEST, PER_DECADE = 1.0, 1e8, 40
"""Frequencies that are looked at [Hz]."""

FREQUENCIES: Floats = np.geomspace(LOWEST, HIGHEST, 8 * PER_DECADE + 1)
FINER = 65
HALF_TURN = 180.0

MAINS_RIPPLE = (100.0, 120.0)
"""Ripple of a full-wave rectifier at 50 Hz and 60 Hz mains [Hz]."""

ROUNDING = 1e-7
"""Share of a natural frequency's size by which it must grow to count as growing."""


@dataclass(frozen=True, slots=True)
class Mode:
    """A natural frequency s [1/s]."""

    s: complex

    @property
    def grows(self) -> bool:
        """Whether it grows by itself."""
        return self.s.real > ROUNDING * abs(self.s)

    @property
    def frequency(self) -> float:
        """How fast it swings [Hz]."""
        return abs(self.s.imag) / (2.0 * np.pi)

    @property
    def damping(self) -> float:
        """−Re s/|s|: 1 does not swing, 0 swings for ever, below 0 grows."""
        return -self.s.real / abs(self.s) if self.s else 1.0


@dataclass(frozen=True)
class Answer:
    """What one load at one end of the bandwidth gives.

    word, end      which load and which end: "least", "usual", "most"
    outcome        "solved", or what became of the point at rest; then there is nothing else
    loop           loop gain at FREQUENCIES; empty where no regulator has a control
    impedance      at the load [Ω]
    rejected       what comes through of a volt in the source of the input
    """

    word: str
    end: str
    load: float
    bandwidth: float
    outcome: str
    loop: Complex
    impedance: Complex
    rejected: Complex
    modes: tuple[Mode, ...]
    margins: "Margins"

    @property
    def is_solved(self) -> bool:
        """Whether there is a point to answer from."""
        return self.outcome == OUTCOMES[SOLVED]

    @cached_property
    def phase(self) -> Floats:
        """Phase of the loop gain, without jumps [°]."""
        return np.asarray(np.degrees(np.unwrap(np.angle(self.loop))))

    @property
    def growing(self) -> tuple[Mode, ...]:
        """Natural frequencies that grow."""
        return tuple(mode for mode in self.modes if mode.grows)

    @property
    def least_damped(self) -> Mode | None:
        """The mode that dies out with the most swings, or grows."""
        return min(self.modes, key=lambda mode: mode.damping, default=None)

    def impedance_at(self, frequency: float) -> float:
        """|Z| at a frequency [Ω]."""
        return _between(FREQUENCIES, np.abs(self.impedance), frequency)

    def rejection_at(self, frequency: float) -> float:
        """How far ripple of the source is held down [dB]."""
        return -20.0 * float(np.log10(_between(FREQUENCIES, np.abs(self.rejected), frequency)))

    @property
    def greatest_impedance(self) -> tuple[float, float]:
        """The largest |Z| [Ω] and its frequency [Hz]."""
        place = int(np.abs(self.impedance).argmax())
        return float(np.abs(self.impedance[place])), float(FREQUENCIES[place])


@dataclass(frozen=True, slots=True)
class Margins:
    """Of a loop: last crossover [Hz], least phase margin [°], by how much its gain may rise and may fall [dB].

    None: the loop gain nowhere passes one, or its phase nowhere turns by half a turn on that side of the crossover.
    """

    crossover: float | None = None
    phase: float | None = None
    rise: float | None = None
    fall: float | None = None


@dataclass(frozen=True, slots=True)
class Response:
    """All answers; none where something is missing that they rest on."""

    moving: MovingDesign
    answers: tuple[Answer, ...]
    missing: tuple[str, ...]
    conditions: tuple[float, float]
    """Usual input [V], usual ambient [K]."""

    def answer(self, word: str, end: str = "usual") -> Answer:
        """That of one load and one end of the bandwidth; KeyError when there is none."""
        for found in self.answers:
            if (found.word, found.end) == (word, end):
                return found
        raise KeyError((word, end))

    @property
    def usual(self) -> tuple[Answer, ...]:
        """At the usual bandwidth, by rising load, each load once."""
        loads: dict[float, Answer] = {}
        for word in WORDS:
            found = self.answer(word)
            loads.setdefault(found.load, found)
        return tuple(loads.values())


def response(moving: MovingDesign) -> Response:
    """How the design answers small signals, or what must be known first."""
    loads = moving.loads
    source = moving.inputs[1]
    block = moving.solved([source] * 3, loads)
    missing = tuple(moving.missing(block))
    ambient = moving.design.brief.surroundings.ambient.usual
    found = () if missing else tuple(
        _answer(moving, block, row, word, end) for end in moving.bandwidth for row, word in enumerate(WORDS)
    )  # fmt: skip
    return Response(moving, found, missing, (source, ambient))


def _answer(moving: MovingDesign, block: Block, row: int, word: str, end: str) -> Answer:
    load, bandwidth = moving.loads[row], moving.bandwidth[end]
    none: Complex = np.zeros(0, dtype=complex)
    outcome = int(block.outcomes[row, 0])
    if outcome == SOLVED:
        circuit = moving_circuit(moving.at_bandwidth(end), temperatures_of(block, row))
        drives = {("load", "draws"): lambda _: load, ("input", "voltage"): lambda _: moving.inputs[1]}
        try:
            x = at_rest(circuit, block, drives, row)
            return answered(moving, circuit, circuit.evaluation(x, circuit.numbers(drives, 0.0)), row, word, end)
        except NoPoint:
            outcome = -1
    said = OUTCOMES[outcome] if outcome >= 0 else "not converged"
    return Answer(word, end, load, bandwidth, said, none, none, none, (), Margins())


def answered(
    moving: MovingDesign, circuit: MovingCircuit, point: Evaluation, row: int, word: str, end: str
) -> Answer:
    """Everything that is asked of one point."""
    nodes = [control_node(name) for name in moving.regulators]
    controls = [circuit.index[node] for node in nodes if node in circuit.index]
    plus, minus = (circuit.place(net) for net in moving.output)
    drawn, fed = np.zeros(circuit.size), np.zeros(circuit.size)
    for place, sign in ((plus, 1.0), (minus, -1.0)):
        if place is not None:
            drawn[place] = sign
    branch: Node = ("branch", "input", "current")
    fed[circuit.index[branch]] = 1.0
    impedance, rejected = (
        _across(answers(point.by_f, point.by_q, right, FREQUENCIES), plus, minus) for right in (drawn, fed)
    )

    def loop_at(frequencies: Floats) -> Complex:
        return return_ratio(point.by_f, point.by_q, controls, frequencies)

    loop = loop_at(FREQUENCIES) if controls else np.zeros(0, dtype=complex)
    modes = tuple(Mode(complex(s)) for s in natural_frequencies(point.by_f, point.by_q))
    found = margins(loop, loop_at) if controls else Margins()
    return Answer(word, end, moving.loads[row], moving.bandwidth[end], OUTCOMES[SOLVED], loop, impedance, rejected,
                  modes, found)  # fmt: skip


def _across(x: Complex, plus: int | None, minus: int | None) -> Complex:
    above = x[:, plus] if plus is not None else 0.0
    return np.asarray(above - (x[:, minus] if minus is not None else 0.0), dtype=complex)


def margins(loop: Complex, loop_at: LoopAt) -> Margins:
    """Crossover, least phase margin and gain margin of a loop gain at FREQUENCIES; `loop_at` gives it elsewhere."""
    size, phase = np.abs(loop), np.degrees(np.unwrap(np.angle(loop)))
    found: list[tuple[float, float]] = []
    for k in crossings(size, 1.0):
        frequency, _, turned = _refined(loop_at, k, lambda values: np.log(np.abs(values)), float(phase[k]))
        found.append((HALF_TURN + turned, frequency))
    gains = [
        -20.0 * float(np.log10(abs(there)))
        for turn in range(max(0, int(np.ceil((1.0 - phase.min() / HALF_TURN) / 2.0))))
        for _, there in _passing(loop_at, phase, -HALF_TURN * (2 * turn + 1))
    ]
    rise = min((gain for gain in gains if gain > 0.0), default=None)
    fall = min((-gain for gain in gains if gain <= 0.0), default=None)
    if not found:
        return Margins(None, None, rise, fall)
    return Margins(max(one[1] for one in found), min(found)[0], rise, fall)


def _passing(loop_at: LoopAt, phase: Floats, level: float) -> Iterator[tuple[float, complex]]:
    """Where the phase passes a level [°]: frequency [Hz] and loop gain."""
    for k in crossings(phase, level):
        start = float(phase[k])
        frequency, there, _ = _refined(loop_at, k, lambda values, at=start: _unwrapped(values, at) - level, start)  # type: ignore[misc]
        yield frequency, there


def _unwrapped(values: Complex, start: float) -> Floats:
    """Phase going on from a first one [°]."""
    turned = np.degrees(np.unwrap(np.angle(values)))
    return np.asarray(turned - 360.0 * np.round((turned[0] - start) / 360.0))


def _refined(loop_at: LoopAt, k: int, level: Level, start: float) -> tuple[float, complex, float]:
    """Where a quantity of the loop passes nothing between two frequencies: frequency, loop gain, phase going on."""
    fine = np.geomspace(FREQUENCIES[k], FREQUENCIES[k + 1], FINER)
    values = loop_at(fine)
    passing = level(values)
    places = crossings(passing, 0.0)
    place = places[0] if places else int(np.abs(passing).argmin())
    place = min(place, FINER - 2)
    step = passing[place] - passing[place + 1]
    share = float(np.clip(passing[place] / step, 0.0, 1.0)) if step else 0.0
    frequency = float(fine[place] * (fine[place + 1] / fine[place]) ** share)
    turned = _unwrapped(values, start)
    phase = float(turned[place] + share * (turned[place + 1] - turned[place]))
    return frequency, complex(values[place] * (values[place + 1] / values[place]) ** share), phase


def _between(xs: Floats, ys: NDArray[np.float64], x: float) -> float:
    """A value between points of a curve, straight on logarithmic scales."""
    return float(np.exp(np.interp(np.log(x), np.log(xs), np.log(ys))))
