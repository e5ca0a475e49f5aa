"""One derived quantity in words: how it follows, what small terms cost, what else was asked about it."""

from collections.abc import Iterator

from rich.text import Text

from outboard.explain.asked import Coincides, Derivation, Result
from outboard.explain.definitions import definition_value
from outboard.explain.expression import length
from outboard.explain.gap import Gap
from outboard.explain.writing import equation
from outboard.explain.writing import written as formula
from outboard.formulas.written import written
from outboard.quantity.showing import MINUS
from outboard.report.derive_neglects import SMALL, UNSEEN, share, with_gain, write_neglects, write_short
from outboard.report.derive_numbers import figures, worked_out
from outboard.report.plate import QUIET, Cell, Plate
from outboard.report.words import listed

READABLE = 1600
"""Signs of a formula with its numbers beyond which nobody reads it."""

HAND = "hand algebra, no quiescent current"
IN_ORDER = "each line switches one effect on, in this order; the steps add up to the whole difference"
SHARES = "in any order: the change averaged over all orders; they add up to the same"


def write_result(plate: Plate, derivation: Derivation, result: Result, short: bool = False) -> None:
    """A quantity: what is put in, the exact result, neglects, and what else was asked; `short` leaves out the way."""
    pieces, worth = figures(derivation, result), written(result.value, result.unit)
    plate.say(Text.assemble((result.name, "bold"), f"  {result.meaning}  ", (worth, "bold"), (_beside(result), QUIET)))
    if not short:
        for line in result.substitutions:
            plate.say(Text.assemble(("put in:  ", QUIET), f"{formula(line.left)} = {formula(line.right)}"), 4)
    if result.gain is not None and not (short and _told_before(derivation, result)):
        gain = Text(worked_out(result.gain.name, result.gain.expression, pieces, pieces[result.gain.name]))
        plate.say(gain.append(f"  {result.gain.meaning}", style=QUIET), 4)
    exact = equation(result.name, result.exact) if result.too_long else worked_out(
        result.name, result.exact, pieces, worth)  # fmt: skip
    if len(exact) > READABLE:
        size = length(result.exact)
        exact = f"{result.name} has {size} letters and numbers: too long to be followed; --json holds it"
    plate.say(Text(exact, style="bold"), 4)
    if short:
        write_short(plate, result)
    else:
        if with_gain(result, result.told) != result.exact:
            plate.say(Text.assemble(("the same:  ", QUIET), equation(result.name, with_gain(result, result.told))), 4)
        write_neglects(plate, result, SMALL if derivation.overview else UNSEEN)
    _write_more(plate, result)


def _beside(result: Result) -> str:
    """What the full solution gives, and how far the hand value is off."""
    if result.solved_value is None:
        return ""
    off = f", hand {share(result.value / result.solved_value - 1.0)}" if result.solved_value else ""
    return f"  full solution {written(result.solved_value, result.unit, 3)}{off}"


def _told_before(derivation: Derivation, result: Result) -> bool:
    """Whether a result before this one has said what the composite gain is."""
    before = derivation.results[: derivation.results.index(result)]
    return any(one.gain == result.gain for one in before)


def coincides_words(found: Coincides) -> str:
    """Which published formula says the same, and what it does not count."""
    left_out = f", with {listed(found.left_out)} left out" if found.left_out else ""
    return f"coincides{left_out}{',' if left_out else ''} with {found.published.text}  [{found.published.source}]"


def _write_more(plate: Plate, result: Result) -> None:
    if result.sensitivities:
        _write_slopes(plate, result)
    if result.inverse is not None:
        for text in inverse_words(result):
            plate.say(text, 4)
    if result.difference is not None:
        for text in difference_words(result):
            plate.say(text, 4)
    if result.gap is not None:
        _write_gap(plate, result.gap)


def _write_slopes(plate: Plate, result: Result) -> None:
    rows: list[list[Cell]] = []
    for slope in result.sensitivities:
        text = formula(with_gain(result, slope.formula)) if slope.formula is not None else "too long to be read"
        rows.append([f"∂{result.name}/∂{slope.letter}", text, f"{slope.relative:+.3g}".replace("-", MINUS),
                     signed(slope.swing, result.unit)])  # fmt: skip
    plate.say()
    plate.table(("", "", "% per %", "least to most"), rows, figures=(2, 3))


def inverse_words(result: Result) -> Iterator[str]:
    """The part that makes a quantity what it should be, or why none does."""
    found = result.inverse
    assert found is not None
    unit = "Ω" if found.letter[0] in "Rr" else result.unit
    goal = written(found.wanted, result.unit)
    yield f"{equation(found.letter, found.formula)}  for {found.quantity} = {goal}"
    if found.value is not None:
        yield f"{found.letter} = {written(found.value, unit)}" + (f"; {found.why}" if found.why else "")
        return
    places = zip(found.reached, (f"{found.letter} = 0", f"{found.letter} → ∞"), strict=True)
    ends = [f"{written(end, result.unit)} at {words}" for end, words in places if end is not None]
    yield f"no {found.letter} does: {found.why}"
    if ends:
        yield f"{found.quantity} is {listed(ends)}; {goal} lies beyond"


def difference_words(result: Result) -> Iterator[str]:
    """The same quantity of the other design, and what the difference comes from."""
    found = result.difference
    assert found is not None
    yield f"the other design:  {equation(result.name, found.other)} = {written(found.other_value, result.unit)}"
    change = written(found.other_value - found.own_value, result.unit)
    yield f"its difference:  {equation('Δ' + result.name, found.difference)} = {change}"
    pieces = {letter.name: written(letter.value, letter.unit) for letter in found.letters}
    if pieces:
        yield f"there {', '.join(f'{name} = {worth}' for name, worth in pieces.items())}"
    if found.definitions:
        texts = (f"{equation(entry.name, definition_value(entry))} = {written(found.values[entry.name], entry.unit)}"
                 for entry in found.definitions)  # fmt: skip
        yield f"there {'; '.join(texts)}"


def _write_gap(plate: Plate, gap: Gap) -> None:
    heads = ("", "adds", "leads to") + (("in any order",) if gap.shares is not None else ())
    plate.say()
    plate.table(heads, gap_rows(gap), figures=(1, 2, 3))
    for text in gap_words(gap):
        plate.quietly(text, 4)


def gap_rows(gap: Gap) -> list[list[str]]:
    """The hand value, then every effect that some part has: what it adds, where that leads, its share in any order."""
    rows = [[HAND, "", written(gap.hand, gap.unit), ""]]
    for step in gap.steps:
        if step.effect not in gap.idle:
            shared = signed(gap.shares[step.effect], gap.unit) if gap.shares is not None else ""
            rows.append([step.words, signed(step.change, gap.unit), written(step.value, gap.unit), shared])
    return [row[: 3 if gap.shares is None else 4] for row in rows]


def gap_words(gap: Gap) -> Iterator[str]:
    """How the staircase is to be read, and which effects no part has."""
    yield IN_ORDER
    if gap.shares is not None:
        yield SHARES
    idle = [step.words for step in gap.steps if step.effect in gap.idle]
    if idle:
        yield f"nothing changes by: {'; '.join(idle)}"


def signed(number: float, unit: str) -> str:
    """A change, its sign always written."""
    text = written(number, unit, 3)
    return text if text.startswith(MINUS) or number == 0.0 else f"+{text}"
