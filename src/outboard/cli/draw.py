"""outboard draw: the schematic."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer, write_file
from outboard.cli.figures import figure_file, written
from outboard.cli.options import ambient_option, design_file, input_option, load_option, one_of, output_options
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.analysis.operating import OperatingPoint
    from outboard.analysis.watts import Tiling
    from outboard.arrangements import Design
    from outboard.draw.style import ThemeName
    from outboard.report.plate import Plate

STYLES, THEMES = ("iec", "ieee"), ("auto", "light", "dark", "print")


@click.command(options_metavar="[options]")
@design_file
@click.option("-o", "--out", metavar="FILE.svg", help="Write into this file instead of printing.")
@click.option("--values", is_flag=True, help="With the figures of the operating point at each part.")
@click.option("--ribbons", is_flag=True, help="Conductors as wide as their current, parts tinted by share of limit.")
@click.option("--watts", metavar="FILE",
              help="Also draw where the watts go, true to scale: FILE.svg or FILE.png.")  # fmt: skip
@click.option("--symbols", callback=one_of(STYLES), default="iec", metavar="STYLE",
              help="iec (IEC 60617), or ieee for the zigzag resistor of IEEE 315.")  # fmt: skip
@click.option("--outlines", is_flag=True, help="Letters as outlines: the same on every machine, words no longer text.")
@click.option("--theme", callback=one_of(THEMES), default="auto", metavar="THEME",
              help="light, dark or print; auto leaves it to whoever looks.")  # fmt: skip
@input_option("Voltage of `input` instead of the usual one.")
@load_option("Current of `load` instead of the usual one.")
@ambient_option("Temperature of the surroundings instead of the usual one, such as 25C.")
@output_options
def draw(
    file: str, out: str | None, values: bool, ribbons: bool, watts: str | None, symbols: str, outlines: bool,
    theme: str, input_voltage: float | None, load: float | None, ambient: float | None, as_json: bool, quiet: bool,
) -> int:  # fmt: skip
    """The schematic as SVG, drawn from the parts and what each is for.

    Figures come with --values, --ribbons, or conditions such as --load. Words stay text with an id of their own, so
    that a page may change them. Exit code 3 where figures are wanted and no operating point is reached: then none are
    drawn.
    """
    if out is not None and Path(out).suffix.lower() != ".svg":
        raise WrongInput([Mistake(f"--out: “{out}” is not an SVG file", "a name that ends in .svg", "--out drawing.svg",
                                  "--out")])  # fmt: skip
    if watts is not None:
        figure_file(watts, "watts.svg", "--watts")
    from outboard.dossier import opened, ran, with_operating_point
    from outboard.draw.schematic import drawing, outlined

    dossier, point = opened(file), None
    if values or ribbons or watts is not None or any(given is not None for given in (input_voltage, load, ambient)):
        point = ran(with_operating_point(dossier, input_voltage, load, ambient).operating_point)
    solved = point is None or point.is_solved
    shown = point if solved else None
    tiled = _watts(dossier.design, point, watts, theme) if watts is not None and point is not None else None
    figures = values or ribbons or any(given is not None for given in (input_voltage, load, ambient))
    shown = shown if figures else None
    drawn = drawing(dossier.design, shown, ribbons=ribbons and shown is not None,
                    symbols="ieee" if symbols == "ieee" else "iec")  # fmt: skip
    svg = outlined(drawn.svg) if outlines else drawn.svg
    svg = svg.replace('data-theme="auto"', f'data-theme="{theme}"', 1)
    if out is not None:
        write_file(out, svg, "--out")
    elif not as_json and watts is None:  # this is the answer itself, not words about it
        click.echo(svg, nl=False)
        return 0 if solved else 3

    written_files = [name for name in (out, watts if tiled is not None else None) if name is not None]

    def as_object() -> object:
        from outboard.report import json_drawing

        return json_drawing.drawing(drawn, svg if out is None else None, point, tiled)

    answer(as_json, quiet, as_object, lambda plate: _say(plate, written_files, point))
    return 0 if solved else 3


def _watts(design: "Design", point: "OperatingPoint", file: str, theme: str) -> "Tiling | None":
    """Draws where the watts go; a mistake where a point has no such picture, nothing where there is no point."""
    from outboard.analysis.watts import NotTiled, tiling
    from outboard.draw import watts as drawing
    from outboard.report.words import conditions_in_words

    if not point.is_solved:
        return None
    try:
        tiled = tiling(design, point)
    except NotTiled as refused:
        raise WrongInput([Mistake(f"--watts: {refused}", "one source, and parts that only take power", "", "--watts")]
                         ) from None  # fmt: skip
    day: ThemeName = "dark" if theme == "dark" else "print" if theme == "print" else "light"
    with written(file, "--watts"):
        drawing.write(tiled, conditions_in_words(point.conditions), file, design.brief.title, day)
    return tiled


def _say(plate: "Plate", files: list[str], point: "OperatingPoint | None") -> None:
    if files:
        plate.say(f"drawn into {' and '.join(files)}")
    if point is not None and not point.is_solved:
        plate.say(f"without figures: there is no operating point ({point.outcome})")
