"""What is required of a design that moves, as findings: it must not swing, keep its margins, bear every step.

Whether the output must stay within bounds during a step is judged where the file promises it ([dynamics]
step_tolerance, recovery), and told where it does not.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from outboard.analysis.moving_design import MovingDesign, moving_design
from outboard.analysis.response import Answer, Response, response
from outboard.analysis.step import OFF, START, Step, Steps
from outboard.analysis.steps import steps
from outboard.arrangements.design import Design, DesignPart
from outboard.checks import needs
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Conditions, Finding, Verdict
from outboard.checks.needs import WEAK_KINDS
from outboard.constants import ZERO_CELSIUS
from outboard.parts.records import Origin
from outboard.quantity import CURRENT, VOLTAGE, shown

Floats = NDArray[np.float64]

STABILITY, PHASE_MARGIN = "stability", "phase margin"
STEP_OUTPUT, RECOVERY = "output during a step", "recovery after a step"
BACKWARDS = "regulator driven backwards"

CONDUCTS_BACKWARDS, WITH_DIODE = 0.1, 1.2
"""An output this much above its regulator's input drives it backwards [V]; with a diode across it, this much is borne
(common practice, no source)."""

PRACTICE = "default: 45° of phase margin, common practice without a source"
DIODE_PRACTICE = "default: what a diode across a regulator leaves, 1.2 V, it bears (common practice)"

PEAKS: Mapping[str, tuple[tuple[str, tuple[str, ...], str], ...]] = {
    "bipolar": (("peak collector current", ("I_C_peak", "I_C"), "collector"),
                ("collector-emitter voltage", ("V_CEO",), "collector emitter"),
                ("reverse base-emitter voltage", ("V_EBO",), "emitter base")),
    "mosfet": (("peak drain current", ("I_D_peak", "I_D"), "drain"),
               ("drain-source voltage", ("V_DSS",), "drain source"),
               ("gate-source voltage", ("V_GS",), "source gate")),
    "regulator": (("input voltage", ("V_I",), "in ref"), ("input-output voltage", ("V_diff",), "in out")),
    "diode": (("peak forward current", ("I_FSM", "I_F"), "anode"), ("reverse voltage", ("V_RRM",), "cathode anode")),
}  # fmt: skip
"""By kind: what must stay below which rating (the first that is known), and the pin or the pins, upper first."""

TRANSISTORS = ("bipolar", "mosfet")
"""Kinds whose ratings must be known; regulators and diodes have the one or the other."""


@dataclass(frozen=True, slots=True)
class Responded:
    """What moves, and the verdict on it."""

    response: Response
    steps: Steps
    verdict: Verdict


def responded(design: Design) -> Responded:
    """Small signals and steps of a design, judged; RefusedNetwork when input or load cannot be set."""
    begun = perf_counter()
    moving = moving_design(design)
    answered = response(moving)
    swings = any(one.growing for one in answered.answers if one.end == "usual")
    stepped = Steps(moving, (), ()) if answered.missing else steps(moving, swings)
    found = tuple(_findings(design, answered, stepped))
    solved = sum(one.is_solved for one in answered.answers)
    done = Conditions(len(answered.answers), solved, 0, len(answered.answers) - solved, perf_counter() - begun)
    return Responded(answered, stepped, Verdict(found, done))


def _findings(design: Design, answered: Response, stepped: Steps) -> Iterator[Finding]:
    weak = _weak(answered.moving)
    distrusted = _distrusted(design, weak)
    if answered.missing:
        yield Finding(STABILITY, None, UNDECIDED, missing=answered.missing)
        for requirement in (PHASE_MARGIN, *_promised(design)):
            yield Finding(requirement, None, UNDECIDED, missing=("the same figures are missing as for stability",))
        return
    missing = tuple(dict.fromkeys(
        f"at {shown(one.load, CURRENT, 3, zeros=False)} load: {one.outcome}, so there is nothing to swing about"
        for one in answered.answers if not one.is_solved
    ))  # fmt: skip
    yield _stability(answered, weak, (*missing, *distrusted))
    yield _phase_margin(design, answered, weak, (*missing, *distrusted))
    open_points = (*_not_followed(stepped), *distrusted)
    yield from _output(design, stepped, weak, open_points)
    for part in design.parts:
        yield from _peaks(part, stepped, open_points, weak)
    yield from _backwards(design, stepped, open_points)


def _not_followed(stepped: Steps) -> Iterator[str]:
    """Steps that say nothing, or not all, by the reason why."""
    reasons: dict[str, list[str]] = {}
    told = [(lost.change.name, lost.end, lost.why) for lost in stepped.failed]
    for name, end, why in (*told, *((one.change.name, one.end, one.broken) for one in stepped.steps)):
        if why:
            slow = "" if end == "usual" else f" at {end} bandwidth"
            reasons.setdefault(why, []).append(f"{name}{slow}")
    for why, names in reasons.items():
        yield f"{', '.join(names)}: {why}"


def _promised(design: Design) -> Iterator[str]:
    if design.brief.dynamics.step_tolerance is not None:
        yield STEP_OUTPUT
    if design.brief.dynamics.recovery is not None:
        yield RECOVERY


def _weak(moving: MovingDesign) -> tuple[str, ...]:
    """Typical, recalled and default figures of devices that carry current."""
    words = (one.words for origins in moving.origins.values() for one in origins if one.kind in WEAK_KINDS)
    return tuple(dict.fromkeys(words))


def _distrusted(design: Design, weak: Sequence[str]) -> tuple[str, ...]:
    if design.brief.requirements.trust == "limits" and weak:
        return ("only limits are trusted, and this rests on " + ", ".join(weak),)
    return ()


def _judged(
    requirement: str, part: str | None, worst: float, limit: float, margin: float, unit: str, origin: Origin,
    in_words: str, weak: Sequence[str], missing: Sequence[str], rest: float = 0.0,
) -> Finding:  # fmt: skip
    """FAIL where it is passed, PASS where all is known, else UNDECIDED without a number."""
    rests_on = (*weak, origin.words) if origin.kind in WEAK_KINDS else tuple(weak)
    if margin >= 0.0 and missing:
        return Finding(requirement, part, UNDECIDED, unit=unit, limit_kind=origin.kind, source=origin.source,
                       rests_on=rests_on, missing=tuple(missing))  # fmt: skip
    return Finding(requirement, part, PASS if margin >= 0.0 else FAIL, worst, limit, margin, unit, origin.kind,
                   origin.source, rests_on, in_words=in_words, rest=rest)  # fmt: skip


def _stability(answered: Response, weak: Sequence[str], missing: Sequence[str]) -> Finding:
    """No natural frequency grows; the number is the least damping ratio."""
    there = [(one, mode) for one in answered.answers if one.is_solved and (mode := one.least_damped) is not None]
    promise = Origin("promised", "", "a supply does not swing by itself")
    if not there:
        return Finding(STABILITY, None, UNDECIDED, missing=tuple(missing) or ("nothing in this circuit moves",))
    one, mode = min(there, key=lambda pair: pair[1].damping if not pair[1].grows else -1.0 + pair[1].damping)
    worst = mode.damping
    grows = [answer for answer in answered.answers if answer.growing]
    margin = -abs(worst) if grows else max(worst, 0.0)
    words = f"damping ratio, {_at(one)}" + (f", {_hertz(mode.frequency)}" if mode.frequency else "")
    return _judged(STABILITY, None, worst, 0.0, margin, "", promise, words, weak, missing, rest=1.0)


def _phase_margin(design: Design, answered: Response, weak: Sequence[str], missing: Sequence[str]) -> Finding:
    wanted = design.brief.dynamics.phase_margin
    stated = wanted != type(design.brief.dynamics)().phase_margin
    origin = Origin("promised", "", "phase margin of [dynamics]") if stated else Origin("default", "", PRACTICE)
    there = [(one.margins.phase, one) for one in answered.answers if one.margins.phase is not None]
    if not there:
        why = tuple(missing) or ("no loop gain passes one: there is no crossover to take a margin at",)
        return Finding(PHASE_MARGIN, None, UNDECIDED, missing=why)
    worst, one = min(there, key=lambda pair: pair[0])
    crossover = one.margins.crossover
    words = _at(one) + (f", crossover {_hertz(crossover)}" if crossover else "")
    return _judged(PHASE_MARGIN, None, worst, wanted, worst - wanted, "°", origin, words, weak, missing)


def _output(design: Design, stepped: Steps, weak: Sequence[str], missing: Sequence[str]) -> Iterator[Finding]:
    """What the file promises about steps of load and input."""
    output, dynamics = design.brief.output, design.brief.dynamics
    held = [one for one in stepped.steps if one.change.name not in (START, OFF)]
    if output is None or not held:
        for requirement in _promised(design):
            yield Finding(requirement, None, UNDECIDED, missing=("neither load nor input steps in what is promised",))
        return
    nominal = abs(output.voltage)
    if dynamics.step_tolerance is not None:
        off, one = max(((max(abs(one.lowest[0] - nominal), abs(one.highest[0] - nominal)), one) for one in held),
                       key=lambda pair: pair[0])  # fmt: skip
        limit = dynamics.step_tolerance * nominal
        origin = Origin("promised", "", "step_tolerance of [dynamics]")
        yield _judged(STEP_OUTPUT, None, off, limit, limit - off, "V", origin, in_words(one), weak, missing)
    if dynamics.recovery is not None:
        low, high = band(design)
        times = [(one.outside(low, high), one) for one in held]
        worst, one = max(times, key=lambda pair: np.inf if np.isnan(pair[0]) else pair[0])
        origin = Origin("promised", "", "recovery of [dynamics]")
        worst = float(one.times[-1]) if np.isnan(worst) else worst
        yield _judged(RECOVERY, None, worst, dynamics.recovery, dynamics.recovery - worst, "s", origin,
                      in_words(one), weak, missing)  # fmt: skip


def band(design: Design) -> tuple[float, float]:
    """Between which voltages the output is within its promised tolerance [V], as sizes."""
    output = design.brief.output
    if output is None:
        return -np.inf, np.inf
    nominal = abs(output.voltage)
    return nominal * (1.0 - output.tolerance), nominal * (1.0 + output.tolerance)


def _peaks(part: DesignPart, stepped: Steps, missing: Sequence[str], weak: Sequence[str]) -> Iterator[Finding]:
    """Every rating of a part that a step could pass."""
    for requirement, symbols, pins in PEAKS.get(part.part.kind, ()):
        rating = next((found for symbol in symbols if (found := part.rating(symbol)) is not None), None)
        if rating is None or not stepped.steps:
            if rating is None and part.part.kind in TRANSISTORS and part.part.model is None:
                yield Finding(requirement, part.name, UNDECIDED, missing=(needs.rating(part, symbols[0]).missing,))
            continue
        worst, one = max(((_peak(part, pins.split(), step), step) for step in stepped.steps), key=lambda pair: pair[0])
        unit = "V" if len(pins.split()) == 2 else "A"
        yield _judged(requirement, part.name, worst, rating.value, rating.value - worst, unit, rating.origin,
                      in_words(one), weak, missing)  # fmt: skip


def _peak(part: DesignPart, pins: Sequence[str], step: Step) -> float:
    """The greatest current into a pin, or voltage from one pin to another in the device's own direction."""
    if len(pins) == 1:
        return float(np.abs(step.pins[part.name, pins[0]]).max())
    nets = part.part.pins
    across = step.nets[nets[pins[0]]] - step.nets[nets[pins[1]]]
    sign = -1.0 if part.part.polarity in ("pnp", "p-channel", "negative") else 1.0
    both = pins == ["source", "gate"]
    return float((np.abs(across) if both else sign * across).max())


