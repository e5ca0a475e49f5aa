"""Mistakes on the command line and in files, told in our words: as lines for people, as one object with --json."""

import json
import re
import sys
from collections.abc import Collection, Sequence

import click

from outboard.errors import Mistake

SURPLUS = re.compile(r"Got unexpected extra arguments? \((.*)\)")

KEYS = ("file", "line", "column", "where", "what", "expected", "write")


def tell_mistakes(mistakes: Sequence[Mistake], as_json: bool) -> None:
    """Mistakes as lines on stderr, or as the object {"errors": […]} on stdout."""
    if as_json:
        errors = [{key: getattr(mistake, key) for key in KEYS} for mistake in mistakes]
        print(json.dumps({"errors": errors}, ensure_ascii=False, indent=1), flush=True)
        return
    for mistake in mistakes:
        print(mistake if mistake.file else f"outboard: {mistake}", file=sys.stderr)


def unknown_word(word: str, known: Collection[str], sort: str, path: str) -> Mistake:
    """A verb, or a word behind one, that there is not."""
    from outboard.brief.near_miss import nearest  # with all of the design file behind it, which --help does without

    meant = nearest(word, known)
    return Mistake(f"there is no {sort} “{word}”", " ".join(known), f"{path} {meant or '--help'}", word)


def misuse(error: click.UsageError) -> Mistake:
    """What is wrong with the options or arguments, in the form of every other mistake."""
    path = error.ctx.command_path if error.ctx is not None else "outboard"
    verb, usage, ask = path.removeprefix("outboard ").removeprefix("outboard"), _usage(error.ctx), f"{path} --help"
    if isinstance(error, click.NoSuchOption):
        meant = next(iter(error.possibilities or ()), "")
        there_is = f"{verb} has no option" if verb else "there is no option"
        return Mistake(f"{there_is} {error.option_name}", usage, meant or ask, error.option_name)
    if isinstance(error, click.MissingParameter):
        name = error.param.human_readable_name if error.param is not None else ""
        return Mistake(f"{verb} needs {name}", usage, f"{path} {name}", name)
    if isinstance(error, click.BadOptionUsage):
        name = error.option_name
        return Mistake(f"{name} needs a value", "a value behind the option", f"{name} VALUE", name)
    if isinstance(error, click.BadParameter):
        option = error.param.opts[0] if error.param is not None else ""
        return Mistake(f"{option}: {_sentence(error)}", usage, ask, option)
    surplus = SURPLUS.match(error.message)
    if surplus:
        return Mistake(f"{verb} has no use for {surplus[1]}", usage, ask, surplus[1])
    return Mistake(_sentence(error), usage, ask)


def _sentence(error: click.UsageError) -> str:
    """The reason, as it goes on in a sentence."""
    words = error.format_message().strip().rstrip(".")
    return words[:1].lower() + words[1:]


def _usage(context: click.Context | None) -> str:
    if context is None:
        return ""
    return " ".join([context.command_path, *context.command.collect_usage_pieces(context)])
