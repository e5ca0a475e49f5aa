"""outboard solve: one operating point."""

from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer
from outboard.cli.options import ambient_option, design_file, input_option, load_option, output_options

if TYPE_CHECKING:
    from outboard.report.plate import Plate


@click.command(options_metavar="[options]")
@design_file
@input_option("Voltage of `input` instead of the usual one.")
@load_option("Current of `load` instead of the usual one.")
@ambient_option("Temperature of the surroundings instead of the usual one, such as 25C.")
@output_options
def solve(
    file: str, input_voltage: float | None, load: float | None, ambient: float | None, as_json: bool, quiet: bool
) -> int:
    """One operating point: every net voltage, terminal current, power and junction temperature.

    Devices are at their usual values. The sources are raised from nothing, as a supply comes up. Exit code 3 where no
    operating point is reached.
    """
    from outboard.dossier import opened, ran, with_operating_point

    dossier = with_operating_point(opened(file), input_voltage, load, ambient)
    point = ran(dossier.operating_point)

    def as_object() -> object:
        from outboard.report import json_objects

        return json_objects.operating_point(point)

    def in_words(plate: "Plate") -> None:
        from outboard.report import solve_text

        solve_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return 0 if point.is_solved else 3
