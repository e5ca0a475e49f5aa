"""Getting the text of a design file from the disk; whatever stands in the way is said, never raised raw."""

import errno
import os
import re
import stat
from pathlib import Path
from typing import NoReturn

from outboard.brief.near_miss import nearest
from outboard.errors import Mistake, WrongInput

LARGEST = 1_000_000
"""Bytes; a design file has a few thousand."""

DESIGN = re.compile(rb"^\s*(\[(stage|surroundings|input|output)\]|\[\[parts\]\])", re.MULTILINE)
"""A line that only a design file has."""

EXAMPLES = "some to begin with are in the folder “examples” of Outboard"

REFUSALS = {
    errno.ENOENT: "there is no such file",
    errno.ENOTDIR: "there is no such file",
    errno.EISDIR: "this is a folder",
    errno.EACCES: "this file may not be read",
    errno.EPERM: "this file may not be read",
    errno.ELOOP: "this link leads back to itself",
    errno.ENAMETOOLONG: "the name is too long for a file",
}


def file_text(path: Path) -> str:
    """The text of a design file, with its byte order mark if it has one; WrongInput when there is none to be had."""
    try:
        mode = os.stat(path).st_mode
        if not stat.S_ISREG(mode):
            _refuse(path, REFUSALS[errno.EISDIR] if stat.S_ISDIR(mode) else "this is no ordinary file")
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as error:
        refuse_for(error, path)
    except ValueError:
        _refuse(path, "this is no name of a file")
    if len(content) > LARGEST:
        _refuse(path, "this file is larger than 1 MB", "a design file of a few pages")
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        column = error.start - content.rfind(b"\n", 0, error.start)
        _refuse(path, "this is not text in UTF-8", "a design file saved as UTF-8", line, column)


def refuse_for(error: OSError, path: Path) -> NoReturn:
    """Say for a person what the operating system has refused."""
    what = REFUSALS.get(error.errno or 0, f"this file cannot be used ({error.strerror})")
    missing = error.errno in (errno.ENOENT, errno.ENOTDIR)
    meant = nearest(path.stem, _design_files(path.parent)) if missing else None
    if meant is not None:
        _refuse(path, what, write=str(path.with_name(f"{meant}.toml")))
    _refuse(path, what, f"a design file; {EXAMPLES}" if missing else "a design file")


def _refuse(
    path: Path,
    what: str,
    expected: str = "a design file",
    line: int | None = None,
    column: int | None = None,
    write: str = "",
) -> NoReturn:
    raise WrongInput([Mistake(what, expected, write, file=str(path), line=line, column=column)]) from None


def _design_files(folder: Path) -> list[str]:
    """Names, without their ending, of the files of a folder that look like designs."""
    try:
        files = [Path(entry.path) for entry in os.scandir(folder) if entry.name.endswith(".toml") and entry.is_file()]
        return [file.stem for file in files if _looks_like_a_design(file)]
    except OSError:
        return []


def _looks_like_a_design(path: Path) -> bool:
    """Whether a file has a section that only a design has."""
    with path.open("rb") as file:
        return DESIGN.search(file.read(LARGEST)) is not None
