"""What the verbs share: the design file, quantities as people write them, --json and --quiet."""

from collections.abc import Callable
from typing import Any, TypeVar

import click

from outboard.errors import Mistake, WrongInput
from outboard.quantity import CURRENT, TEMPERATURE, VOLTAGE, Dimension, QuantityMistake, parse

Verb = TypeVar("Verb", bound=Callable[..., Any])


Callback = Callable[[click.Context, click.Parameter, Any], Any]


def quantity(dimension: Dimension, least: float | None = None, above: float | None = None) -> Callback:
    """Reads a quantity as in a design file: 3A, “18 V”, 25C; SI inside. `least` may be reached, `above` may not."""

    def read(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
        if value is None:
            return None
        option = param.opts[0]
        try:
            number = parse(value, dimension)
        except QuantityMistake as mistake:
            write = mistake.write if " or " in mistake.write else f'{option} "{mistake.write}"'
            raise WrongInput([Mistake(f"{option}: {mistake.what}", mistake.expected, write, option)]) from None
        if (least is not None and number < least) or (above is not None and number <= above):
            floor = f"{least:g} or more" if least is not None else f"more than {above:g}"
            what, write = f"{option}: “{value}” is too little", f'{option} "{dimension.example}"'
            raise WrongInput([Mistake(what, f"{dimension.phrase}, {floor}", write, option)])
        return number

    return read


def whole(least: int, most: int) -> Callback:
    """Reads a whole number between two others, both included."""

    def read(ctx: click.Context, param: click.Parameter, value: str) -> int:
        number = int(value) if value.isascii() and value.isdecimal() and len(value) < 10 else least - 1
        if not least <= number <= most:
            option, expected = param.opts[0], f"a whole number from {least} to {most}"
            raise WrongInput([Mistake(f"{option}: “{value}” does not do", expected, f"{option} {least}", option)])
        return number

    return read


def one_of(words: tuple[str, ...]) -> Callback:
    """Reads one of a few words."""

    def read(ctx: click.Context, param: click.Parameter, value: str) -> str:
        if value not in words:
            option = param.opts[0]
            what, expected = f"{option}: “{value}” is not one of them", f"{', '.join(words[:-1])} or {words[-1]}"
            raise WrongInput([Mistake(what, expected, f"{option} {words[0]}", option)])
        return value

    return read


def design_file(verb: Verb) -> Verb:
    """The design file, first argument of most verbs."""
    return click.argument("file", metavar="DESIGN.toml")(verb)


def output_options(verb: Verb) -> Verb:
    """--json and --quiet."""
    quiet = click.option("--quiet", "-q", is_flag=True, help="No words for people; the exit code answers.")
    as_json = click.option("--json", "as_json", is_flag=True, help="Stable keys, SI units, °C for temperatures.")
    return as_json(quiet(verb))


def input_option(help_text: str) -> Callable[[Verb], Verb]:
    """--input, a voltage."""
    return click.option("--input", "input_voltage", callback=quantity(VOLTAGE), metavar="VOLTAGE", help=help_text)


def load_option(help_text: str) -> Callable[[Verb], Verb]:
    """--load, a current."""
    return click.option("--load", callback=quantity(CURRENT, least=0.0), metavar="CURRENT", help=help_text)


def ambient_option(help_text: str) -> Callable[[Verb], Verb]:
    """--ambient, a temperature."""
    return click.option("--ambient", callback=quantity(TEMPERATURE, above=0.0), metavar="TEMPERATURE", help=help_text)
