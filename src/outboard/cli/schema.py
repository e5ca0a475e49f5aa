"""outboard schema: the design file as JSON Schema."""

import click

from outboard.cli.options import output_options


@click.command(options_metavar="[options]")
@output_options
def schema(as_json: bool, quiet: bool) -> int:
    """The design file as JSON Schema (2020-12), for editors that check and complete while a person types.

    It is JSON with and without --json.
    """
    from outboard.brief import json_schema
    from outboard.report.json_text import json_text

    click.echo(json_text(json_schema()))
    return 0
