"""The program: finds the verb, and turns whatever ends it into words and an exit code.

    0  good                    1  a requirement fails          2  the input is wrong
    3  undecided               70 our bug                      130 interrupted
"""

import gc
import os
import sys
import traceback
from _thread import interrupt_main
from collections.abc import Sequence
from importlib import import_module
from threading import Timer
from typing import Any

import click

from outboard import __version__
from outboard.cli.mistakes import misuse, tell_mistakes, unknown_word
from outboard.errors import Mistake, OutboardError, WrongInput

GOOD, FAILS, WRONG, UNDECIDED, BUG, INTERRUPTED, NOBODY_READS = 0, 1, 2, 3, 70, 130, 141

VERBS = {
    "new": "a design file to begin with, from input, output, load and the drawer",
    "size": "from the brief to values, each with its formula",
    "solve": "one operating point: voltages, currents, power, junctions",
    "divide": "how the load current divides, from no load to overload",
    "verify": "is it right under everything that was promised?",
    "derive": "the algebra: equations, exact result, what dropped terms cost",
    "draws": "units drawn at random: a shard of very many, or one of them again",
    "merge": "shards of draws, put together to one verdict",
    "omit": "what is each part for, and what if it were left out?",
    "faults": "what happens when a part fails, or the output is shorted?",
    "respond": "load steps, start-up, switch-off; does it swing? impedance and ripple",
    "heat": "junctions, sinks, safe operating area, runaway",
    "feed": "do transformer, rectifier and reservoir make the input?",
    "report": "the whole design as a document: PDF, HTML, parts list",
    "draw": "the schematic, with currents and heat when wanted",
    "expand": "the design written out as explicit parts",
    "parts": "the catalogue: list, show, check, add",
    "schema": "the design file as JSON Schema, for editors",
}
"""Every verb with the question that it answers; each is a module of its own."""

EPILOG = (
    "Exit codes: 0 good, 1 a requirement fails, 2 the input is wrong, 3 undecided, 70 a bug of ours. "
    "`outboard VERB --help` says more about a verb."
)


class Program(click.Group):
    """The verbs; a verb's module is imported when the verb is used, or its help is listed."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in VERBS:
            return None
        verb: click.Command = getattr(import_module(f"outboard.cli.{cmd_name}"), cmd_name)
        return verb

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0] not in VERBS and not args[0].startswith("-"):
            raise WrongInput([unknown_word(args[0], VERBS, "verb", "outboard")])
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Verbs"):
            formatter.write_dl(list(VERBS.items()))

    def main(self, args: Sequence[str] | None = None, *_: Any, standalone_mode: bool = True, **__: Any) -> Any:
        """Run the program; the exit code, or the end of the process when it stands alone."""
        code = _ended(self, list(sys.argv[1:] if args is None else args))
        if standalone_mode:
            sys.exit(code)
        return code


def _ended(program: Program, arguments: list[str]) -> int:
    """Runs a verb and answers every way in which it can end."""
    as_json = "--json" in arguments
    try:
        with program.make_context("outboard", arguments) as context:
            code = program.invoke(context)
        sys.stdout.flush()
        return int(code or GOOD)
    except click.exceptions.Exit as ended:
        return ended.exit_code
    except WrongInput as wrong:
        return _told(wrong.mistakes, as_json)
    except click.UsageError as misused:
        return _told([misuse(misused)], as_json)
    except OutboardError as refused:
        return _told([Mistake(str(refused))], as_json)
    except (KeyboardInterrupt, click.Abort):
        print("outboard: interrupted; no file is half written", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        _let_go_of_output()
        return NOBODY_READS
    except OSError as error:
        _let_go_of_output()
        return _told([Mistake(f"this cannot be written or read: {error.strerror or error}")], False)
    except Exception as bug:
        _own_up(bug)
        return BUG


def _told(mistakes: Sequence[Mistake], as_json: bool) -> int:
    try:
        tell_mistakes(mistakes, as_json)
    except OSError:
        _let_go_of_output()
    return WRONG


def _let_go_of_output() -> None:
    """Nobody reads on: what is still to be written goes nowhere, so that Python does not complain at its end."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):  # a stream without a file behind it needs no such care
        return


def _own_up(bug: Exception) -> None:
    if os.environ.get("OUTBOARD_DEBUG") == "1":
        traceback.print_exception(bug)
        return
    words = f"outboard: this is a bug of ours ({type(bug).__name__}), not a mistake of yours."
    print(f"{words} OUTBOARD_DEBUG=1 shows where it happened.", file=sys.stderr)


def _heard_again(unheard: "sys.UnraisableHookArgs") -> None:
    """An interrupt that met Python where it cannot be raised, while it tidies up, is sent anew a moment later."""
    if issubclass(unheard.exc_type, KeyboardInterrupt):
        Timer(0.01, interrupt_main).start()
    else:
        sys.__unraisablehook__(unheard)


@click.command(
    cls=Program, invoke_without_command=True, epilog=EPILOG, options_metavar="",
    subcommand_metavar="VERB DESIGN.toml [options]",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110},
)  # fmt: skip
@click.version_option(__version__, prog_name="outboard", message="%(prog)s %(version)s")
@click.pass_context
def program(context: click.Context) -> None:
    """Linear regulators with outboard transistors: designed, questioned and proved.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a file name that is not text must not stop a message
            stream.reconfigure(errors="backslashreplace")
    sys.unraisablehook = _heard_again
    gc.disable()  # a verb lives for a second; looking for garbage among numba's objects would take a tenth of it
    try:
        code: int = program.main(arguments, standalone_mode=False)
    finally:
        gc.enable()
        sys.unraisablehook = sys.__unraisablehook__
    return code
