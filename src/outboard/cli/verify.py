"""outboard verify: is it right under everything that was promised?"""

from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer
from outboard.cli.options import ambient_option, design_file, input_option, load_option, output_options

if TYPE_CHECKING:
    from outboard.report.plate import Plate

EXITS = {"PASS": 0, "FAIL": 1, "UNDECIDED": 3}


@click.command(options_metavar="[options]")
@design_file
@input_option("Only this input voltage instead of the promised span.")
@load_option("Only this load instead of the promised span.")
@ambient_option("Only this ambient temperature instead of the promised span.")
@output_options
def verify(
    file: str, input_voltage: float | None, load: float | None, ambient: float | None, as_json: bool, quiet: bool
) -> int:
    """Is it right under every line, load, ambient, gain, V_BE and tolerance that was promised?

    Margins, the worst corner of each, and what a verdict rests on. Exit code 0 when all pass, 1 when one fails, 3 when
    one stays undecided.
    """
    from outboard.dossier import opened, ran, with_verdict

    dossier = with_verdict(opened(file), input_voltage, load, ambient)
    verdict = ran(dossier.verdict)

    def as_object() -> object:
        from outboard.report import json_objects

        return json_objects.verdict(verdict) | {"notes": dossier.design.notes}

    def in_words(plate: "Plate") -> None:
        from outboard.report import verify_text

        verify_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return EXITS[verdict.verdict]
