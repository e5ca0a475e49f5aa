"""outboard derive: the algebra of a stage."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from outboard.cli.answer import answer, write_file
from outboard.cli.derive_options import letter_values, notation, share_of_one
from outboard.cli.figures import figure_file, theme_option, written
from outboard.cli.options import ambient_option, design_file, input_option, load_option, output_options

if TYPE_CHECKING:
    from outboard.draw.style import ThemeName
    from outboard.explain.asked import Derivation
    from outboard.report.plate import Plate


@click.command(options_metavar="[options]")
@design_file
@click.option("--of", "quantities", multiple=True, metavar="LETTER",
              help="What is wanted, such as I_REG, I_C1, I_B1, V_O; may be said several times.")  # fmt: skip
@input_option("Voltage of `input` instead of the usual one.")
@load_option("Current of `load` instead of the usual one.")
@ambient_option("Temperature of the surroundings, for the full solution beside it.")
@click.option("--let", "values", multiple=True, callback=letter_values, metavar="LETTER=VALUE",
              help="A constant of your own, such as V_BE1=0.6V, or least, usual, most: h_FE1=80,150,200.")  # fmt: skip
@click.option("--within", callback=share_of_one, metavar="SHARE",
              help="The shortest formula that is good to this share over the tolerance box, such as 1%.")  # fmt: skip
@click.option("--find", metavar="LETTER", help="Solve for this part, such as R1, so that --target is met.")
@click.option("--target", metavar="VALUE", help="What the (first) quantity of --of is to become, such as 0.3A.")
@click.option("--slopes", is_flag=True, help="How the result moves with each constant.")
@click.option("--gap", is_flag=True, help="From the hand value to the full solution, one effect after another.")
@click.option("--order-free", is_flag=True, help="With --gap: shares of the effects averaged over all orders.")
@click.option("--without", metavar="PART", help="Beside it, the same design without this part.")
@click.option("--beside", metavar="OTHER.toml", help="Beside it, another design.")
@click.option("--exact", is_flag=True, help="Count the regulator's output resistance and changing quiescent current.")
@click.option("--as", "form", default="terminal", callback=notation, metavar="FORM",
              help="terminal, markdown, latex, html or typst; terminal unless said.")  # fmt: skip
@click.option("--figure", metavar="FILE", help="Draw at which load what begins: FILE.svg or FILE.png.")
@theme_option
@click.option("-o", "--output", metavar="FILE", help="Write the page into this file instead of printing it.")
@output_options
def derive(file: str, as_json: bool, quiet: bool, form: str, output: str | None, figure: str | None,
           theme: "ThemeName", **asked: Any) -> int:  # fmt: skip
    """The algebra: what conducts, the equations, the exact result, what each dropped term costs.

    Each transistor is a constant V_BE and a constant gain, the regulator an ideal element with its quiescent current;
    the result is exact for these, and set against the full solution. Exit code 3 where the algebra finds no end.
    """
    if figure is not None:
        figure_file(figure, "boundaries.svg")
    from outboard.cli.derive_options import question
    from outboard.dossier import opened, ran, with_derivation
    from outboard.explain.deadline import TooLong
    from outboard.explain.gap import NoStep
    from outboard.explain.regime import NoRegime

    question_asked, other = question(file, asked)
    try:
        dossier = with_derivation(opened(file), question_asked, other)
    except (TooLong, NoRegime, NoStep) as open_end:
        words = f'{{"undecided": {_quoted(str(open_end))}}}' if as_json else f"outboard: {open_end}"
        click.echo(words, err=not as_json)
        return 3
    derivation = ran(dossier.derivation)
    if figure is not None:
        from outboard.draw import boundaries as drawing

        with written(figure):
            drawing.write(derivation, figure, derivation.title, theme)
    if form != "terminal" or output is not None:
        as_page = _page(derivation, form if form != "terminal" else _form_of(output), output)
        if output is None and not as_json and not quiet:
            click.echo(as_page, nl=False)
            return 0

    def as_object() -> object:
        from outboard.report import json_derive

        return json_derive.derivation(derivation)

    def in_words(plate: "Plate") -> None:
        from outboard.report import derive_text

        derive_text.write(plate, derivation)

    answer(as_json, quiet, as_object, in_words)
    return 0


def _page(derivation: "Derivation", form: str, output: str | None) -> str:
    """The page, written into a file where one is named."""
    from outboard.report.derive_page import page

    text = page(derivation, form)
    if output is not None:
        write_file(output, text, "--output")
    return text


def _quoted(text: str) -> str:
    import json

    return json.dumps(text, ensure_ascii=False)


def _form_of(output: str | None) -> str:
    """The form that the end of a file's name asks for."""
    return {".md": "markdown", ".tex": "latex", ".typ": "typst"}.get(Path(output or "").suffix.lower(), "html")
