"""outboard faults: what happens when a part fails, or something comes from outside?"""

from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer
from outboard.cli.options import design_file, output_options

if TYPE_CHECKING:
    from outboard.report.plate import Plate

EXITS = {"PASS": 0, "FAIL": 1, "UNDECIDED": 3}


@click.command(options_metavar="[options]")
@design_file
@click.option("--all", "everything", is_flag=True, help="Also say at length what nobody would notice.")
@output_options
def faults(file: str, everything: bool, as_json: bool, quiet: bool) -> int:
    """What happens when a part opens, shorts or drifts, a sink comes loose, or the output is shorted?

    Each fault with what follows from it, what the load sees, how a meter shows it and what would prevent it. Exit code
    1 when a single fault endangers load or house, 3 when one cannot be told.
    """
    from outboard.dossier import opened, ran, with_faults

    dossier = with_faults(opened(file))
    report = ran(dossier.faults)

    def as_object() -> object:
        from outboard.report import json_faults

        return json_faults.faults(report, dossier.design)

    def in_words(plate: "Plate") -> None:
        from outboard.report import faults_text

        faults_text.write(plate, dossier, everything)

    answer(as_json, quiet, as_object, in_words)
    return EXITS[report.verdict]
