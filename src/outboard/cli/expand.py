"""outboard expand: the design written out as explicit parts."""

import click

from outboard.cli.answer import answer, write_file
from outboard.cli.options import design_file, output_options


@click.command(options_metavar="[options]")
@design_file
@click.option("-o", "--output", metavar="FILE", help="Write into this new file instead of printing.")
@output_options
def expand(file: str, output: str | None, as_json: bool, quiet: bool) -> int:
    """The design written out as explicit parts, ready to be edited; its solution stays the same.

    A file that is there already is not written over.
    """
    from outboard.arrangements import expanded_text
    from outboard.dossier import opened
    from outboard.report import json_size

    dossier = opened(file)
    text = expanded_text(dossier.design)
    if output is not None:
        write_file(output, text, "--output", replace=False)
    elif not as_json:  # this is the answer itself, not words about it
        click.echo(text, nl=False)
        return 0
    answer(
        as_json, quiet, lambda: json_size.expansion(dossier.design, text),
        lambda plate: plate.say(f"{len(dossier.design.parts)} parts written into {output}"),
    )  # fmt: skip
    return 0
