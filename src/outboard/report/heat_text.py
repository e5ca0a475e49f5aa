"""`heat` for people: every junction kelvin by kelvin, safe areas, the sinks that are needed, how far to a runaway."""

from collections.abc import Iterator

from rich.text import Text

from outboard.checks.finding import PASS, UNDECIDED
from outboard.checks.heat import AreaPoint, HeatReport, Rise
from outboard.checks.runaway import MOST_FACTOR, MOST_WARMER, Runaway
from outboard.checks.sink_needed import BEST, WORST, SinkNeeded
from outboard.constants import TOUCHABLE, ZERO_CELSIUS
from outboard.dossier import Dossier, ran
from outboard.quantity import THERMAL_RESISTANCE, shown
from outboard.report.plate import TINTS, Plate, mark, part
from outboard.report.verify_text import HEADS, WORDS, margin_in_words, value_in_words
from outboard.report.words import amperes, degrees, listed, plain, volts, watts
from outboard.whatif.cautions import HOT

COOL = 0.01
"""A part that makes less heat than this has no row of its own [W]."""

NEGLECTS = "by hand powers stay what they are; the solver lets currents follow the temperatures"


TO_CERTIFY = (
    "undecided: without a line for lasting current (DC) no safe area is certified; the shares are those of the lines "
    "that are known. Read the DC line in the sheet's figure, and write its points into the design file"
)
KEY = "[heat.safe_area.TYPE]"
"""What a person can do about an area that is not certified, and where."""


def write(plate: Plate, dossier: Dossier) -> None:
    """Head, junctions, safe areas, sinks, runaway, what is not judged."""
    report = ran(dossier.heat)
    verdict = report.verdict
    plate.title(dossier.brief.title)
    plate.say(Text(HEADS[verdict.verdict], style=TINTS[verdict.verdict]))
    plate.quietly(" · ".join(f"{number} {WORDS[word]}" for word in WORDS if (number := verdict.counts[word])))
    plate.hairline()
    _write_rises(plate, report)
    _write_findings(plate, report)
    if report.areas:
        plate.hairline()
        plate.title("safe operating area, lasting current")
        for area in report.areas:
            _write_area(plate, area)
        if open_areas(report):
            plate.quietly(f"{TO_CERTIFY}: {KEY}")
    for sink in report.sinks:
        plate.hairline()
        _write_sink(plate, sink)
    plate.hairline()
    for line in runaway_in_words(report.runaway):
        plate.say(line)
    plate.hairline()
    _write_end(plate, dossier, report)


def _write_rises(plate: Plate, report: HeatReport) -> None:
    """Every junction where it is nearest to its limit, and where that is."""
    warm = [rise for rise in report.rises if rise.power >= COOL]
    if not warm:
        return
    heads = ("", "heat", "around", "sink", "pad", "inside", "junction", "limit", "used")
    plate.table(heads, [_row(rise) for rise in warm], figures=range(1, len(heads)))
    for words, names in _corners(warm):
        plate.quietly(f"{names}: {words}", indent=2)
    cool = [name for rise in report.rises if rise.power < COOL for name in rise.parts]
    if cool:
        plate.quietly(f"less than {watts(COOL)} each: {listed(cool)}", indent=2)


def _row(rise: Rise) -> tuple[str | Text, ...]:
    return (part(names(rise.parts)), watts(rise.power), degrees(rise.ambient), *steps(rise),
            degrees(rise.junction), degrees(rise.limit), share_in_words(rise.share))  # fmt: skip


def names(parts: tuple[str, ...]) -> str:
    """The part, and how many like it this stands for."""
    return parts[0] if len(parts) == 1 else f"{parts[0]} of {len(parts)} alike"


def steps(rise: Rise) -> tuple[str, str, str]:
    """Kelvins of the sink, of the pad, and inside the device; of a device in the air all stands in one place."""
    if rise.sink_temperature is None:
        outside = None if rise.case is None else rise.case - rise.ambient
        return "", _kelvins(outside), _kelvins(rise.junction - (rise.ambient if rise.case is None else rise.case))
    sink = rise.sink_temperature - rise.ambient
    if rise.case is None:
        return _kelvins(sink), "", _kelvins(rise.junction - rise.sink_temperature)
    return _kelvins(sink), _kelvins(rise.case - rise.sink_temperature), _kelvins(rise.junction - rise.case)


def _kelvins(rise: float | None) -> str:
    return "" if rise is None else f"+{plain(rise, 1)} K"


