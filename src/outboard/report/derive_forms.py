"""The languages in which a derivation becomes a page: Markdown, LaTeX, HTML with MathML, typst."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

from outboard.explain.writing import LATEX, MATHML, TYPST, Notation

LETTER = re.compile(r"[^\W\d_]_\w+(?:,(?:sat|max|min|hot))?")
"""A letter with an index in running text."""


@dataclass(frozen=True, slots=True)
class Form:
    """How a page is put together in one language.

    plain    text made harmless; `inline` a formula within text, `formula` one on a line of its own
    table    heads (plain) and rows (ready pieces); widths are shares of the page, 0 a column of figures
    """

    notation: Notation
    plain: Callable[[str], str]
    inline: Callable[[str], str]
    opening: Callable[[str], str]
    heading: Callable[[str], str]
    paragraph: Callable[[str], str]
    formula: Callable[[str], str]
    table: Callable[[Sequence[str], Sequence[Sequence[str]], Sequence[float]], str]
    closing: str

    def prose(self, text: str) -> str:
        """Text made harmless, its letters set as in formulas."""
        pieces, at = [], 0
        for found in LETTER.finditer(text):
            pieces += [self.plain(text[at : found.start()]), self.inline(self.notation.letter(found.group()))]
            at = found.end()
        # formulas that touch become one: TeX reads two dollar signs as something else
        return re.sub(r"(?<!\\)\$\$", "", "".join([*pieces, self.plain(text[at:])]))


_IN_TEX = {
    "\\": r"\textbackslash{}", "{": r"\{", "}": r"\}", "$": r"\$", "%": r"\%", "_": r"\_", "&": r"\&", "#": r"\#",
    "~": r"\textasciitilde{}", "^": r"\textasciicircum{}", "Ω": r"$\Omega $", "−": "$-$", "≤": r"$\leq $",
    "≥": r"$\geq $", "≈": r"$\approx $", "·": r"$\cdot $", "µ": r"$\mu $", "μ": r"$\mu $", "Δ": r"$\Delta $",
    "∞": r"$\infty $", "→": r"$\to $", "∂": r"$\partial $", "°": r"$^\circ$", "′": "$'$", "<": "$<$", ">": "$>$",
}  # fmt: skip


def _tex(text: str) -> str:
    return "".join(_IN_TEX.get(sign, sign) for sign in text)


def _typ(text: str) -> str:
    return re.sub(r"([\\_*#$@<>`~\[\]/])", r"\\\1", text)


def _marked(text: str) -> str:
    return re.sub(r"([\\*|<`])", r"\\\1", text)


def _markdown_table(heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float]) -> str:
    rules = ["---" if width else "---:" for width in widths]
    return "\n" + "".join(f"| {' | '.join(cells)} |\n" for cells in (heads, rules, *rows))


def _tex_table(heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float]) -> str:
    columns = "".join(rf">{{\raggedright\arraybackslash}}p{{{width:g}\linewidth}}" if width else "r"
                      for width in widths)  # fmt: skip
    lines = [" & ".join(cells) + r" \\" for cells in (heads, *rows)]
    return "\n".join([rf"\begin{{longtable}}{{{columns}}}", lines[0], r"\hline", *lines[1:], r"\end{longtable}", ""])


def _html_table(heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float]) -> str:
    def line(cells: Sequence[str], tag: str) -> str:
        sides = ("" if width else ' class="figure"' for width in widths)
        inside = "".join(f"<{tag}{side}>{cell}</{tag}>" for cell, side in zip(cells, sides, strict=True))
        return f"<tr>{inside}</tr>"

    return "<table>\n" + "\n".join([line(heads, "th"), *(line(cells, "td") for cells in rows)]) + "\n</table>\n"


def _typst_table(heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float]) -> str:
    columns = ", ".join(f"{width:g}fr" if width else "auto" for width in widths)
    sides = ", ".join("left" if width else "right" for width in widths)
    cells = "".join("  " + ", ".join(f"[{cell}]" for cell in row) + ",\n" for row in (heads, *rows))
    return f"\n#table(columns: ({columns}), align: ({sides}), stroke: none,\n{cells})\n"


_TEX_OPENING = r"""\documentclass{article}
\usepackage[T1]{fontenc}
\usepackage[a4paper, margin=2cm]{geometry}
\usepackage{amsmath, array, graphicx, longtable}
\setlength{\parindent}{0pt}\setlength{\parskip}{1ex}\renewcommand{\arraystretch}{1.4}
% a formula that is wider than the page is made smaller
\newcommand{\fitted}[1]{\resizebox{\ifdim\width>\linewidth\linewidth\else\width\fi}{!}{$\displaystyle #1$}}
\begin{document}
"""

_TYPST_OPENING = r"""#set page(paper: "a4", margin: 2cm)
// a formula that is wider than the page is made smaller
#show math.equation.where(block: true): it => layout(room => {
  let wide = measure($display(it.body)$).width
  if wide <= room.width { it } else {
    align(center, scale(98% * (room.width / wide), reflow: true, box(width: wide, it)))
  }
})
"""

_HTML_OPENING = """<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<style>
body { max-width: 60rem; margin: 2rem auto; padding: 0 1rem; font: 1rem/1.5 serif }
.formula { overflow: auto hidden; padding: 0.3rem 0 }
table { border-collapse: collapse } th, td { padding: 0.2rem 0.8rem 0.2rem 0; text-align: left; vertical-align: top }
th { border-bottom: thin solid } .figure { text-align: right; white-space: nowrap }
</style>
"""

FORMS = {
    "markdown": Form(LATEX, _marked, lambda f: f"${f}$", lambda t: f"# {t}\n", lambda t: f"\n## {t}\n",
                     lambda t: f"\n{t}\n", lambda f: f"\n$${f}$$\n", _markdown_table, ""),
    "latex": Form(LATEX, _tex, lambda f: f"${f}$", lambda t: f"{_TEX_OPENING}\\section*{{{t}}}\n",
                  lambda t: f"\\subsection*{{{t}}}\n", lambda t: f"{t}\n\n",
                  lambda f: f"\\[\\fitted{{{f}}}\\]\n", _tex_table, "\\end{document}\n"),
    "html": Form(MATHML, escape, lambda f: f"<math><mrow>{f}</mrow></math>",
                 lambda t: f"{_HTML_OPENING}<title>{t}</title>\n<h1>{t}</h1>\n", lambda t: f"<h2>{t}</h2>\n",
                 lambda t: f"<p>{t}</p>\n",
                 lambda f: f'<div class="formula"><math display="block"><mrow>{f}</mrow></math></div>\n',
                 _html_table, "</html>\n"),
    "typst": Form(TYPST, _typ, lambda f: f"${f}$", lambda t: f"{_TYPST_OPENING}= {t}\n", lambda t: f"\n== {t}\n",
                  lambda t: f"\n{t}\n", lambda f: f"\n$ {f} $\n", _typst_table, ""),
}  # fmt: skip
"""Every form by its word."""
