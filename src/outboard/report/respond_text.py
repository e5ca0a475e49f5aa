"""What moves, in words: the ledger, loop and margins by load, impedance and rejection, every step."""

import math
from collections.abc import Iterator

from rich.text import Text

from outboard.analysis.response import MAINS_RIPPLE, Answer, Response
from outboard.analysis.step import OFF, START, Step
from outboard.arrangements.design import Design
from outboard.checks.responding import Responded, band
from outboard.dossier import Dossier, ran
from outboard.own_parts.folders import own_types_said
from outboard.quantity import CURRENT, FREQUENCY, RESISTANCE, TIME, VOLTAGE, shown
from outboard.report.plate import TINTS, Cell, Plate
from outboard.report.verify_text import HEADS, WORDS, write_finding
from outboard.report.words import NONE, amperes, degrees, listed, plain, volts

IMPEDANCES = (1e3, 1e5)
"""Frequencies at which the table has the output impedance [Hz]."""

BELOW = 1e-4
"""A dip or an overshoot below this is none to a person [V]."""


def write(plate: Plate, dossier: Dossier) -> None:
    """Verdict, ledger, tables, and what all this takes for granted."""
    found = ran(dossier.response)
    plate.title(dossier.brief.title)
    verdict = found.verdict
    plate.say(Text(HEADS[verdict.verdict], style=TINTS[verdict.verdict]))
    plate.quietly(" · ".join(f"{number} {WORDS[word]}" for word in WORDS if (number := verdict.counts[word])))
    plate.hairline()
    for finding in verdict.ordered:
        write_finding(plate, finding)
    if found.response.answers:
        plate.hairline()
        _write_answers(plate, found.response)
        _write_steps(plate, dossier.design, found)
    plate.hairline()
    for words in remarks(dossier.design, found):
        plate.quietly(words)
    plate.quietly(f"{verdict.conditions.points} points, {len(found.steps.steps)} steps · "
                  f"{verdict.conditions.seconds:.2f} s")  # fmt: skip


def _write_answers(plate: Plate, answered: Response) -> None:
    source, ambient = answered.conditions
    usual = answered.usual
    slow = f", regulator's bandwidth {hertz(usual[0].bandwidth)}" if usual[0].bandwidth else ""
    plate.quietly(f"loop gain and margins at {volts(source)} in, {degrees(ambient)} around{slow}")
    plate.table(
        ("load", "crossover", "phase margin", "gain may rise", "gain may fall", "least damped"),
        [loop_cells(one) for one in usual], figures=range(6),
    )  # fmt: skip
    plate.say()
    plate.quietly("output impedance, and how far ripple of the source is held down")
    heads = (*(f"|Z| at {hertz(frequency)}" for frequency in IMPEDANCES), "|Z| at most",
             f"ripple at {hertz(MAINS_RIPPLE[0])}")  # fmt: skip
    plate.table(("load", *heads), [impedance_cells(one) for one in usual], figures=range(len(heads) + 1))
    plate.say()


def loop_cells(one: Answer) -> list[Cell]:
    """Load, crossover, margins and the mode that swings longest."""
    margins, mode = one.margins, one.least_damped
    if not one.is_solved:
        return [amperes(one.load), one.outcome, NONE, NONE, NONE, NONE]
    swings = NONE
    if one.growing:
        swings = f"grows, {hertz(one.growing[0].frequency)}"
    elif mode is not None:
        swings = f"ζ {mode.damping:.2f}, {hertz(mode.frequency)}" if mode.frequency else "none swings"
    return [
        amperes(one.load),
        NONE if margins.crossover is None else hertz(margins.crossover),
        NONE if margins.phase is None else f"{plain(margins.phase, 0)}°",
        decibels(margins.rise) if not one.growing else NONE,
        decibels(margins.fall) if not one.growing else NONE,
        swings,
    ]


def impedance_cells(one: Answer) -> list[Cell]:
    """Load, |Z| at some frequencies and at most, rejection of mains ripple."""
    if not one.is_solved:
        return [amperes(one.load), *(NONE for _ in IMPEDANCES), NONE, NONE]
    most, where = one.greatest_impedance
    return [
        amperes(one.load),
        *(shown(one.impedance_at(frequency), RESISTANCE, 3) for frequency in IMPEDANCES),
        f"{shown(most, RESISTANCE, 3)}, {hertz(where)}",
        decibels(one.rejection_at(MAINS_RIPPLE[0])),
    ]