def share_in_words(share: float | None) -> str:
    """A share in per cent; a triangle where it is over."""
    if share is None:
        return "?"
    return f"▲ {100.0 * share:.0f} %" if share > 1.0 else f"{100.0 * share:.0f} %"


def _corners(rises: list[Rise]) -> Iterator[tuple[str, str]]:
    """Where each is, parts with the same corner together."""
    by_words: dict[str, list[str]] = {}
    for rise in rises:
        by_words.setdefault(rise.in_words, []).append(rise.parts[0])
    for words, parts in by_words.items():
        yield words.replace(", ", " · "), listed(parts)


def _write_findings(plate: Plate, report: HeatReport) -> None:
    """What does not pass beside safe areas; what is missing is told once."""
    told: set[str] = set()
    drawn = {area.finding.title for area in report.areas}
    for finding in report.verdict.ordered:
        if finding.title in drawn or (finding.verdict == PASS and finding.part is not None):
            continue
        line = mark(finding.verdict)
        line.append(f"  {finding.title}")
        if finding.unit and finding.margin is not None and finding.worst is not None and finding.limit is not None:
            line.append(f", {value_in_words(finding.worst, finding.unit)} against "
                        f"{value_in_words(finding.limit, finding.unit)}, {margin_in_words(finding)}")  # fmt: skip
        plate.say(line)
        again = len(told & set(finding.missing))
        missing = [words for words in finding.missing if words not in told]
        told |= set(missing)
        if again:
            missing.append(f"and {again} of what is missing above")
        for words in (*missing, finding.note, finding.in_words.replace(", ", " · ")):
            if words:
                plate.quietly(words, indent=4)


def _write_area(plate: Plate, area: AreaPoint) -> None:
    line = mark(area.finding.verdict)
    line.append(f"  {names(area.parts)}", style="bold")
    line.append(f" {area.type}: {amperes(area.current)} at {volts(area.voltage)}, case {degrees(area.case)}: "
                f"{share_in_words(area.share)} of {amperes(area.allowed)} ({area.binding})")  # fmt: skip
    plate.say(line)
    plate.quietly(area.in_words.replace(", ", " · "), indent=4)
    for words in area.finding.missing:
        plate.quietly(words, indent=4)


def open_areas(report: HeatReport) -> bool:
    """Whether a line is wanted that no catalogue has."""
    return any(area.finding.verdict == UNDECIDED for area in report.areas)


def _write_sink(plate: Plate, sink: SinkNeeded) -> None:
    plate.title(f"{sink.part}, {kelvin_per_watt(sink.written)} as written")
    for words in sink_in_words(sink):
        plate.say(words, indent=2)
    confirmed = f"; what it found holds in {sink.needed.confirmed}" if sink.needed.confirmed else ""
    plate.quietly(f"{NEGLECTS}{confirmed}", indent=2)


def kelvin_per_watt(resistance: float | None) -> str:
    """A thermal resistance to three digits."""
    return "–" if resistance is None else shown(resistance, THERMAL_RESISTANCE)


def sink_in_words(sink: SinkNeeded) -> Iterator[str]:
    """What it must be, by hand, from stock, and whether it may be touched."""
    needed = sink.needed
    if not needed.requirement:
        yield "needed: cannot be told, since no limit of a part on it is known"
    elif needed.resistance is None:
        what = _what(needed.requirement, needed.part)
        yield f"no sink is good enough: even {kelvin_per_watt(BEST)} leave {what} short"
    elif needed.resistance >= WORST:
        yield f"needed: next to none; even {kelvin_per_watt(WORST)} would do"
    else:
        where = needed.in_words.replace(", ", " · ")
        yield (f"needed: {kelvin_per_watt(needed.resistance)} or less; beyond that "
               f"{_what(needed.requirement, needed.part)} is the first to go, at {where}")  # fmt: skip
        if not needed.confirmed:
            yield "not confirmed: with it some corner still has no equilibrium or exceeds a limit"
    if sink.hand is not None and needed.requirement:
        yield f"by hand for {sink.hand_part}: {sink.hand.text}"
    elif sink.hand_fails:
        yield f"by hand{' for ' + sink.hand_part if sink.hand_part else ''}: {sink.hand_fails}"
    if needed.resistance is not None:
        yield _from_stock(sink)
    if sink.hottest is not None:
        yield from _touch(sink)


def _what(requirement: str, part_name: str) -> str:
    return f"{requirement} of {part_name}" if part_name else requirement


