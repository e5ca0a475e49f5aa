"""outboard verify: is it right under everything that was promised?"""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from outboard.cli.answer import answer, write_file
from outboard.cli.draw_options import check_options, drawing_options, number_of_draws, progress, stopped_by_hand, wished
from outboard.cli.figures import figure_file, theme_option, written
from outboard.cli.options import ambient_option, design_file, input_option, load_option, output_options
from outboard.errors import WrongInput

if TYPE_CHECKING:
    from outboard.analysis.operating import OperatingPoint
    from outboard.dossier import Dossier
    from outboard.draw.style import ThemeName
    from outboard.report.plate import Plate

EXITS = {"PASS": 0, "FAIL": 1, "UNDECIDED": 3}
INTERRUPTED = 130
SPANS = ("input_voltage", "load", "ambient")


@click.command(options_metavar="[options]")
@design_file
@click.option("--draws", callback=number_of_draws, metavar="NUMBER",
              help="Besides the corners, so many units drawn at random within their tolerances.")  # fmt: skip
@click.option("--extremes", is_flag=True,
              help="Also look between the ends of the tolerances, each part by itself, along exact slopes: what moves "
                   "each margin, what closer tolerances give.")  # fmt: skip
@drawing_options
@click.option("--figure", metavar="FILE",
              help="Draw the margins and the ladders of heat, with --draws what drives them, with --extremes the "
                   "margins between the ends: .svg, .png.")  # fmt: skip
@click.option("--reach", metavar="FILE",
              help="Map how far each margin holds over load and input: .svg, .png; .json: its numbers.")  # fmt: skip
@theme_option
@input_option("Only this input voltage instead of the promised span.")
@load_option("Only this load instead of the promised span.")
@ambient_option("Only this ambient temperature instead of the promised span.")
@output_options
def verify(
    file: str, draws: int | None, extremes: bool, folder: str | None, figure: str | None, reach: str | None,
    as_json: bool, quiet: bool, **options: Any,
) -> int:  # fmt: skip
    """Is it right under every line, load, ambient, gain, V_BE and tolerance that was promised?

    Margins, the worst corner of each, and what a verdict rests on. With --extremes all tolerances lie anywhere between
    their ends at once. With --draws also how likely: yield, quantiles, what drives each margin. Exit
    code 0 when all pass, 1 when one fails, 3 when one stays undecided.
    Ctrl-C while units are drawn gives what was found until then, marked partial, with exit code 130.
    """
    check_options(draws, extremes, folder)
    _check_files(figure, reach)
    if draws is not None:
        return _with_draws(file, draws, folder, figure, reach, as_json, quiet, options)
    from outboard.dossier import opened, ran, with_verdict
    from outboard.dossier.draws import with_extremes
    from outboard.dossier.reach import with_reach

    spans = [options[name] for name in SPANS]
    look = with_extremes if extremes else with_verdict
    dossier = opened(file) if reach is not None and not extremes else look(opened(file), *spans)
    if reach is not None:
        dossier = with_reach(dossier, *spans)
        write_reach(dossier, reach, options["theme"])
    verdict = ran(dossier.verdict)
    if figure is not None:
        draw_margins(dossier, figure, options)

    def as_object() -> object:
        from outboard.report import json_between, json_objects

        found = json_between.verdict_with_extremes(dossier) if extremes else json_objects.verdict(verdict)
        return dict(found) | {"notes": dossier.design.notes}

    def in_words(plate: "Plate") -> None:
        from outboard.report import between_text, verify_text

        verify_text.write(plate, dossier)
        if extremes:
            between_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return EXITS[verdict.verdict]


def _check_files(figure: str | None, reach: str | None) -> None:
    """How a figure or a map may end."""
    if figure is not None:
        figure_file(figure, "margins.svg")
    if reach is not None and Path(reach).suffix.lower() != ".json":
        figure_file(reach, "reach.svg", "--reach", "a name that ends in .svg, .png or .json")


def write_reach(dossier: "Dossier", file: str, theme: "ThemeName") -> None:
    """Write the map of how far the design holds, drawn or as numbers."""
    from outboard.dossier import NotRun, ran
    from outboard.dossier.reach import nothing_to_map

    if isinstance(dossier.reach, NotRun):
        raise WrongInput([nothing_to_map(dossier)])
    if Path(file).suffix.lower() == ".json":
        from outboard.report import json_reach
        from outboard.report.json_text import json_text

        write_file(file, json_text(json_reach.reach(ran(dossier.reach))) + "\n", "--reach")
        return
    from outboard.draw import reach

    with written(file, "--reach"):
        reach.write(ran(dossier.reach), file, dossier.brief.title, theme)


def _with_draws(
    file: str, draws: int, folder: str | None, figure: str | None, reach: str | None, as_json: bool, quiet: bool,
    options: dict[str, Any],
) -> int:  # fmt: skip
    """The verdict of the corners with what draws say beside it."""
    from outboard.dossier import opened, ran
    from outboard.dossier.draws import with_draws

    with stopped_by_hand() as stop, progress(quiet) as watch:
        kept = Path(folder) if folder is not None else None
        dossier = with_draws(opened(file), wished(draws, options, reach is not None), watch, stop, kept)
    if figure is not None:
        draw(dossier, figure, options["theme"])
    if reach is not None:
        write_reach(dossier, reach, options["theme"])

    def as_object() -> object:
        from outboard.report import json_draws

        return json_draws.verdict_with_draws(dossier)

    def in_words(plate: "Plate") -> None:
        from outboard.report import draws_text, verify_text

        verify_text.write(plate, dossier)
        draws_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return INTERRUPTED if ran(dossier.draws).stopped else EXITS[ran(dossier.verdict).verdict]


def draw(dossier: "Dossier", figure: str, theme: "ThemeName") -> None:
    """Draw what drives the margins into a file."""
    from outboard.dossier import ran
    from outboard.draw import culprits

    with written(figure):
        culprits.write(ran(dossier.draws), figure, dossier.brief.title, theme)


def draw_margins(dossier: "Dossier", figure: str, options: dict[str, Any]) -> None:
    """Draw all margins, and where each kelvin goes at its hottest."""
    from outboard.dossier import ran
    from outboard.draw import margins

    with written(figure):
        margins.write(ran(dossier.verdict), figure, dossier.brief.title, dossier.design,
                      hottest_point(dossier, **{key: options[key] for key in SPANS}), options["theme"])  # fmt: skip


def hottest_point(dossier: "Dossier", **options: Any) -> "OperatingPoint":
    """The operating point at the greatest input and load and the highest ambient, unless others are given [V, A, K]."""
    from outboard.dossier import ran, with_operating_point

    brief = dossier.brief
    source = None if brief.input is None else brief.input.voltage
    most = {
        "input_voltage": None if source is None else max(source.least, source.most, key=abs),
        "load": None if brief.output is None or brief.output.load is None else brief.output.load.most,
        "ambient": brief.surroundings.ambient.most,
    }
    asked = {name: value if options.get(name) is None else options[name] for name, value in most.items()}
    return ran(with_operating_point(dossier, **asked).operating_point)
