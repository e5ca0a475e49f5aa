"""outboard new: a design file to begin with."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from outboard.cli.answer import answer, write_file
from outboard.cli.options import output_options
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.quantity import Dimension
    from outboard.report.plate import Plate
    from outboard.span import Span

QUESTIONS = {
    "input": "Input without load, such as 16 V to 20 V",
    "output": "Output, such as 12 V",
    "load": "Load, such as 5 A, or 0.1 A to 5 A",
}
"""What is asked in a dialogue, and must be said outside of one."""


@click.command(options_metavar="[options]")
@click.argument("file", metavar="DESIGN.toml")
@click.option("--input", "input_span", metavar="VOLTAGE", help="Input without load: “18 V”, “16 V to 20 V” or “-20 V”.")
@click.option("--output", metavar="VOLTAGE", help="Output: 12V, 13.8V or -15V.")
@click.option("--load", metavar="CURRENT", help="Greatest load: 5A; or “0.1 A to 5 A”.")
@click.option("--ambient", metavar="TEMPERATURE", help="Surroundings: “-10 °C to 40 °C”; 0 °C to 40 °C unless said.")
@click.option("--have", multiple=True, metavar="TYPE", help="A type in the drawer; may be said several times.")
@click.option("--title", metavar="TEXT", help="What it is for.")
@click.option("--replace", is_flag=True, help="Write over a file that is there already.")
@output_options
def new(
    file: str, input_span: str | None, output: str | None, load: str | None, ambient: str | None,
    have: tuple[str, ...], title: str | None, replace: bool, as_json: bool, quiet: bool,
) -> int:  # fmt: skip
    """A design file to begin with: from input, output, load and what is in the drawer to a stage that can be verified.

    What is not said is asked for when somebody sits at the keyboard. The arrangement is the one for which the fewest
    types have to be bought, then the one with the fewest devices; the file says why.
    """
    said = {"input": input_span, "output": output, "load": load}
    missing = [name for name, value in said.items() if value is None]
    if Path(file).exists() and not replace:
        what = f"{file} is there already, and is not written over"
        raise WrongInput([Mistake(what, "a new name, or --replace", "--replace", "DESIGN.toml")])
    if missing and (as_json or quiet or not _somebody_is_there()):
        needed = [Mistake(f"new needs --{name}", QUESTIONS[name], f"--{name} …", f"--{name}") for name in missing]
        raise WrongInput(needed)
    for name in missing:
        said[name] = click.prompt(QUESTIONS[name], err=True)
    if missing and not have:
        asked = "Types in the drawer, such as 7812 BD140 2N3055"
        drawer = click.prompt(asked, default="", show_default=False, err=True)
        have = tuple(drawer.replace(",", " ").split())
    from outboard.arrangements.beginning import begun

    beginning = begun(_wishes(said, ambient, have, title or Path(file).stem), file)
    write_file(file, beginning.text, "DESIGN.toml", replace)

    def in_words(plate: "Plate") -> None:
        plate.say(f"written: {file}")
        for reason in beginning.reasons:
            plate.quietly(reason, indent=4)
        plate.say(f"next: outboard verify {file}")

    answer(
        as_json, quiet,
        lambda: {"file": file, "toml": beginning.text, "reasons": beginning.reasons}, in_words,
    )  # fmt: skip
    return 0


def _somebody_is_there() -> bool:
    import sys

    return sys.stdin.isatty()


def _wishes(said: dict[str, str | None], ambient: str | None, have: tuple[str, ...], title: str) -> Any:
    from outboard.arrangements.beginning_text import Wishes
    from outboard.quantity import CURRENT, TEMPERATURE
    from outboard.span import Span

    load = _span("load", said["load"] or "", CURRENT, least=0.0)
    if load.least == load.most:
        load = Span(0.0, load.most / 2.0, load.most)
    (negative, held), (below, source) = (_rail(name, said[name] or "") for name in ("output", "input"))
    output, sign = held.usual, "-" if negative else ""
    if below != negative:
        what = "input and output lie on different sides of ground"
        better = f'--input "{sign}{output + 4:g} V"'
        raise WrongInput([Mistake(what, "both positive or both negative", better, "--input")])
    if source.least <= output:
        what = f"an input of {sign}{source.least:g} V leaves nothing for an output of {sign}{output:g} V"
        better = f'--input "{sign}{output + 4:g} V"'
        raise WrongInput([Mistake(what, "an input further from ground than the output", better, "--input")])
    if load.most <= 0.0:
        raise WrongInput([Mistake("--load: a load of nothing", "more than 0 A", "--load 5A", "--load")])
    surroundings = _span("ambient", ambient or "0 °C to 40 °C", TEMPERATURE, least=100.0)
    return Wishes(title.strip() or "A first design", source, output, load, surroundings, have, negative)


def _rail(name: str, written: str) -> "tuple[bool, Span]":
    """Whether a voltage lies below ground, and how far it lies from it: least, usual, most."""
    from outboard.quantity import VOLTAGE

    negative = written.lstrip().startswith(("-", "−"))
    if negative:  # read as the mirror image, in whichever order it was said
        turned = [part.strip().lstrip("-−") for part in written.split(" to ")]
        try:
            return True, _span(name, " to ".join(turned), VOLTAGE, least=0.1)
        except WrongInput:
            return True, _span(name, " to ".join(reversed(turned)), VOLTAGE, least=0.1)
    return False, _span(name, written, VOLTAGE, least=0.1)


def _span(name: str, written: str, dimension: "Dimension", least: float) -> "Span":
    """One quantity, or two or three with “to” between them: least, usual, most."""
    from outboard.quantity import QuantityMistake, parse
    from outboard.span import Span

    option, texts = f"--{name}", [text.strip() for text in written.split(" to ")]
    example = f'{option} "{dimension.example}"'
    try:
        numbers = [parse(text, dimension) for text in texts]
    except QuantityMistake as mistake:
        raise WrongInput([Mistake(f"{option}: {mistake.what}", mistake.expected, example, option)]) from None
    if len(numbers) > 3 or sorted(numbers) != numbers:
        raise WrongInput([Mistake(f"{option}: “{written}” does not rise", "least to usual to most", example, option)])
    if numbers[0] < least:
        raise WrongInput([Mistake(f"{option}: “{written}” is too little", dimension.phrase, example, option)])
    return Span(numbers[0], numbers[1] if len(numbers) == 3 else sum(numbers) / len(numbers), numbers[-1])