def _from_stock(sink: SinkNeeded) -> str:
    if sink.stock is None or sink.stock_resistance is None:
        return "of the sinks in the catalogue none serves: several, a larger one, or moved air"
    mark_ = " ‡" if sink.stock.origin.kind == "recalled" else " †"
    printed = kelvin_per_watt(sink.stock.resistance)
    grown = sink.stock_resistance > 1.0005 * sink.stock.resistance
    there = f", {kelvin_per_watt(sink.stock_resistance)} at this rise" if grown else ""
    source = "from memory" if sink.stock.origin.kind == "recalled" else "its maker's figure"
    serves = f"a sink of the catalogue that serves is {sink.stock.name}"
    return f"{serves}: {printed}{mark_}{there} ({source}, fins upright in still air)"


def _touch(sink: SinkNeeded) -> Iterator[str]:
    assert sink.hottest is not None
    hot = sink.hottest > TOUCHABLE
    burns = "; it burns at a touch" if hot else ""
    carries = "" if sink.heat_flow is None else f" with {watts(sink.heat_flow)}"
    touch, limit = sink.touchable.resistance, f"{TOUCHABLE - ZERO_CELSIUS:.0f} °C"
    yield f"at its hottest {degrees(sink.hottest)}{carries}, at {sink.hottest_in_words.replace(', ', ' · ')}{burns}"
    if touch is None:
        yield f"no sink keeps the metal below {limit}, the ambient that is promised leaves too little"
    elif hot:
        yield f"to stay below {limit}, so that it may be touched, it would have to be {kelvin_per_watt(touch)}"
    else:
        yield f"it may be touched (below {limit}) up to {kelvin_per_watt(touch)}"


def runaway_in_words(found: Runaway | None) -> Iterator[str]:
    """How far it is to where no equilibrium is left, and why."""
    if found is None:
        yield "thermal runaway: no corner was solved"
        return
    if found.factor is None:
        yield "thermal runaway: some of the worst corners have no equilibrium as the design stands"
        return
    yield f"thermal runaway: {_end(found)}"
    if found.output is not None and found.output < MOST_FACTOR:
        yield f"the output leaves its tolerance from {found.output:.3g} × every thermal resistance on"
    if found.loops:
        yield f"why: loop gain at held V_BE, {found.loops[0].gain.formula.text}"
    for loop in found.loops:
        yield f"  {loop.part}: {loop.gain.text.removeprefix(loop.gain.formula.text).removeprefix(' = ')}"
    if found.loops:
        yield (
            "it counts for the difference between parallel devices (below 1 they settle); the sum of their currents is "
            "held by the regulator, so that a single device may stand above 1"
        )


def _end(found: Runaway) -> str:
    """Where the last equilibrium is, both ways."""
    if found.factor_at_end or found.factor is None:
        up_to = f", nor with surroundings up to {MOST_WARMER:g} K warmer" if found.warmer_at_end else ""
        first = (f"none up to {MOST_FACTOR:g} × every thermal resistance{up_to}: an equilibrium is left, if a useless "
                 "one")  # fmt: skip
    else:
        end = "a fold" if found.folds else "mere heat, on its way to 500 °C"
        first = (f"no equilibrium beyond {found.factor:.3g} × every thermal resistance, {end}; {found.part} is then at "
                 f"{degrees(found.junction)}")  # fmt: skip
    if found.warmer is None:
        return f"{first}; none is left when it is warmer"
    if found.warmer_at_end:
        return first
    return f"{first}; with surroundings more than {found.warmer:.3g} K warmer no equilibrium is left"


def _write_end(plate: Plate, dossier: Dossier, report: HeatReport) -> None:
    weak = dict.fromkeys(figure for finding in report.verdict.findings for figure in finding.rests_on)
    if weak:
        plate.quietly(f"† rests on {listed(weak)}")
    if any(sink.stock is not None and sink.stock.origin.kind == "recalled" for sink in report.sinks):
        plate.quietly("‡ from memory, without a document")
    for note in dossier.design.notes:
        plate.quietly(note)
    if any(sink.hottest is not None and sink.hottest > TOUCHABLE for sink in report.sinks):
        plate.say(HOT)
    plate.say(f"not judged here: {listed(report.verdict.not_judged)}")
    done = report.verdict.conditions
    plate.quietly(f"{done.points} points · {done.solved} solved · {done.runaway} ran away · {done.undecided} open · "
                  f"{plain(done.seconds, 2)} s")  # fmt: skip

