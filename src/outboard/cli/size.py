"""outboard size: from the brief to values."""

from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer
from outboard.cli.options import design_file, output_options

if TYPE_CHECKING:
    from outboard.arrangements import SizedValue, Sizing
    from outboard.report.plate import Plate


def sized_keys(sizing: "Sizing") -> dict[str, float]:
    """What the file leaves out and sizing found, by key of [stage]."""
    return {value.key: value.chosen for value in sizing.values if value.origin == "sized" and value.chosen is not None}


def fits(value: "SizedValue") -> bool:
    """Whether a value lies in the window in which the stage does what was promised."""
    return value.window is None or value.chosen is None or value.window.holds(value.chosen)


@click.command(options_metavar="[options]")
@design_file
@click.option("--write", is_flag=True, help="Write the sized values into the file; comments stay.")
@output_options
def size(file: str, write: bool, as_json: bool, quiet: bool) -> int:
    """From the brief to values: resistors, counts, power ratings, each with its formula and the numbers put in.

    Values that the file gives are kept and judged. Exit code 1 where a value lies outside the window in which the stage
    does what was promised, or where no value does.
    """
    from outboard.brief import written
    from outboard.dossier import opened, ran, with_sizing

    dossier = with_sizing(opened(file))
    sizing = ran(dossier.sizing)
    added = sized_keys(sizing) if write else {}
    if added:
        written(file, added)

    def as_object() -> object:
        from outboard.report import json_size

        return json_size.sizing(sizing) | ({"written": added} if write else {})

    def in_words(plate: "Plate") -> None:
        from outboard.report import size_text

        size_text.write(plate, dossier, added if write else None)

    answer(as_json, quiet, as_object, in_words)
    return 0 if all(map(fits, sizing.values)) else 1
