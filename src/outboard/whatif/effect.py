"""What a fault does: what the load sees, who is asked too much, what a meter would show.

A faulty design is solved at the ends of input and ambient, with usual leakage and with all leakages at their
guaranteed most, and at usual input and ambient; each time without load, at the usual and at the full load.  Every
rating is held against every point.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements.crowbar import crowbar_of
from outboard.arrangements.design import Design
from outboard.cases.axes import axes
from outboard.checks import needs
from outboard.checks.check import Check
from outboard.checks.ratings import rating_checks
from outboard.constants import ZERO_CELSIUS
from outboard.errors import RefusedNetwork
from outboard.network import edits
from outboard.network.circuit import AMBIENT_FIELD, Circuit
from outboard.network.edits import Parts, Pruned, edited
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY, SOLVED
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities.figures import direction
from outboard.quantity import CURRENT, POWER, VOLTAGE, shown
from outboard.whatif.firing import Fired, fires, on_state, unfired, unwarmed
from outboard.whatif.restart import let_go, restarted

GUARANTEES = ("input-output differential", "dissipation")
"""Checks of what a sheet guarantees, not of what a part survives."""

CONDUCTS_BACKWARDS = 0.1
"""An output that stands this much above its regulator's input drives a current backwards through it [V]."""


@dataclass(frozen=True, slots=True)
class Exceeded:
    """A rating that is passed: by which part, how far; `share` is value over limit, counted from rest."""

    part: str
    requirement: str
    value: float
    limit: float
    unit: str
    share: float

    @property
    def in_words(self) -> str:
        """The rating, what it has become and what is allowed: as a reason for the next failure."""
        value, limit = (_amount(number, self.unit) for number in (self.value, self.limit))
        allowed = f"{limit} allowed" if self.limit else "none allowed there"
        return f"its {self.requirement} is {value}, {allowed}"


def _amount(number: float, unit: str) -> str:
    if unit == "K":
        return f"{number - ZERO_CELSIUS:.0f} °C"
    return shown(max(0.0, number) if unit == "W" else number, {"V": VOLTAGE, "A": CURRENT, "W": POWER}[unit], 3)


@dataclass(frozen=True, slots=True)
class Effect:
    """Everything that a fault does.

    outputs    least and most voltage at the load's place over all points [V]; None when no point is solved
    dead       whether the output stays under half of its voltage at some point
    readings   net -> voltage without load and at the usual load [V], usual input and ambient
    exceeded   ratings that are passed, the worst first
    runs_away  the part whose junction passes all bounds
    unknown    why something cannot be told
    floating   nets that hang in the air
    crowbar    the crowbar that ends it; nothing else is asked too much then, for a fuse has to open
    """

    outputs: tuple[float, float] | None
    readings: Mapping[str, tuple[float, float]]
    exceeded: tuple[Exceeded, ...] = ()
    runs_away: str = ""
    unknown: tuple[str, ...] = ()
    floating: tuple[str, ...] = ()
    powers: Mapping[str, float] = field(default_factory=dict)
    crowbar: Fired | None = None

    @property
    def is_known(self) -> bool:
        """Whether nothing about it is open."""
        return not self.unknown


@dataclass(frozen=True, slots=True)
class Circumstances:
    """Where faults are tried: corners of input, ambient and leakage with the usual one last, the loads, the output."""

    corners: Overrides
    loads: Overrides
    net: str
    sign: float


