"""outboard parts: the catalogue."""

from importlib import import_module
from pathlib import Path
from types import ModuleType

import click

from outboard.cli.answer import answer
from outboard.cli.mistakes import unknown_word
from outboard.cli.options import output_options
from outboard.errors import Mistake, WrongInput

ACTIONS = {
    "list": "every type", "show": "a type with its figures", "check": "do the figures of each type agree",
    "add": "a part of your own, from the figures of its sheet",
}  # fmt: skip

KINDS = ("bipolar", "diode", "regulator", "mosfet", "thyristor")
"""Kinds that there is a form of."""



def words() -> ModuleType:
    """The catalogue in words, loaded when they are wanted."""
    return import_module("outboard.report.parts_text")


class Catalogue(click.Group):
    """The actions on the catalogue."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(ACTIONS)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Actions"):
            formatter.write_dl(list(ACTIONS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0] not in ACTIONS and not args[0].startswith("-"):
            raise WrongInput([unknown_word(args[0], ACTIONS, "action", "outboard parts")])
        return super().resolve_command(ctx, args)


@click.group(
    cls=Catalogue, options_metavar="", subcommand_metavar="[list | show TYPE | check | add FILE] [options]",
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
    from outboard.own_parts import own_shelf
    from outboard.parts import catalogue, stock
    from outboard.parts.shelf import beside
    from outboard.report import json_catalogue

    own = own_shelf(Path())
    with beside(own):
        types, others = catalogue().values(), stock().values()
    answer(
        as_json, quiet, lambda: json_catalogue.listing(types, others, own.broken),
        lambda plate: words().write_list(plate, types, others, own.broken),
    )  # fmt: skip
    return 0


@parts.command("show", options_metavar="[options]", short_help=ACTIONS["show"])
@click.argument("name", metavar="TYPE")
@output_options
def show_type(name: str, as_json: bool, quiet: bool) -> int:
    """A type with every figure that is known of it, and where each comes from."""
    from outboard.own_parts import own_shelf
    from outboard.parts import UnknownType, find, find_stock
    from outboard.parts.shelf import beside
    from outboard.report import json_catalogue

    try:
        with beside(own_shelf(Path())):
            found = find_stock(name) or find(name)
    except UnknownType as unknown:
        write = " or ".join(f"outboard parts show {near}" for near in unknown.near) or "outboard parts list"
        raise WrongInput([Mistake(f"the catalogue has no “{name}”", "a type of the catalogue", write, name)]) from None
    answer(as_json, quiet, lambda: json_catalogue.sheet(found), lambda plate: words().write_sheet(plate, found))
    return 0


@parts.command("check", options_metavar="[options]", short_help=ACTIONS["check"])
@output_options
def check_types(as_json: bool, quiet: bool) -> int:
    """Whether the figures of each type agree with each other, your own among them.

    Exit code 1 where they cannot all be right, or where a file of your own cannot be read.
    """
    from outboard.own_parts import own_shelf
    from outboard.parts import catalogue, stock
    from outboard.parts.consistency import broken_findings, catalogue_findings
    from outboard.parts.shelf import beside
    from outboard.report import json_catalogue

    own = own_shelf(Path())
    with beside(own):
        types = {**catalogue(), **stock()}
        found = (*broken_findings(own.broken), *catalogue_findings(types))
    answer(
        as_json, quiet, lambda: json_catalogue.remarks(types, found),
        lambda plate: words().write_remarks(plate, types, found),
    )  # fmt: skip
    return 1 if any(finding.severity == "error" for finding in found) else 0


@parts.command("add", options_metavar="[options]", short_help=ACTIONS["add"])
@click.argument("file", metavar="FILE", required=False)
@click.option("--form", metavar="KIND", help="Print the form to be filled in: " + ", ".join(KINDS) + ".")
@click.option("--replace", is_flag=True, help="Put it in the place of a part of your own of the same name.")
@output_options
def add_type(file: str | None, form: str | None, replace: bool, as_json: bool, quiet: bool) -> int:
    """A part of your own, from a form filled in with the figures of its data sheet.

    A figure without a source is refused; one that you only remember has the source "recalled", and every verdict that
    rests on it says so. Your parts lie in the folder that $OUTBOARD_PARTS names, else in outboard/parts of your
    configuration; a folder `parts` beside a design is read too. A part of your own stands in front of one of the
    catalogue with the same name.
    """
    if form is not None:
        click.echo(_form(form, file), nl=False)
        return 0
    if file is None:
        expected, write = "a form filled in", f"outboard parts add --form {KINDS[0]} prints one"
        raise WrongInput([Mistake("add needs FILE", expected, write, "FILE")])
    from outboard.own_parts import add
    from outboard.own_parts.folders import shadowed
    from outboard.report import json_catalogue

    added, place = add(file, replace)
    answer(
        as_json, quiet, lambda: json_catalogue.sheet(added) | {"written": str(place)},
        lambda plate: plate.say(f"{added.name} is written into {place}{shadowed(added)}"),
    )  # fmt: skip
    return 0


def _form(kind: str, file: str | None) -> str:
    if kind not in KINDS:
        raise WrongInput([unknown_word(kind, KINDS, "form", "outboard parts add --form")])
    if file is not None:
        raise WrongInput([Mistake(f"add has no use for {file} with --form", "FILE or --form", where=file)])
    from outboard.own_parts import form

    return form(kind)
