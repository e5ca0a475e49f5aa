"""outboard omit: what is each part for, and what if it were left out or otherwise?"""

from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer
from outboard.cli.figures import figure_file, theme_option, written
from outboard.cli.options import design_file, output_options
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.draw.style import ThemeName
    from outboard.report.plate import Plate


@click.command(options_metavar="[options]")
@design_file
@click.option("--part", "parts", multiple=True, metavar="NAME", help="Only this part; may be given again.")
@click.option("--windows", is_flag=True, help="Also solve for the window of each resistor in which all passes; slow.")
@click.option("--figure", metavar="FILE", help="With --windows: draw them, FILE.svg or FILE.png.")
@theme_option
@output_options
def omit(
    file: str, parts: tuple[str, ...], windows: bool, figure: str | None, theme: "ThemeName", as_json: bool, quiet: bool
) -> int:
    """What gets worse, what gets better, what breaks without each part, or with its value or type next to it?

    Each variant is verified over the same corners as the design. Exit code 0: the question has no right or wrong.
    """
    if figure is not None:
        figure_file(figure, "windows.svg")
        if not windows:
            raise WrongInput([Mistake("--figure draws windows", "both", f"--windows --figure {figure}", "--figure")])
    from outboard.dossier import opened, ran, with_omission

    dossier = with_omission(opened(file), parts, windows)
    found = ran(dossier.omission)
    if figure is not None:
        from outboard.draw import windows as drawing

        series = dossier.brief.stage.series if dossier.brief.stage is not None else "E12"
        with written(figure):
            drawing.write(dossier.windows, series, figure, dossier.brief.title, theme)

    def as_object() -> object:
        from outboard.report import json_omit

        return json_omit.omission(found, dossier.windows)

    def in_words(plate: "Plate") -> None:
        from outboard.report import omit_text

        omit_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return 0