def circumstances(design: Design) -> Circumstances:
    """The ends of input and ambient, and no load, usual load, full load."""
    brief = design.brief
    source = next((part.part for part in design.parts if part.name == "input"), None)
    ambient = brief.surroundings.ambient
    voltages: Sequence[float] = (0.0,)
    if source is not None:
        voltages = tuple(brief.input.voltage) if brief.input is not None else (source.values["voltage"],) * 3
    ends = [(v, t) for v in sorted({voltages[0], voltages[-1]}) for t in sorted({ambient.least, ambient.most})]
    leaking = _leakage(design)
    pairs = [*(ends if leaking else ()), *ends, (voltages[len(voltages) // 2], ambient.usual)]
    fields = ((("input", "voltage"),) if source is not None else ()) + (AMBIENT_FIELD, *leaking)
    surroundings = np.array([pair if source is not None else pair[1:] for pair in pairs], dtype=float)
    leaks = np.array([[usual for usual, _ in leaking.values()]] * len(pairs)).reshape(len(pairs), len(leaking))
    if leaking:
        leaks[: len(ends)] = [most for _, most in leaking.values()]
    values = np.hstack([surroundings, leaks])
    loads = Overrides.none()
    if brief.output is not None:
        loads = Overrides.column("load", "draws", np.array([0.0, brief.output.load.usual, brief.output.load.most]))
    place = next((part.part.pins for part in design.parts if part.name == "load"), {"plus": "out"})
    net = place["minus"] if place["plus"] == "ground" else place["plus"]
    sign = -1.0 if brief.output is not None and brief.output.voltage < 0.0 else 1.0
    return Circumstances(Overrides(fields, values), loads, net, sign)


def _leakage(design: Design) -> dict[tuple[str, str], tuple[float, float]]:
    """Numbers that belong to leakage: usual, and at the guaranteed most."""
    axis = next((axis for axis in axes(design) if axis.name == "leakage"), None)
    option = next((option for option in axis.options if option.word == "most"), None) if axis is not None else None
    return {
        (name, number): (design.part(name).part.values[number], most)
        for (name, number), most in (option.values.items() if option is not None else ())
        if number in design.part(name).part.values
    }


def effect(
    design: Design, parts: Parts, around: Circumstances, ratings: bool = True, restarts: bool = False,
    lets_go: str = "",
) -> Effect:
    """What becomes of the design when its network consists of these parts; without `ratings` only the output counts.

    With `restarts` the input comes back, from nothing, while everything is as hot as it was.  With `lets_go`, the name
    of a short, it counts whether the output comes back once that short is gone; what it does is another matter.
    """
    try:
        whole, block = _solved(design, parts, around)
    except RefusedNetwork as refused:
        return Effect(None, {}, unknown=(refused.what,))
    if lets_go:
        after = let_go(block, lets_go)
        lost = int(np.count_nonzero(~after.is_solved))
        unknown = (f"at {lost} of {after.outcomes.size} points the short itself has no equilibrium",) if lost else ()
        return Effect(_outputs(after, around), {}, unknown=unknown)
    if restarts:
        block = restarted(block)
    crowbar = fires(design, whole, block)
    if crowbar is None and crowbar_of(design) is not None and not block.is_solved.all():
        quick = _solved(design, unwarmed(whole.parts), around)[1]
        crowbar = fires(design, whole, quick)
        block = quick if isinstance(crowbar, Fired) else block
    if isinstance(crowbar, Fired):
        return _shorted_by(crowbar, design, whole, block, around)
    if not ratings:
        return Effect(_outputs(block, around), {}, floating=whole.floating)
    readings = _readings(block) if block.is_solved[-1].all() else {}
    exceeded = tuple(sorted(_exceeded(design, whole, block), key=lambda found: -found.share))
    return Effect(
        _outputs(block, around), readings, exceeded, _runs_away(block),
        (*_unknown(design, whole, block), *((crowbar,) if isinstance(crowbar, str) else ())),
        whole.floating, _powers(block),
    )  # fmt: skip


def _shorted_by(crowbar: Fired, design: Design, whole: Pruned, block: Block, around: Circumstances) -> Effect:
    """What is left once the crowbar has fired: nothing at the output when the fuse has opened.

    What the load sees before is told without the trigger, which would hold the output down in this model of it.
    """
    unknown = tuple(_unknown(design, whole, block))
    _, after = _solved(design, on_state(whole.parts, crowbar.part), around)
    quiet = unfired(design, whole.parts)
    seen = [_outputs(_solved(design, parts, around)[1], around) for parts in (quiet, unwarmed(quiet))]
    before = max((one for one in (*seen, _outputs(block, around)) if one is not None), key=_highest, default=None)
    if after.is_solved.any():
        flows = float(np.abs(after.pin_current(crowbar.part, "cathode"))[after.is_solved].max())
        crowbar = replace(crowbar, surge=flows)
    if before is not None:
        most = before[1] if crowbar.lets_through is None else min(before[1], crowbar.lets_through)
        crowbar, before = replace(crowbar, lets_through=most), (0.0, most)
    readings = _readings(after) if after.is_solved[-1].all() else {}
    return Effect(before, readings, unknown=unknown, floating=whole.floating, crowbar=crowbar)


def _highest(outputs: tuple[float, float]) -> float:
    return outputs[1]


def _solved(design: Design, parts: Parts, around: Circumstances) -> tuple[Pruned, Block]:
    """The parts that are left with their solutions; where an output hangs on nothing, with a meter across it."""
    found: list[tuple[Pruned, Block]] = []
    for some in (parts, edits.metered(parts, around.net)):
        circuit, whole = edited(some, design.brief.surroundings.ambient.usual)
        block = solved(circuit, present(around.corners, circuit), present(around.loads, circuit), workers=1)
        found.append((whole, block))
        if not (block.outcomes == NOT_CONVERGED).any():
            return found[-1]
    return found[0]


def present(overrides: Overrides, circuit: Circuit) -> Overrides:
    """The columns of a table of cases whose part a circuit has."""
    kept = [column for column, address in enumerate(overrides.fields) if address in circuit.slots]
    return Overrides(tuple(overrides.fields[column] for column in kept), overrides.values[:, kept])


def _outputs(block: Block, around: Circumstances) -> tuple[float, float] | None:
    if ("net", around.net) not in block.circuit.index or not block.is_solved.any():
        return None
    voltages = around.sign * block.net_voltage(around.net)[block.is_solved]
    return float(voltages.min()), float(voltages.max())


def _readings(block: Block) -> dict[str, tuple[float, float]]:
    """Voltages of all nets without load and at the usual load, at usual input and ambient."""
    usual = min(1, block.outcomes.shape[1] - 1)
    return {
        node[1]: (float(block.at(node)[-1, 0]), float(block.at(node)[-1, usual]))
        for node in block.circuit.unknowns
        if node[0] == "net"
    }


def _powers(block: Block) -> dict[str, float]:
    """Greatest power of every part that takes power up [W]."""
    if not block.is_solved.any():
        return {}
    return {name: float(block.power(name)[block.is_solved].max()) for name in block.electrical_parts}


def _runs_away(block: Block) -> str:
    """The hottest junction where a lane ran away."""
    lost = np.argwhere(block.outcomes == RUNAWAY)
    if not len(lost):
        return ""
    row, point = lost[0]
    junctions = [node for node in block.circuit.unknowns if node[0] == "junction"]
    return max(junctions, key=lambda node: float(block.at(node)[row, point]))[1] if junctions else ""


def _exceeded(design: Design, whole: Pruned, block: Block) -> Iterator[Exceeded]:
    """Every rating that is passed at some solved point, at its worst."""
    for check in _survival_checks(design, whole):
        value, limit, margin = check.margins(block)
        usable = block.is_solved & np.isfinite(margin)
        if not usable.any():
            continue
        worst = np.unravel_index(int(np.where(usable, margin, np.inf).argmin()), margin.shape)
        if margin[worst] < 0.0:
            yield Exceeded(
                check.part or "", check.requirement, float(value[worst]), float(limit[worst]), check.unit,
                _share(value[worst], limit[worst], check.rest),
            )  # fmt: skip


def _share(value: float, limit: float, rest: float) -> float:
    way = limit - rest
    return float((value - rest) / way) if way > 0.0 else float("inf")


def _survival_checks(design: Design, whole: Pruned) -> Iterator[Check]:
    """The ratings of the parts that are left, as they are now connected."""
    now = {part.name: part for part in whole.parts}
    parts = tuple(replace(part, part=now[part.name]) for part in design.parts if part.name in now)
    for check in rating_checks(replace(design, parts=parts)):
        if check.requirement not in GUARANTEES and np.isfinite(_limit(check)):
            yield check


def _limit(check: Check) -> float:
    """A limit that depends on the point is known as far as its figures are."""
    if callable(check.limit):
        return float("nan") if needs.missing(check.needs[:3]) else 1.0
    return check.limit


def _unknown(design: Design, whole: Pruned, block: Block) -> Iterator[str]:
    """What cannot be told: points without a solution, junctions driven backwards without a figure for it."""
    open_points = int(np.count_nonzero((block.outcomes != SOLVED) & (block.outcomes != RUNAWAY)))
    if open_points:
        word = "outside the models' range" if (block.outcomes == OUT_OF_RANGE).any() else "not converged"
        yield f"{open_points} of {block.outcomes.size} points {word}{_as_far_as(block)}"
    for net in whole.floating:
        yield f"net {net} hangs in the air"
    now = {part.name for part in whole.parts}
    for part in design.parts:
        if part.name not in now:
            continue
        unknown_way = part.part.kind == "regulator" and "reverse_voltage" not in part.part.values
        if unknown_way and _worst(block, _backwards(block, part.name)) > CONDUCTS_BACKWARDS:
            yield f"{part.name} is driven backwards, and its sheet does not say what it bears then"
        for check in rating_checks(replace(design, parts=(part,))) if part.part.kind != "resistor" else ():
            backwards = check.requirement == "reverse base-emitter voltage" and not np.isfinite(_limit(check))
            if backwards and _worst(block, check.margins(block)[0]) > 1.0:
                yield f"the base-emitter junction of {part.name} is driven backwards, and V_EBO is not known"


def _as_far_as(block: Block) -> str:
    """How far the load could be followed where a point is open: words, empty when it is open without load already."""
    draws = block.sweep.values[:, 0] if block.sweep.fields else np.zeros(1)
    reached = []
    for row, point in np.argwhere((block.outcomes != SOLVED) & (block.outcomes != RUNAWAY)):
        if point == 0 or block.outcomes[row, point - 1] != SOLVED:
            continue
        reached.append(draws[point - 1] + block.notes[row, point, 1] * (draws[point] - draws[point - 1]))
    if not reached:
        return ": none is found with the input raised from nothing"
    return f": from no load the way could be followed to {shown(float(min(reached)), CURRENT, 3)} and no further"


def _backwards(block: Block, name: str) -> NDArray[np.float64]:
    return -direction(block, name) * (block.pin_voltage(name, "in") - block.pin_voltage(name, "out"))


def _worst(block: Block, values: NDArray[np.float64]) -> float:
    return float(np.where(block.is_solved, values, -np.inf).max())
