"""outboard respond: does it swing, and what do load steps, line steps, start-up and switch-off do?"""

from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer
from outboard.cli.figures import figure_file, theme_option, written
from outboard.cli.options import ambient_option, design_file, input_option, load_option, output_options
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.dossier import Dossier
    from outboard.draw.style import ThemeName
    from outboard.report.plate import Plate

EXITS = {"PASS": 0, "FAIL": 1, "UNDECIDED": 3}


@click.command(options_metavar="[options]")
@design_file
@click.option("--figure", metavar="FILE",
              help="Draw loop gain, phase, output impedance, ripple over frequency: FILE.svg or FILE.png.")  # fmt: skip
@click.option("--steps", metavar="FILE", help="Draw the steps over time: FILE.svg or FILE.png.")
@theme_option
@input_option("Only this input voltage instead of the promised span.")
@load_option("Only this load instead of the promised span.")
@ambient_option("Only this ambient temperature instead of the promised span.")
@output_options
def respond(
    file: str, figure: str | None, steps: str | None, theme: "ThemeName", input_voltage: float | None,
    load: float | None, ambient: float | None, as_json: bool, quiet: bool,
) -> int:  # fmt: skip
    """Does it swing? What do load and line steps, start-up and switch-off do? Output impedance, ripple rejection.

    Loop gain with its margins and natural frequencies, then every step through time, with usual devices and the
    temperatures that they have before it. How fast the regulator is no sheet prints: [dynamics] in the design file says
    it. Exit code 1 when it swings or a limit is passed, 3 when a figure is missing.
    """
    for path, option, example in ((figure, "--figure", "loop.svg"), (steps, "--steps", "steps.svg")):
        if path is not None:
            figure_file(path, example, option)
    from outboard.dossier import opened, ran, with_response

    dossier = with_response(opened(file), input_voltage, load, ambient)
    found = ran(dossier.response)
    if figure is not None or steps is not None:
        _draw(dossier, figure, steps, theme)

    def as_object() -> object:
        from outboard.report import json_response

        return json_response.response(found)

    def in_words(plate: "Plate") -> None:
        from outboard.report import respond_text

        respond_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return EXITS[found.verdict.verdict]


def _draw(dossier: "Dossier", figure: str | None, steps: str | None, theme: "ThemeName") -> None:
    """Draw what was asked for; WrongInput where a missing figure leaves nothing to draw."""
    from outboard.dossier import ran
    from outboard.draw import response as drawing
    from outboard.draw import steps as drawing_steps

    found, title = ran(dossier.response), dossier.brief.title
    solved = [one for one in found.response.answers if one.is_solved]
    for path, option, drawable in ((figure, "--figure", solved), (steps, "--steps", found.steps.steps)):
        if path is not None and not drawable:
            why = "; ".join(found.response.missing) or "no point was solved"
            raise WrongInput([Mistake(f"{option}: there is nothing to draw: {why}", "a design whose speed is known",
                                      "[dynamics]", option)])  # fmt: skip
    if figure is not None:
        with written(figure):
            drawing.write(found.response, figure, title, theme)
    if steps is not None:
        with written(steps, "--steps"):
            drawing_steps.write(dossier.design, found.steps, steps, title, theme)
