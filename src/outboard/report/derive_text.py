"""A derivation in words and formulas: what conducts, how it follows, what small things cost."""

from collections.abc import Iterator, Sequence
from functools import partial

from rich.text import Text

from outboard.explain.asked import Derivation, Result
from outboard.explain.boundaries import Boundary
from outboard.explain.definitions import Definition, Line, definition_value
from outboard.explain.expression import names
from outboard.explain.letters import Letter
from outboard.explain.writing import equation
from outboard.explain.writing import written as formula
from outboard.formulas.written import written
from outboard.report.derive_numbers import figures, worked_out
from outboard.report.derive_result import READABLE, write_result
from outboard.report.plate import QUIET, Cell, Plate
from outboard.report.words import listed
from outboard.sources import source

BAR = 60
"""Columns of the bar over the load."""

MARKS = "①②③④⑤⑥⑦⑧⑨"


def write(plate: Plate, derivation: Derivation) -> None:
    """Regime, boundaries, constants, then one quantity after another."""
    plate.title(derivation.title or "derivation")
    plate.say(doing_words(derivation))
    plate.hairline()
    _write_boundaries(plate, derivation)
    plate.hairline()
    _write_letters(plate, derivation)
    plate.hairline()
    _write_laws(plate, derivation)
    for number, result in enumerate(derivation.results):
        plate.hairline()
        write_result(plate, derivation, result, short=derivation.overview and number > 0)
    if derivation.overview and len(derivation.results) > 1:
        plate.quietly(f"--of {derivation.results[1].name} shows the way, term by term", 4)
    _write_published(plate, derivation)
    for note in derivation.notes:
        plate.say(note)


def doing_words(derivation: Derivation, between: str = " · ") -> str:
    """What the parts do, those that do the same together."""
    together: dict[str, list[str]] = {}
    for name, words in derivation.doing:
        together.setdefault(words, []).append(name)
    plural = {"conducts": "conduct", "blocks": "block", "breaks down": "break down"}
    return between.join(f"{listed(names)} {words if len(names) == 1 else plural.get(words, words)}"
                      for words, names in together.items())  # fmt: skip


def published(derivation: Derivation) -> Iterator[tuple[str, str]]:
    """Which of our formulas print has too, and where."""
    found: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for one in (one for result in derivation.results for one in result.coincides):
        key = (one.published.text, one.published.source, one.left_out)
        if one.ours not in found.setdefault(key, []):
            found[key].append(one.ours)
    cited: set[str] = set()
    for (text, origin, left_out), ours in found.items():
        besides = f", with {listed(left_out)} left out" if left_out else ""
        citation = f"[{origin}]" if origin in cited else f"[{origin}] {source(origin).citation}"
        cited.add(origin)
        yield f"as printed, {text}:  {listed(ours)}{besides}", citation


def _write_published(plate: Plate, derivation: Derivation) -> None:
    lines = list(published(derivation))
    if lines:
        plate.hairline()
    for line, citation in lines:
        plate.say(Text(f"{line}  ").append(citation, style=QUIET))


def _write_boundaries(plate: Plate, derivation: Derivation) -> None:
    if derivation.load is not None and derivation.load_end is not None:
        end = max([1e-3, derivation.load * 1.25, *(event.at * 1.1 for event in derivation.loads)])
        plate.say(bar(derivation.loads, derivation.load, end))
        rows = [_event(derivation, number, event) for number, event in enumerate(derivation.loads)]
        rows.append([Text("●"), written(derivation.load, "A"), "this point", ""])
        plate.table(("", "load", "", ""), rows)
        if not derivation.loads or derivation.loads[-1].part == "" or "starts" in derivation.loads[-1].event:
            plate.quietly(f"nothing else changes up to {written(derivation.load_end, 'A', 3)}, in this model")
    for event in derivation.inputs[:1]:
        lowest = "drops out" in event.event or "saturates" in event.event
        heading = "lowest input" if lowest else "as the input falls, first at"
        plate.say(f"{heading}  {written(event.at, 'V')}, where {event.event}")
        if is_told(derivation, event):
            plate.say(_formula_of(event), indent=4)


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


LONGEST_EVENT = 110
"""Signs of a formula beyond which an overview leaves it out."""


def _formula_of(event: Boundary) -> str:
    return equation(event.letter, event.formula) if event.formula is not None else ""


def is_told(derivation: Derivation, event: Boundary) -> bool:
    """Whether the formula of an event is printed: an overview leaves out the longer ones along the load."""
    most = LONGEST_EVENT if derivation.overview and event not in derivation.inputs else READABLE
    short = len(_formula_of(event)) <= most
    return event.formula is not None and short


def _event(derivation: Derivation, number: int, event: Boundary) -> list[Cell]:
    text: Cell = _formula_of(event)
    if text and not is_told(derivation, event):
        words = "long: --of prints it" if derivation.overview else "too long to be followed; --json holds it"
        text = Text(words, style=QUIET)
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
    for event in filter(partial(is_told, derivation), (*derivation.loads, *derivation.inputs[:1])):
        found |= set(names(event.formula)) if event.formula is not None else set()
        for entry in event.definitions:
            found |= set(names(definition_value(entry)))
    return found


def definitions(derivation: Derivation) -> list[Definition]:
    """Every named quantity that is used, once: those of the results, then what only events need."""
    events = filter(partial(is_told, derivation), (*derivation.loads, *derivation.inputs[:1]))
    ones: tuple[Result | Boundary, ...] = (*derivation.results, *events)
    return list({entry.name: entry for one in ones for entry in one.definitions}.values())


def laws(derivation: Derivation) -> list[Line]:
    """Every equation that is used, once."""
    return list(dict.fromkeys(line for result in derivation.results for line in result.lines))


def _write_laws(plate: Plate, derivation: Derivation) -> None:
    """Named quantities with their numbers, then one line per net or part."""
    pieces = figures(derivation)
    for entry in definitions(derivation):
        line = Text(worked_out(entry.name, definition_value(entry), pieces, pieces[entry.name]))
        plate.say(line.append(f"  {entry.words}", style=QUIET))
    for law in laws(derivation):
        plate.say(Text.assemble((f"{law.about}:  ", QUIET), f"{formula(law.left)} = {formula(law.right)}"))
