"""Writing a file whole or not at all.

The content goes into a file beside the wanted one, is brought to the disk and then takes its place in one step: who
reads sees the old or the new, never half of one, whatever stops the program in between.
"""

import errno
import os
import tempfile
from contextlib import suppress
from pathlib import Path

NEW = 0o666
"""Permissions of a new file, less what the person's mask takes away."""


def write_text(path: Path | str, content: str, replace: bool = True) -> None:
    """Write a text in UTF-8; OSError when that is not possible, FileExistsError when it must not replace."""
    write_bytes(path, content.encode("utf-8"), replace)


def write_bytes(path: Path | str, content: bytes, replace: bool = True) -> None:
    """Write bytes; a link is followed and stays one, and what is no ordinary file, such as a pipe, is written to."""
    wanted = Path(path)
    if not replace and os.path.lexists(wanted):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(wanted))
    target = Path(os.path.realpath(wanted))
    if target.exists() and not target.is_file():
        with target.open("wb") as stream:
            stream.write(content)
        return
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(target))
    handle, draft = tempfile.mkstemp(dir=target.parent, prefix=".", suffix=".draft")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(draft, _permissions(target))
        if replace:
            os.replace(draft, target)
        else:
            _take_free_place(draft, target)
    except BaseException:
        with suppress(OSError):
            os.unlink(draft)
        raise


def _take_free_place(draft: str, target: Path) -> None:
    """Fails when somebody else was quicker; where there are no hard links, that moment stays open."""
    try:
        os.link(draft, target)
    except FileExistsError:
        raise
    except OSError:
        os.replace(draft, target)
    else:
        os.unlink(draft)


def _permissions(target: Path) -> int:
    """Those of the file that is replaced, else those of any new file."""
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return NEW & ~mask
