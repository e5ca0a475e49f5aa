"""outboard parts: the catalogue."""

from importlib import import_module
from types import ModuleType

import click

from outboard.cli.answer import answer
from outboard.cli.mistakes import unknown_word
from outboard.cli.options import output_options
from outboard.errors import Mistake, WrongInput

ACTIONS = {"list": "every type", "show": "a type with its figures", "check": "do the figures of each type agree"}


def words() -> ModuleType:
    """The catalogue in words, loaded when they are wanted."""
    return import_module("outboard.report.parts_text")


class Catalogue(click.Group):
    """The actions on the catalogue."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(ACTIONS)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0] not in ACTIONS and not args[0].startswith("-"):
            raise WrongInput([unknown_word(args[0], ACTIONS, "action", "outboard parts")])
        return super().resolve_command(ctx, args)


@click.group(
    cls=Catalogue, options_metavar="", subcommand_metavar="[list | show TYPE | check] [options]",
    invoke_without_command=True,
)  # fmt: skip
@click.pass_context
def parts(context: click.Context) -> None:
    """The catalogue of types: figures from data sheets, each with its conditions and its document."""
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@parts.command("list", options_metavar="[options]", short_help=ACTIONS["list"])
@output_options
def list_types(as_json: bool, quiet: bool) -> int:
    """Every type with the ratings that one chooses by."""
    from outboard.parts import catalogue, stock
    from outboard.report import json_catalogue

    types, others = catalogue().values(), stock().values()
    answer(
        as_json, quiet, lambda: json_catalogue.listing(types, others),
        lambda plate: words().write_list(plate, types, others),
    )  # fmt: skip
    return 0


@parts.command("show", options_metavar="[options]", short_help=ACTIONS["show"])
@click.argument("name", metavar="TYPE")
@output_options
def show_type(name: str, as_json: bool, quiet: bool) -> int:
    """A type with every figure that is known of it, and where each comes from."""
    from outboard.parts import UnknownType, find, find_stock
    from outboard.report import json_catalogue

    try:
        found = find_stock(name) or find(name)
    except UnknownType as unknown:
        write = " or ".join(f"outboard parts show {near}" for near in unknown.near) or "outboard parts list"
        raise WrongInput([Mistake(f"the catalogue has no “{name}”", "a type of the catalogue", write, name)]) from None
    answer(as_json, quiet, lambda: json_catalogue.sheet(found), lambda plate: words().write_sheet(plate, found))
    return 0


@parts.command("check", options_metavar="[options]", short_help=ACTIONS["check"])
@output_options
def check_types(as_json: bool, quiet: bool) -> int:
    """Whether the figures of each type agree with each other. Exit code 1 where they cannot all be right."""
    from outboard.parts import catalogue, stock
    from outboard.parts.consistency import catalogue_findings
    from outboard.report import json_catalogue

    types = {**catalogue(), **stock()}
    found = catalogue_findings(types)
    answer(
        as_json, quiet, lambda: json_catalogue.remarks(types, found),
        lambda plate: words().write_remarks(plate, types, found),
    )  # fmt: skip
    return 1 if any(finding.severity == "error" for finding in found) else 0
