"""The derivation of a design at one point: regime, equations, results, what small terms cost, boundaries, gap."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from outboard.analysis.operating import OperatingPoint, operating_point
from outboard.arrangements.catalogued import COUNTS_AS_OFF
from outboard.arrangements.design import Design
from outboard.errors import OutboardError
from outboard.explain.asked import Asked, Coincides, Derivation, Result
from outboard.explain.beside import Difference, difference
from outboard.explain.boundaries import Boundary, along_load, boundaries
from outboard.explain.deadline import TooLong, within
from outboard.explain.definitions import Definition, definition_value, put_through, rests_on
from outboard.explain.expression import ZERO, Expression, names, put_for
from outboard.explain.forms import Named, composite_gain, told_from, with_name
from outboard.explain.gap import Gap, gaps
from outboard.explain.hand_figures import full_load
from outboard.explain.ideal import Ideal, Quantity, Regime
from outboard.explain.idealised import idealised
from outboard.explain.inverse import DoesNotMatter, Inverse, solved_for
from outboard.explain.letters import Letter
from outboard.explain.neglect import Box, Neglect, good_from, neglected, shortest
from outboard.explain.recognised import published
from outboard.explain.regime import Point, regime_at
from outboard.explain.sensitivity import sensitivities
from outboard.explain.solving import MOST_SECONDS, Solved, Symbols
from outboard.explain.tidying import weight
from outboard.explain.writing import written
from outboard.network.overrides import Overrides
from outboard.quantity import CURRENT, shown

LOAD, INPUT = "I_O", "V_I"
FURTHER = 10.0
"""The load is followed to so many times full load."""

MAIN = ("I_REG", "I_C", "I_D")
"""What the letters of the currents that matter most begin with."""

LONG = 120
"""Terms above and below the fraction line together, from which a result is not shortened any more."""

NO_CURRENT = 1e-12
"""A base current that is rounding only [A]."""

GIVES_UP = ("limits its current", "drops out", "the rail is dead", "is starved")


class UnknownLetter(OutboardError):
    """A letter that this network does not have; `known` are those that it has."""

    def __init__(self, letter: str, known: Sequence[str]) -> None:
        self.letter, self.known = letter, tuple(known)
        super().__init__(f"{letter} is no letter of this network; it has {', '.join(known)}")


@dataclass(frozen=True, slots=True)
class _Ground:
    """What all results of one design stand on."""

    design: Design
    ambient: float
    full: OperatingPoint
    ideal: Ideal
    point: Point
    symbols: Symbols
    loads: tuple[Boundary, ...]

    @property
    def regime(self) -> Regime:
        return self.point.regime


def derived(design: Design, asked: Asked, other: Design | None = None) -> Derivation:
    """Everything that was asked about a design, and beside it about another one.

    Raises UnknownLetter, NotByHand, NoRegime, NoStep, TooLong.
    """
    ground = _ground(design, asked)
    second = _ground(other, asked) if other is not None else None
    wanted = _wanted(ground, asked)
    drawn = _gaps(ground, wanted, asked) if asked.gap else {}
    results = _in_time(_result(ground, quantity, asked, second, drawn.get(quantity.name)) for quantity in wanted)
    gain = next((result.gain for result in results if result.gain is not None), None)
    inputs = boundaries(ground.ideal, INPUT, ground.ideal.values[INPUT], 0.0) if INPUT in ground.ideal.letters else ()
    doing = tuple((switch.part, words) for switch in ground.ideal.switches
                  if (words := switch.states[ground.regime[switch.name]].words) and switch.part != "load")  # fmt: skip
    notes = [*ground.ideal.left_out, *_disagreements(ground), *_alone(ground, second)]
    if len(results) < len(wanted):
        late = ", ".join(quantity.name for quantity in wanted[len(results) :])
        notes.append(f"not reached within {MOST_SECONDS:g} s of computing: {late}; ask for one of them with --of")
    if not ground.full.is_solved:
        notes.append(f"the full solution has no operating point here: {ground.full.outcome}")
    known = {entry.name: entry for result in results for entry in result.definitions}
    loads, down = (_named(_said_once(events, known), gain) for events in (ground.loads, _until_it_gives_up(inputs)))
    return Derivation(
        design.brief.title, doing, ground.ideal.letters, ground.ideal.values, results, loads,
        ground.ideal.values.get(LOAD), _load_end(ground.ideal, ground.design) if LOAD in ground.ideal.letters else None,
        down, "" if other is None else other.brief.title, tuple(notes), not asked.quantities,
    )  # fmt: skip


def _alone(ground: _Ground, second: _Ground | None) -> Iterator[str]:
    """Currents that only one of two designs has: nothing can stand beside them."""
    if second is None:
        return
    own, theirs = (one.ideal.quantities for one in (ground, second))
    pairs = ((own, theirs, "the other design has no {}"), (theirs, own, "only the other design has {}"))
    for known, others, words in pairs:
        missing = [name for name in known if name.startswith(MAIN) and name not in others]
        if missing:
            yield words.format(", ".join(missing))


def _ground(design: Design, asked: Asked) -> _Ground:
    design = _at(design, asked)
    ambient = design.brief.surroundings.ambient.usual if asked.ambient is None else asked.ambient
    full = operating_point(design, ambient=ambient)
    carried = carried_by(full)
    ideal = idealised(design.parts, full_load=full_load(design), carried=carried, voltages=full.nets, exact=asked.exact)
    ideal = _with_values(ideal, asked, design)
    point = regime_at(ideal, ideal.values)
    loads: tuple[Boundary, ...] = ()
    if LOAD in ideal.letters:
        loads = tuple(_until_it_gives_up(along_load(ideal, LOAD, _load_end(ideal, design))))
    return _Ground(design, ambient, full, ideal, point, Symbols(ideal, point.regime), loads)


def _at(design: Design, asked: Asked) -> Design:
    """The design with the input and the load that were asked for."""
    changes = {"input": ("voltage", asked.input_voltage), "load": ("draws", asked.load)}

    def changed(name: str) -> Iterator[tuple[str, float]]:
        field, number = changes.get(name, ("", None))
        if number is not None:
            yield field, number

    parts = tuple(replace(p, part=replace(p.part, values={**p.part.values, **dict(changed(p.name))}))
                  if any(changed(p.name)) else p for p in design.parts)  # fmt: skip
    return replace(design, parts=parts)


def _with_values(ideal: Ideal, asked: Asked, design: Design) -> Ideal:
    """Letters with the ends that were asked for; the load's box goes on to full load."""
    letters = dict(ideal.letters)
    for name, (least, usual, most) in asked.values.items():
        if name not in letters or letters[name].counts:
            raise UnknownLetter(name, [known for known, letter in letters.items() if not letter.counts])
        letters[name] = replace(letters[name], least=least, value=usual, most=most, origin="as asked")
    if LOAD in letters and LOAD not in asked.values:
        letters[LOAD] = replace(letters[LOAD], most=max(letters[LOAD].value, full_load(design)))
    return replace(ideal, letters=letters)


