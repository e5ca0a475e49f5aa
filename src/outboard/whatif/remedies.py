"""What would prevent the worst of a fault: which diode, fuse, crowbar, limiter or bleeder, and rated how."""

from collections.abc import Iterator, Sequence

from outboard.arrangements.crowbar import crowbar_of
from outboard.arrangements.design import Design
from outboard.formulas.fuse import fuse_rating
from outboard.quantity import CURRENT, POWER, RESISTANCE, VOLTAGE, shown
from outboard.whatif.faults import OVERVOLTAGE, FaultReport, Outcome

FIRES_ABOVE = 1.1
"""A crowbar fires this much above the promised upper limit when the load's own is not stated (common practice)."""

LIMITED = 1.2
"""A limiter is set this much above the full load (common practice, no source)."""

RESISTOR_SHARE = 0.5
"""Share of its rating that a resistor is asked for (common practice, no source)."""

LARGEST = 50.0
"""Nobody takes a resistor rated for more than this for fear of a fault [W] (common practice, no source)."""


def remedies(design: Design, report: FaultReport) -> tuple[str, ...]:
    """Everything worth fitting against what was found, each with its ratings, once."""
    found: list[str] = []
    found += _against_overvoltage(design, report)
    found += _behind_crowbar(design, report.outcomes)
    found += _against_short_circuit(design, report.outcomes)
    found += _against_backward_current(design, report.outcomes)
    found += _against_fire(report.outcomes)
    found += _against_leakage(design, report.outcomes)
    return tuple(dict.fromkeys(found))


def _against_overvoltage(design: Design, report: FaultReport) -> Iterator[str]:
    output, source = design.brief.output, design.brief.input
    worst = [found for found in report.outcomes if found.consequence == OVERVOLTAGE]
    if not worst or output is None or source is None or report.limit is None:
        return
    if (own := crowbar_of(design)) is not None:
        let_through = [found.lets_through for one in worst if (found := one.first.crowbar) is not None]
        if len(let_through) < len(worst):
            yield (f"{len(worst) - len(let_through)} faults put too much on the load without firing the crowbar "
                   f"{own.thyristor.name}: a second one, or a suppressor across the load")  # fmt: skip
        if let_through:
            stated = "" if report.limit_is_stated else "; say in [output] what the load withstands"
            above = shown(report.limit, VOLTAGE, 3)
            yield (f"{len(let_through)} faults fire the crowbar {own.thyristor.name} above {above} only: a "
                   f"lower trip voltage, if it then stays off{stated}")  # fmt: skip
        return
    highest = max(found.outputs[1] for one in worst for found in (one.first, one.last) if found.outputs is not None)
    promised = abs(output.voltage) * (1.0 + output.tolerance)
    fires = 0.5 * (promised + report.limit) if report.limit_is_stated else FIRES_ABOVE * promised
    fuse = fuse_rating(output.load.most)
    rated = "a fuse above the miniature series" if fuse is None else f"a fuse of {fuse:g} A before the stage"
    surge = "as much as the feed gives"
    if source.resistance > 0.0:
        surge = f"up to {shown(source.voltage.farthest / source.resistance, CURRENT, 3)} until the fuse opens"
    yield (
        f"{len(worst)} faults put up to {shown(highest, VOLTAGE, 3)} on the load: a crowbar that fires at "
        f"{shown(fires, VOLTAGE, 3)}, behind {rated}; its thyristor bears {surge}"
    )


def _behind_crowbar(design: Design, outcomes: Sequence[Outcome]) -> Iterator[str]:
    """A crowbar that fires needs something that ends the current."""
    fired = [one.first.crowbar or one.last.crowbar for one in outcomes]
    shot = [one for one in fired if one is not None]
    output = design.brief.output
    if not shot or output is None:
        return
    fuse = fuse_rating(output.load.most)
    rated = "a fuse above the miniature series" if fuse is None else f"a fuse of {fuse:g} A"
    surge = max((one.surge for one in shot if one.surge is not None), default=None)
    flows = "" if surge is None else f" of up to {shown(surge, CURRENT, 3)}"
    bears = next((f", with less than {one.integral} let through" for one in shot if one.joule_integral is not None), "")
    yield (f"{len(shot)} faults fire the crowbar {shot[0].part}: {rated} before the stage has to end a current"
           f"{flows}{bears}")  # fmt: skip


def _against_short_circuit(design: Design, outcomes: Sequence[Outcome]) -> Iterator[str]:
    output, source = design.brief.output, design.brief.input
    broken = [found for found in outcomes if found.fault.words.startswith("output shorted") and found.links]
    if broken and output is not None and source is not None:
        limit = LIMITED * output.load.most
        heat = source.voltage.farthest * limit
        lost = [link.fault.part for found in broken for link in found.links]
        devices = [name for name in lost if design.part(name).part.kind in ("bipolar", "mosfet", "regulator")]
        yield (
            f"a shorted output destroys {(devices or lost)[0]}: with a limiter at {shown(limit, CURRENT, 3)} the path "
            f"of the load makes {shown(heat, POWER, 3)}, which sink and operating area must bear; a limit that folds "
            "back makes less"
        )


def _against_backward_current(design: Design, outcomes: Sequence[Outcome]) -> Iterator[str]:
    source = design.brief.input
    for part in design.parts:
        if part.part.kind != "regulator" or source is None:
            continue
        backwards = [
            found for found in outcomes if any(words.startswith(f"{part.name} is driven") for words in found.unknown)
        ]
        if backwards:
            yield (
                f"{len(backwards)} faults drive {part.name} backwards: a diode from its output to its input, reverse "
                f"voltage above {shown(source.voltage.farthest, VOLTAGE, 3)}, surge current for what the output stores"
            )


def _against_fire(outcomes: Sequence[Outcome]) -> Iterator[str]:
    power: dict[str, float] = {}
    for outcome in outcomes:
        for found in (outcome.first, *outcome.between, outcome.last):
            for exceeded in found.exceeded:
                if exceeded.requirement == "resistor power" and exceeded.share > 1.0:
                    power[exceeded.part] = max(power.get(exceeded.part, 0.0), exceeded.value)
    alike: dict[tuple[str, str], list[str]] = {}
    for name, most in power.items():
        alike.setdefault((shown(most, POWER, 3), shown(most / RESISTOR_SHARE, POWER, 2)), []).append(name)
    for (heat, rated), names in alike.items():
        makes = "makes" if len(names) == 1 else "each make"
        bears = f", or one rated {rated}" if power[names[0]] / RESISTOR_SHARE <= LARGEST else "; none bears it for long"
        yield (
            f"{', '.join(names)} {makes} up to {heat} in a fault: a fusible or flameproof one that clears its "
            f"surroundings{bears}"
        )


def _against_leakage(design: Design, outcomes: Sequence[Outcome]) -> Iterator[str]:
    """A resistor whose loss lets the output climb wants a second one beside it."""
    for outcome in outcomes:
        fault = outcome.fault
        if outcome.consequence != OVERVOLTAGE or fault.mode != "open" or not fault.part:
            continue
        part = design.part(fault.part)
        if part.part.kind == "resistor" and part.role in ("bleed", "standing load", "load"):
            value = part.part.values["resistance"]
            yield (
                f"when {fault.part} opens nothing draws the leakage away: two of {shown(2.0 * value, RESISTANCE, 3)} "
                "in parallel leave one"
            )
