"""Figures that verbs write: what such a file may be called, and what is said when it cannot be written."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from outboard.cli.answer import cannot_be_written
from outboard.cli.options import Verb, one_of
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.draw.style import ThemeName

FORMATS = (".svg", ".png")
THEMES: tuple["ThemeName", ...] = ("light", "dark", "print")


def theme_option(verb: Verb) -> Verb:
    """--theme, of a figure."""
    return click.option("--theme", callback=one_of(THEMES), default="light", metavar="THEME",
                        help="Of the figure: light (unless said), dark, or print (black and white).")(verb)  # fmt: skip


def figure_file(
    figure: str, example: str, option: str = "--figure", expected: str = "a name that ends in .svg or .png"
) -> None:
    """WrongInput for a name that does not say how to draw."""
    if Path(figure).suffix.lower() not in FORMATS:
        what = f"{option}: “{figure}” does not say how to draw"
        raise WrongInput([Mistake(what, expected, f"{option} {example}", option)])


@contextmanager
def written(figure: str, option: str = "--figure") -> Iterator[None]:
    """Turns what the disk says into a mistake of the option that asks for the figure."""
    try:
        yield
    except OSError as error:
        raise WrongInput([cannot_be_written(figure, option, error)]) from None
