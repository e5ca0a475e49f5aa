"""What moves: stability with its margins, output impedance and ripple, every step."""

from collections.abc import Iterator

from outboard.checks.finding import FAIL, PASS, UNDECIDED
from outboard.checks.responding import Responded, in_words
from outboard.dossier import NotRun
from outboard.draw.response import lead, response_figure
from outboard.draw.sheet import svg_text
from outboard.draw.steps import steps_figure
from outboard.report.document.content import FIGURES, Block, Figure, Items, Paragraph, Section, Styled, Words, table
from outboard.report.document.grounds import on_paper, on_screen
from outboard.report.document.material import Material
from outboard.report.document.wordings import bold, sentence
from outboard.report.respond_text import impedance_cells, loop_cells, remarks, step_cells
from outboard.report.verify_text import margin_in_words, value_in_words
from outboard.report.words import degrees, volts

TIGHTEST = 6
"""Passing requirements that are listed."""

SMALLER = 0.8
"""Panels on a printed page are this much lower."""

ROWS = 4
"""Steps that a printed page takes."""


def section(material: Material) -> Section | None:
    """None where it was not run."""
    found = material.dossier.response
    if isinstance(found, NotRun):
        return None
    return Section("What moves", tuple(_blocks(material, found)))


def _blocks(material: Material, found: Responded) -> Iterator[Block]:
    counts = found.verdict.counts
    said = ", ".join(f"{counts[word]} {words}" for word, words in
                     ((FAIL, "fail"), (UNDECIDED, "undecided"), (PASS, "pass")) if counts[word])  # fmt: skip
    answers = [one for one in found.response.usual if one.is_solved]
    figures: tuple[str | Styled, ...] = ()
    if answers and found.steps.steps:
        figures = (Styled("response", "figure"), " has the curves, ", Styled("steps", "figure"), " the steps.")
    yield Paragraph((sentence(lead(answers)), f" Requirements on what moves: {said}; they are judged apart from the "
                     "verdict on the first page. ", *figures))  # fmt: skip
    if answers:
        yield _small_signals(found)
    source, ambient = found.response.conditions
    where = f"at {volts(source)} in, {degrees(ambient)} around, usual bandwidth"
    heads = ("load", "crossover", "phase margin", "gain may rise", "gain may fall", "least damped")
    yield table(f"Loop gain {where}", [(head, FIGURES) for head in heads],
                [[str(cell) for cell in loop_cells(one)] for one in found.response.usual])  # fmt: skip
    others = ("load", "|Z| at 1 kHz", "|Z| at 100 kHz", "|Z| at most", "ripple at 100 Hz")
    yield table(f"Output impedance, and how far ripple of the source is held down, {where}",
                [(head, FIGURES) for head in others],
                [[str(cell) for cell in impedance_cells(one)] for one in found.response.usual])  # fmt: skip
    rows = [one for one in found.steps.steps if one.end == "usual"]
    if rows:
        yield _steps(material, found)
        yield table("Steps at usual bandwidth, times from their beginning",
                    (("", 1.0), *((head, FIGURES) for head in ("dip", "overshoot", "tolerance from", "settled from"))),
                    [[in_words(one), *(str(cell) for cell in step_cells(material.design, one)[1:])]
                     for one in rows])  # fmt: skip
    yield _judged(found)
    yield Items(tuple(sentence(words.removeprefix("† ")) for words in remarks(material.design, found)))


def _small_signals(found: Responded) -> Block:
    drawn = svg_text(response_figure(found.response, smaller=SMALLER))
    words = ("Curves over frequency for the least, usual and most load: loop gain in decibels, its phase, output "
             "impedance, ripple that comes through; the tables that follow have the figures.")  # fmt: skip
    return Figure("response", "Loop gain, phase, output impedance and ripple over frequency", words, on_paper(drawn),
                  on_screen(drawn), place="afloat")  # fmt: skip


def _steps(material: Material, found: Responded) -> Block:
    drawn = svg_text(steps_figure(material.design, found.steps, most=ROWS))
    words = ("Output voltage and currents over time while load and input step; the table that follows has the "
             "figures.")  # fmt: skip
    return Figure("steps", "Output and currents while load and input step", words, on_paper(drawn), on_screen(drawn),
                  place="afloat")  # fmt: skip


def _judged(found: Responded) -> Block:
    """What fails or is undecided, then the tightest of the rest."""
    rows: list[tuple[Words, ...]] = []
    passing = 0
    for one in found.verdict.ordered:
        passing += one.verdict == PASS
        if passing > TIGHTEST:
            break
        if one.worst is None or one.limit is None:
            rows.append((one.title, one.verdict, "", "", "", "; ".join(one.missing)))
        else:
            rows.append((one.title, one.verdict, value_in_words(one.worst, one.unit),
                         value_in_words(one.limit, one.unit), bold(margin_in_words(one)),
                         one.in_words.replace(", ", " · ")))  # fmt: skip
    heads = (("", 0.4), ("", FIGURES), ("worst", FIGURES), ("limit", FIGURES), ("margin", FIGURES), ("where", 0.6))
    return table("Judged over all loads, steps and ends of the bandwidth, the tightest first", heads, rows)
