"""What the command line has is said in its help, and what README and help name is there."""

import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from outboard.cli.program import VERBS, program

ROOT = Path(__file__).resolve().parents[2]


def commands() -> Iterator[tuple[str, click.Command]]:
    """Every verb, and every action behind a verb, with the words that call it."""
    with program.make_context("outboard", ["schema"]) as context:
        for verb in VERBS:
            command = program.get_command(context, verb)
            assert command is not None
            yield verb, command
            if isinstance(command, click.Group):
                yield from ((f"{verb} {name}", action) for name, action in command.commands.items())


COMMANDS = dict(commands())


def test_help_names_every_verb_with_its_question() -> None:
    shown = " ".join(CliRunner().invoke(program, ["--help"]).output.split())
    for verb, question in VERBS.items():
        assert f"{verb} {question}" in shown


def test_help_says_every_exit_code() -> None:
    shown = CliRunner().invoke(program, ["--help"]).output
    codes = import_module("outboard.cli.program")
    for code in (codes.GOOD, codes.FAILS, codes.WRONG, codes.UNDECIDED, codes.BUG):
        assert re.search(rf"\b{code} ", shown)


@pytest.mark.parametrize("words", COMMANDS)
def test_every_verb_explains_itself_and_each_of_its_options(words: str) -> None:
    shown = CliRunner().invoke(program, [*words.split(), "--help"])
    assert shown.exit_code == 0
    command = COMMANDS[words]
    assert command.help and command.help.split("\n")[0].strip() in " ".join(shown.output.split())
    for option in command.params:
        if isinstance(option, click.Option):
            assert option.help, f"{words} {option.opts[0]} has no help"
            assert option.opts[0] in shown.output


@pytest.mark.parametrize("words", [words for words in COMMANDS if not isinstance(COMMANDS[words], click.Group)])
def test_every_verb_takes_json_and_quiet(words: str) -> None:
    assert {"--json", "--quiet"} <= {name for option in COMMANDS[words].params for name in option.opts}


@pytest.mark.parametrize("verb", VERBS)
def test_a_verb_is_a_module_that_draws_nothing_in_before_it_is_used(verb: str) -> None:
    text = (ROOT / "src" / "outboard" / "cli" / f"{verb}.py").read_text(encoding="utf-8")
    at_once = re.findall(r"^(?:from|import) (\S+)", text, re.MULTILINE)
    light = ("click", "collections", "importlib", "pathlib", "types", "typing", "outboard.cli", "outboard.errors")
    assert [name for name in at_once if not name.startswith(light)] == []


def test_readme_calls_only_verbs_that_are_there() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    called = set(re.findall(r"^\./run (\w+)", text, re.MULTILINE)) - {"test", "lint", "speed"}
    assert called
    assert called <= set(VERBS)
