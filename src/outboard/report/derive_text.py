"""A derivation in words and formulas: what conducts, how it follows, what small things cost."""

from collections.abc import Iterator, Mapping, Sequence

from rich.text import Text

from outboard.explain.asked import Coincides, Derivation, Result
from outboard.explain.boundaries import Boundary
from outboard.explain.bounds import Bound
from outboard.explain.expression import ZERO, Expression, Sign, value
from outboard.explain.gap import EFFECTS
from outboard.explain.neglect import in_words
from outboard.explain.solving import definition_value
from outboard.explain.writing import equation
from outboard.explain.writing import written as formula
from outboard.formulas.written import put_in, written
from outboard.quantity.showing import MINUS
from outboard.report.plate import QUIET, Cell, Plate
from outboard.report.words import listed
from outboard.sources import source

BAR = 60
"""Columns of the bar over the load."""

MARKS = "①②③④⑤⑥⑦⑧⑨"


def write(plate: Plate, derivation: Derivation) -> None:
    """Regime, boundaries, constants, then one quantity after another."""
    plate.title(derivation.title or "derivation")
    plate.say(" · ".join(f"{name} {words}" for name, words in derivation.doing))
    plate.hairline()
    _write_boundaries(plate, derivation)
    plate.hairline()
    _write_letters(plate, derivation)
    for result in derivation.results:
        plate.hairline()
        _write_result(plate, derivation, result)
    keys = sorted({found.published.source for result in derivation.results for found in result.coincides})
    if keys:
        plate.hairline()
    for key in keys:
        plate.quietly(f"[{key}]  {source(key).citation}")
    for note in derivation.notes:
        plate.say(note)


def _write_boundaries(plate: Plate, derivation: Derivation) -> None:
    if derivation.load is not None and derivation.load_end is not None:
        end = max([derivation.load * 1.25, *(event.at * 1.1 for event in derivation.loads)])
        plate.say(bar(derivation.loads, derivation.load, end))
        rows = [_event(number, event) for number, event in enumerate(derivation.loads)]
        rows.append([Text("●"), written(derivation.load, "A"), "this point", ""])
        plate.table(("", "load", "", ""), rows)
        if not derivation.loads or derivation.loads[-1].part == "" or "starts" in derivation.loads[-1].event:
            plate.quietly(f"nothing else changes over up to {written(derivation.load_end, 'A', 3)}, in this model")
    for event in derivation.inputs[:1]:
        plate.say(f"lowest input  {written(event.at, 'V')}, where {event.event}")
        if event.formula is not None:
            plate.say(equation(event.letter, event.formula), indent=4)


def bar(events: Sequence[Boundary], load: float, end: float) -> str:
    """The load from nothing to `end` as a line, events numbered on it, the point as a dot."""
    cells = ["─"] * BAR
    for number, event in reversed(list(enumerate(events[: len(MARKS)]))):
        cells[_cell(event.at, end)] = MARKS[number]
    place = _cell(load, end)
    while cells[place] != "─" and place < BAR - 1:
        place += 1
    cells[place] = "●"
    return f"0 ├{''.join(cells)}┤ {written(end, 'A', 2)}"


def _cell(load: float, end: float) -> int:
    return min(BAR - 1, max(0, round(load / end * (BAR - 1))))


def _event(number: int, event: Boundary) -> list[Cell]:
    text = equation(event.letter, event.formula) if event.formula is not None else ""
    return [Text(MARKS[number] if number < len(MARKS) else "·"), written(event.at, "A"), event.event, text]


def _write_letters(plate: Plate, derivation: Derivation) -> None:
    used = _used(derivation)
    rows: list[list[Cell]] = []
    for letter in derivation.letters.values():
        if letter.name in used:
            span = f"{written(letter.least, letter.unit, 3)} … {written(letter.most, letter.unit, 3)}"
            rows.append([letter.name, written(letter.value, letter.unit), span if letter.varies else "",
                         Text(f"{letter.meaning}; {letter.origin}", style=QUIET)])  # fmt: skip
    plate.table(("", "value", "tolerance box", ""), rows)


def _used(derivation: Derivation) -> set[str]:
    from outboard.explain.expression import names

    found: set[str] = set()
    for result in derivation.results:
        found |= set(names(result.told))
        for line in result.lines:
            found |= {*names(line.left), *names(line.right)}
        for entry in result.definitions:
            found |= set(names(definition_value(entry)))
    for event in (*derivation.loads, *derivation.inputs[:1]):
        found |= set(names(event.formula)) if event.formula is not None else set()
    return found


def _write_result(plate: Plate, derivation: Derivation, result: Result) -> None:
    pieces = _pieces(derivation, result)
    plate.say(Text.assemble((result.name, "bold"), f"  {result.meaning}  ", (written(result.value, result.unit), "bold")))
    for entry in result.definitions:
        form = definition_value(entry)
        role = f"  hand-over current of {entry.handover_of}" if entry.handover_of else f"  current of {entry.part}"
        line = Text(f"{_put_in(entry.name, form, pieces)} = {written(result.numbers[entry.name], 'A')}")
        plate.say(line.append(role + _source(result.coincides, entry.name), style=QUIET), 4)
    for equation_line in result.lines:
        text = f"{formula(equation_line.left)} = {formula(equation_line.right)}"
        plate.say(Text.assemble((f"{equation_line.about}:  ", QUIET), text), 4)
    for line_put in result.substitutions:
        plate.say(Text.assemble(("put in:  ", QUIET), f"{formula(line_put.left)} = {formula(line_put.right)}"), 4)
    if result.gain is not None:
        text = f"{_put_in(result.gain.name, result.gain.expression, pieces)} = {pieces.get('h_FE', '')}"
        line = Text(text).append(f"  {result.gain.meaning}" + _source(result.coincides, "h_FE"), style=QUIET)
        plate.say(line, 4)
    plate.say(Text(f"{_put_in(result.name, result.exact, pieces)} = {written(result.value, result.unit)}", style="bold"), 4)
    if result.told != result.exact and (result.gain is None or _told_apart(result)):
        plate.say(Text.assemble(("the same:  ", QUIET), equation(result.name, result.told)), 4)
    for found in result.coincides:
        if found.ours == result.name:
            plate.quietly(_coincides(found), 4)
    _write_neglects(plate, result)
    _write_more(plate, result)