def _backwards(design: Design, stepped: Steps, missing: Sequence[str]) -> Iterator[Finding]:
    """Whether the output drives a regulator backwards, at switch-off above all."""
    for part in design.parts:
        if part.part.kind != "regulator" or not stepped.steps:
            continue
        worst, one = max(((_peak(part, ("out", "in"), step), step) for step in stepped.steps), key=lambda pair: pair[0])
        worst = max(0.0, worst)
        has_diode = any(_spans(other, part) for other in design.parts)
        limit = WITH_DIODE if has_diode else CONDUCTS_BACKWARDS
        kind = Origin("default", "", DIODE_PRACTICE) if has_diode else Origin("promised", "", "not driven backwards")
        if worst > limit:
            by = f"{part.name} is driven backwards by {shown(worst, VOLTAGE, 3)} ({in_words(one)})"
            why = f"{by}, and its sheet does not say what it bears then; reverse_diode in [stage] takes it past it"
            yield Finding(BACKWARDS, part.name, UNDECIDED, missing=(why, *missing))
        else:
            yield _judged(BACKWARDS, part.name, worst, limit, limit - worst, "V", kind, in_words(one), (), missing)


def _spans(other: DesignPart, regulator: DesignPart) -> bool:
    """Whether a diode leads from a regulator's output side back to its input side."""
    if other.part.kind != "diode":
        return False
    ends = (other.part.pins["anode"], other.part.pins["cathode"])
    mine = (regulator.part.pins["out"], regulator.part.pins["in"])
    return other.role == "reverse diode" or ends in (mine, mine[::-1])


def in_words(step: Step) -> str:
    """ "load rises 0 A to 5 A, least bandwidth"."""
    change = step.change
    unit, ends = (VOLTAGE, change.inputs) if change.is_line else (CURRENT, change.loads)
    beside = f" at {shown(change.loads[1], CURRENT, 3, zeros=False)}" if change.is_line else ""
    first, last = (shown(value, unit, 3, zeros=False) for value in ends)
    slow = "" if step.end == "usual" else f", {step.end} bandwidth"
    return f"{change.name}, {first} to {last}{beside}{slow}"


def _at(one: Answer) -> str:
    slow = "" if one.end == "usual" else f", {one.end} bandwidth"
    return f"{shown(one.load, CURRENT, 3, zeros=False)} load{slow}"


def _hertz(value: float) -> str:
    from outboard.quantity import FREQUENCY

    return shown(value, FREQUENCY, 3)


def ambient_of(answered: Response) -> float:
    """Usual ambient [°C]."""
    return answered.conditions[1] - ZERO_CELSIUS
