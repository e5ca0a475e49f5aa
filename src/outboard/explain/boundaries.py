"""Where regimes end: followed along the load (or the input) from one event to the next, each solved with letters.

Within a regime everything is a straight line in the load, so that the next event is met exactly.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from outboard.explain.deadline import TooLong, within
from outboard.explain.definitions import Definition, put_through, rests_on
from outboard.explain.expression import ZERO, Expression, Sign, put_for, value
from outboard.explain.forms import told_from
from outboard.explain.ideal import Ideal, Margin, Regime, Switch
from outboard.explain.ideal_mosfet import CONDUCTS_AT, STARTS_AT
from outboard.explain.neglect import Box
from outboard.explain.regime import NoRegime, Point, point_in, regime_at
from outboard.explain.rows import Row
from outboard.explain.solving import Symbols
from outboard.explain.tidying import Poly, Tidy

MOST_EVENTS = 24
MOST_SECONDS = 1.5
"""How long the formula of one event may take; an event that takes longer has none."""

BEYOND = 1e-7
"""How far beyond an event the next regime is looked for, as a share of the range."""


@dataclass(frozen=True, slots=True)
class Boundary:
    """An event: at which value of the letter, of which part, the regime before it, and the value as a formula."""

    letter: str
    at: float
    part: str
    event: str
    before: Regime
    formula: Expression | None = None
    definitions: tuple[Definition, ...] = ()


def boundaries(ideal: Ideal, letter: str, start: float, end: float) -> Iterator[Boundary]:
    """Every event between two values of a letter, in the order in which they are met; stops where no regime follows."""
    return (_solved(ideal, event, margin) for event, margin in _walk(ideal, letter, start, end))


def along_load(ideal: Ideal, letter: str, end: float) -> Iterator[Boundary]:
    """Events along the load from nothing on; where a MOSFET starts to conduct is told with its V_GS at the start.

    The constant V_GS of the ideal network is that of the drain current at the point, too much for the start.
    """
    events = boundaries(ideal, letter, 0.0, end)
    starts = {name.replace(STARTS_AT, CONDUCTS_AT): name for name in ideal.letters if name.startswith(STARTS_AT)}
    if not starts:
        return events
    return iter(_with_starts(ideal, events, starts, letter, end))


def _with_starts(
    ideal: Ideal, events: Iterable[Boundary], starts: Mapping[str, str], letter: str, end: float
) -> list[Boundary]:
    """The events with those where a MOSFET starts told with its V_GS there."""
    early = with_letters(ideal, {level: ideal.letters[start].value for level, start in starts.items()})
    channels = {switch.part for switch in ideal.switches if switch.name.endswith(" channel")}
    first = [_told_with(event, starts) for event in boundaries(early, letter, 0.0, end) if _begins(event, channels)]
    found = {event.part for event in first}
    return sorted([*first, *(e for e in events if not _begins(e, found))], key=lambda event: event.at)


def _begins(event: Boundary, parts: Collection[str]) -> bool:
    return event.part in parts and event.event.endswith("starts to conduct")


def _told_with(event: Boundary, starts: Mapping[str, str]) -> Boundary:
    """The event with the letters of the start, named currents that rest on others of them written out."""
    moved = {name for level in starts for name in rests_on(event.definitions, level)}
    formula = event.formula and put_through(event.formula, [d for d in event.definitions if d.name in moved])
    formula = formula and put_for(formula, {level: Sign(start) for level, start in starts.items()})
    return replace(event, formula=formula, definitions=tuple(d for d in event.definitions if d.name not in moved))


def _walk(ideal: Ideal, letter: str, start: float, end: float) -> Iterator[tuple[Boundary, Margin]]:
    span = end - start
    at, step = start, BEYOND * span
    try:
        point = regime_at(ideal, ideal.values | {letter: start + step})
    except NoRegime:
        return
    for _ in range(MOST_EVENTS):
        found = _next(ideal, point, letter, at, end, span)
        if found is None:
            return
        at, switch, margin = found
        yield Boundary(letter, at, switch.part, margin.event, point.regime), margin
        try:
            changed = {**point.regime, **dict.fromkeys(_alike(ideal, switch), margin.then)}
            point = regime_at(ideal, ideal.values | {letter: at + step}, changed)
        except NoRegime:
            return


def _alike(ideal: Ideal, switch: Switch) -> list[str]:
    """A switch with those of the devices that do as its device does."""
    what = switch.name.partition(" ")[2]
    twins = [twin for twin, first in ideal.twins.devices.items() if first == switch.part]
    return [switch.name, *(f"{twin} {what}" for twin in twins)]


def _next(
    ideal: Ideal, point: Point, letter: str, at: float, end: float, span: float
) -> tuple[float, Switch, Margin] | None:
    """The nearest place at which a condition of this regime ends."""
    here = point_in(ideal, point.regime, ideal.values | {letter: at})
    there = point_in(ideal, point.regime, ideal.values | {letter: end})
    if here is None or there is None:
        return None
    best: tuple[float, Switch, Margin] | None = None
    for switch in ideal.switches:
        for margin in switch.margins(point.regime):
            first, last = here.read(margin.row), there.read(margin.row)
            if last >= 0.0 or last >= first:
                continue
            share = max(0.0, first / (first - last))
            where = at + share * (end - at)
            if abs(where - at) <= 2.0 * BEYOND * abs(span) and first < 1e-6 * there.size(margin.row):
                continue  # the very condition that has just changed over
            if best is None or abs(where - at) < abs(best[0] - at):
                best = (where, switch, margin)
    return best


def _solved(ideal: Ideal, event: Boundary, margin: Margin) -> Boundary:
    """The event with its place as a formula."""
    try:
        with within(MOST_SECONDS):
            formula, definitions = value_where_nothing(ideal, event.before, margin.row, event.letter)
    except (ArithmeticError, TooLong):
        return event
    return replace(event, formula=formula, definitions=definitions)


def value_where_nothing(
    ideal: Ideal, regime: Regime, row: Row, letter: str
) -> tuple[Expression | None, tuple[Definition, ...]]:
    """The value of a letter at which a row becomes nothing; None where the row does not depend on it."""
    symbols = Symbols(ideal, regime, row)
    found = symbols.solved(row)
    moved = rests_on(found.definitions, letter)
    kept = tuple(entry for entry in found.definitions if entry.name not in moved)
    box = Box(found.letters_in(ideal.letters), found.definitions, [entry.name for entry in kept])
    tidy, over = found.tidy, found.over
    if moved:  # a name would hide the letter
        tidy = box.ring()
        exact = value(found.tidy.written(over), box.symbols)
        over = tidy.ring.from_dict(dict(exact.numer)) if exact else tidy.ring.zero
    return linear_root(tidy, over, letter, box.numbers), kept


def linear_root(tidy: Tidy, poly: Poly, letter: str, numbers: Mapping[str, float]) -> Expression | None:
    """−b/a of a·letter + b, told from its main terms."""
    if letter not in tidy.letters:
        return None
    place = tidy.letters.index(letter)
    slope = tidy.coefficient(poly, place)
    if not slope:
        return None
    rest = tidy.ring.from_dict({m: c for m, c in poly.terms() if not m[place]})
    over, under = (-rest).cancel(slope)
    if letter.startswith("V") and over:
        return told_from(over, under, tidy, numbers)
    return tidy.ratio(over, under) if over else ZERO


def with_letters(ideal: Ideal, values: Mapping[str, float]) -> Ideal:
    """The ideal network with other values of some letters."""
    letters = {name: replace(letter, value=values.get(name, letter.value)) for name, letter in ideal.letters.items()}
    return replace(ideal, letters=letters)
