"""outboard heat: how hot does it get, does every transistor stay in its safe area, which sink is needed?"""

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
@click.option("--figure", metavar="FILE", help="Draw a safe operating area, and the design in it: .svg, .png.")
@click.option("--of", "part", metavar="PART", help="Whose safe area is drawn; that nearest to its edge unless said.")
@theme_option
@input_option("Only this input voltage instead of the promised span.")
@load_option("Only this load instead of the promised span.")
@ambient_option("Only this ambient temperature instead of the promised span.")
@output_options
def heat(
    file: str, figure: str | None, part: str | None, theme: "ThemeName", input_voltage: float | None,
    load: float | None, ambient: float | None, as_json: bool, quiet: bool,
) -> int:  # fmt: skip
    """How hot does it get, does every transistor stay in its safe operating area, which sink is needed?

    Over all corners that `verify` tries: each junction with its way to the surroundings, current against what the safe
    area allows, the largest thermal resistance that each sink may have, how far it is to a thermal runaway. Exit code 0
    when all pass, 1 when one fails, 3 when one stays undecided, as where a sheet draws no line for lasting current.
    """
    if figure is not None:
        figure_file(figure, "safe.svg")
    from outboard.dossier import opened, ran, with_heat

    dossier = with_heat(opened(file), input_voltage, load, ambient)
    report = ran(dossier.heat)
    if figure is not None:
        draw(dossier, figure, part, theme)

    def as_object() -> object:
        from outboard.report import json_heat

        return json_heat.heat(report)

    def in_words(plate: "Plate") -> None:
        from outboard.report import heat_text

        heat_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return EXITS[report.verdict.verdict]


def draw(dossier: "Dossier", figure: str, part: str | None, theme: "ThemeName") -> None:
    """Draw the safe area of a part, or of that which is nearest to its edge; WrongInput where there is none."""
    from outboard.dossier import ran
    from outboard.draw import safe_area

    areas = {name: area for area in ran(dossier.heat).areas for name in area.parts}
    if not areas or (part is not None and part not in areas):
        what = "--figure: there is no safe area to draw" if part is None else f"--of: there is no safe area of {part}"
        expected = f"one of {', '.join(areas)}" if areas else "a transistor with a type of the catalogue, at work"
        raise WrongInput([Mistake(what, expected, where="--of", file=str(dossier.brief.file))])
    chosen = next(iter(areas.values())) if part is None else areas[part]
    with written(figure):
        safe_area.write(chosen, figure, dossier.brief.title, theme)