def _told_apart(result: Result) -> bool:
    """Whether the form from the main terms is another one, not the exact one with its gain written out."""
    from outboard.explain.expression import put_for

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


def _source(coincides: Sequence[Coincides], ours: str) -> str:
    return next((f"  [{found.published.source}]" for found in coincides if found.ours == ours), "")


def _coincides(found: Coincides) -> str:
    left_out = f", with {listed(found.left_out)} left out" if found.left_out else ""
    return f"coincides{left_out} with {found.published.text}  [{found.published.source}]"


def _write_neglects(plate: Plate, result: Result) -> None:
    if not result.neglects:
        return
    rows: list[list[Cell]] = []
    for step in result.neglects:
        term, beside = in_words(step)
        words = formula(term) + (f" beside {formula(beside)}" if beside != ZERO else "")
        rows.append([words, equation(result.name, step.expression), share(step.error), at_most(step.bound)])
    plate.say()
    plate.table(("left out, one after another", "what remains", "here", "in the box ≤"), rows, figures=(2, 3))
    if result.shortest is not None:
        short = result.shortest
        if short.bound.most == 0.0 and short.expression == result.told:
            plate.say(f"good to {percent(short.within)} over the whole box: nothing shorter than the exact form", 4)
        else:
            text = f"good to {percent(short.within)} over the whole box:  {equation(result.name, short.expression)}"
            plate.say(Text(text, style="bold"), 4)
            plate.quietly(f"here {share(short.error)}, in the box at most {at_most(short.bound)}", 4)
        if result.good_from is not None:
            plate.quietly(f"it keeps that for every load from {written(result.good_from, 'A', 3)} on", 4)


def _write_more(plate: Plate, result: Result) -> None:
    if result.solved_value is not None:
        off = f" ({share(result.value / result.solved_value - 1.0)})" if result.solved_value else ""
        plate.quietly(f"the full solution gives {written(result.solved_value, result.unit)}; by hand{off or ''}", 4)
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
                     _signed(slope.swing, result.unit)])  # fmt: skip
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
    ends = [f"{written(end, result.unit)} at {words}" for end, words in
            zip(found.reached, (f"{found.letter} = 0", f"{found.letter} → ∞"), strict=True) if end is not None]  # fmt: skip
    yield f"no {found.letter} does: {found.why}"
    if ends:
        yield f"{found.quantity} is {listed(ends)}; {goal} lies beyond"


def difference_words(result: Result) -> Iterator[str]:
    """The same quantity of the other design, and what the difference comes from."""
    found = result.difference
    assert found is not None
    yield f"beside it:  {equation(result.name, found.other)} = {written(found.other_value, result.unit)}"
    change = written(found.other_value - found.own_value, result.unit)
    yield f"difference:  {equation('Δ' + result.name, found.difference)} = {change}"
    if found.primed:
        yield f"{listed(found.primed)}: the other design's values"


def _write_gap(plate: Plate, result: Result) -> None:
    gap = result.gap
    assert gap is not None
    heads = ("", "adds", "leads to") + (("in any order",) if gap.shares is not None else ())
    rows: list[list[Cell]] = [["hand algebra, no quiescent current", "", written(gap.hand, gap.unit)]]
    for step in gap.steps:
        row: list[Cell] = [EFFECTS[step.effect], _signed(step.change, gap.unit), written(step.value, gap.unit)]
        rows.append(row + ([_signed(gap.shares[step.effect], gap.unit)] if gap.shares is not None else []))
    plate.say()
    plate.table(heads, [row + [""] * (len(heads) - len(row)) for row in rows], figures=(1, 2, 3))
    plate.quietly("each line switches one effect on, in this order; the steps add up to the whole difference", 4)
    if gap.shares is not None:
        plate.quietly("in any order: the change averaged over all orders; they add up to the same", 4)


def _signed(number: float, unit: str) -> str:
    text = written(number, unit, 3)
    return text if text.startswith(MINUS) or number == 0.0 else f"+{text}"


def share(error: float) -> str:
    """An error for people: per cent, per mille where small."""
    if abs(error) < 1e-9:
        return "0"
    digits = f"{abs(error) * 100.0:.2g}" if abs(error) < 0.995 else f"{abs(error) * 100.0:.0f}"
    plain = f"{float(digits):.7f}".rstrip("0").rstrip(".") if abs(error) >= 1e-6 else "0.0001"
    small = "<" if abs(error) < 1e-6 else ""
    return f"{small}{MINUS if error < 0 else '+'}{plain} %"


def at_most(bound: Bound) -> str:
    """A bound for people."""
    if bound.most == float("inf"):
        return "no bound"
    return share(bound.most).replace("+", "") + ("" if bound.proved else " at corners")


def percent(within: float) -> str:
    """A share that was asked for."""
    return f"{within * 100.0:g} %"


