"""Formulas in the notations that people read: terminal, LaTeX, MathML, typst."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from html import escape

from outboard.explain.expression import Expression, Number, Product, Ratio, Sign, Sum, is_negative, negative

SUM, PRODUCT, ATOM = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Notation:
    """How letters, products, fractions and brackets are written."""

    letter: Callable[[str], str]
    number: Callable[[float], str]
    product: Callable[[list[str]], str]
    ratio: Callable[[str, str], str]
    bracketed: Callable[[str], str]
    power: Callable[[str, int], str]
    plus: str
    minus: str
    equal: str
    fraction_bar: bool
    figure: Callable[[str], str]
    between_figures: str


def split_letter(name: str) -> tuple[str, str]:
    """Base and index: V and BE1 of V_BE1, R and 1 of R1, R and S of RS."""
    base, _, index = name.partition("_")
    numbered = re.fullmatch(r"([A-Za-z]+)(\d+)|(R)([A-Z]\d*)", base)
    if not index and numbered:
        base, index = (piece for piece in numbered.groups() if piece is not None)
    return base, index


def plain_number(number: float) -> str:
    """A number in a formula: no zeros behind the point, at most four digits."""
    return f"{number:g}" if number == int(number) else f"{number:.4g}"


def _tex_letter(name: str) -> str:
    base, index = split_letter(name)
    return f"{base}_{{\\mathrm{{{index}}}}}" if index else base


def _math_letter(name: str) -> str:
    base, index = split_letter(name)
    letter = f"<mi>{escape(base)}</mi>"
    return f"<msub>{letter}<mtext>{escape(index)}</mtext></msub>" if index else letter


def _typst_letter(name: str) -> str:
    base, index = split_letter(name)
    base = base if len(base) == 1 else f'"{base}"'
    return f'{base}_"{index}"' if index else base


def _tex_figure(figure: str) -> str:
    number, _, unit = figure.partition(" ")
    unit = unit.replace("Ω", r"\Omega ").replace("µ", r"\mu ").replace("μ", r"\mu ").replace("°", r"^\circ ")
    number = number.replace("−", "-")
    return rf"{number}\,\mathrm{{{unit}}}" if unit else number


def _math_figure(figure: str) -> str:
    number, _, unit = figure.partition(" ")
    return f"<mn>{number}</mn>" + (f'<mspace width="0.17em"/><mtext>{escape(unit)}</mtext>' if unit else "")


def _typst_figure(figure: str) -> str:
    number, _, unit = figure.partition(" ")
    return f'{number} thin "{unit}"' if unit else number


TEXT = Notation(
    lambda name: name, plain_number, "·".join, lambda over, under: f"{over} / {under}", lambda inner: f"({inner})",
    lambda base, power: base + "⁰¹²³⁴⁵⁶⁷⁸⁹"[power], " + ", " − ", " = ", False,
    lambda figure: figure, "·",
)  # fmt: skip
LATEX = Notation(
    _tex_letter, plain_number, r"\,".join, lambda over, under: rf"\frac{{{over}}}{{{under}}}",
    lambda inner: rf"\left({inner}\right)", lambda base, power: f"{{{base}}}^{{{power}}}", " + ", " - ", " = ", True,
    _tex_figure, r" \cdot ",
)  # fmt: skip
MATHML = Notation(
    _math_letter, lambda number: f"<mn>{plain_number(number)}</mn>", "<mo>·</mo>".join,
    lambda over, under: f"<mfrac><mrow>{over}</mrow><mrow>{under}</mrow></mfrac>",
    lambda inner: f"<mrow><mo>(</mo>{inner}<mo>)</mo></mrow>",
    lambda base, power: f"<msup><mrow>{base}</mrow><mn>{power}</mn></msup>",
    "<mo>+</mo>", "<mo>−</mo>", "<mo>=</mo>", True, _math_figure, "<mo>·</mo>",
)  # fmt: skip
TYPST = Notation(
    _typst_letter, plain_number, " dot ".join, lambda over, under: f"({over}) / ({under})",
    lambda inner: f"({inner})", lambda base, power: f"{base}^{power}", " + ", " - ", " = ", True,
    _typst_figure, " dot ",
)  # fmt: skip
NOTATIONS = {"text": TEXT, "latex": LATEX, "mathml": MATHML, "typst": TYPST}


def written(expression: Expression, notation: Notation = TEXT) -> str:
    """The expression in a notation."""
    return _written(expression, notation)[0]


def equation(name: str, expression: Expression, notation: Notation = TEXT) -> str:
    """name = expression."""
    return notation.letter(name) + notation.equal + written(expression, notation)


def in_figures(expression: Expression, figures: Mapping[str, str], notation: Notation = TEXT) -> str:
    """The expression with numbers and their units in the place of letters ("650 mV" for V_BE1)."""

    def figure(name: str) -> str:
        text = figures.get(name)
        if text is None:
            return notation.letter(name)
        return notation.bracketed(notation.figure(text)) if text.startswith("−") else notation.figure(text)

    bracket = notation.bracketed("…").partition("…")[0]

    def raised(base: str, power: int) -> str:
        return notation.power(base if base.startswith(bracket) else notation.bracketed(base), power)

    put = replace(notation, letter=figure, product=notation.between_figures.join, power=raised)
    return written(expression, put)


def _written(expression: Expression, n: Notation) -> tuple[str, int]:
    """Text with how tightly it holds together."""
    match expression:
        case Number(number):
            return (n.minus.strip() if number < 0 else "") + n.number(abs(number)), ATOM if number >= 0 else SUM
        case Sign(name):
            return n.letter(name), ATOM
        case Sum(terms):
            text = ""
            for i, term in enumerate(terms):
                minus = is_negative(term)
                piece, _ = _written(negative(term) if minus else term, n)
                text += (n.minus.strip() if i == 0 else n.minus) + piece if minus else (n.plus if i else "") + piece
            return text, SUM
        case Product():
            if is_negative(expression):
                piece, holds = _written(negative(expression), n)
                return n.minus.strip() + (piece if holds > SUM else n.bracketed(piece)), SUM
            return n.product(_factors(expression, n)), PRODUCT
        case Ratio(over, under):
            above, below = _written(over, n), _written(under, n)
            if n.fraction_bar:
                return n.ratio(above[0], below[0]), PRODUCT
            first = above[0] if above[1] >= PRODUCT else n.bracketed(above[0])
            second = below[0] if below[1] >= ATOM else n.bracketed(below[0])
            return n.ratio(first, second), PRODUCT


def _factors(product: Product, n: Notation) -> list[str]:
    """Factors in brackets where the reading needs them, equal ones as a power."""
    held, least = [], PRODUCT if n.fraction_bar else ATOM
    for factor in dict.fromkeys(product.factors):
        count = product.factors.count(factor)
        text, holds = _written(factor, n)
        text = text if holds >= least and (count == 1 or holds == ATOM) else n.bracketed(text)
        held.append(n.power(text, count) if count > 1 else text)
    return held
