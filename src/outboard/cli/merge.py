"""outboard merge: shards of draws, put together."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer
from outboard.cli.options import output_options

if TYPE_CHECKING:
    from outboard.report.plate import Plate


@click.command(options_metavar="[options]")
@click.argument("folder", metavar="FOLDER")
@output_options
def merge(folder: str, as_json: bool, quiet: bool) -> int:
    """The shards that `draws --save FOLDER` or `verify --save FOLDER` have kept, put together to one verdict.

    The result is the same, bit for bit, as that of one run. Where shards are missing it is marked partial, with exit
    code 3 unless something fails.
    """
    from outboard.cli.verify import EXITS
    from outboard.dossier import ran
    from outboard.dossier.draws import merged

    dossier = merged(Path(folder))
    verdict = ran(dossier.verdict)

    def as_object() -> object:
        from outboard.report import json_draws

        return json_draws.verdict_with_draws(dossier)

    def in_words(plate: "Plate") -> None:
        from outboard.report import draws_text, verify_text

        verify_text.write(plate, dossier)
        draws_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    code = EXITS[verdict.verdict]
    return 3 if code == 0 and ran(dossier.draws).stopped else code