def _load_end(ideal: Ideal, design: Design) -> float:
    return FURTHER * max(full_load(design), ideal.values[LOAD], 1e-3)


def _until_it_gives_up(events: Iterable[Boundary]) -> Iterator[Boundary]:
    for event in events:
        yield event
        if any(words in event.event for words in GIVES_UP):
            return


def carried_by(full: OperatingPoint) -> Mapping[str, float]:
    """Collector and drain currents of a full solution [A]."""
    return {name: abs(found.currents[pin]) for name, found in full.parts.items()
            for pin in ("collector", "drain") if pin in found.currents}  # fmt: skip


def _disagreements(ground: _Ground) -> Iterator[str]:
    """Transistors that conduct by hand and not in the full solution, or the other way round."""
    if not ground.full.is_solved:
        return
    for part in ground.design.parts:
        if part.part.kind in ("bipolar", "mosfet"):
            bipolar = part.part.kind == "bipolar"
            by_hand = ground.point.numbers[f"{'b' if bipolar else 'd'}:{part.name}"] > NO_CURRENT
            carried = abs(ground.full.parts[part.name].currents["collector" if bipolar else "drain"])
            if by_hand != (carried > COUNTS_AS_OFF):
                hand = "conducts" if by_hand else "is off"
                yield f"by hand {part.name} {hand}; in the full solution it carries {shown(carried, CURRENT)}"


