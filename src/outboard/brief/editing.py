"""Putting sized values into a design file: comments and everything else stay as they were."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from outboard.brief.design import Brief
from outboard.brief.entries import STAGE
from outboard.brief.file import file_text, refuse_for
from outboard.brief.reading import read_text
from outboard.files import write_text
from outboard.quantity import Dimension, parse, shown

MARK = "\ufeff"
"""The byte order mark that some editors put before the text."""


def written(brief_path: Path | str, values: Mapping[str, float | int | str]) -> Brief:
    """Set keys of [stage] in a design file, quantities in SI or as text, and give the new content.

    The file is replaced in one step, and only when the new text reads without a mistake; else WrongInput is raised
    and the file stays as it was. A key that [stage] does not have is a KeyError.
    """
    import tomlkit  # 80 ms, and only `size --write` needs them

    path = Path(brief_path)
    before = file_text(path)
    read_text(before, str(path))
    mark = MARK if before.startswith(MARK) else ""
    document: Any = tomlkit.parse(before.removeprefix(MARK))
    _set_keys(document["stage"], {key: _written_value(value, STAGE[key].dimension) for key, value in values.items()})
    after = mark + tomlkit.dumps(document)
    if "\r\n" in before:
        after = after.replace("\r\n", "\n").replace("\n", "\r\n")
    brief = read_text(after, str(path))
    try:
        write_text(path, after)
    except OSError as error:
        refuse_for(error, path)
    return brief


def _set_keys(table: Any, values: Mapping[str, float | int | str]) -> None:
    """Set keys in a table of tomlkit; new ones follow the last key, before remarks that belong to what comes next."""
    body = getattr(table.value, "body", [])  # keys written as stage.R1 have no table of their own
    behind = []
    while body and body[-1][0] is None:
        behind.append(body.pop())
    for key, value in values.items():
        table[key] = value
    body.extend(reversed(behind))


def _written_value(value: float | int | str, dimension: Dimension | None) -> float | int | str:
    """A value as people write it, with as many digits as it needs."""
    if isinstance(value, str) or dimension is None or dimension.name == "number":
        return value
    texts = (shown(value, dimension, digits, zeros=False) for digits in (3, 6, 9, 12))
    exact = (text for text in texts if abs(parse(text, dimension) - value) <= 1e-12 * abs(value))
    return next(exact, shown(value, dimension, 17, zeros=False))
