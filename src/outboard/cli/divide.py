"""outboard divide: how the load current divides."""

from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer, write_file
from outboard.cli.figures import figure_file, theme_option, written
from outboard.cli.options import design_file, input_option, output_options, whole

if TYPE_CHECKING:
    from outboard.analysis.curves import Division
    from outboard.arrangements import Design
    from outboard.draw.style import ThemeName
    from outboard.report.plate import Plate


@click.command(options_metavar="[options]")
@design_file
@input_option("Voltage of `input` instead of the usual one.")
@click.option("--points", callback=whole(10, 5000), default="120", metavar="NUMBER",
              help="Loads that are solved; 120 unless said.")  # fmt: skip
@click.option("--figure", metavar="FILE", help="Draw the curves: FILE.svg or FILE.png.")
@theme_option
@click.option("--csv", "table", metavar="FILE", help="Write the curves as a table.")
@output_options
def divide(
    file: str, input_voltage: float | None, points: int, figure: str | None, theme: "ThemeName", table: str | None,
    as_json: bool, quiet: bool,
) -> int:  # fmt: skip
    """How the load current divides between regulator, driver and pass devices, from no load to overload.

    Cold, usual and hot; the load is raised and taken back, and where the two ways differ both are reported. Hand-over
    is the load at which a transistor carries 1 % of what it carries at full load. Exit code 3 where a promised load has
    no operating point.
    """
    if figure is not None:
        figure_file(figure, "division.svg")
    from outboard.dossier import opened, ran, with_division

    dossier = with_division(opened(file), points, input_voltage)
    division = ran(dossier.division)
    if table is not None:
        from outboard.report.json_division import csv_text

        write_file(table, csv_text(division), "--csv")
    if figure is not None:
        draw(division, dossier.design, figure, theme)

    def as_object() -> object:
        from outboard.report import json_division

        return json_division.division(division)

    def in_words(plate: "Plate") -> None:
        from outboard.report import divide_text

        divide_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return 0 if division.holds else 3


def draw(division: "Division", design: "Design", figure: str, theme: "ThemeName") -> None:
    """Draw the curves into a file, with the types and the guaranteed currents of regulators that the catalogue has."""
    from outboard.draw import division as drawing

    types = {part.name: part.type.name for part in design.parts if part.type is not None}
    rated = {part.name: part.rating("I_O") for part in design.parts if part.part.kind == "regulator"}
    guaranteed = {name: rating.value for name, rating in rated.items() if rating is not None}
    with written(figure):
        drawing.write(division, figure, design.brief.title, types, guaranteed, theme)