def _named(events: tuple[Boundary, ...], gain: Named | None) -> tuple[Boundary, ...]:
    """Events with the gain of several devices written by its letter."""
    if gain is None:
        return events
    return tuple(replace(event, formula=with_name(event.formula, gain)) if event.formula is not None else event
                 for event in events)  # fmt: skip


def _in_time(results: Iterable[Result]) -> tuple[Result, ...]:
    """Results as far as they come within the time for all; TooLong where not even the first does."""
    found: list[Result] = []
    try:
        with within(MOST_SECONDS):
            for result in results:
                found.append(result)
    except TooLong:
        if not found:
            raise
    return tuple(found)


def _said_once(events: Iterable[Boundary], known: dict[str, Definition]) -> tuple[Boundary, ...]:
    """Events whose names mean one thing in the whole derivation; a name that is taken is written out."""
    found = []
    for event in events:
        own = [entry for entry in event.definitions if known.setdefault(entry.name, entry) != entry]
        formula = event.formula and put_through(event.formula, own)
        kept = tuple(entry for entry in event.definitions if entry not in own)
        found.append(replace(event, formula=formula, definitions=kept))
    return tuple(found)


def _wanted(ground: _Ground, asked: Asked) -> list[Quantity]:
    known = ground.ideal.quantities
    for name in asked.quantities:
        if name not in known:
            raise UnknownLetter(name, list(known))
    if asked.quantities:
        return [known[name] for name in asked.quantities]
    shown = [q for q in known.values() if q.name.startswith(MAIN)
             and q.part not in ground.symbols.system.twins.parts]  # fmt: skip
    shown.sort(key=lambda q: not q.name.startswith("I_REG"))
    return [q for q in shown if abs(ground.point.read(q.row)) > 1e-9] or shown[:1] or list(known.values())[:1]


def _gaps(ground: _Ground, wanted: Sequence[Quantity], asked: Asked) -> Mapping[str, Gap]:
    found = gaps(ground.design, wanted, carried_by(ground.full), Overrides.none(), ground.ambient, asked.order_free)
    return {gap.quantity: gap for gap in found}


def _result(
    ground: _Ground, quantity: Quantity, asked: Asked, other: _Ground | None, gap: Gap | None
) -> Result:  # fmt: skip
    ideal = ground.ideal
    solved = ground.symbols.solved(quantity.row, quantity.name)
    box = Box(solved.letters_in(ideal.letters), solved.definitions)
    long = len(solved.over) + len(solved.under) > LONG
    told = solved.expression if long else told_from(solved.over, solved.under, solved.tidy, box.numbers)
    gain = composite_gain(solved.expression)
    exact = with_name(solved.expression, gain) if gain else solved.expression
    worth = ground.point.read(quantity.row)
    steps = tuple(neglected(told, box, solved.tidy)) if worth and not long else ()
    short = None
    if asked.within is not None and worth and not long:
        options = [shortest(form, box, solved.tidy, asked.within) for form in dict.fromkeys((told, solved.expression))]
        short = min(options, key=lambda option: weight(option.expression))
    start = None
    if short is not None and LOAD in ideal.letters and LOAD in names(told):
        start = good_from(short.expression, told, box, LOAD, _regime_from(ground), short.within)
    return Result(
        quantity.name, _meaning(ground, quantity), quantity.unit, worth, _full_value(ground, quantity),
        solved.definitions, solved.lines, solved.substitutions, exact, gain, told, box.numbers,
        tuple(_coincidences(quantity, solved, ideal, box, gain.expression if gain else None, steps)),
        steps, short, start,
        tuple(sensitivities(ideal, solved)) if asked.sensitivities else (),
        _inverse(ground, quantity, solved, asked),
        _difference(quantity, solved, ideal, other), gap, long,
    )  # fmt: skip


