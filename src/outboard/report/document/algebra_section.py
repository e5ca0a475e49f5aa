"""The algebra at the usual point: equations, exact result, what each dropped term costs."""

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace

from outboard.dossier import NotRun
from outboard.explain.asked import Derivation, Result
from outboard.explain.definitions import definition_value
from outboard.explain.expression import Expression
from outboard.explain.writing import TEXT, TYPST, Notation, equation, written
from outboard.formulas.written import written as number
from outboard.report.derive_neglects import at_most, left_out_together, percent, share
from outboard.report.derive_numbers import figures, put_in
from outboard.report.derive_page import CONSTANT
from outboard.report.derive_result import coincides_words
from outboard.report.derive_text import definitions, doing_words, laws, letters_used
from outboard.report.document.content import (
    FIGURES,
    NAMES,
    Block,
    Formula,
    Heading,
    Items,
    Paragraph,
    Section,
    Styled,
    table,
)
from outboard.report.document.material import Material
from outboard.report.document.wordings import counted, sentence
from outboard.report.words import listed

WIDEST = 88
"""Letters of an equation that still fit a line of the page."""

DERIVE = Styled("outboard derive", "code")

LEAST_SEEN = 0.5
"""Per cent by which the algebra may miss the full solution without a word."""

DEVICE = re.compile(r"((?:h_FE|V_BE|R))\d+")
"""Letters that carry the number of a device."""


def section(material: Material) -> Section | None:
    """None where the algebra found no end."""
    derivation = material.dossier.derivation
    if isinstance(derivation, NotRun):
        return None
    return Section("The algebra", tuple(_blocks(derivation)))


def _blocks(derivation: Derivation) -> Iterator[Block]:
    doing = doing_words(derivation, "; ")
    load = "" if derivation.load is None else f" at a load of {number(derivation.load, 'A', 3)}"
    yield Paragraph(f"{CONSTANT}{load}. Here: {doing}.")
    rows = []
    for letter in letters_used(derivation):
        span = f"{number(letter.least, letter.unit, 3)} … {number(letter.most, letter.unit, 3)}"
        rows.append((letter.name, number(letter.value, letter.unit), span if letter.varies else "",
                     f"{letter.meaning}; {letter.origin}"))  # fmt: skip
    heads = (("letter", NAMES), ("value", FIGURES), ("over the tolerances", FIGURES), ("what, and where from", 1.0))
    yield table("Constants of the algebra", heads, rows)
    yield Heading("What holds")
    pieces = figures(derivation)
    for entry in definitions(derivation):
        yield from _worked_out(entry.name, definition_value(entry), pieces)
    for law in laws(derivation):
        about = f"{law.about[:1].upper()}{law.about[1:]}:"
        yield Formula(_line(law.left, law.right, TYPST), _line(law.left, law.right, TEXT), about)
    published = [found for one in derivation.results for found in one.coincides]
    coincides = dict.fromkeys(f"{found.ours} {coincides_words(found)}" for found in published)
    if coincides:
        yield Heading("Published formulas that say the same")
        yield Items(tuple(f"{words}." for words in coincides))
    alike: dict[str, list[Result]] = {}
    for result in derivation.results:
        alike.setdefault(_form(result), []).append(result)
    for group in alike.values():
        yield from _result(group[0], ", ".join(one.name for one in group), figures(derivation, group[0]))
    for note in derivation.notes:
        yield Paragraph(sentence(note))


def _line(left: Expression, right: Expression, notation: Notation) -> str:
    return written(left, notation) + notation.equal + written(right, notation)


def _formula(name: str, side: Expression) -> Iterator[Block]:
    """An equation that fits the page, else its size in words."""
    plain = equation(name, side)
    over = max((len(piece) for piece in plain.split(" / ")), default=0)
    if over > 1.4 * WIDEST:
        yield Paragraph((f"The result for {name} has too many terms for a page; ", DERIVE, " prints it."), quiet=True)
    else:
        yield Formula(equation(name, side, TYPST), plain)


def _form(result: Result) -> str:
    """What equal devices in parallel have in common: value and formula, the names of the devices put aside."""
    return DEVICE.sub(r"\1", f"{number(result.value, result.unit)} {written(result.exact)}") + result.unit


def _worked_out(name: str, side: Expression, pieces: Mapping[str, str]) -> Iterator[Block]:
    """An equation, and what it comes to with its numbers; both where they fit the page."""
    plain = put_in(name, side, pieces, pieces[name])
    fits = len(plain) <= 1.4 * WIDEST
    for block in _formula(name, side):
        yield replace(block, leads=True) if fits and isinstance(block, Formula) else block
    if fits:
        yield Formula(put_in(name, side, pieces, pieces[name], TYPST), plain)


def _result(result: Result, names: str, pieces: Mapping[str, str]) -> Iterator[Block]:
    meaning = result.meaning if names == result.name else re.sub(r" of \w+$", " of each", result.meaning)
    yield Heading(f"{names}, {meaning}: {number(result.value, result.unit)}")
    if result.gain is not None:
        yield Paragraph(f"With the {result.gain.meaning}:")
        yield from _worked_out(result.gain.name, result.gain.expression, pieces)
    exact = tuple(_worked_out(result.name, result.exact, {**pieces, result.name: number(result.value, result.unit)}))
    if isinstance(exact[0], Formula):
        yield Paragraph("Exact:")
    yield from exact
    rows = [(listed(words), equation(result.name, step.expression), share(step.error), at_most(step.bound))
            for words, step in left_out_together(result)]  # fmt: skip
    longer = sum(len(row[1]) > WIDEST for row in rows)
    rows = [row for row in rows if len(row[1]) <= WIDEST]
    if longer and rows:
        forms = f"{counted(longer, 'longer form')} of {result.name}"
        yield Paragraph((f"{forms[:1].upper()}{forms[1:]} between the exact one and the first below "
                         f"{'is' if longer == 1 else 'are'} left to ", DERIVE, "."), quiet=True)  # fmt: skip
    if rows:
        yield table(f"Terms of {result.name} left out one after another: the error at this point, and the most that it "
                    "can be over the tolerances",
                    (("left out", 0.3), ("what remains", 0.7), ("here", FIGURES), ("at most", FIGURES)),
                    rows)  # fmt: skip
    if result.shortest is not None:
        yield Paragraph(f"Good to {percent(result.shortest.within)} over all tolerances:")
        yield from _formula(result.name, result.shortest.expression)
    if result.solved_value is not None:
        yield Paragraph(f"The full solution, whose gains and voltages move with current and heat, gives "
                        f"{number(result.solved_value, result.unit)}{_apart(result.value, result.solved_value)}."
                        )  # fmt: skip


def _apart(value: float, solved: float) -> str:
    """How far the algebra is from the full solution, where that can be seen."""
    share = 100.0 * (value / solved - 1.0) if solved else 0.0
    if abs(share) < LEAST_SEEN or not math.isfinite(share):
        return ""
    return f"; the algebra is {abs(share):.2g} % {'above' if share > 0.0 else 'below'} it"


def sources_used(derivation: Derivation) -> frozenset[str]:
    """Keys of the published formulas that a result coincides with."""
    return frozenset(found.published.source for result in derivation.results for found in result.coincides)
