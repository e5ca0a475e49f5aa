"""outboard verify: is it right under everything that was promised?"""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from outboard.cli.answer import answer, cannot_be_written
from outboard.cli.draw_options import drawing_options, number_of_draws, progress, stopped_by_hand, wished
from outboard.cli.options import ambient_option, design_file, input_option, load_option, output_options
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.dossier import Dossier
    from outboard.report.plate import Plate

EXITS = {"PASS": 0, "FAIL": 1, "UNDECIDED": 3}
INTERRUPTED = 130
FORMATS = (".svg", ".png")


@click.command(options_metavar="[options]")
@design_file
@click.option("--draws", callback=number_of_draws, metavar="NUMBER",
              help="Besides the corners, so many units drawn at random within their tolerances.")  # fmt: skip
@click.option("--extremes", is_flag=True,
              help="Also look between the ends of the tolerances, each part by itself; seconds to a minute.")
@drawing_options
@click.option("--figure", metavar="FILE", help="With --draws: draw what drives the margins, FILE.svg or FILE.png.")
@input_option("Only this input voltage instead of the promised span.")
@load_option("Only this load instead of the promised span.")
@ambient_option("Only this ambient temperature instead of the promised span.")
@output_options
def verify(
    file: str, draws: int | None, extremes: bool, folder: str | None, figure: str | None, as_json: bool, quiet: bool,
    **options: Any,
) -> int:  # fmt: skip
    """Is it right under every line, load, ambient, gain, V_BE and tolerance that was promised?

    Margins, the worst corner of each, and what a verdict rests on. With --draws also how likely: yield, quantiles, what
    drives each margin, how far it holds. Exit code 0 when all pass, 1 when one fails, 3 when one stays undecided.
    Ctrl-C while units are drawn gives what was found until then, marked partial, with exit code 130.
    """
    _check_options(draws, folder, figure)
    if extremes and draws is not None:
        raise WrongInput([Mistake("--extremes and --draws at once", "one of them", "two runs", "--extremes")])
    if draws is not None:
        return _with_draws(file, draws, folder, figure, as_json, quiet, options)
    from outboard.dossier import opened, ran, with_verdict
    from outboard.dossier.draws import with_extremes

    look = with_extremes if extremes else with_verdict
    dossier = look(opened(file), options["input_voltage"], options["load"], options["ambient"])
    verdict = ran(dossier.verdict)

    def as_object() -> object:
        from outboard.report import json_objects

        return json_objects.verdict(verdict) | {"notes": dossier.design.notes}

    def in_words(plate: "Plate") -> None:
        from outboard.report import verify_text

        verify_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return EXITS[verdict.verdict]


def _check_options(draws: int | None, folder: str | None, figure: str | None) -> None:
    """What goes only with --draws, and how a figure may end."""
    for option, given in (("--save", folder), ("--figure", figure)):
        if given is not None and draws is None:
            raise WrongInput([Mistake(f"{option} needs draws", "a number of them", f"--draws 10000 {option} {given}",
                                      option)])  # fmt: skip
    if figure is not None and Path(figure).suffix.lower() not in FORMATS:
        what = f"--figure: “{figure}” does not say how to draw"
        raise WrongInput([Mistake(what, "a name that ends in .svg or .png", "--figure margins.svg", "--figure")])


def _with_draws(
    file: str, draws: int, folder: str | None, figure: str | None, as_json: bool, quiet: bool, options: dict[str, Any]
) -> int:
    """The verdict of the corners with what draws say beside it."""
    from outboard.dossier import opened, ran
    from outboard.dossier.draws import with_draws

    with stopped_by_hand() as stop, progress(quiet) as watch:
        kept = Path(folder) if folder is not None else None
        dossier = with_draws(opened(file), wished(draws, options), watch, stop, kept)
    if figure is not None:
        draw(dossier, figure)

    def as_object() -> object:
        from outboard.report import json_draws

        return json_draws.verdict_with_draws(dossier)

    def in_words(plate: "Plate") -> None:
        from outboard.report import draws_text, verify_text

        verify_text.write(plate, dossier)
        draws_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return INTERRUPTED if ran(dossier.draws).stopped else EXITS[ran(dossier.verdict).verdict]


def draw(dossier: "Dossier", figure: str) -> None:
    """Draw what drives the margins into a file."""
    from outboard.dossier import ran
    from outboard.draw import culprits

    try:
        culprits.write(ran(dossier.draws), figure, dossier.brief.title)
    except OSError as error:
        raise WrongInput([cannot_be_written(figure, "--figure", error)]) from None
