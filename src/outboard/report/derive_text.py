"""A derivation in words and formulas: what conducts, how it follows, what small things cost."""

from collections.abc import Iterator, Sequence

from rich.text import Text

from outboard.explain.asked import Derivation
from outboard.explain.boundaries import Boundary
from outboard.explain.definitions import Definition, Line, definition_value
from outboard.explain.expression import names
from outboard.explain.letters import Letter
from outboard.explain.writing import equation
from outboard.explain.writing import written as formula
from outboard.formulas.written import put_in, written
from outboard.report.derive_result import source_of, write_result
from outboard.report.plate import QUIET, Cell, Plate
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
    plate.hairline()
    _write_laws(plate, derivation)
    for result in derivation.results:
        plate.hairline()
        write_result(plate, derivation, result)
    cited = list(sources_of(derivation))
    if cited:
        plate.hairline()
    for text in cited:
        plate.quietly(text)
    for note in derivation.notes:
        plate.say(note)


def sources_of(derivation: Derivation) -> Iterator[str]:
    """Every document that a formula coincides with."""
    for key in sorted({found.published.source for result in derivation.results for found in result.coincides}):
        yield f"[{key}]  {source(key).citation}"


def _write_boundaries(plate: Plate, derivation: Derivation) -> None:
    if derivation.load is not None and derivation.load_end is not None:
        end = max([1e-3, derivation.load * 1.25, *(event.at * 1.1 for event in derivation.loads)])
        plate.say(bar(derivation.loads, derivation.load, end))
        rows = [_event(number, event) for number, event in enumerate(derivation.loads)]
        rows.append([Text("●"), written(derivation.load, "A"), "this point", ""])
        plate.table(("", "load", "", ""), rows)
        if not derivation.loads or derivation.loads[-1].part == "" or "starts" in derivation.loads[-1].event:
            plate.quietly(f"nothing else changes up to {written(derivation.load_end, 'A', 3)}, in this model")
    for event in derivation.inputs[:1]:
        lowest = "drops out" in event.event or "saturates" in event.event
        heading = "lowest input" if lowest else "as the input falls, first at"
        plate.say(f"{heading}  {written(event.at, 'V')}, where {event.event}")
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
    rows: list[list[Cell]] = []
    for letter in letters_used(derivation):
        span = f"{written(letter.least, letter.unit, 3)} … {written(letter.most, letter.unit, 3)}"
        rows.append([letter.name, written(letter.value, letter.unit), span if letter.varies else "",
                     Text(f"{letter.meaning}; {letter.origin}", style=QUIET)])  # fmt: skip
    plate.table(("", "value", "tolerance box", ""), rows)


def letters_used(derivation: Derivation) -> list[Letter]:
    """The constants that stand in any formula of the derivation."""
    used = _used(derivation)
    return [letter for letter in derivation.letters.values() if letter.name in used]


def _used(derivation: Derivation) -> set[str]:
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


def definitions(derivation: Derivation) -> list[Definition]:
    """Every named current that is used, once."""
    return list({entry.name: entry for result in derivation.results for entry in result.definitions}.values())


def laws(derivation: Derivation) -> list[Line]:
    """Every equation that is used, once."""
    return list(dict.fromkeys(line for result in derivation.results for line in result.lines))


def _write_laws(plate: Plate, derivation: Derivation) -> None:
    """Named currents with their numbers, then one line per net or part."""
    pieces = {name: written(letter.value, letter.unit) for name, letter in derivation.letters.items()}
    numbers = {name: number for result in derivation.results for name, number in result.numbers.items()}
    coincides = [found for result in derivation.results for found in result.coincides]
    for entry in definitions(derivation):
        text = formula(definition_value(entry))
        role = f"hand-over current of {entry.handover_of}" if entry.handover_of else f"current of {entry.part}"
        line = Text(f"{entry.name} = {text} = {put_in(text, pieces)} = {written(numbers[entry.name], 'A')}")
        plate.say(line.append(f"  {role}{source_of(coincides, entry.name)}", style=QUIET))
    for law in laws(derivation):
        plate.say(Text.assemble((f"{law.about}:  ", QUIET), f"{formula(law.left)} = {formula(law.right)}"))
