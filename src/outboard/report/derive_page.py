"""A derivation as a page: Markdown, LaTeX, HTML with MathML, typst."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from html import escape

from outboard.explain.asked import Derivation, Result
from outboard.explain.expression import Expression, Sign
from outboard.explain.neglect import in_words
from outboard.explain.solving import definition_value
from outboard.explain.writing import LATEX, MATHML, TYPST, Notation, written
from outboard.formulas.written import written as number
from outboard.report.derive_result import at_most, difference_words, inverse_words, share
from outboard.report.derive_text import definitions, laws


@dataclass(frozen=True, slots=True)
class Form:
    """How a page is put together in one language."""

    notation: Notation
    opening: Callable[[str], str]
    heading: Callable[[str], str]
    text: Callable[[str], str]
    formula: Callable[[str], str]
    closing: str


def _plain(text: str) -> str:
    return text


def _tex(text: str) -> str:
    for sign, instead in (("\\", r"\textbackslash{}"), ("%", r"\%"), ("_", r"\_"), ("&", r"\&"), ("#", r"\#"),
                          ("Ω", r"$\Omega$"), ("−", "$-$"), ("≤", r"$\leq$"), ("·", r"$\cdot$"), ("µ", r"$\mu$"),
                          ("Δ", r"$\Delta$"), ("∞", r"$\infty$"), ("→", r"$\to$")):  # fmt: skip
        text = text.replace(sign, instead)
    return text


def _typ(text: str) -> str:
    for sign in "\\_*#$@<`":
        text = text.replace(sign, "\\" + sign)
    return text


FORMS = {
    "markdown": Form(LATEX, lambda t: f"# {t}\n", lambda t: f"\n## {t}\n", lambda t: f"\n{t}\n",
                     lambda f: f"\n$${f}$$\n", ""),
    "latex": Form(LATEX, lambda t: "\\documentclass{article}\n\\usepackage{amsmath}\n\\begin{document}\n"
                  f"\\section*{{{_tex(t)}}}\n", lambda t: f"\\subsection*{{{_tex(t)}}}\n", lambda t: f"{_tex(t)}\n\n",
                  lambda f: f"\\[{f}\\]\n", "\\end{document}\n"),
    "html": Form(MATHML, lambda t: '<!doctype html>\n<html lang="en"><meta charset="utf-8">'
                 f"<title>{escape(t)}</title>\n<h1>{escape(t)}</h1>\n",
                 lambda t: f"<h2>{escape(t)}</h2>\n", lambda t: f"<p>{escape(t)}</p>\n",
                 lambda f: f'<math display="block"><mrow>{f}</mrow></math>\n', "</html>\n"),
    "typst": Form(TYPST, lambda t: f"= {_typ(t)}\n", lambda t: f"\n== {_typ(t)}\n", lambda t: f"\n{_typ(t)}\n",
                  lambda f: f"\n$ {f} $\n", ""),
}  # fmt: skip
"""Every form by its word."""


def page(derivation: Derivation, form: str) -> str:
    """The derivation in one form."""
    return "".join(_pieces(derivation, FORMS[form]))


def _pieces(derivation: Derivation, form: Form) -> Iterator[str]:
    yield form.opening(derivation.title or "Derivation")
    doing = ", ".join(f"{name} {words}" for name, words in derivation.doing)
    yield form.text(f"Constant base-emitter voltages and gains. {doing}.")
    for event in (*derivation.loads, *derivation.inputs[:1]):
        yield form.text(f"{event.event} at {number(event.at, event.letter[0].replace('I', 'A'))}:")
        if event.formula is not None:
            yield form.formula(_equation(form.notation, event.letter, event.formula))
    yield form.heading("What holds")
    for entry in definitions(derivation):
        yield form.formula(_equation(form.notation, entry.name, definition_value(entry)))
    for line in laws(derivation):
        yield form.formula(written(line.left, form.notation) + form.notation.equal + written(line.right, form.notation))
    for result in derivation.results:
        yield from _result(result, form)
    yield form.closing


def _equation(notation: Notation, name: str, *sides: Expression) -> str:
    return notation.equal.join([notation.letter(name), *(written(side, notation) for side in sides)])


def _result(result: Result, form: Form) -> Iterator[str]:
    n = form.notation
    yield form.heading(f"{result.name}, {result.meaning}: {number(result.value, result.unit)}")
    for line in result.substitutions:
        yield form.formula(written(line.left, n) + n.equal + written(line.right, n))
    if result.gain is not None:
        yield form.formula(_equation(n, result.gain.name, result.gain.expression))
    yield form.text("Exact:")
    yield form.formula(_equation(n, result.name, result.exact))
    if not isinstance(result.told, Sign) and result.told != result.exact:
        yield form.text("The same, from its main terms:")
        yield form.formula(_equation(n, result.name, result.told))
    for found in result.coincides:
        without = f", with {', '.join(found.left_out)} left out" if found.left_out else ""
        yield form.text(f"{found.ours} coincides{without} with {found.published.text} [{found.published.source}].")
    for step in result.neglects:
        term, _ = in_words(step)
        yield form.text("Leaving out also")
        yield form.formula(written(term, n))
        yield form.text(f"the error is {share(step.error)} here, at most {at_most(step.bound)} over the tolerance box:")
        yield form.formula(_equation(n, result.name, step.expression))
    if result.shortest is not None:
        yield form.text(f"Good to {share(result.shortest.within).lstrip('+')} over the tolerance box:")
        yield form.formula(_equation(n, result.name, result.shortest.expression))
    yield from _more(result, form)


def _more(result: Result, form: Form) -> Iterator[str]:
    for slope in result.sensitivities:
        if slope.formula is not None:
            yield form.text(f"By {slope.letter}, {slope.relative:+.3g} % per %:")
            yield form.formula(written(slope.formula, form.notation))
    if result.inverse is not None:
        yield form.text("; ".join(inverse_words(result)))
    if result.difference is not None:
        yield form.text("; ".join(difference_words(result)))
    if result.gap is not None:
        steps = "; ".join(f"{step.words}: {number(step.change, result.unit, 3)}" for step in result.gap.steps)
        hand, solved = number(result.gap.hand, result.unit), number(result.gap.solved, result.unit)
        yield form.text(f"From {hand} by hand to {solved} solved: {steps}.")
