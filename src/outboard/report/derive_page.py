"""A derivation as a page, in any of the forms: constants, what holds, each result, what small terms cost, sources."""

from collections.abc import Iterator, Mapping
from math import isinf

from outboard.explain.asked import Derivation, Result
from outboard.explain.definitions import definition_value
from outboard.explain.expression import Expression
from outboard.explain.gap import Gap
from outboard.explain.writing import written
from outboard.formulas.written import written as number
from outboard.quantity.showing import MINUS
from outboard.report.derive_forms import FORMS, Form
from outboard.report.derive_neglects import ERRORS, NO_BOUND, at_most, left_out_together, percent, share, with_gain
from outboard.report.derive_numbers import figures, put_in, worked_out
from outboard.report.derive_result import difference_words, gap_rows, gap_words, inverse_words
from outboard.report.derive_text import definitions, doing_words, laws, letters_used, published

CONSTANT = "Constant base-emitter (gate-source) voltages and constant gains, an ideal regulator"


def page(derivation: Derivation, form: str) -> str:
    """The derivation in one form."""
    return "".join(_pieces(derivation, FORMS[form]))


def _pieces(derivation: Derivation, form: Form) -> Iterator[str]:
    yield form.opening(form.plain(derivation.title or "Derivation"))
    yield form.paragraph(form.prose(f"{CONSTANT}. Here: {doing_words(derivation, '; ')}."))
    yield from _constants(derivation, form)
    yield from _events(derivation, form)
    yield form.heading("What holds")
    pieces = figures(derivation)
    for entry in definitions(derivation):
        yield form.paragraph(form.prose(f"{_sentence(entry.words)}:"))
        yield form.formula(worked_out(entry.name, definition_value(entry), pieces, pieces[entry.name], form.notation))
    for line in laws(derivation):
        yield form.paragraph(form.prose(f"{_sentence(line.about)}:"))
        yield form.formula(_line(form, line.left, line.right))
    for result in derivation.results:
        yield from _result(result, form, figures(derivation, result))
    for note in derivation.notes:
        yield form.paragraph(form.prose(note))
    for words, citation in published(derivation):
        yield form.paragraph(form.prose(f"{_sentence(words)}. ") + form.plain(citation))
    yield form.closing


def _constants(derivation: Derivation, form: Form) -> Iterator[str]:
    rows = []
    for letter in letters_used(derivation):
        span = f"{number(letter.least, letter.unit, 3)} … {number(letter.most, letter.unit, 3)}"
        rows.append([form.inline(form.notation.letter(letter.name)), form.plain(number(letter.value, letter.unit)),
                     form.plain(span) if letter.varies else "",
                     form.prose(f"{letter.meaning}; {letter.origin}")])  # fmt: skip
    yield form.table(("", "value", "tolerance box", ""), rows, (0.1, 0, 0.25, 0.45))


def _events(derivation: Derivation, form: Form) -> Iterator[str]:
    """Along the load, then the first on the way down from the input voltage."""
    for event in derivation.loads:
        yield form.paragraph(form.prose(f"{_sentence(event.event)} at a load of {number(event.at, 'A')}:"))
        if event.formula is not None:
            yield _stands(form, event.letter, event.formula)
    for event in derivation.inputs[:1]:
        yield form.paragraph(form.prose(f"{_sentence(event.event)} at an input of {number(event.at, 'V')}:"))
        if event.formula is not None:
            yield _stands(form, event.letter, event.formula)


WIDE = 130
"""Signs of a formula beyond which it runs as text, which breaks over lines, instead of standing as one fraction."""


def _stands(form: Form, name: str, side: Expression) -> str:
    """A formula on a line of its own; one too wide for any page as text."""
    text = f"{name} = {written(side)}"
    return form.paragraph(form.prose(text)) if len(text) > WIDE else form.formula(_equation(form, name, side))


def _equation(form: Form, name: str, side: Expression) -> str:
    return form.notation.letter(name) + form.notation.equal + written(side, form.notation)


def _line(form: Form, left: Expression, right: Expression) -> str:
    return written(left, form.notation) + form.notation.equal + written(right, form.notation)


def _result(result: Result, form: Form, pieces: Mapping[str, str]) -> Iterator[str]:
    yield form.heading(form.prose(f"{result.name}, {result.meaning}: {number(result.value, result.unit)}"))
    if result.substitutions:
        yield form.paragraph("Put in:")
    for line in result.substitutions:
        yield form.formula(_line(form, line.left, line.right))
    if result.gain is not None:
        yield form.paragraph(form.prose(f"{_sentence(result.gain.meaning)}:"))
        yield form.formula(worked_out(result.gain.name, result.gain.expression, pieces, pieces[result.gain.name],
                                      form.notation))  # fmt: skip
    yield form.paragraph("Exact:")
    yield _stands(form, result.name, result.exact)
    if not result.too_long:
        yield form.paragraph("With its numbers:")
        yield form.formula(put_in(result.name, result.exact, pieces, number(result.value, result.unit), form.notation))
    if with_gain(result, result.told) != result.exact:
        yield form.paragraph("The same, from its main terms:")
        yield _stands(form, result.name, with_gain(result, result.told))
    yield from _neglects(result, form)
    yield from _more(result, form)


def _neglects(result: Result, form: Form) -> Iterator[str]:
    rows = [[form.prose("; ".join(words)),
             form.inline(_equation(form, result.name, with_gain(result, step.expression))),
             form.plain(share(step.error)), form.plain(at_most(step.bound))]
            for words, step in left_out_together(result)]  # fmt: skip
    if rows:
        heads = ("left out, one after another", "what remains", "here", form.plain("in the box ≤"))
        yield form.table(heads, rows, (0.22, 0.46, 0, 0))
        yield form.paragraph(form.plain(f"{_sentence(ERRORS)}."))
        if any(isinf(step.bound.most) for step in result.neglects):
            yield form.paragraph(form.plain(f"{_sentence(NO_BOUND)}."))
    if result.shortest is not None:
        yield form.paragraph(form.plain(f"Good to {percent(result.shortest.within)} over the whole tolerance box:"))
        yield _stands(form, result.name, result.shortest.expression)
    if result.solved_value is not None:
        yield form.paragraph(form.plain(f"The full solution gives {number(result.solved_value, result.unit)}."))


def _more(result: Result, form: Form) -> Iterator[str]:
    for slope in result.sensitivities:
        if slope.formula is not None:
            share_for_share = f"{slope.relative:+.3g}".replace("-", MINUS)
            yield form.paragraph(form.prose(f"By {slope.letter}, {share_for_share} % per %:"))
            yield form.formula(written(with_gain(result, slope.formula), form.notation))
    if result.inverse is not None:
        for text in inverse_words(result):
            yield form.paragraph(form.prose(text))
    if result.difference is not None:
        for text in difference_words(result):
            yield form.paragraph(form.prose(_sentence(text)))
    if result.gap is not None:
        yield from _gap(result.gap, form)


def _gap(gap: Gap, form: Form) -> Iterator[str]:
    rows = gap_rows(gap)
    columns = len(rows[0])
    cells = [[form.prose(cell) for cell in row] for row in rows]
    yield form.table(("", "adds", "leads to", "in any order")[:columns], cells, (0.55, 0, 0, 0)[:columns])
    for text in gap_words(gap):
        yield form.paragraph(form.prose(f"{_sentence(text)}."))


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:]
