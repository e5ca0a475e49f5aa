"""How each value was found: formula, numbers put in, the window it must lie in, sources."""

from collections.abc import Iterator

from outboard.arrangements import Bound, SizedValue, Sizing, Window
from outboard.dossier import NotRun
from outboard.formulas import Worked
from outboard.formulas.written import written
from outboard.quantity import CURRENT, RESISTANCE, shown
from outboard.report.document.alike import names_in_words
from outboard.report.document.content import (
    FIGURES,
    NAMES,
    Block,
    Heading,
    Items,
    Paragraph,
    Section,
    Styled,
    Words,
    table,
)
from outboard.report.document.material import Material
from outboard.report.document.wordings import bold, quiet, sentence
from outboard.report.size_text import WEAK, ends_in_words


def section(material: Material) -> Section | None:
    """None where nothing was sized."""
    sizing = material.dossier.sizing
    if isinstance(sizing, NotRun):
        return None
    return Section("How the values were found", tuple(_blocks(sizing)))


def _blocks(sizing: Sizing) -> Iterator[Block]:
    yield Paragraph("Keys in brackets name the documents in the section on sources. Each window counts the tolerance "
                    "of the resistor itself.")  # fmt: skip
    for value in sizing.values:
        yield from _value(value)
    yield from _stage(sizing)
    rows = [_figure_row(figure.words, written(figure.value, figure.unit), figure.origin.kind in WEAK,
                        figure.origin.words, figure.origin.source) for figure in sizing.figures]  # fmt: skip
    yield table("Numbers put into the formulas", (("figure", 0.5), ("value", FIGURES), ("where from", 0.5)), rows)
    heads = (("letter", NAMES), ("what it stands for", 1.0))
    yield table("Letters of the formulas", (*heads, *heads), _side_by_side(_letters(sizing)))
    if sizing.remarks:
        yield Items(tuple(sentence(remark) for remark in sizing.remarks))


def _figure_row(words: str, value: str, weak: bool, origin: str, source: str) -> tuple[Words, ...]:
    return words, f"{value} †" if weak else value, f"{origin} [{source}]" if source else origin


def _value(value: SizedValue) -> Iterator[Block]:
    names = names_in_words(value.names)
    chosen = "left out" if value.chosen is None else shown(value.chosen, RESISTANCE)
    yield Heading(f"{names}, {value.role}: {chosen}")
    if value.chosen is not None:
        how = f"{value.series}, {value.direction}" if value.origin == "sized" else value.direction
        yield Paragraph(sentence(how))
    lines = [*_worked(value.worked)]
    if value.window is not None:
        lines += _window(value.window, value.chosen)
    lines += [*_worked(value.dissipation), *_worked(value.needed)]
    if value.construction:
        lines.append(("Take ", bold(value.construction), "."))
    if lines:
        yield Items(tuple(lines))


def _window(window: Window, chosen: float | None) -> Iterator[Words]:
    if window.is_empty:
        yield bold("No value does:")
    else:
        outside = "" if chosen is None or window.holds(chosen) else "; this value lies outside"
        yield f"The window goes {ends_in_words(window)}{outside}."
    for end, side, words in ((window.least, "Below it", window.below), (window.most, "Above it", window.above)):
        if end.worked is not None:
            yield f"{side} {words}: ", *_said(end.worked)
        elif end.missing:
            which = "lower" if end is window.least else "upper"
            beyond = "" if end.missing == words else f" ({words})"
            yield f"No {which} end is told{beyond}: {end.missing}."


def _stage(sizing: Sizing) -> Iterator[Block]:
    yield Heading(f"Pass devices: {sizing.count.chosen}")
    lines = [line for end in (sizing.count.by_power, sizing.count.by_current) for line in _bound(end)]
    if lines:
        yield Items(tuple(lines))
    yield Heading("What follows")
    current = shown(sizing.handover, CURRENT)
    begins = f"The outboard part takes over at a regulator current of {current}, {sizing.handover_origin}."
    facts: list[Words] = [begins]
    if sizing.headroom is not None:
        facts.append(("Lowest input that the stage needs: ", *_said(sizing.headroom)))
    facts += [(f"{fact.words[:1].upper()}{fact.words[1:]}: ", *_said(fact.worked)) for fact in sizing.facts]
    yield Items(tuple(facts))


def _bound(end: Bound) -> Iterator[Words]:
    if end.worked is not None:
        yield _said(end.worked)
    elif end.missing:
        yield end.missing


def _worked(worked: Worked | None) -> Iterator[Words]:
    if worked is not None:
        yield _said(worked)


def _said(worked: Worked) -> tuple[str | Styled, ...]:
    return worked.text, " ", quiet(f"[{worked.formula.source}]")


def _side_by_side(rows: list[tuple[str, str]]) -> list[tuple[Words, ...]]:
    """Two columns of what would be one long one."""
    half = (len(rows) + 1) // 2
    right = [*rows[half:], ("", "")][:half]
    return [(*one, *other) for one, other in zip(rows[:half], right, strict=True)]


def _letters(sizing: Sizing) -> list[tuple[str, str]]:
    """Every letter once; where two formulas mean different things by it, both."""
    meanings: dict[str, dict[str, None]] = {}
    for work in _all_worked(sizing):
        for symbol in (*work.formula.symbols, work.formula.result):
            meanings.setdefault(symbol.name, {})[symbol.meaning] = None
    return [(name, "; or ".join(meanings[name])) for name in sorted(meanings, key=str.casefold)]


def _all_worked(sizing: Sizing) -> Iterator[Worked]:
    """Every formula of the section with its numbers."""
    worked = [work for value in sizing.values for work in (value.worked, value.dissipation, value.needed)]
    windows = [value.window for value in sizing.values if value.window is not None]
    ends = [sizing.count.by_power, sizing.count.by_current, *(end for one in windows for end in (one.least, one.most))]
    worked += [*(end.worked for end in ends), sizing.headroom, *(fact.worked for fact in sizing.facts)]
    return (work for work in worked if work is not None)


def sources_used(sizing: Sizing) -> frozenset[str]:
    """Keys of every document that the sizing names."""
    keys = {work.formula.source for work in _all_worked(sizing)}
    return frozenset(keys | {figure.origin.source for figure in sizing.figures if figure.origin.source})