def _write_steps(plate: Plate, design: Design, found: Responded) -> None:
    rows = [step_cells(design, one) for one in found.steps.steps if one.end == "usual"]
    if rows:
        plate.quietly("steps at the usual bandwidth; times from their beginning")
        plate.table(("", "dip", "overshoot", "tolerance from", "settled from"), rows, figures=range(1, 5))
    for lost in found.steps.failed:
        plate.say(f"{lost.change.name} is not followed: {lost.why}")


def step_cells(design: Design, one: Step) -> list[Cell]:
    """What steps, dip and overshoot, when it is back."""
    low, high = band(design)
    back = one.outside(low, high)
    never = "stays off" if one.change.name != OFF else NONE
    return [
        short(one),
        NONE if one.change.name in (START, OFF) else _size(one.dip),
        NONE if one.change.name == OFF else _size(one.overshoot),
        one.broken or (never if math.isnan(back) else seconds(back)),
        NONE if one.broken else seconds(one.settled),
    ]


def short(one: Step) -> str:
    """ "load rises to 3 A", "input falls to 9.6 V", "start-up", "switch-off"."""
    change = one.change
    if change.name in (START, OFF):
        return f"{change.name}, {shown(change.loads[1], CURRENT, 3, zeros=False)}"
    unit, value = (VOLTAGE, change.inputs[1]) if change.is_line else (CURRENT, change.loads[1])
    return f"{change.name} to {shown(value, unit, 3, zeros=False)}"


def _size(value: float) -> str:
    return shown(value, VOLTAGE, 3) if value > BELOW else NONE


def remarks(design: Design, found: Responded) -> Iterator[str]:
    """What is taken for granted, and what the figures rest on."""
    weak = dict.fromkeys(word for finding in found.verdict.findings for word in finding.rests_on)
    if weak:
        yield f"† {listed(weak)}"
    if not found.response.answers:
        yield "what moves is told when all of that is known"
        return
    yield "usual devices at usual ambient; temperatures are held as they are before each step: heat is slower"
    yield ("below the current at which f_T is printed a transistor is slower than here: no sheet in use prints its "
           "emitter capacitance")  # fmt: skip
    dynamics = design.brief.dynamics
    if dynamics.step_tolerance is None or dynamics.recovery is None:
        open_keys = [key for key in ("step_tolerance", "recovery") if getattr(dynamics, key) is None]
        promise = f"{' and '.join(open_keys)} in [dynamics] promise it"
        yield f"what the output does during a step is told, not judged: {promise}"
    if design.brief.requirements.policy is not None:
        yield "peaks are held against the ratings themselves: derating is for what lasts"
    if not any(part.part.kind == "capacitor" and "out" in part.part.pins.values() for part in design.parts):
        yield "no capacitor stands at the output"
    yield from _bare(design)
    for part in design.parts:
        rows = part.type.rows("ripple_rejection") if part.type is not None else ()
        promised = [row for row in rows if row.least is not None]
        if promised and part.type is not None:
            row = min(promised, key=lambda one: one.least or 0.0)
            where = f" at {hertz(row.conditions.frequency)}" if row.conditions.frequency else ""
            yield (f"ripple: what line regulation leaves of it; the sheet of {part.name} ({part.type.name}) promises "
                   f"{decibels(row.least)}{where} for the regulator alone")  # fmt: skip
    yield from own_types_said(part.type for part in design.parts if part.type is not None)


def _bare(design: Design) -> Iterator[str]:
    """Capacitors whose series resistance is not said: it decides about margins."""
    bare = [part.name for part in design.parts
            if part.part.kind == "capacitor" and not part.part.values.get("series_resistance")]  # fmt: skip
    if bare:
        yield (f"{listed(bare)} counts as without series resistance, which is seldom true and matters: "
               "series_resistance at the part in [[parts]] says it")  # fmt: skip


def hertz(value: float) -> str:
    """A frequency to three digits."""
    return shown(value, FREQUENCY, 3)


def seconds(value: float) -> str:
    """A time to three digits; at once when it is nothing."""
    return "at once" if value <= 0.0 else shown(value, TIME, 3)


def decibels(value: float | None) -> str:
    """A ratio in decibels."""
    return NONE if value is None else f"{plain(value, 1)} dB"
