"""Giving an answer: an object for programs, words for people, or nothing at all."""

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from outboard.errors import Mistake, WrongInput
from outboard.files import write_text

if TYPE_CHECKING:
    from outboard.report.plate import Plate


def answer(
    as_json: bool, quiet: bool, as_object: Callable[[], object], in_words: "Callable[[Plate], None]"
) -> None:
    """Print what was found in the form that was asked for; rich is loaded only for people."""
    if as_json:
        from outboard.report.json_text import json_text

        print(json_text(as_object()))
    elif not quiet:
        from outboard.report.plate import Plate

        in_words(Plate(sys.stdout))


def write_file(path: str, content: str, option: str, replace: bool = True) -> None:
    """Write a text that the person asked for, whole or not at all.

    WrongInput when the file cannot be written, or is there already.
    """
    try:
        write_text(path, content, replace)
    except FileExistsError:
        what = f"{option}: {path} is there already, and is not written over"
        raise WrongInput([Mistake(what, "a new name", where=option)]) from None
    except (OSError, ValueError) as error:
        raise WrongInput([cannot_be_written(path, option, error)]) from None


def cannot_be_written(path: str, option: str, error: Exception) -> Mistake:
    """A file that was asked for and cannot be made."""
    reason = getattr(error, "strerror", None) or str(error)
    return Mistake(f"{option}: {path} cannot be written ({reason})", "a name in a folder that is there", where=option)