def _meaning(ground: _Ground, quantity: Quantity) -> str:
    """What a quantity is; that of the first of several devices alike is that of each."""
    twins = ground.symbols.system.twins
    count = next((count for first, count in twins.sizes.values() if first == quantity.part), 1)
    return f"{quantity.meaning}, each of {count}" if count > 1 else quantity.meaning


def _regime_from(ground: _Ground) -> float:
    """The load at which the regime of this point begins."""
    here = ground.ideal.values[LOAD]
    return max((event.at for event in ground.loads if event.at < here), default=0.0)


def _full_value(ground: _Ground, quantity: Quantity) -> float | None:
    """What the full solution says, counted as the letter counts it."""
    if not ground.full.is_solved:
        return None
    if not quantity.part:
        return ground.full.nets.get(quantity.pin)
    part = ground.design.part(quantity.part).part
    current = ground.full.parts[quantity.part].currents[quantity.pin]
    mirrored = part.polarity in ("pnp", "p-channel", "negative")
    outward = part.kind == "regulator" or quantity.pin == "emitter"
    return -current if mirrored != outward else current


def _inverse(ground: _Ground, quantity: Quantity, solved: Solved, asked: Asked) -> Inverse | None:
    if asked.find is None or asked.target is None or (asked.quantities and quantity.name != asked.quantities[0]):
        return None
    letters = ground.ideal.letters
    if asked.find not in letters or letters[asked.find].counts:
        raise UnknownLetter(asked.find, [known for known, letter in letters.items() if not letter.counts])
    try:
        return solved_for(ground.ideal, ground.regime, quantity, solved, asked.find, asked.target)
    except DoesNotMatter as why:
        raise DoesNotMatter(f"{why}{_where_it_matters(ground, asked.find)}") from None


def _where_it_matters(ground: _Ground, letter: str) -> str:
    """The first event along the load whose place a letter decides."""
    for event in ground.loads:
        moved = rests_on(event.definitions, letter)
        if event.formula is not None and {letter, *moved} & set(names(event.formula)):
            return f"; it decides at which load {event.event} ({shown(event.at, CURRENT)} here)"
    return ""


def _difference(quantity: Quantity, solved: Solved, ideal: Ideal, other: _Ground | None) -> Difference | None:
    if other is None or quantity.name not in other.ideal.quantities:
        return None
    theirs = other.symbols.solved(other.ideal.quantities[quantity.name].row, quantity.name)
    return difference(quantity.name, solved, theirs, solved.letters_in(ideal.letters),
                      theirs.letters_in(other.ideal.letters))  # fmt: skip


def _coincidences(
    quantity: Quantity, solved: Solved, ideal: Ideal, box: Box, gain: Expression | None, steps: Sequence[Neglect]
) -> Iterator[Coincides]:
    """Definitions, the gain of the pair, the result and its short forms, as far as published formulas say the same."""
    letters = dict(ideal.letters)
    for entry in solved.definitions:
        number = box.numbers[entry.name]
        letters[entry.name] = Letter(entry.name, number, number, number, entry.unit, "")
        if entry.handover_of and (found := published(definition_value(entry), entry.unit, letters)) is not None:
            yield Coincides(entry.name, found)
    if gain is not None and (found := published(gain, "1", letters)) is not None:
        yield Coincides("h_FE", found)
    expanded = solved.definitions
    for step in steps:
        for form in (step.expression, put_through(step.expression, expanded)):
            if (found := published(form, quantity.unit, letters)) is not None:
                yield Coincides(f"{quantity.name} ≈ {written(step.expression)}", found)
                break
    others = [entry.name for entry in solved.definitions if not entry.handover_of and entry.unit == "A"]
    for left_out in dict.fromkeys(((), ("I_Q",), ("I_Q", *others))):
        missing = tuple(name for name in left_out if name in names(solved.expression))
        if left_out and not missing:
            continue
        short = put_for(solved.expression, dict.fromkeys(missing, ZERO))
        for form in (short, put_through(short, expanded)):
            if (found := published(form, quantity.unit, letters)) is not None:
                yield Coincides(quantity.name, found, missing)
                return
