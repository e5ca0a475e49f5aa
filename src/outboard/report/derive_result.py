"""One derived quantity in words: how it follows, what small terms cost, what else was asked about it."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import zip_longest

from rich.text import Text

from outboard.explain.asked import Coincides, Derivation, Result
from outboard.explain.bounds import Bound
from outboard.explain.expression import ZERO, Expression, Sign, Sum, put_for, value
from outboard.explain.forms import with_name
from outboard.explain.neglect import Neglect, in_words
from outboard.explain.writing import equation
from outboard.explain.writing import written as formula
from outboard.formulas.written import put_in, written
from outboard.quantity.showing import MINUS
from outboard.report.plate import QUIET, Cell, Plate
from outboard.report.words import listed

UNSEEN = 1e-6
"""Errors below this are not told apart."""

ERRORS = "here: the error at this point; in the box: the most it can be there; both with all lines above left out too"
HAND = "hand algebra, no quiescent current"
IN_ORDER = "each line switches one effect on, in this order; the steps add up to the whole difference"
SHARES = "in any order: the change averaged over all orders; they add up to the same"

LONGEST = 24
"""Signs that a term may have to be named in full."""


def write_result(plate: Plate, derivation: Derivation, result: Result) -> None:
    """A quantity: what is put in, the exact result, neglects, and what else was asked."""
    pieces, worth = _pieces(derivation, result), written(result.value, result.unit)
    plate.say(Text.assemble((result.name, "bold"), f"  {result.meaning}  ", (worth, "bold")))
    for line in result.substitutions:
        plate.say(Text.assemble(("put in:  ", QUIET), f"{formula(line.left)} = {formula(line.right)}"), 4)
    if result.gain is not None:
        gain = Text(f"{_put_in(result.gain.name, result.gain.expression, pieces)} = {pieces['h_FE']}")
        plate.say(gain.append(f"  {result.gain.meaning}{source_of(result.coincides, 'h_FE')}", style=QUIET), 4)
    shown = equation(result.name, result.exact) if result.too_long else _put_in(result.name, result.exact, pieces)
    plate.say(Text(f"{shown} = {worth}", style="bold"), 4)
    if result.told != result.exact and (result.gain is None or _told_apart(result)):
        plate.say(Text.assemble(("the same:  ", QUIET), equation(result.name, _with_gain(result, result.told))), 4)
    for found in result.coincides:
        if found.ours == result.name:
            plate.quietly(coincides_words(found), 4)
    _write_neglects(plate, result)
    for found in result.coincides:
        if found.ours.startswith(f"{result.name} ≈"):
            plate.quietly(f"{found.ours}: {coincides_words(found)}", 4)
    if result.solved_value is not None:
        off = f"; by hand {share(result.value / result.solved_value - 1.0)}" if result.solved_value else ""
        plate.quietly(f"the full solution gives {written(result.solved_value, result.unit)}{off}", 4)
    _write_more(plate, result)


def _with_gain(result: Result, expression: Expression) -> Expression:
    return with_name(expression, result.gain) if result.gain is not None else expression


def _told_apart(result: Result) -> bool:
    """Whether the form from the main terms is another one, not the exact one with its gain written out."""
    assert result.gain is not None
    return formula(put_for(result.exact, {"h_FE": result.gain.expression})) != formula(result.told)


def _pieces(derivation: Derivation, result: Result) -> dict[str, str]:
    """Every letter with its number written."""
    found = {name: written(result.numbers[name], letter.unit) for name, letter in derivation.letters.items()
             if name in result.numbers}  # fmt: skip
    found |= {entry.name: written(result.numbers[entry.name], "A") for entry in result.definitions}
    if result.gain is not None:
        found["h_FE"] = written(float(value(result.gain.expression, result.numbers)), "1")
    return found


def _put_in(name: str, expression: Expression, pieces: Mapping[str, str]) -> str:
    text = formula(expression)
    if isinstance(expression, Sign):
        return f"{name} = {text}"
    return f"{name} = {text} = {put_in(text, pieces)}"


def source_of(coincides: Sequence[Coincides], ours: str) -> str:
    """The document behind a formula of ours, in brackets; nothing when there is none."""
    return next((f"  [{found.published.source}]" for found in coincides if found.ours == ours), "")


def coincides_words(found: Coincides) -> str:
    """Which published formula says the same, and what it does not count."""
    left_out = f", with {listed(found.left_out)} left out" if found.left_out else ""
    return f"coincides{left_out}{',' if left_out else ''} with {found.published.text}  [{found.published.source}]"


def _write_neglects(plate: Plate, result: Result) -> None:
    if result.too_long:
        plate.quietly("too many terms to look for small ones; parts that are alike would make it short", 4)
    if not result.neglects:
        return
    rows: list[list[Cell]] = [
        [listed(words), equation(result.name, step.expression), share(step.error), at_most(step.bound)]
        for words, step in left_out_together(result)
    ]
    plate.say()
    plate.table(("left out, one after another", "what remains", "here", "in the box ≤"), rows, figures=(2, 3))
    plate.quietly(ERRORS, 4)
    if result.shortest is not None:
        short = result.shortest
        if short.bound.most == 0.0 and short.expression == result.told:
            plate.say(f"good to {percent(short.within)} over the whole box: nothing shorter than the exact form", 4)
        else:
            text = f"good to {percent(short.within)} over the whole box:  {equation(result.name, short.expression)}"
            plate.say(Text(text, style="bold"), 4)
            plate.quietly(f"here {share(short.error)}, in the box at most {at_most(short.bound)}", 4)
        if result.good_from is not None and short.expression != result.told and short.bound.most > 0.0:
            plate.quietly(f"it keeps that for every load from {written(result.good_from, 'A', 3)} on", 4)


def left_out_together(result: Result) -> Iterator[tuple[list[str], Neglect]]:
    """The terms of each line of neglects in words, and the step that ends it."""
    words: list[str] = []
    for step, following in zip_longest(result.neglects, result.neglects[1:]):
        words.append(_left_out(step))
        if following is not None and following.bound.most < UNSEEN:
            continue  # what costs nothing that could be shown goes in one line
        yield words, step
        words = []


def _left_out(step: Neglect) -> str:
    """A term and the first of those that it stood beside."""
    term, beside = in_words(step)
    first = beside.terms[0] if isinstance(beside, Sum) else beside
    more = " …" if isinstance(beside, Sum) or formula(first) != formula(beside) else ""
    text = formula(term)
    if len(text) > LONGEST:
        text = "all the rest"
    return text + (f" beside {formula(first)}{more}" if beside != ZERO and len(formula(first)) <= LONGEST else "")


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
        _write_gap(plate, result)


def _write_slopes(plate: Plate, result: Result) -> None:
    rows: list[list[Cell]] = []
    for slope in result.sensitivities:
        text = formula(slope.formula) if slope.formula is not None else "too long to be read"
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
    if found.primed:
        yield f"{listed(found.primed)}: the other design's values"


def _write_gap(plate: Plate, result: Result) -> None:
    gap = result.gap
    assert gap is not None
    heads = ("", "adds", "leads to") + (("in any order",) if gap.shares is not None else ())
    rows: list[list[Cell]] = [[HAND, "", written(gap.hand, gap.unit)]]
    for step in gap.steps:
        row: list[Cell] = [step.words, signed(step.change, gap.unit), written(step.value, gap.unit)]
        rows.append(row + ([signed(gap.shares[step.effect], gap.unit)] if gap.shares is not None else []))
    plate.say()
    plate.table(heads, [row + [""] * (len(heads) - len(row)) for row in rows], figures=(1, 2, 3))
    plate.quietly(IN_ORDER, 4)
    if gap.shares is not None:
        plate.quietly(SHARES, 4)


def signed(number: float, unit: str) -> str:
    """A change, its sign always written."""
    text = written(number, unit, 3)
    return text if text.startswith(MINUS) or number == 0.0 else f"+{text}"


def share(error: float) -> str:
    """An error for people: per cent, per mille where small."""
    if abs(error) < 1e-9:
        return "0"
    digits = f"{abs(error) * 100.0:.2g}" if abs(error) < 0.995 else f"{abs(error) * 100.0:.0f}"
    if abs(error) < 1e-6:
        return "< 0.0001 %"
    return f"{MINUS if error < 0 else '+'}{f'{float(digits):.7f}'.rstrip('0').rstrip('.')} %"


def at_most(bound: Bound) -> str:
    """A bound for people."""
    if bound.most == float("inf"):
        return "no bound"
    return share(bound.most).replace("+", "") + ("" if bound.proved else " at corners")


def percent(within: float) -> str:
    """A share that was asked for."""
    return f"{within * 100.0:g} %"


